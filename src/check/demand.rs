//! Demand, takt and pace, as exact fractions.
//!
//! Takt = net time of the mean shift, day or week / units wanted in it. A stated takt must agree
//! with the demand after rounding to the digits typed.

use super::desk::{Desk, in_minutes};
use super::exact::Exact;
use super::quantity::{self, Kind, said};
use crate::diagnostic::Span;
use crate::diagnostic::words::{calendar as calendar_words, flow as words, quantities};
use crate::line::{Calendar, Demand, Period, Ratio};
use crate::syntax::tree::{Expr, Head, Statement, Word};
use crate::units::Time;

/// The three statements, each at most once.
#[derive(Clone, Copy)]
pub(super) struct Asked<'s> {
    pub demand: Option<&'s Statement>,
    pub takt: Option<&'s Statement>,
    pub pace: Option<&'s Statement>,
}

/// What they come to.
#[derive(Clone, Copy, Default, Debug)]
pub(super) struct Rhythm {
    pub demand: Option<Demand>,
    pub takt: Option<Ratio>,
    pub pace: Option<Ratio>,
}

pub(super) fn rhythm(asked: Asked, calendar: Option<&Calendar>, desk: &mut Desk) -> Rhythm {
    let demand = asked.demand.and_then(|statement| wanted(statement, desk));
    let derived = demand.and_then(|(demand, span)| derived_takt(demand, calendar, span, desk));
    let stated = asked.takt.and_then(|statement| stated(statement, "takt", desk));
    if let (Some((takt, expr)), Some((derived, arithmetic)), Some((_, span))) = (stated, &derived, demand) {
        compare(takt, expr, *derived, arithmetic, span, desk);
    }
    let takt = match (&derived, stated) {
        (Some((derived, _)), _) => Some(*derived),
        (None, Some((takt, _))) => Some(takt),
        (None, None) => None,
    };
    let pace = asked.pace.and_then(|statement| stated_pace(statement, takt, desk));
    Rhythm {
        demand: demand.map(|(demand, _)| demand),
        takt: takt.map(Exact::ratio),
        pace: pace.or(takt).map(Exact::ratio),
    }
}

/// `demand 18 per shift`
fn wanted(statement: &Statement, desk: &mut Desk) -> Option<(Demand, Span)> {
    let Head::Value(expr) = &statement.head else { return None };
    let found = quantity::value(expr, desk)?;
    let period = match found.kind {
        Kind::Rate(period) => period,
        Kind::Number => {
            let fix = format!("demand {} per shift", said(expr));
            desk.fault(quantities::missing_unit(expr.span, "the demand", "a period", &fix));
            return None;
        }
        other => {
            let example = "demand 18 per shift";
            desk.fault(quantities::wrong_unit(expr.span, "the demand", "a rate", other.said(), example));
            return None;
        }
    };
    let fits = |n: i128| i64::try_from(n).ok().filter(|n| *n <= 1_000_000_000);
    let units = fits(found.amount.numerator).filter(|units| *units > 0);
    let (Some(units), Some(denominator)) = (units, fits(found.amount.denominator)) else {
        let allowed = "above 0 and of at most nine digits";
        desk.fault(quantities::out_of_range(expr.span, "the demand", &said(expr), allowed));
        return None;
    };
    Some((Demand { units, denominator, period }, expr.span))
}

/// Net time / demand and the arithmetic in words.
fn derived_takt(
    demand: Demand,
    calendar: Option<&Calendar>,
    span: Span,
    desk: &mut Desk,
) -> Option<(Exact, String)> {
    let (net, periods) = net_time(demand.period, calendar, span, "the demand is per shift", desk)?;
    let net = Exact::new(i128::from(net.0), i128::from(periods))?;
    let units = Exact::new(i128::from(demand.units), i128::from(demand.denominator))?;
    let takt = net.over(units)?;
    let arithmetic = format!("{} / {}", in_minutes(net, 2), crate::units::decimals(units.as_f64(), 3));
    Some((takt, arithmetic))
}

