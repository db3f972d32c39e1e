//! Quantities: what an expression is worth and of which kind it is.
//!
//! Units are checked like types: a time adds to a time, never to a share. Values stay exact
//! fractions in base units (microseconds, metres, kilograms, 1) until they enter the line.

use super::desk::Desk;
use super::exact::Exact;
use super::unit_words::unit;
use crate::diagnostic::Span;
use crate::diagnostic::words::quantities as words;
use crate::line::Period;
use crate::syntax::tree::{Expr, ExprKind, Name, Op};
use crate::units::Time;

/// The kind of a quantity.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    Number,
    Share,
    Time,
    Length,
    Mass,
    Area,
    /// Degrees Celsius.
    Temperature,
    /// Metres per microsecond.
    Speed,
    /// In the money that the file declares.
    Money,
    /// So many per period.
    Rate(Period),
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Value {
    /// In the base unit of its kind.
    pub amount: Exact,
    pub kind: Kind,
}

impl Kind {
    /// As a noun with its article.
    pub fn said(self) -> &'static str {
        match self {
            Kind::Number => "a plain number",
            Kind::Share => "a share",
            Kind::Time => "a time",
            Kind::Length => "a length",
            Kind::Mass => "a mass",
            Kind::Area => "an area",
            Kind::Temperature => "a temperature",
            Kind::Speed => "a speed",
            Kind::Money => "money",
            Kind::Rate(Period::Hour) => "a rate per hour",
            Kind::Rate(Period::Shift) => "a rate per shift",
            Kind::Rate(Period::Day) => "a rate per day",
            Kind::Rate(Period::Week) => "a rate per week",
        }
    }
}

/// What the expression is worth; its faults are reported and give `None`.
pub(super) fn value(expr: &Expr, desk: &mut Desk) -> Option<Value> {
    match &expr.kind {
        ExprKind::Number { text, unit: named, .. } => {
            let Some(amount) = Exact::typed(text) else {
                desk.fault(words::number_too_long(expr.span));
                return None;
            };
            match named {
                None => Some(Value { amount, kind: Kind::Number }),
                Some(name) => {
                    let (kind, size) = unit(name, desk)?;
                    held(amount.times(size), kind, expr.span, desk)
                }
            }
        }
        ExprKind::Name(name) => desk.let_value(name, expr.span),
        ExprKind::Per(inner, period) => {
            let found = value(inner, desk)?;
            if let (Kind::Length, Some(period)) = (found.kind, microseconds_in(&period.text)) {
                let speed = Exact::new(1, period).and_then(|per| found.amount.times(per));
                return held(speed, Kind::Speed, expr.span, desk);
            }
            let Some(per) = period_of(&period.text) else {
                desk.fault(words::unknown_unit(period.span, &format!("per {}", period.text), None));
                return None;
            };
            match found.kind {
                Kind::Number => Some(Value { amount: found.amount, kind: Kind::Rate(per) }),
                other => {
                    desk.fault(words::no_arithmetic(expr.span, "make a rate of", other.said(), "a period"));
                    None
                }
            }
        }
        ExprKind::Negative(inner) => {
            let found = value(inner, desk)?;
            held(found.amount.negative(), found.kind, expr.span, desk)
        }
        ExprKind::Binary { op, left, right } => {
            // Both sides first, so that two faults are two reports.
            let (one, other) = (value(left, desk), value(right, desk));
            combine(*op, one?, other?, expr.span, right.span, desk)
        }
    }
}

/// Of a period that lasts as long wherever it is said.
fn microseconds_in(word: &str) -> Option<i128> {
    let period = match word {
        "min" => Time::MINUTE,
        "hour" => Time::HOUR,
        _ => return None,
    };
    Some(i128::from(period.0))
}

fn period_of(word: &str) -> Option<Period> {
    match word {
        "hour" => Some(Period::Hour),
        "shift" => Some(Period::Shift),
        "day" => Some(Period::Day),
        "week" => Some(Period::Week),
        _ => None,
    }
}

