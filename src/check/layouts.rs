//! Layouts: the statement lists they come to.
//!
//! A layout edits the statements of its base before anything is checked: `change` replaces the
//! clauses it names (all clauses of that sort), and name, label or head value where it states
//! them; `remove` takes a statement away; any other statement is added. The result is checked like
//! a file of its own.

use super::Item;
use super::clauses::{clause, sort};
use super::desk::Desk;
use super::feeders;
use super::lanes;
use super::names::{Kind, name_of};
use crate::diagnostic::Span;
use crate::diagnostic::words::{limits, names as words, statements as statement_words};
use crate::syntax::tree::{ClauseKind, Head, Name, Statement, Word};
use std::borrow::Cow;

/// The name of the line as the file states it.
pub(super) const TODAY: &str = "today";

/// Layouts of a file at most, and layouts times statements at most.
const LAYOUTS: usize = 200;
const LAYOUT_STATEMENTS: usize = 2_000_000;

/// So many more layouts a file with these statements may have.
pub fn room_for_layouts(statements: &[Statement]) -> usize {
    let there = statements.iter().filter(|statement| statement.word == Word::Layout).count();
    LAYOUTS.min(LAYOUT_STATEMENTS / statements.len().max(1)).saturating_sub(there)
}

/// One statement list.
#[derive(Clone)]
pub(super) struct Variant<'a> {
    pub label: String,
    pub span: Span,
    pub items: Vec<Item<'a>>,
    /// The variant it is built on.
    pub base: Option<usize>,
    /// What its own statements name, for faults about what they do.
    pub edits: Vec<(String, Span)>,
    /// Statements in its braces that were changed or removed: they are screened with it.
    pub body: &'a [Statement],
}

/// "today" first, then each layout in file order; one whose base is unknown is left out.
pub(super) fn variants<'a>(statements: &'a [Statement], desk: &mut Desk) -> Vec<Variant<'a>> {
    let base = Variant {
        label: TODAY.to_string(),
        span: Span::default(),
        items: base_items(statements, desk),
        base: None,
        edits: Vec::new(),
        body: &[],
    };
    let mut layouts = labelled(statements, desk);
    if layouts.len() > LAYOUTS || layouts.len() * statements.len() > LAYOUT_STATEMENTS {
        desk.fault(limits::too_many_layouts(layouts[0].word_span, layouts.len(), LAYOUTS, LAYOUT_STATEMENTS));
        layouts.clear();
    }
    let bases: Vec<Option<usize>> = layouts.iter().map(|layout| base_of(layout, &layouts, desk)).collect();
    let in_circle = report_circles(&layouts, &bases, desk);
    // Each after its base; places in `all` differ from places in `layouts` by one and by gaps.
    let mut all: Vec<Option<Variant>> = vec![None; layouts.len() + 1];
    all[0] = Some(base);
    loop {
        let ready = (0..layouts.len()).find(|index| {
            all[index + 1].is_none()
                && !in_circle[*index]
                && bases[*index].is_some_and(|base| all[base].is_some())
        });
        let Some(index) = ready else { break };
        let Some(base) = bases[index] else { break };
        let Some(from) = &all[base] else { break };
        let variant = edited(layouts[index], from, base, desk);
        all[index + 1] = Some(variant);
    }
    let mut places = Vec::new();
    let mut found: Vec<Variant> = Vec::new();
    for variant in all {
        places.push(found.len());
        found.extend(variant);
    }
    for variant in &mut found {
        variant.base = variant.base.map(|base| places[base]);
    }
    found
}

/// The statements that make up the line itself, each with the place it stands under.
fn base_items<'a>(statements: &'a [Statement], desk: &mut Desk) -> Vec<Item<'a>> {
    let mut items = Vec::new();
    for statement in statements {
        match statement.word {
            Word::Layout => {}
            Word::Change | Word::Remove => {
                let text = statement.word.text();
                desk.fault(statement_words::misplaced_statement(
                    statement.word_span,
                    text,
                    "inside a layout",
                ));
            }
            _ => feeders::take_in(statement, &mut items, desk),
        }
    }
    place_items(&mut items, desk);
    items
}

