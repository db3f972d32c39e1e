//! How warm the shops are, and the holds for which only warm time counts.

use super::calendar::{clock, days_in};
use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::{Kind, Names, name_of};
use super::quantity;
use crate::diagnostic::words::warmth as words;
use crate::diagnostic::words::{limits, statements};
use crate::line::{Temperature, Warmth};
use crate::syntax::tree::{AtTimes, Clause, ClauseKind, Expr, ForWhat, Head, Statement};
use crate::units::Time;

const MINUTES: usize = 7 * 24 * 60;

pub(super) fn temperatures(asked: &[&Statement], desk: &mut Desk) -> Vec<Temperature> {
    asked.iter().map(|statement| temperature(statement, desk)).collect()
}

fn temperature(statement: &Statement, desk: &mut Desk) -> Temperature {
    let name = name_of(statement);
    let what = format!("the temperature of {}", name.text);
    let mut minutes = vec![0.0; MINUTES];
    if let Head::Degrees { usual, at_times } = &statement.head {
        minutes.fill(degrees(usual, &what, desk));
        // The later one holds where two name the same hours.
        for spell in at_times {
            let value = degrees(&spell.value, &what, desk);
            for (from, to) in hours(spell, desk) {
                (from..to).for_each(|minute| minutes[minute % MINUTES] = value);
            }
        }
    } else {
        let example = format!("temperature {} 18 C, 14 C from 22:00 to 06:00", name.text);
        desk.fault(statements::missing_clause(name.span, &what, "a number of degrees", &example));
    }
    let mut week: Vec<(Time, f64)> = Vec::new();
    for (minute, value) in minutes.into_iter().enumerate() {
        if week.last().is_none_or(|(_, last)| *last != value) {
            week.push((Time::from_minutes(minute as i64), value));
        }
    }
    Temperature { label: mix::label(statement), week, name: name.text, span: name.span }
}

fn degrees(expr: &Expr, what: &str, desk: &mut Desk) -> f64 {
    let found = quantity::value(expr, desk);
    match found {
        Some(value) if value.kind == quantity::Kind::Temperature => value.amount.as_f64(),
        Some(value) => {
            desk.fault(crate::diagnostic::words::quantities::wrong_unit(
                expr.span,
                what,
                "degrees Celsius",
                value.kind.said(),
                "18 C",
            ));
            0.0
        }
        None => 0.0,
    }
}

/// Minutes of the week from and to; those that go over midnight belong to the day on which they begin.
fn hours(spell: &AtTimes, desk: &mut Desk) -> Vec<(usize, usize)> {
    let whole_day = (Time::ZERO, Time::DAY);
    let (from, mut to) = match &spell.hours {
        None => whole_day,
        Some((from, to)) => match (clock(from, desk), clock(to, desk)) {
            (Some(from), Some(to)) => (from, to),
            (Some(_), None) | (None, _) => return Vec::new(),
        },
    };
    if to <= from {
        to += Time::DAY;
    }
    let days = if spell.days.is_empty() { (0..7).collect() } else { days_in(&spell.days) };
    let minute = |time: Time| (time.0 / Time::MINUTE.0) as usize;
    days.into_iter().map(|day| (day * 1440 + minute(from), day * 1440 + minute(to))).collect()
}

/// `when hall at least 15 C, else it waits`
pub(super) fn warmth(
    statement: &Statement,
    called: &str,
    minimum: Option<Time>,
    (temperatures, names): (&[Temperature], &Names),
    desk: &mut Desk,
) -> Option<Warmth> {
    let found = clause!(statement, ClauseKind::When { of, least, waits } => (of, least, !*waits));
    let ((of, least, again), clause) = found?;
    if let Some((_, attended)) = clause!(statement, ClauseKind::Attended => ()) {
        desk.fault(limits::pair_not_modelled(attended.span, "an attended hold", "one that must be warm"));
        return None;
    }
    let other_length = |clause: &&Clause| {
        matches!(
            &clause.kind,
            ClauseKind::Takes(_) | ClauseKind::For { what: ForWhat::Factor(_) | ForWhat::Time(_), .. }
        )
    };
    let takes = statement.clauses.iter().find(other_length);
    if let (true, Some(takes)) = (again, takes) {
        let fresh = "a hold that begins again when it gets cold";
        desk.fault(limits::pair_not_modelled(takes.span, fresh, "a length of its own"));
        return None;
    }
    let index = names.find(Kind::Temperature, of, desk)?;
    let temperature = &temperatures[index];
    let least = degrees(least, &format!("the warmth that {called} asks for"), desk);
    let warmth = Warmth { of: index, least, again, week: temperature.warm(least) };
    if warmth.week.is_empty() {
        let most = temperature.week.iter().map(|(_, value)| *value).fold(f64::MIN, f64::max);
        desk.fault(words::never_warm(clause.span, called, least, &temperature.name, most, temperature.span));
        return None;
    }
    let longest = warmth.longest();
    if let Some(minimum) = minimum.filter(|minimum| again && *minimum > longest) {
        let (minimum, longest) = (minimum.to_string(), longest.to_string());
        desk.fault(words::never_long_enough(clause.span, called, &minimum, &temperature.name, &longest));
        return None;
    }
    Some(warmth)
}