fn held(amount: Option<Exact>, kind: Kind, span: Span, desk: &mut Desk) -> Option<Value> {
    if amount.is_none() {
        desk.fault(words::number_too_long(span));
    }
    amount.map(|amount| Value { amount, kind })
}

fn combine(op: Op, one: Value, other: Value, span: Span, right: Span, desk: &mut Desk) -> Option<Value> {
    let doing = match op {
        Op::Add => "add",
        Op::Subtract => "subtract",
        Op::Multiply => "multiply",
        Op::Divide => "divide",
    };
    let kind = match op {
        Op::Add | Op::Subtract => (one.kind == other.kind).then_some(one.kind),
        Op::Multiply => product_kind(one.kind, other.kind),
        Op::Divide => quotient_kind(one.kind, other.kind),
    };
    let Some(kind) = kind else {
        desk.fault(words::no_arithmetic(span, doing, one.kind.said(), other.kind.said()));
        return None;
    };
    if op == Op::Divide && other.amount == Exact::ZERO {
        desk.fault(words::divided_by_zero(right));
        return None;
    }
    let amount = match op {
        Op::Add => one.amount.plus(other.amount),
        Op::Subtract => one.amount.minus(other.amount),
        Op::Multiply => one.amount.times(other.amount),
        Op::Divide => one.amount.over(other.amount),
    };
    held(amount, kind, span, desk)
}

/// A share of a quantity is a quantity of that kind.
fn product_kind(one: Kind, other: Kind) -> Option<Kind> {
    if one == Kind::Number || one == Kind::Share && other != Kind::Number {
        Some(other)
    } else if other == Kind::Number || other == Kind::Share {
        Some(one)
    } else {
        None
    }
}

fn quotient_kind(one: Kind, other: Kind) -> Option<Kind> {
    if one == other {
        Some(Kind::Number)
    } else if other == Kind::Number || other == Kind::Share {
        Some(one)
    } else {
        None
    }
}

/// The expression as people would write it, for messages.
pub(super) fn said(expr: &Expr) -> String {
    match &expr.kind {
        ExprKind::Number { text, unit: None, .. } => text.clone(),
        ExprKind::Number { text, unit: Some(unit), .. } => format!("{text} {}", unit.text),
        ExprKind::Name(name) => name.clone(),
        ExprKind::Per(inner, period) => format!("{} per {}", said(inner), period.text),
        ExprKind::Negative(inner) => format!("-{}", said(inner)),
        ExprKind::Binary { op, left, right } => {
            let sign = match op {
                Op::Add => '+',
                Op::Subtract => '-',
                Op::Multiply => '*',
                Op::Divide => '/',
            };
            format!("({} {sign} {})", said(left), said(right))
        }
    }
}

/// Bounds of a time in this program: a year and a bit keeps every sum of a run inside 64 bits.
pub(super) const LONGEST: Time = Time(400 * Time::DAY.0);

/// A time of at least 0; `what` opens the sentence of a fault.
pub(super) fn time(expr: &Expr, what: &str, desk: &mut Desk) -> Option<Time> {
    let micros = time_exact(expr, what, desk)?;
    Time::from_micros_f64(micros.as_f64())
}

/// A time above 0.
pub(super) fn time_above_zero(expr: &Expr, what: &str, desk: &mut Desk) -> Option<Time> {
    let found = time(expr, what, desk)?;
    if found.is_zero() {
        desk.fault(words::out_of_range(expr.span, what, &said(expr), "longer than 0"));
        return None;
    }
    Some(found)
}

/// A time of at least 0 as an exact fraction of microseconds.
pub(super) fn time_exact(expr: &Expr, what: &str, desk: &mut Desk) -> Option<Exact> {
    let found = value(expr, desk)?;
    match found.kind {
        Kind::Time => within_time(found.amount, expr, what, desk),
        Kind::Number => {
            let fix = format!("{} min", said(expr));
            desk.fault(words::missing_unit(expr.span, what, "a unit of time", &fix));
            None
        }
        other => {
            desk.fault(words::wrong_unit(expr.span, what, "a time", other.said(), "12 min"));
            None
        }
    }
}

