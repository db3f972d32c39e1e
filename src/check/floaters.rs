//! Floaters: how many, what they can, where they stand in.

use super::clauses::clause;
use super::desk::Desk;
use super::mix::label;
use super::names::Names;
use super::people::Staff;
use super::places::Ground;
use super::quantity;
use crate::diagnostic::words::people as words;
use crate::line::{Floaters, PlaceId};
use crate::syntax::tree::{ClauseKind, Head, Statement, Word};

/// Floaters of one statement at most.
const MOST: u32 = 1000;

pub(super) fn floaters(
    asked: &[&Statement],
    staff: &Staff,
    ground: &Ground,
    names: &Names,
    desk: &mut Desk,
) -> Vec<Floaters> {
    let mut found = Vec::new();
    for statement in asked {
        if !staff.stated {
            if !desk.is_broken(Word::People) {
                desk.fault(words::not_stated(statement.word_span, "floaters"));
            }
            continue;
        }
        let Head::Value(count) = &statement.head else { continue };
        let count = quantity::count(count, "the number of floaters", 1, MOST, desk);
        let can = clause!(statement, ClauseKind::Can(list) => list);
        let mut skills = 0;
        for name in can.map_or(&[][..], |(list, _)| list) {
            skills |= staff.skill(name, desk).map_or(0, |skill| 1 << skill.index());
        }
        let covering = clause!(statement, ClauseKind::Covering(spans) => spans);
        let covering = covering.map(|(spans, _)| {
            let places = ground.spans(spans, names, desk).into_iter();
            places.map(|(place, _, _)| place).collect::<Vec<PlaceId>>()
        });
        let Some(count) = count else { continue };
        found.push(Floaters { label: label(statement), count, skills, covering, span: statement.word_span });
    }
    found
}