/// Gives every step the place statement above it; a place statement between the two that could not
/// be read leaves it open.
fn place_items(items: &mut [Item], desk: &Desk) {
    let unread: Vec<Span> = desk
        .broken()
        .iter()
        .filter(|broken| broken.word.is_none_or(|word| Kind::of(word) == Some(Kind::Place)))
        .map(|broken| broken.span)
        .collect();
    let mut above: Option<(Name, Span)> = None;
    let mut within = (None, None);
    for item in items {
        // What stands behind the braces of a feeder or a lane stands below none of its places.
        let inside = (item.feeder.clone(), item.lane.clone());
        if inside != within {
            above = None;
            within = inside;
        }
        match Kind::of(item.statement.word) {
            Some(Kind::Place) => above = Some((name_of(&item.statement), item.statement.span)),
            Some(Kind::Work) => {
                item.place = above.as_ref().map(|(name, _)| name.clone());
                let here = item.statement.span;
                let since = above.as_ref().map(|(_, span)| *span).filter(|span| span.file == here.file);
                item.place_unread = unread.iter().any(|span| {
                    span.file == here.file && *span < here && since.is_none_or(|since| *span > since)
                });
            }
            Some(_) | None => {}
        }
    }
}

/// The layouts with a label, of those with the same one the first.
fn labelled<'a>(statements: &'a [Statement], desk: &mut Desk) -> Vec<&'a Statement> {
    let mut found: Vec<&Statement> = Vec::new();
    for statement in statements.iter().filter(|statement| statement.word == Word::Layout) {
        let Some(label) = &statement.label else { continue };
        let same = found.iter().find(|other| other.label.as_ref().is_some_and(|l| l.text == label.text));
        if label.text == TODAY {
            let first = statements.first().map_or(label.span, |first| first.word_span);
            desk.fault(words::duplicate(label.span, TODAY, "the line as the file states it", first));
        } else if let Some(first) = same.and_then(|first| first.label.as_ref()) {
            desk.fault(words::duplicate(label.span, &label.text, "a layout", first.span));
        } else {
            found.push(statement);
        }
    }
    found
}

/// The place of its base among the variants: 0 is "today".
fn base_of(layout: &Statement, layouts: &[&Statement], desk: &mut Desk) -> Option<usize> {
    let Some((base, _)) = clause!(layout, ClauseKind::OnLayout(name) => name) else { return Some(0) };
    if base.text == TODAY {
        return Some(0);
    }
    let label = |layout: &&Statement| layout.label.as_ref().map(|label| label.text.clone());
    let found = layouts.iter().position(|layout| label(layout).as_deref() == Some(base.text.as_str()));
    if found.is_none() && !desk.broken().iter().any(|b| b.label.as_ref().is_some_and(|l| l.text == base.text))
    {
        let mut labels: Vec<String> = layouts.iter().filter_map(label).collect();
        labels.insert(0, TODAY.to_string());
        let near = desk.near(&base.text, labels.iter().map(String::as_str));
        desk.fault(words::unknown(base.span, &base.text, "a layout", &near, None));
    }
    found.map(|index| index + 1)
}

/// Reports each circle of layouts once, at its first layout; says which layouts are in one.
fn report_circles(layouts: &[&Statement], bases: &[Option<usize>], desk: &mut Desk) -> Vec<bool> {
    let mut in_circle = vec![false; layouts.len()];
    let next = |index: usize| bases[index].and_then(|base| base.checked_sub(1));
    for start in 0..layouts.len() {
        let mut path = vec![start];
        let mut at = start;
        while let Some(to) = next(at) {
            if to == start {
                let first = path.iter().all(|index| *index >= start);
                if first {
                    let mut labels: Vec<String> =
                        path.iter().map(|index| label_of(layouts[*index])).collect();
                    labels.push(label_of(layouts[start]));
                    let span = layouts[start].label.as_ref().map_or(layouts[start].span, |label| label.span);
                    desk.fault(words::layout_circle(span, &labels));
                }
                for index in path {
                    in_circle[index] = true;
                }
                break;
            }
            if path.contains(&to) {
                break;
            }
            path.push(to);
            at = to;
        }
    }
    in_circle
}

