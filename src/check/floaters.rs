//! Floaters: how many, what they can, where they stand in.

use super::clauses::clause;
use super::desk::Desk;
use super::helping::{self, how_fast};
use super::mix::label;
use super::names::Names;
use super::people::Staff;
use super::places::Ground;
use super::quantity;
use crate::diagnostic::words::{limits, people as words};
use crate::line::{Floaters, Group, GroupId, Helping, PlaceId};
use crate::syntax::tree::{ClauseKind, Expr, Head, Statement, Word};

/// Floaters of one statement at most.
const MOST: u32 = 1000;

/// Floaters who come when they are called, and stay with no crew: a group of their own that helps, all of its time.
pub(super) fn on_call(
    asked: &[&Statement],
    staff: &mut Staff,
    ground: &Ground,
    names: &Names,
    desk: &mut Desk,
) -> Vec<Helping> {
    let mut found = Vec::new();
    for statement in asked.iter().filter(|_| staff.stated) {
        let time = clause!(statement, ClauseKind::Answering(time) => time);
        let (Some((time, clause)), Head::Value(count)) = (time, &statement.head) else { continue };
        let faults = desk.faults.len();
        let who = Who::of(statement, count, staff, ground, names, desk);
        // They are reported with the other floaters.
        desk.faults.truncate(faults);
        let answering = how_fast(time, "floaters", desk);
        let Some(count) = who.count.filter(|count| *count > 0) else { continue };
        if count > helping::MOST {
            let most = helping::MOST.to_string();
            desk.fault(limits::over_limit(clause.span, "floaters on call", &count.to_string(), &most));
            continue;
        }
        let label = label(statement);
        let name = label.clone().unwrap_or_else(|| "floaters".to_string());
        let group = GroupId::from_index(staff.groups.len());
        staff.groups.push(Group { name, label, count, skills: who.skills, span: statement.word_span });
        found.push(Helping { group, share: 1.0, covering: who.covering, answering, span: clause.span });
    }
    found
}

/// What a statement of floaters says.
struct Who {
    count: Option<u32>,
    skills: u64,
    covering: Option<Vec<PlaceId>>,
}

impl Who {
    fn of(
        statement: &Statement,
        count: &Expr,
        staff: &Staff,
        ground: &Ground,
        names: &Names,
        desk: &mut Desk,
    ) -> Who {
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
        Who { count, skills, covering }
    }
}

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
        let Who { count, skills, covering } = Who::of(statement, count, staff, ground, names, desk);
        let on_call = clause!(statement, ClauseKind::Answering(_) => ()).is_some();
        let Some(count) = count.filter(|_| !on_call) else { continue };
        found.push(Floaters { label: label(statement), count, skills, covering, span: statement.word_span });
    }
    found
}