/// Net time of so many periods. Without a calendar the line is attended round the clock.
pub(super) fn net_time(
    period: Period,
    calendar: Option<&Calendar>,
    span: Span,
    why: &str,
    desk: &mut Desk,
) -> Option<(Time, i64)> {
    let Some(calendar) = calendar else {
        if desk.is_broken(Word::Shift) {
            return None;
        }
        return match period {
            Period::Hour => Some((Time::HOUR, 1)),
            Period::Day => Some((Time::DAY, 1)),
            Period::Week => Some((Time::WEEK, 1)),
            Period::Shift => {
                desk.fault(calendar_words::no_calendar(span, why));
                None
            }
        };
    };
    // A calendar whose shifts are all faulty has been reported.
    if calendar.week.is_empty() {
        return None;
    }
    Some(match period {
        Period::Hour => (Time::HOUR, 1),
        Period::Shift => calendar.shift_net(),
        Period::Week => (calendar.week_net(), 1),
        Period::Day => {
            let mut days: Vec<i64> = calendar.week.iter().map(|shift| shift.start.0 / Time::DAY.0).collect();
            days.dedup();
            (calendar.week_net(), days.len() as i64)
        }
    })
}

/// `takt 24.7 min`
fn stated<'s>(statement: &'s Statement, what: &str, desk: &mut Desk) -> Option<(Exact, &'s Expr)> {
    let Head::Value(expr) = &statement.head else { return None };
    let found = quantity::time_exact(expr, what, desk)?;
    if found == Exact::ZERO {
        desk.fault(quantities::out_of_range(expr.span, what, &said(expr), "longer than 0"));
        return None;
    }
    Some((found, expr))
}

/// `exact` rounded to the digits of a number as typed; as it is where the expression is no such number.
fn to_typed_digits(exact: Exact, expr: &Expr, desk: &mut Desk) -> Option<Exact> {
    let Some((decimals, unit)) = quantity::typed_decimals(expr) else {
        return Exact::new(exact.rounded(0)?.numerator, 1);
    };
    let (_, size) = super::unit_words::unit(unit, desk)?;
    exact.over(size)?.rounded(decimals)?.times(size)
}

fn compare(
    takt: Exact,
    expr: &Expr,
    derived: Exact,
    arithmetic: &str,
    demand: Span,
    desk: &mut Desk,
) -> Option<()> {
    let rounded = to_typed_digits(derived, expr, desk)?;
    let typed = match quantity::typed_decimals(expr) {
        Some(_) => takt,
        None => Exact::new(takt.rounded(0)?.numerator, 1)?,
    };
    if rounded != typed {
        let shown = in_typed_unit(rounded, expr, desk)?;
        desk.fault(words::takt_against_demand(expr.span, arithmetic, &shown, &said(expr), demand));
    }
    Some(())
}

/// The rounded value as it would be typed.
fn in_typed_unit(rounded: Exact, expr: &Expr, desk: &mut Desk) -> Option<String> {
    let Some((decimals, unit)) = quantity::typed_decimals(expr) else {
        return Some(in_minutes(rounded, 6));
    };
    let (_, size) = super::unit_words::unit(unit, desk)?;
    let value = rounded.over(size)?.as_f64();
    Some(format!("{value:.places$} {}", unit.text, places = decimals as usize))
}

fn stated_pace(statement: &Statement, takt: Option<Exact>, desk: &mut Desk) -> Option<Exact> {
    let (pace, expr) = stated(statement, "the pace", desk)?;
    if let Some(takt) = takt {
        let rounded = to_typed_digits(takt, expr, desk)?;
        if pace > takt && pace > rounded {
            desk.fault(words::pace_over_takt(expr.span, &said(expr), &in_minutes(takt, 2)));
        }
    }
    Some(pace)
}