fn label_of(layout: &Statement) -> String {
    layout.label.as_ref().map(|label| label.text.clone()).unwrap_or_default()
}

/// The base with the edits of one layout.
fn edited<'a>(layout: &'a Statement, base: &Variant<'a>, base_index: usize, desk: &mut Desk) -> Variant<'a> {
    let span = layout.label.as_ref().map_or(layout.span, |label| label.span);
    let mut variant = Variant {
        label: label_of(layout),
        span,
        items: base.items.clone(),
        base: Some(base_index),
        edits: Vec::new(),
        body: &layout.body,
    };
    if layout.body.is_empty() && desk.broken().is_empty() {
        desk.fault(words::layout_without_effect(span, &variant.label, &base.label));
    }
    let mut added = Vec::new();
    for statement in &layout.body {
        let name = name_of(statement);
        variant.edits.push((name.text, statement.span));
        match statement.word {
            Word::Change => change(statement, &mut variant.items, &base.label, desk),
            Word::Remove => remove(statement, &mut variant.items, &base.label, desk),
            Word::Layout | Word::Use | Word::Line | Word::Promise | Word::Confidence => {
                let text = statement.word.text();
                let place = "outside of layouts, which differ only in the line itself";
                desk.fault(statement_words::misplaced_statement(statement.word_span, text, place));
            }
            _ => feeders::take_in(statement, &mut added, desk),
        }
    }
    place_items(&mut added, desk);
    variant.items.extend(added);
    variant
}

/// The statement words that a `change` or `remove` may name.
fn target(statement: &Statement) -> Option<Word> {
    statement.target.as_ref().map(|(word, _)| *word)
}

/// The items that an edit is about.
fn meant(edit: &Statement, word: Word, items: &[Item]) -> Vec<usize> {
    let same = |statement: &Statement| {
        if statement.word != word {
            return false;
        }
        if let (Head::Window { opens, closes, .. }, Head::Window { opens: a, closes: b, .. }) =
            (&edit.head, &statement.head)
        {
            return opens.text == a.text && closes.text == b.text;
        }
        if let (Head::Cost(edit), Head::Cost(known)) = (&edit.head, &statement.head) {
            return strip(&format!("{:?}", edit.of)) == strip(&format!("{:?}", known.of));
        }
        // It has no name and nothing but what it says.
        if let (Head::Exclude(_), Head::Exclude(_)) = (&edit.head, &statement.head) {
            let said = |statement: &Statement| strip(&format!("{:?}", statement.head));
            return said(edit) == said(statement);
        }
        // Several `floaters` have nothing but a label to tell them apart.
        let label = |statement: &Statement| statement.label.as_ref().map(|label| label.text.clone());
        if word == Word::Floaters
            && edit.label.is_some()
            && items.iter().any(|i| i.statement.word == word && label(&i.statement) == label(edit))
        {
            return label(statement) == label(edit);
        }
        let name = |statement: &Statement| statement.name.as_ref().map(|name| name.text.clone());
        edit.name.is_none() || name(edit) == name(statement)
    };
    (0..items.len()).filter(|index| same(&items[*index].statement)).collect()
}

