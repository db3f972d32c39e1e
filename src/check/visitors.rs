//! People from outside and their hours.

use super::calendar::{clock, days_of};
use super::clauses::clause;
use super::desk::Desk;
use super::names::name_of;
use crate::diagnostic::words::{calendar as words, statements};
use crate::line::{GroupId, Visitor};
use crate::syntax::tree::{ClauseKind, Statement, Word};
use crate::units::Time;

/// `visitor inspector 1 from 07:00 to 13:00 on mon to thu`: the hours; `None` after a report.
pub(super) fn visitor(statement: &Statement, group: GroupId, desk: &mut Desk) -> Option<Visitor> {
    let name = name_of(statement);
    let hours = clause!(statement, ClauseKind::Hours { from, to } => (from, to));
    let Some(((from, to), _)) = hours else {
        let who = format!("visitor {}", name.text);
        let example = format!("{who} 1 from 07:00 to 13:00");
        desk.fault(statements::missing_clause(name.span, &who, "hours", &example));
        return None;
    };
    let (from, to) = (clock(from, desk), clock(to, desk));
    let (from, mut to) = (from?, to?);
    if to <= from {
        to += Time::DAY;
    }
    let on = |day: usize| (from + Time::DAY * day as i64, to + Time::DAY * day as i64);
    let mut week: Vec<(Time, Time)> = Vec::new();
    for (from, to) in days_of(statement).into_iter().map(on) {
        match week.last_mut() {
            // Round the clock: one stretch.
            Some(last) if last.1 >= from => last.1 = to,
            Some(_) | None => week.push((from, to)),
        }
    }
    Some(Visitor { group, week })
}

/// Hours need a line that is not attended round the clock: they go by its weekdays.
pub(super) fn report_no_shift(statement: &Statement, desk: &mut Desk) {
    if !desk.is_broken(Word::Shift) {
        desk.fault(words::no_calendar(statement.word_span, "visitors have their hours by the day"));
    }
}
