//! The calendar: shifts of the week with their pauses, closed days, the first day.

use super::clauses::clause;
use super::desk::Desk;
use super::names::name_of;
use super::quantity;
use crate::diagnostic::Span;
use crate::diagnostic::words::{calendar as words, quantities};
use crate::line::{Calendar, Home, Pause, WeekShift};
use crate::syntax::tree::{Clause, ClauseKind, Clock, Date, Head, PauseKind, Statement, Weekday, Word};
use crate::units::Time;
use crate::units::time_of_day;

pub(super) const DAYS: [(Weekday, &str); 7] = [
    (Weekday::Mon, "Monday"),
    (Weekday::Tue, "Tuesday"),
    (Weekday::Wed, "Wednesday"),
    (Weekday::Thu, "Thursday"),
    (Weekday::Fri, "Friday"),
    (Weekday::Sat, "Saturday"),
    (Weekday::Sun, "Sunday"),
];

/// The first day of the run, where the `start` statement dates it.
pub(super) fn first_date(start: Option<&Statement>, desk: &mut Desk) -> Option<jiff::civil::Date> {
    let Head::Start { on: Some(date), .. } = &start?.head else { return None };
    civil(date, desk)
}

/// Does the `start` statement date the first day (perhaps faultily)?
pub(super) fn is_dated(start: &Statement) -> bool {
    matches!(start.head, Head::Start { on: Some(_), .. })
}

/// The calendar; `None` without a `shift` statement.
pub(super) fn calendar(
    shifts: &[&Statement],
    closed: &[&Statement],
    (first, dated): (Option<jiff::civil::Date>, bool),
    in_turn: bool,
    desk: &mut Desk,
) -> Option<Calendar> {
    let closed = closed_days(closed, first, dated, shifts.is_empty(), desk);
    if shifts.is_empty() {
        return None;
    }
    let weekday = first.map_or(0, |date| date.weekday().to_monday_zero_offset());
    Some(Calendar {
        week: week_of(shifts, in_turn, desk),
        first_weekday: u8::try_from(weekday).unwrap_or(0),
        first_date: first.map(|date| (date.year(), date.month(), date.day())),
        closed,
    })
}

/// The shifts of a week, in their order; those that overlap are reported.
pub(super) fn week_of(shifts: &[&Statement], in_turn: bool, desk: &mut Desk) -> Vec<WeekShift> {
    let mut week: Vec<(WeekShift, Span)> = Vec::new();
    for statement in shifts {
        if let Some(shift) = one_shift(statement, in_turn, desk) {
            for day in days_of(statement) {
                week.push((on_day(&shift, day), name_of(statement).span));
            }
        }
    }
    week.sort_by_key(|(shift, span)| (shift.start, *span));
    report_overlaps(&week, desk);
    week.into_iter().map(|(shift, _)| shift).collect()
}

/// One `shift` statement with offsets from 00:00 of its day; breaks are taken `in_turn` where there is relief.
fn one_shift(statement: &Statement, in_turn: bool, desk: &mut Desk) -> Option<WeekShift> {
    let Head::Clocks { from, to } = &statement.head else { return None };
    let name = name_of(statement).text;
    let (start, end) = (clock(from, desk), clock(to, desk));
    let (start, mut end) = (start?, end?);
    if end <= start {
        end += Time::DAY;
    }
    let faults = desk.faults.len();
    let (relieved, pauses) = pauses(statement, start, end, desk)
        .into_iter()
        .partition::<Vec<_>, _>(|(_, what)| in_turn && *what == BREAK);
    let plain = |found: Vec<(Pause, &str)>| found.into_iter().map(|(pause, _)| pause).collect();
    let faulty = desk.faults.len() > faults;
    let home = clause!(statement, ClauseKind::Home { units, not_before } => (units, not_before));
    let home = home.and_then(|((units, not_before), clause)| {
        let units = quantity::count(units, "the count after which the crew may leave", 1, 1_000_000, desk);
        let not_before = match not_before {
            Some(clock) => inside(clock, "the crew leaves", start, end, clause, desk)?,
            None => start,
        };
        Some(Home { units: units?, not_before })
    });
    let under = clause!(statement, ClauseKind::WhenUnder { units, .. } => units);
    let only_under = under.and_then(|(units, _)| {
        quantity::count(units, &format!("the units of the week for shift {name}"), 1, 1_000_000, desk)
    });
    let (pauses, relieved) = (plain(pauses), plain(relieved));
    let shift = WeekShift {
        name,
        start,
        end,
        pauses,
        relieved,
        home,
        overtime: None,
        only_under,
        people: Vec::new(),
    };
    if shift.net() <= Time::ZERO {
        desk.fault(words::nothing_left(name_of(statement).span, &shift.name));
        return None;
    }
    let longest = shift.longest_stretch();
    // A pause that was left out for its fault may be the one that is missed here.
    if longest > Time::HOUR * 6 && !faulty {
        desk.fault(words::long_stretch(name_of(statement).span, &shift.name, &longest.to_string()));
    }
    Some(shift)
}

