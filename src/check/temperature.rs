//! How warm the shops are, and the holds for which only warm time counts.

use super::calendar::{clock, days_in};
use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::{Kind, Names, name_of};
use super::quantity;
use crate::diagnostic::words::statements;
use crate::diagnostic::words::warmth as words;
use crate::line::{Calendar, Line, Temperature, Warmth};
use crate::syntax::tree::{AtTimes, ClauseKind, Expr, Head, Statement};
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
    (temperatures, names): (&[Temperature], &Names),
    desk: &mut Desk,
) -> Option<Warmth> {
    let found = clause!(statement, ClauseKind::When { of, least, waits } => (of, least, !*waits));
    let ((of, least, again), clause) = found?;
    let index = names.find(Kind::Temperature, of, desk)?;
    let temperature = &temperatures[index];
    let least = degrees(least, &format!("the warmth that {called} asks for"), desk);
    let warmth = Warmth { of: index, least, again, week: temperature.warm(least), span: clause.span };
    if warmth.week.is_empty() {
        let most = temperature.week.iter().map(|(_, value)| *value).fold(f64::MIN, f64::max);
        desk.fault(words::never_warm(clause.span, called, least, &temperature.name, most, temperature.span));
        return None;
    }
    Some(warmth)
}

/// Every hold that must be warm ends at some time: what begins again when it gets cold does so in one piece, what is
/// attended while somebody is there.
pub(super) fn judge(line: &Line, desk: &mut Desk) {
    for step in &line.steps {
        let Some(hold) = step.hold() else { continue };
        let Some(warm) = &hold.warm else { continue };
        let hours = line.places[step.place.index()].hours;
        let calendar = line.calendar_of(hours).filter(|_| hold.attended);
        let counts = calendar.map_or_else(|| warm.clone(), |calendar| attended(warm, calendar));
        let (name, shop) = (format!("hold {}", step.name), &line.temperatures[warm.of].name);
        let stays = most(warm, &counts);
        if stays.is_zero() {
            desk.fault(words::never_attended(warm.span, &name, shop));
            continue;
        }
        if !warm.again || warm.always() {
            continue;
        }
        let models = (0..line.models.len()).filter(|model| step.models[*model]);
        let lengths = models.map(|model| {
            let time = &step.times[model];
            time.dist.longest().map(|drawn| (drawn * time.factor).max(hold.minimum.0 as f64))
        });
        let longest = lengths.reduce(|one, other| Some(one?.max(other?))).flatten();
        if longest.is_none_or(|longest| longest > stays.0 as f64) {
            let longest = longest.map(|longest| Time(longest as i64).to_string());
            desk.fault(words::never_long_enough(warm.span, &name, longest, shop, &stays.to_string()));
        }
    }
}

/// When it is warm and somebody is there in every week: pieces, in their order.
fn attended(warm: &Warmth, calendar: &Calendar) -> Warmth {
    let mut week = Vec::new();
    for shift in calendar.week.iter().filter(|shift| shift.only_under.is_none()) {
        let ends = shift.pauses.iter().map(|pause| pause.start).chain([shift.end]);
        let starts = [shift.start].into_iter().chain(shift.pauses.iter().map(|pause| pause.end));
        for (from, to) in starts.zip(ends) {
            // One over Sunday midnight goes on at the beginning of the week.
            for (from, to) in [(from, to.min(Time::WEEK)), (Time::ZERO, to - Time::WEEK)] {
                let pieces = warm.week.iter().map(|(start, end)| (from.max(*start), to.min(*end)));
                week.extend(pieces.filter(|(start, end)| start < end));
            }
        }
    }
    week.sort_unstable();
    Warmth { week, ..warm.clone() }
}

/// The most that counts in one stretch of warm time; over Sunday midnight too.
fn most(warm: &Warmth, counts: &Warmth) -> Time {
    let inside = |from: Time, to: Time| -> Time {
        let pieces = counts.week.iter().filter(|(start, end)| from <= *start && *end <= to);
        pieces.map(|(start, end)| *end - *start).sum()
    };
    let over = warm
        .week
        .first()
        .filter(|first| first.0.is_zero())
        .map_or(Time::ZERO, |first| inside(first.0, first.1));
    let stretch = |(from, to): &(Time, Time)| match *to == Time::WEEK && warm.week.len() > 1 {
        true => inside(*from, *to) + over,
        false => inside(*from, *to),
    };
    warm.week.iter().map(stretch).max().unwrap_or(Time::ZERO)
}
