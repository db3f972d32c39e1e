//! The first file and all that it includes, as one row of statements.
//!
//! Every path is written relative to the folder of the first file, in whichever file it stands, and
//! never leaves that folder: no `..`, no leading `/`, no drive. A file is read once at most.

use super::tree::{Clause, Statement, Tree, Word};
use super::{limits, parse};
use crate::diagnostic::words::reading;
use crate::diagnostic::{Code, Diagnostic, FileId, SourceFault, SourceMap, Sources, Span};

/// A line as far as it could be read.
#[derive(Clone, Debug)]
pub struct Loaded {
    pub map: SourceMap,
    /// The statements of all files in reading order: those of an included file stand in place of the
    /// `use` statement that names it, and no `use` statement is left.
    pub tree: Tree,
    /// By file in reading order, and by place in each.
    pub faults: Vec<Diagnostic>,
}

impl Loaded {
    /// False where statements are missing altogether (a file that can't be read, a brace that is not
    /// closed): whatever is said about names then would mostly be wrong.
    pub fn is_whole(&self) -> bool {
        let cuts = |fault: &Diagnostic| {
            matches!(fault.code, Code::Nesting | Code::BadFile | Code::BadInclude | Code::OverLimit)
        };
        !self.faults.iter().any(cuts)
    }
}

/// Reads the file at `path` and what it includes.
#[must_use]
pub fn load(path: &str, sources: &dyn Sources) -> Loaded {
    let mut loader = Loader { sources, map: SourceMap::default(), read: Vec::new(), tree: Tree::default() };
    let mut faults = Vec::new();
    let statements = match loader.fetch(path) {
        Ok(file) => loader.file(file, &mut vec![path.to_string()], &mut faults),
        Err(fault) => {
            let start = Span::new(loader.map.add(path, ""), 0, 0);
            faults.push(first_file_fault(start, path, fault));
            Vec::new()
        }
    };
    if statements.is_empty() && faults.is_empty() {
        faults.push(reading::empty_file(Span::default()));
    }
    faults.sort_by_key(|fault| (fault.primary.file, fault.primary.start));
    let tree = Tree { statements, ..loader.tree };
    Loaded { map: loader.map, tree, faults }
}

/// A path as `Sources` takes it, where it stays inside the folder of the first file.
#[must_use]
pub fn path_inside(written: &str) -> Option<String> {
    let drive = written.as_bytes().get(1) == Some(&b':');
    if written.starts_with('/') || written.contains('\\') || drive {
        return None;
    }
    let parts: Vec<_> = written.split('/').filter(|part| !part.is_empty() && *part != ".").collect();
    (!parts.is_empty() && !parts.contains(&"..")).then(|| parts.join("/"))
}

fn first_file_fault(place: Span, path: &str, fault: SourceFault) -> Diagnostic {
    match fault {
        SourceFault::Missing => reading::file_missing(place, path),
        SourceFault::Unreadable(reason) => reading::file_unreadable(place, path, &reason),
        SourceFault::Outside => reading::include_outside(place, path),
        SourceFault::TooLarge { found, allowed } => reading::file_too_large(place, found, allowed),
    }
}

fn include_fault(place: Span, path: &str, fault: SourceFault) -> Diagnostic {
    match fault {
        SourceFault::Missing => reading::include_missing(place, path),
        SourceFault::Unreadable(reason) => reading::include_unreadable(place, path, &reason),
        SourceFault::Outside => reading::include_outside(place, path),
        SourceFault::TooLarge { found, allowed } => reading::file_too_large(place, found, allowed),
    }
}

/// A file whose bytes are there: its text, or where it stops being text.
struct Fetched {
    file: FileId,
    fault: Option<Diagnostic>,
}

struct Loader<'a> {
    sources: &'a dyn Sources,
    map: SourceMap,
    /// Files included so far and the statements that named them.
    read: Vec<(String, Span)>,
    tree: Tree,
}

