//! The yard behind the line, and the lorries that empty it.

use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::name_of;
use super::{calendar, quantity};
use crate::diagnostic::words::statements as words;
use crate::line::Yard;
use crate::syntax::tree::{ClauseKind, Clock, Statement};
use crate::units::Time;

/// Places of a yard, and units on one lorry.
const MOST: u32 = 100_000;

pub(super) fn yard(statement: Option<&Statement>, desk: &mut Desk) -> Option<Yard> {
    let statement = statement?;
    let name = name_of(statement);
    let called = format!("yard {}", name.text);
    let places = clause!(statement, ClauseKind::Places(places) => places);
    let lorries = clause!(statement, ClauseKind::Lorries { load, at } => (load, at));
    for (said, what) in [(places.is_some(), "`places`"), (lorries.is_some(), "`lorries`")] {
        if !said {
            let example = format!("{called} places 40, lorries of 6 at 09:00, 13:30");
            desk.fault(words::missing_clause(name.span, &called, what, &example));
        }
    }
    let ((places, _), ((load, at), _)) = (places?, lorries?);
    let places = quantity::count(places, &format!("the places of {called}"), 1, MOST, desk);
    let load = quantity::count(load, &format!("the load of a lorry from {called}"), 1, MOST, desk);
    let days = clause!(statement, ClauseKind::OnDays(days) => days);
    let days = days.map_or_else(|| (0..7).collect(), |(days, _)| calendar::days_in(days));
    Some(Yard {
        label: mix::label(statement),
        places: places?,
        load: load?,
        lorries: lorries_in_week(at, &days, desk),
        name: name.text,
        span: name.span,
    })
}

/// Offsets from Monday 00:00, sorted.
fn lorries_in_week(at: &[Clock], days: &[usize], desk: &mut Desk) -> Vec<Time> {
    let clocks: Vec<Time> = at.iter().filter_map(|clock| calendar::clock(clock, desk)).collect();
    let mut found: Vec<Time> = days
        .iter()
        .flat_map(|day| clocks.iter().map(move |clock| Time::DAY * *day as i64 + *clock))
        .map(|time| Time(time.0.rem_euclid(Time::WEEK.0)))
        .collect();
    found.sort_unstable();
    found
}
