//! Which places stand in a row: in whose braces each stands, and behind which other one.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::names::{Kind, Names, name_of};
use crate::diagnostic::Span;
use crate::diagnostic::words::{feeders, lanes, places as words};
use crate::syntax::tree::{ClauseKind, Name, Statement, Word};

/// Per place: the statement (a feeder, a lane) in whose braces it stands, or that of the place behind which it stands.
pub(super) fn within<'i>(
    items: &[&'i Item],
    statements: &[&Statement],
    braces: impl Fn(&'i Item) -> Option<&'i Name>,
    names: &Names,
) -> Vec<Option<usize>> {
    let number = |name: &Name| statements.iter().position(|other| name_of(other).text == name.text);
    let mut found: Vec<Option<usize>> = items.iter().map(|item| braces(item).and_then(number)).collect();
    // Along a row of places that stand behind one another.
    let mut changed = !statements.is_empty();
    while changed {
        changed = false;
        for (index, item) in items.iter().enumerate().filter(|(_, item)| braces(item).is_none()) {
            let inside = stands_behind(item, names).and_then(|(other, _)| found[other]);
            changed |= inside.is_some() && found[index].is_none();
            found[index] = found[index].or(inside);
        }
    }
    found
}

/// The place that `after` names, and where it says so.
fn stands_behind(item: &Item, names: &Names) -> Option<(usize, Span)> {
    let (list, clause) = clause!(item.statement, ClauseKind::After(list) => list)?;
    Some((names.roll(Kind::Place).find(&list.first()?.text)?, clause.span))
}

/// A place in the braces of a lane stands behind places of that lane.
pub(super) fn report_other_lanes(
    items: &[&Item],
    in_lanes: &[Option<usize>],
    names: &Names,
    desk: &mut Desk,
) {
    let on_line = |item: &&(usize, &&Item)| item.1.lane.is_some() && item.1.statement.word != Word::Repair;
    for (index, item) in items.iter().enumerate().filter(|item| on_line(&item)) {
        let Some((other, span)) = stands_behind(item, names) else { continue };
        if in_lanes[other] != in_lanes[index] {
            let (name, other) = (name_of(&item.statement).text, name_of(&items[other].statement).text);
            desk.fault(lanes::behind_another(span, &name, &other));
        }
    }
}

/// Indexes of the stations and racks of one line (`None`: the main one) in its order.
pub(super) fn line_order(
    lines: &[Option<usize>],
    line: Option<usize>,
    statements: &[&Statement],
    names: &Names,
    desk: &mut Desk,
) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    let mut waiting: Vec<(usize, usize, Span)> = Vec::new();
    let here =
        |(index, statement): &(usize, &&Statement)| lines[*index] == line && statement.word != Word::Repair;
    for (index, statement) in statements.iter().enumerate().filter(here) {
        match behind(statement, statements, names, desk) {
            Some((other, span)) if lines[other] != line => {
                let (name, other) = (name_of(statement).text, name_of(statements[other]).text);
                desk.fault(feeders::two_lines(span, &name, &other));
            }
            Some((other, span)) if other != index => waiting.push((index, other, span)),
            Some(_) | None => order.push(index),
        }
    }
    // Each goes right behind its place, after those that went there before it.
    let mut inserted: Vec<(usize, usize)> = Vec::new();
    while !waiting.is_empty() {
        let ready = waiting.iter().position(|(_, other, _)| order.contains(other));
        let Some(ready) = ready else { break };
        let (index, other, _) = waiting.remove(ready);
        let position = order.iter().position(|known| *known == other).unwrap_or(order.len());
        let before = inserted.iter().filter(|(behind, _)| *behind == other).count();
        order.insert((position + 1 + before).min(order.len()), index);
        inserted.push((other, index));
    }
    for (index, _, span) in waiting {
        let name = name_of(statements[index]).text;
        desk.fault(words::behind_itself(span, &name));
        order.push(index);
    }
    order
}

/// The place that `after` names.
fn behind(
    statement: &Statement,
    statements: &[&Statement],
    names: &Names,
    desk: &mut Desk,
) -> Option<(usize, Span)> {
    let (list, clause) = clause!(statement, ClauseKind::After(list) => list)?;
    if list.len() > 1 {
        desk.fault(words::behind_many(clause.span, &name_of(statement).text));
    }
    let other = names.find(Kind::Place, list.first()?, desk)?;
    if statements[other].word == Word::Repair {
        desk.fault(words::off_the_line(clause.span, &list[0].text));
        return None;
    }
    Some((other, clause.span))
}
