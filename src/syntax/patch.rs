//! Changes of a file that touch nothing else: where a task stands.
//!
//! Owns the spots of the text that say it. Everything around them, remarks and blanks included, stays
//! as it is.

use super::tree::{Clause, ClauseKind, Statement, Tree, Word};
use crate::diagnostic::FileId;

/// Bytes `start..end` of a file become `text`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edit {
    pub file: FileId,
    pub start: usize,
    pub end: usize,
    pub text: String,
}

/// The edits that make each named task of the file as it stands (not of its layouts) say `at PLACE`, by
/// file and place; tasks that the file does not have are left out.
#[must_use]
pub fn place_tasks(tree: &Tree, moves: &[(String, String)]) -> Vec<Edit> {
    let mut edits: Vec<Edit> = moves
        .iter()
        .filter_map(|(task, place)| {
            let is_it = |s: &&Statement| {
                s.word == Word::Task && s.name.as_ref().is_some_and(|name| name.text == *task)
            };
            tree.statements.iter().find(is_it).map(|statement| edit(statement, place))
        })
        .collect();
    edits.sort_by_key(|edit| (edit.file, edit.start));
    edits
}

/// The edits that make each named task of the file as it stands name this zone first of those of which it takes one:
/// the two change places.
#[must_use]
pub fn side_tasks(tree: &Tree, sides: &[(String, String)]) -> Vec<Edit> {
    let mut edits: Vec<Edit> = Vec::new();
    for (task, zone) in sides {
        let named =
            |s: &&Statement| s.word == Word::Task && s.name.as_ref().is_some_and(|name| name.text == *task);
        let Some(statement) = tree.statements.iter().find(named) else { continue };
        let said = statement.clauses.iter().find_map(|clause| match &clause.kind {
            ClauseKind::InOneOf(names) => Some(names),
            _ => None,
        });
        let Some((first, there)) =
            said.and_then(|names| Some((names.first()?, names.iter().find(|name| name.text == *zone)?)))
        else {
            continue;
        };
        for (at, text) in [(first, &there.text), (there, &first.text)] {
            let (start, end) = (at.span.start as usize, at.span.end as usize);
            edits.push(Edit { file: at.span.file, start, end, text: text.clone() });
        }
    }
    edits.sort_by_key(|edit| (edit.file, edit.start));
    edits
}

fn edit(statement: &Statement, place: &str) -> Edit {
    let said = statement.clauses.iter().find_map(|clause| match &clause.kind {
        ClauseKind::At(name) => Some(name),
        _ => None,
    });
    if let Some(name) = said {
        let (start, end) = (name.span.start as usize, name.span.end as usize);
        return Edit { file: name.span.file, start, end, text: place.to_string() };
    }
    let ends = |clause: &Clause| clause.span.end as usize;
    let end = statement.clauses.iter().map(ends).max().unwrap_or(statement.span.end as usize);
    Edit { file: statement.span.file, start: end, end, text: format!(" at {place}") }
}

/// The text of `file` with its edits made.
#[must_use]
pub fn patched(text: &str, file: FileId, edits: &[Edit]) -> String {
    let mut out = String::with_capacity(text.len());
    let mut from = 0;
    for edit in edits.iter().filter(|edit| edit.file == file) {
        out.push_str(&text[from..edit.start]);
        out.push_str(&edit.text);
        from = edit.end;
    }
    out.push_str(&text[from..]);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::MapSources;

    #[test]
    fn only_the_place_of_a_task_is_rewritten() {
        let text = "line \"L\"\nstation A crew 1  # first\n  task a takes 1 min  # remark\n\
                    station B crew 1\ntask b takes 2 min, at A by 1\n";
        let loaded = crate::syntax::load("f.line", &MapSources::one("f.line", text));
        let moves = [("b".to_string(), "B".to_string()), ("a".to_string(), "B".to_string())];
        let edits = place_tasks(&loaded.tree, &moves);
        assert_eq!(
            patched(text, FileId(0), &edits),
            "line \"L\"\nstation A crew 1  # first\n  task a takes 1 min at B  # remark\n\
             station B crew 1\ntask b takes 2 min, at B by 1\n"
        );
    }
}