impl Loader<'_> {
    /// Reads a file into the map.
    fn fetch(&mut self, path: &str) -> Result<Fetched, SourceFault> {
        let bytes = self.sources.read(path)?;
        if bytes.len() > limits::FILE_BYTES {
            let (found, allowed) = (bytes.len() as u64, limits::FILE_BYTES as u64);
            return Err(SourceFault::TooLarge { found, allowed });
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Fetched { file: self.map.add(path, text), fault: None }),
            Err(bad) => {
                let at = bad.utf8_error().valid_up_to();
                let byte = bad.as_bytes()[at];
                // The text up to the first bad byte, so that the place can be shown.
                let mut bytes = bad.into_bytes();
                bytes.truncate(at);
                let text = String::from_utf8(bytes).expect("the bytes up to there are valid");
                let file = self.map.add(path, text);
                let fault = reading::not_utf8(Span::new(file, at, at), byte, at);
                Ok(Fetched { file, fault: Some(fault) })
            }
        }
    }

    /// The statements of a fetched file; `open` are the paths from the first file to this one.
    fn file(
        &mut self,
        fetched: Fetched,
        open: &mut Vec<String>,
        faults: &mut Vec<Diagnostic>,
    ) -> Vec<Statement> {
        if let Some(fault) = fetched.fault {
            faults.push(fault);
            return Vec::new();
        }
        let text = self.map.get(fetched.file).map_or(String::new(), |file| file.text.clone());
        let parsed = parse(fetched.file, &text);
        faults.extend(parsed.faults);
        self.tree.broken.extend(parsed.tree.broken);
        self.spliced(parsed.tree.statements, &text, open, faults)
    }

    /// The statements with the files that they include put in place.
    fn spliced(
        &mut self,
        statements: Vec<Statement>,
        text: &str,
        open: &mut Vec<String>,
        faults: &mut Vec<Diagnostic>,
    ) -> Vec<Statement> {
        let mut row = Vec::with_capacity(statements.len());
        for mut statement in statements {
            statement.body = self.spliced(statement.body, text, open, faults);
            if statement.word == Word::Use && statement.target.is_none() {
                faults.extend(statement.clauses.iter().map(|clause| misplaced(clause, text)));
                row.extend(self.include(&statement, open, faults));
            } else {
                row.push(statement);
            }
        }
        row
    }

    fn include(
        &mut self,
        statement: &Statement,
        open: &mut Vec<String>,
        faults: &mut Vec<Diagnostic>,
    ) -> Vec<Statement> {
        let label = statement.label.as_ref().expect("the grammar gives `use` a path");
        let place = label.span;
        let fault = match path_inside(&label.text) {
            None => reading::include_outside(place, &label.text),
            Some(path) => {
                if let Some(at) = open.iter().position(|known| *known == path) {
                    let mut circle = open[at..].to_vec();
                    circle.push(path);
                    reading::include_circle(place, &circle)
                } else if let Some((_, first)) = self.read.iter().find(|(known, _)| *known == path) {
                    reading::include_twice(place, *first, &path)
                } else if self.read.len() == limits::FILES {
                    reading::too_many_files(place, limits::FILES)
                } else {
                    self.read.push((path.clone(), place));
                    match self.fetch(&path) {
                        Err(fault) => include_fault(place, &path, fault),
                        Ok(fetched) => {
                            open.push(path);
                            let statements = self.file(fetched, open, faults);
                            open.pop();
                            return statements;
                        }
                    }
                }
            }
        };
        faults.push(fault);
        Vec::new()
    }
}

fn misplaced(clause: &Clause, text: &str) -> Diagnostic {
    let span = clause.word_span;
    let word = text.get(span.start as usize..span.end as usize).unwrap_or("");
    reading::misplaced_clause(span, word, Word::Use.text(), &[])
}

#[cfg(test)]
mod tests {
    use super::path_inside;

    #[test]
    fn a_path_stays_inside_the_folder_of_the_first_file() {
        assert_eq!(path_inside("tasks.line").as_deref(), Some("tasks.line"));
        assert_eq!(path_inside("./parts//tasks.line").as_deref(), Some("parts/tasks.line"));
        for outside in ["/etc/passwd", "../x.line", "a/../../x", "C:/x", "a\\b", "", ".", "a/.."] {
            assert_eq!(path_inside(outside), None, "{outside}");
        }
    }
}