/// The one item meant, after a report where there is none or more than one.
fn the_one(edit: &Statement, doing: &str, items: &[Item], base: &str, desk: &mut Desk) -> Option<usize> {
    let word = target(edit)?;
    let found = meant(edit, word, items);
    match found.as_slice() {
        [only] => return Some(*only),
        [] => {
            let name = edit.name.as_ref().map_or("", |name| name.text.as_str());
            if desk.would_define(name, |broken| broken == word) {
                return None;
            }
            let known: Vec<String> = items
                .iter()
                .filter(|item| item.statement.word == word)
                .filter_map(|item| item.statement.name.as_ref().map(|name| name.text.clone()))
                .collect();
            let near =
                if name.is_empty() { Vec::new() } else { desk.near(name, known.iter().map(String::as_str)) };
            desk.fault(words::change_of_nothing(edit.span, doing, word.text(), name, base, &near));
        }
        // Two of one name have been reported as such.
        many if edit.name.is_some() && Kind::of(word).is_some() => return many.first().copied(),
        many => desk.fault(words::change_of_many(edit.span, word.text(), many.len())),
    }
    None
}

fn remove(edit: &Statement, items: &mut Vec<Item>, base: &str, desk: &mut Desk) {
    if let Some(index) = the_one(edit, "remove", items, base, desk) {
        let gone = items.remove(index);
        // With all that stands in its braces.
        let name = name_of(&gone.statement).text;
        let is_it = |inside: &Option<Name>| inside.as_ref().is_some_and(|inside| inside.text == name);
        match gone.statement.word {
            Word::Feeder => items.retain(|item| !is_it(&item.feeder)),
            Word::Lane => items.retain(|item| !is_it(&item.lane)),
            Word::Lanes => remove_lanes_of(&name, items),
            _ => {}
        }
    }
}

/// The lanes of a group, with all that stands in their braces.
fn remove_lanes_of(group: &str, items: &mut Vec<Item>) {
    let gone: Vec<String> = items
        .iter()
        .filter(|item| lanes::group_of(&item.statement).is_some_and(|of| of.text == group))
        .map(|item| name_of(&item.statement).text)
        .collect();
    let is_gone = |name: &Name| gone.contains(&name.text);
    items.retain(|item| {
        let itself = item.statement.word == Word::Lane && is_gone(&name_of(&item.statement));
        !itself && !item.lane.as_ref().is_some_and(is_gone)
    });
}

fn change(edit: &Statement, items: &mut [Item], base: &str, desk: &mut Desk) {
    let Some(index) = the_one(edit, "change", items, base, desk) else { return };
    let before = items[index].statement.as_ref();
    let mut after = before.clone();
    if edit.label.is_some() {
        after.label.clone_from(&edit.label);
    }
    if edit.head != Head::Nothing {
        after.head = edit.head.clone();
    }
    let named: Vec<&str> = edit.clauses.iter().map(|clause| sort(&clause.kind)).collect();
    after.clauses.retain(|clause| !named.contains(&sort(&clause.kind)));
    after.clauses.extend(edit.clauses.iter().cloned());
    if without_places(before) == without_places(&after) {
        let name = name_of(before).text;
        desk.fault(words::change_without_effect(edit.span, before.word.text(), &name, before.span));
        return;
    }
    items[index].statement = Cow::Owned(after);
}

/// What a statement says, whatever its place in the file and the order of its clauses. The tree's
/// own debug form less its spans: whatever the tree learns to hold is compared too.
fn without_places(statement: &Statement) -> (String, Vec<String>) {
    let head = strip(&format!("{:?} {:?} {:?}", statement.name, statement.label, statement.head));
    let mut clauses: Vec<String> =
        statement.clauses.iter().map(|clause| strip(&format!("{:?}", clause.kind))).collect();
    clauses.sort();
    (head, clauses)
}

fn strip(debug: &str) -> String {
    let mut out = String::with_capacity(debug.len());
    let mut rest = debug;
    while let Some(at) = rest.find("Span {") {
        out.push_str(&rest[..at]);
        // A span holds a file id and two numbers and no further braces.
        rest = rest[at..].find('}').map_or("", |end| &rest[at + end + 1..]);
    }
    out.push_str(rest);
    out
}
