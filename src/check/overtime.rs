//! Overtime: of which shift, how long, when it is decided.

use super::calendar::{clock, clock_text};
use super::clauses::clause;
use super::desk::Desk;
use super::names::{Kind, Names, name_of};
use super::quantity;
use crate::diagnostic::words::{calendar as words, statements};
use crate::line::{Calendar, Overtime};
use crate::syntax::tree::{ClauseKind, Head, Statement, Word};
use crate::units::Time;

/// Gives the shifts of the calendar their overtime.
pub(super) fn overtime(
    asked: &[&Statement],
    calendar: Option<&mut Calendar>,
    names: &Names,
    desk: &mut Desk,
) {
    let Some(calendar) = calendar else {
        if let Some(first) = asked.first().filter(|_| !desk.is_broken(Word::Shift)) {
            desk.fault(words::no_calendar(first.word_span, "overtime comes after a shift"));
        }
        return;
    };
    for statement in asked {
        let name = name_of(statement);
        // An unknown shift is reported here.
        if names.find(Kind::Shift, &name, desk).is_some() {
            one(statement, calendar, desk);
        }
    }
}

fn one(statement: &Statement, calendar: &mut Calendar, desk: &mut Desk) {
    let name = name_of(statement);
    let called = format!("overtime {}", name.text);
    let when = clause!(statement, ClauseKind::WhenUnder { units, at } => (units, at));
    let Some(((units, Some(at)), clause)) = when else {
        let example = format!("{called} 90 min when under 9 units at 11:00");
        desk.fault(statements::missing_clause(name.span, &called, "`when`", &example));
        return;
    };
    let Head::Value(lasts) = &statement.head else { return };
    let lasts = quantity::time_above_zero(lasts, &called, desk);
    let under = quantity::count(units, &format!("the units that {called} asks for"), 1, 1_000_000, desk);
    let most = clause!(statement, ClauseKind::MostDays(days) => days);
    let most_days = most.and_then(|(days, _)| {
        quantity::count(days, &format!("the days of a week with {called}"), 1, 7, desk)
    });
    let factor = clause!(statement, ClauseKind::Times(factor) => factor);
    let factor = factor.and_then(|(factor, _)| {
        quantity::factor(factor, &format!("the factor on what is begun in {called}"), desk)
    });
    let (Some(lasts), Some(under), Some(decided)) = (lasts, under, clock(at, desk)) else { return };
    let week = calendar.week.clone();
    for (index, shift) in week.iter().enumerate().filter(|(_, shift)| shift.name == name.text) {
        // The clock time inside the shift, which may cross midnight.
        let of_day = Time(shift.start.0.rem_euclid(Time::DAY.0));
        let mut decides = shift.start - of_day + decided;
        if decides <= shift.start {
            decides += Time::DAY;
        }
        if decides >= shift.work_ends() {
            let ends = [shift.start, shift.work_ends()].map(crate::units::time_of_day);
            desk.fault(words::outside_shift(clause.span, &called, &clock_text(at), &ends[0], &ends[1]));
            return;
        }
        let first = week[0].start + Time::WEEK;
        let next = week.get(index + 1).map_or(first, |next| next.start);
        if shift.end + lasts > next {
            let room = (next - shift.end).to_string();
            desk.fault(words::overtime_too_long(name.span, &name.text, &lasts.to_string(), &room));
            return;
        }
        let found = Overtime { lasts, under, decided: decides, most_days, factor: factor.unwrap_or(1.0) };
        calendar.week[index].overtime = Some(found);
    }
}