/// The bounds that every time keeps.
pub(super) fn within_time(micros: Exact, expr: &Expr, what: &str, desk: &mut Desk) -> Option<Exact> {
    if micros < Exact::ZERO {
        desk.fault(words::out_of_range(expr.span, what, &said(expr), "0 or more"));
        return None;
    }
    if micros > Exact::whole(LONGEST.0) {
        desk.fault(words::out_of_range(expr.span, what, &said(expr), "at most 400 days"));
        return None;
    }
    Some(micros)
}

/// A share from 0 to 1.
pub(super) fn share(expr: &Expr, what: &str, desk: &mut Desk) -> Option<Exact> {
    let found = value(expr, desk)?;
    match found.kind {
        Kind::Share => {
            if found.amount < Exact::ZERO || found.amount > Exact::ONE {
                desk.fault(words::out_of_range(expr.span, what, &said(expr), "from 0 % to 100 %"));
                return None;
            }
            Some(found.amount)
        }
        Kind::Number => {
            let number = said(expr);
            let below_one = found.amount <= Exact::ONE && number.contains('.');
            let fix = match (below_one, found.amount.times(Exact::whole(100))) {
                (true, Some(percent)) => format!("{} %", crate::units::decimals(percent.as_f64(), 4)),
                (true, None) | (false, _) => format!("{number} %"),
            };
            desk.fault(words::missing_unit(expr.span, what, "a share in %", &fix));
            None
        }
        other => {
            desk.fault(words::wrong_unit(expr.span, what, "a share", other.said(), "94 %"));
            None
        }
    }
}

/// An amount of 0 or more of that kind, in its base unit; `example` shows one.
pub(super) fn amount_of(kind: Kind, expr: &Expr, what: &str, example: &str, desk: &mut Desk) -> Option<f64> {
    let found = value(expr, desk)?;
    if found.kind != kind {
        desk.fault(words::wrong_unit(expr.span, what, kind.said(), found.kind.said(), example));
        return None;
    }
    if found.amount < Exact::ZERO {
        desk.fault(words::out_of_range(expr.span, what, &said(expr), "0 or more"));
        return None;
    }
    Some(found.amount.as_f64())
}

/// A plain number.
pub(super) fn number(expr: &Expr, what: &str, desk: &mut Desk) -> Option<Exact> {
    let found = value(expr, desk)?;
    if found.kind != Kind::Number {
        desk.fault(words::wrong_unit(expr.span, what, "a plain number", found.kind.said(), "3"));
        return None;
    }
    Some(found.amount)
}

/// A plain number above 0.
pub(super) fn factor(expr: &Expr, what: &str, desk: &mut Desk) -> Option<f64> {
    let found = number(expr, what, desk)?;
    if found <= Exact::ZERO || found > Exact::whole(1000) {
        desk.fault(words::out_of_range(expr.span, what, &said(expr), "above 0 and at most 1000"));
        return None;
    }
    Some(found.as_f64())
}

/// A whole number from `least` to `most`.
pub(super) fn count(expr: &Expr, what: &str, least: u32, most: u32, desk: &mut Desk) -> Option<u32> {
    let found = number(expr, what, desk)?;
    if !found.is_whole() {
        desk.fault(words::not_whole(expr.span, what, &said(expr)));
        return None;
    }
    match u32::try_from(found.numerator) {
        Ok(n) if n >= least && n <= most => Some(n),
        Ok(_) | Err(_) => {
            let allowed = if found.numerator < i128::from(least) {
                format!("at least {least}")
            } else {
                format!("at most {most}")
            };
            desk.fault(words::out_of_range(expr.span, what, &said(expr), &allowed));
            None
        }
    }
}

/// How many decimals stand in the file, where the expression is a number as typed.
pub(super) fn typed_decimals(expr: &Expr) -> Option<(u32, &Name)> {
    if let ExprKind::Number { text, unit: Some(unit), .. } = &expr.kind {
        let decimals = text.split_once('.').map_or(0, |(_, part)| part.len());
        return u32::try_from(decimals).ok().map(|decimals| (decimals, unit));
    }
    None
}