/// Meeting, pauses and clean-up, sorted; those that overlap are reported and left out.
fn pauses(statement: &Statement, start: Time, end: Time, desk: &mut Desk) -> Vec<(Pause, &'static str)> {
    let mut found: Vec<(Pause, Span, &'static str)> = Vec::new();
    for clause in &statement.clauses {
        let part = one_pause(clause, start, end, desk);
        if let Some((pause, what)) = part.filter(|(pause, _)| pause.end > pause.start) {
            if pause.end > end || pause.start < start {
                desk.fault(words::does_not_fit(clause.span, what, &(end - start).to_string()));
            } else {
                found.push((pause, clause.span, what));
            }
        }
    }
    found.sort_by_key(|(pause, span, _)| (pause.start, pause.end, *span));
    let mut kept: Vec<(Pause, Span, &'static str)> = Vec::new();
    for (pause, span, what) in found {
        match kept.last() {
            Some((before, first, other)) if before.end > pause.start => {
                desk.fault(words::pauses_overlap(span, what, other, *first));
            }
            _ => kept.push((pause, span, what)),
        }
    }
    kept.into_iter().map(|(pause, _, what)| (pause, what)).collect()
}

const BREAK: &str = "the break";

/// What a clause takes out of the shift, if it is one that does.
fn one_pause(clause: &Clause, start: Time, end: Time, desk: &mut Desk) -> Option<(Pause, &'static str)> {
    if let ClauseKind::Meeting(lasting) = &clause.kind {
        let length = quantity::time(lasting, "the meeting", desk)?;
        return Some((Pause { start, end: start + length, paid: true }, "the meeting"));
    }
    if let ClauseKind::CleanUp(lasting) = &clause.kind {
        let length = quantity::time(lasting, "the clean-up", desk)?;
        return Some((Pause { start: end - length, end, paid: true }, "the clean-up"));
    }
    let ClauseKind::Pause { kind, at, lasting, paid } = &clause.kind else { return None };
    let what = match kind {
        PauseKind::Meal => "the meal",
        PauseKind::Break => BREAK,
        PauseKind::Stop => "the stop",
    };
    let length = quantity::time_above_zero(lasting, what, desk);
    let begins = inside(at, what, start, end, clause, desk);
    let (length, begins) = (length?, begins?);
    let paid = paid.unwrap_or(*kind != PauseKind::Meal);
    Some((Pause { start: begins, end: begins + length, paid }, what))
}

/// The offset of a clock time inside a shift that may cross midnight.
fn inside(at: &Clock, what: &str, start: Time, end: Time, clause: &Clause, desk: &mut Desk) -> Option<Time> {
    let mut offset = clock(at, desk)?;
    if offset < start {
        offset += Time::DAY;
    }
    if offset >= end {
        let (from, to) = (time_of_day(start), time_of_day(end));
        desk.fault(words::outside_shift(clause.span, what, &clock_text(at), &from, &to));
        return None;
    }
    Some(offset)
}

/// 00:00 to 24:00 as an offset of the day.
pub(super) fn clock(clock: &Clock, desk: &mut Desk) -> Option<Time> {
    let whole = clock.hour < 24 && clock.minute < 60 || clock.hour == 24 && clock.minute == 0;
    if !whole {
        desk.fault(words::no_such_clock(clock.span, &clock_text(clock)));
        return None;
    }
    Some(Time::from_minutes(i64::from(clock.hour) * 60 + i64::from(clock.minute)))
}

pub(super) fn clock_text(clock: &Clock) -> String {
    format!("{:02}:{:02}", clock.hour, clock.minute)
}

fn on_day(shift: &WeekShift, day: usize) -> WeekShift {
    let by = Time::DAY * day as i64;
    let later = |pause: &Pause| Pause { start: pause.start + by, end: pause.end + by, paid: pause.paid };
    WeekShift {
        name: shift.name.clone(),
        start: shift.start + by,
        end: shift.end + by,
        pauses: shift.pauses.iter().map(later).collect(),
        relieved: shift.relieved.iter().map(later).collect(),
        home: shift.home.map(|home| Home { units: home.units, not_before: home.not_before + by }),
        overtime: None,
        only_under: shift.only_under,
        people: Vec::new(),
    }
}

/// The days of a shift, 0 = Monday; every day where it names none. `fri to mon` goes over Sunday.
pub(super) fn days_of(statement: &Statement) -> Vec<usize> {
    let Some((spans, _)) = clause!(statement, ClauseKind::OnDays(spans) => spans) else {
        return (0..7).collect();
    };
    days_in(spans)
}

/// The days of some spans, 0 = Monday.
pub(super) fn days_in(spans: &[(Weekday, Option<Weekday>)]) -> Vec<usize> {
    let mut on = [false; 7];
    for (from, to) in spans {
        days(*from, *to).for_each(|day| on[day] = true);
    }
    (0..7).filter(|day| on[*day]).collect()
}

/// `mon`, or `sat to mon`, as numbers from 0 = Monday.
pub(super) fn days(from: Weekday, to: Option<Weekday>) -> impl Iterator<Item = usize> {
    let (from, to) = (from as usize, to.unwrap_or(from) as usize);
    (from..=from + (to + 7 - from) % 7).map(|day| day % 7)
}

/// Shifts that begin before the one before has ended, over Sunday midnight too.
fn report_overlaps(week: &[(WeekShift, Span)], desk: &mut Desk) {
    let Some((last, last_span)) = week.last() else { return };
    let mut reported: Vec<(Span, Span)> = Vec::new();
    let before = std::iter::once((last.end - Time::WEEK, last, *last_span))
        .chain(week.iter().map(|(shift, span)| (shift.end, shift, *span)));
    for ((end, earlier, earlier_span), (later, later_span)) in before.zip(week) {
        if end <= later.start || reported.contains(&(earlier_span, *later_span)) {
            continue;
        }
        reported.push((earlier_span, *later_span));
        let day = DAYS[(later.start.0 / Time::DAY.0) as usize % 7].1;
        let ends = time_of_day(earlier.end);
        let fault = words::shifts_overlap(*later_span, &later.name, day, &earlier.name, &ends, earlier_span);
        desk.fault(fault);
    }
}

/// Closed days as days from the first day of the run.
fn closed_days(
    statements: &[&Statement],
    first: Option<jiff::civil::Date>,
    dated: bool,
    no_shift: bool,
    desk: &mut Desk,
) -> Vec<i64> {
    let mut stretches: Vec<(i64, i64)> = Vec::new();
    for statement in statements {
        let Head::Dates(spans) = &statement.head else { continue };
        if no_shift && !desk.is_broken(Word::Shift) {
            desk.fault(words::no_calendar(statement.span, "closed days drop their shifts"));
            continue;
        }
        if !dated && !desk.is_broken(Word::Start) {
            desk.fault(words::no_first_date(statement.span));
        }
        for (from, to) in spans {
            let from_day = civil(from, desk);
            let to_day = to.as_ref().map(|to| civil(to, desk));
            let (Some(from_day), Some(first)) = (from_day, first) else { continue };
            let to_day = match to_day {
                Some(Some(day)) => day,
                Some(None) => continue,
                None => from_day,
            };
            if to_day < from_day {
                desk.fault(words::dates_backwards(from.span, &from_day.to_string(), &to_day.to_string()));
                continue;
            }
            // Dates of these centuries are always so many whole days apart.
            let offset = |day| first.until(day).map_or(0, |apart: jiff::Span| i64::from(apart.get_days()));
            stretches.push((offset(from_day), offset(to_day)));
        }
    }
    spelt_out(stretches)
}

/// Every day of the stretches once, in order; dates of three centuries bound how many there can be.
fn spelt_out(mut stretches: Vec<(i64, i64)>) -> Vec<i64> {
    stretches.sort_unstable();
    let mut days: Vec<i64> = Vec::new();
    for (from, to) in stretches {
        let next = days.last().map_or(from, |last| from.max(last + 1));
        days.extend(next..=to);
    }
    days
}

fn civil(date: &Date, desk: &mut Desk) -> Option<jiff::civil::Date> {
    let found = i16::try_from(date.year)
        .ok()
        .filter(|year| (1900..=2200).contains(year))
        .zip(i8::try_from(date.month).ok())
        .zip(i8::try_from(date.day).ok())
        .and_then(|((year, month), day)| jiff::civil::Date::new(year, month, day).ok());
    if found.is_none() {
        let typed = format!("{:04}-{:02}-{:02}", date.year, date.month, date.day);
        let allowed = "a date of the calendar between 1900 and 2200";
        desk.fault(quantities::out_of_range(date.span, "the date", &typed, allowed));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_stretches_that_overlap_count_each_day_once() {
        assert_eq!(spelt_out(vec![(5, 7), (-1, 0), (6, 9), (6, 6)]), [-1, 0, 5, 6, 7, 8, 9]);
    }
}
