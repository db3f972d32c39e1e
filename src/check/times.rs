//! Times: from `8/10/14 min` and its kin to distributions.
//!
//! A number without unit takes the one unit that stands in the same time. Parameters leave here in
//! microseconds, proven to fit together.

use super::desk::Desk;
use super::exact::Exact;
use super::observed;
use super::quantity::{self, Kind, said};
use crate::diagnostic::Span;
use crate::diagnostic::words::quantities as words;
use crate::line::{Dist, Shape};
use crate::syntax::tree::{Expr, ExprKind, Name, TimeShape, TimeSpec};
use crate::units::percent;

/// The distribution that a time states; `what` opens the sentence of a fault ("the time of a31").
pub(super) fn dist(spec: &TimeSpec, what: &str, desk: &mut Desk) -> Option<Dist> {
    let timings = spec
        .timings
        .as_ref()
        .map(|n| quantity::count(n, &format!("the number of timings of {what}"), 1, 1_000_000, desk));
    let unit = unit_of(spec, desk)?;
    let reader = Reader { spec, what, unit };
    let shape = reader.shape(desk)?;
    let timings = match (&shape, timings) {
        (_, Some(stated)) => Some(stated?),
        (Shape::Observed { values }, None) => u32::try_from(values.len()).ok(),
        (_, None) => None,
    };
    Some(Dist { shape, timings })
}

/// The unit that bare numbers of this time take.
#[derive(Clone, Copy)]
enum Borrowed<'s> {
    None,
    One(&'s Name),
    Two(&'s Name, &'s Name),
}

fn unit_of<'s>(spec: &'s TimeSpec, desk: &mut Desk) -> Option<Borrowed<'s>> {
    let mut units: Vec<&Name> = Vec::new();
    let mut add = |unit: &'s Name| {
        if unit.text != "%" && !units.iter().any(|known| known.text == unit.text) {
            units.push(unit);
        }
    };
    for expr in parameters(&spec.shape) {
        units_in(expr, &mut add);
    }
    if let TimeShape::Three { unit: Some(unit), .. }
    | TimeShape::Pert { unit: Some(unit), .. }
    | TimeShape::Observed { unit: Some(unit), .. } = &spec.shape
    {
        add(unit);
    }
    // An unknown unit is one fault, however many numbers stand beside it.
    for unit in &units {
        super::unit_words::unit(unit, desk)?;
    }
    Some(match units.as_slice() {
        [] => Borrowed::None,
        [only] => Borrowed::One(only),
        [one, other, ..] => Borrowed::Two(one, other),
    })
}

/// The expressions of a time that are times themselves.
fn parameters(shape: &TimeShape) -> Vec<&Expr> {
    match shape {
        TimeShape::Constant(value) => vec![value],
        TimeShape::Three { low, mode, high, .. } | TimeShape::Pert { low, mode, high, .. } => {
            vec![low, mode, high]
        }
        TimeShape::Uniform { low, high } => vec![low, high],
        TimeShape::About { mean, sd } | TimeShape::Lognormal { mean, sd } | TimeShape::Gamma { mean, sd } => {
            vec![mean, sd]
        }
        TimeShape::Erlang { mean, .. }
        | TimeShape::Exponential { mean }
        | TimeShape::Weibull { mean, .. } => {
            vec![mean]
        }
        TimeShape::OneOf(cases) => cases.iter().map(|(value, _)| value).collect(),
        TimeShape::Observed { .. } => Vec::new(),
    }
}

fn units_in<'s>(expr: &'s Expr, add: &mut impl FnMut(&'s Name)) {
    match &expr.kind {
        ExprKind::Number { unit: Some(unit), .. } => add(unit),
        ExprKind::Number { unit: None, .. } | ExprKind::Name(_) => {}
        ExprKind::Per(inner, _) | ExprKind::Negative(inner) => units_in(inner, add),
        ExprKind::Binary { left, right, .. } => {
            units_in(left, add);
            units_in(right, add);
        }
    }
}

/// One time being read.
struct Reader<'s> {
    spec: &'s TimeSpec,
    what: &'s str,
    unit: Borrowed<'s>,
}

impl Reader<'_> {
    fn shape(&self, desk: &mut Desk) -> Option<Shape> {
        match &self.spec.shape {
            TimeShape::Constant(value) => Some(Shape::Constant { value: self.time(value, desk)? }),
            TimeShape::Three { low, mode, high, .. } => {
                let [low, mode, high] = self.three(low, mode, high, desk)?;
                Some(match low == high {
                    true => Shape::Constant { value: low },
                    false => Shape::Triangular { low, mode, high },
                })
            }
            TimeShape::Pert { low, mode, high, .. } => {
                let [low, mode, high] = self.three(low, mode, high, desk)?;
                Some(match low == high {
                    true => Shape::Constant { value: low },
                    false => Shape::Pert { low, mode, high },
                })
            }
            TimeShape::Uniform { low, high } => self.uniform(low, high, desk),
            TimeShape::About { mean, sd } => {
                let shape = self.mean_and_sd(mean, sd, |mean, sd| Shape::Normal { mean, sd }, desk)?;
                self.doubt_cut(&shape, desk);
                Some(shape)
            }
            TimeShape::Lognormal { mean, sd } => {
                self.mean_and_sd(mean, sd, |mean, sd| Shape::Lognormal { mean, sd }, desk)
            }
            TimeShape::Gamma { mean, sd } => {
                self.mean_and_sd(mean, sd, |mean, sd| Shape::Gamma { mean, sd }, desk)
            }
            TimeShape::Erlang { stages, mean } => {
                let stages = quantity::count(stages, "the number of stages", 1, 1000, desk);
                let mean = self.above_zero(mean, desk);
                Some(Shape::Erlang { stages: stages?, mean: mean? })
            }
            TimeShape::Exponential { mean } => {
                Some(Shape::Exponential { mean: self.above_zero(mean, desk)? })
            }
            TimeShape::Weibull { shape, mean } => {
                let (shape, mean) = (weibull_shape(shape, desk), self.above_zero(mean, desk));
                Some(Shape::Weibull { shape: shape?, mean: mean? })
            }
            TimeShape::OneOf(cases) => self.one_of(cases, desk),
            TimeShape::Observed { file, column, unit } => {
                let size = match unit {
                    Some(unit) => Some(self.unit_of_time(unit, desk)?),
                    None => None,
                };
                observed::observed(file, column.as_ref(), size, self.spec.span, desk)
            }
        }
    }

    /// A parameter in microseconds; a bare number takes the one unit of this time.
    fn time(&self, expr: &Expr, desk: &mut Desk) -> Option<f64> {
        self.exact(expr, desk).map(Exact::as_f64)
    }

    fn exact(&self, expr: &Expr, desk: &mut Desk) -> Option<Exact> {
        let found = quantity::value(expr, desk)?;
        match (found.kind, self.unit) {
            (Kind::Number, Borrowed::One(unit)) => {
                let size = self.unit_of_time(unit, desk)?;
                let Some(micros) = found.amount.times(size) else {
                    desk.fault(words::number_too_long(expr.span));
                    return None;
                };
                quantity::within_time(micros, expr, self.what, desk)
            }
            (Kind::Number, Borrowed::Two(one, other)) => {
                desk.fault(words::two_units(expr.span, &one.text, &other.text));
                None
            }
            (Kind::Number, Borrowed::None) => {
                let fix = self.with_minutes();
                desk.fault(words::missing_unit(self.spec.span, self.what, "a unit of time", &fix));
                None
            }
            (Kind::Time, _) => quantity::within_time(found.amount, expr, self.what, desk),
            (other, _) => {
                desk.fault(words::wrong_unit(expr.span, self.what, "a time", other.said(), "12 min"));
                None
            }
        }
    }

    /// The time as it should read, with minutes for want of knowing better.
    fn with_minutes(&self) -> String {
        let list: Vec<String> = parameters(&self.spec.shape).into_iter().map(said).collect();
        match &self.spec.shape {
            TimeShape::Three { .. } => format!("{} min", list.join("/")),
            TimeShape::Pert { .. } => format!("pert {} min", list.join("/")),
            TimeShape::Uniform { .. } => format!("{} min", list.join(" to ")),
            TimeShape::About { .. } => format!("about {} min", list.join(" sd ")),
            TimeShape::Lognormal { .. } => format!("lognormal mean {} min", list.join(" sd ")),
            TimeShape::Gamma { .. } => format!("gamma mean {} min", list.join(" sd ")),
            TimeShape::Erlang { stages, .. } => {
                format!("erlang {} mean {} min", said(stages), list.join(" "))
            }
            TimeShape::Exponential { .. } => format!("exponential mean {} min", list.join(" ")),
            TimeShape::Weibull { shape, .. } => {
                format!("weibull shape {} mean {} min", said(shape), list.join(" "))
            }
            TimeShape::Constant(_) | TimeShape::OneOf(_) | TimeShape::Observed { .. } => {
                format!("{} min", list.first().cloned().unwrap_or_default())
            }
        }
    }

    fn above_zero(&self, expr: &Expr, desk: &mut Desk) -> Option<f64> {
        let found = self.time(expr, desk)?;
        if found <= 0.0 {
            desk.fault(words::mean_not_above_zero(self.spec.span, self.what, &said(expr)));
            return None;
        }
        Some(found)
    }

    fn three(&self, low: &Expr, mode: &Expr, high: &Expr, desk: &mut Desk) -> Option<[f64; 3]> {
        let parts = [low, mode, high];
        let found = self.together(&parts, desk)?;
        let [l, m, h] = [found[0], found[1], found[2]];
        if l > m || m > h {
            let mut sorted: Vec<(f64, String)> = found.iter().copied().zip(parts.map(said)).collect();
            sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
            let list: Vec<String> = sorted.into_iter().map(|(_, text)| text).collect();
            let typed = [low, mode, high].map(said).join("/");
            desk.fault(words::three_not_in_order(self.spec.span, &typed, &list.join("/")));
            return None;
        }
        Some([l, m, h])
    }

    /// All parameters, so that each fault is reported; one report of a missing unit is enough.
    fn together(&self, parts: &[&Expr], desk: &mut Desk) -> Option<Vec<f64>> {
        let mut found = Vec::new();
        for part in parts {
            match self.time(part, desk) {
                Some(micros) => found.push(micros),
                None if matches!(self.unit, Borrowed::None) => return None,
                None => {}
            }
        }
        (found.len() == parts.len()).then_some(found)
    }

    fn uniform(&self, low: &Expr, high: &Expr, desk: &mut Desk) -> Option<Shape> {
        let found = self.together(&[low, high], desk)?;
        let (l, h) = (found[0], found[1]);
        if l > h {
            desk.fault(words::uniform_backwards(self.spec.span, &said(low), &said(high)));
            return None;
        }
        Some(match l == h {
            true => Shape::Constant { value: l },
            false => Shape::Uniform { low: l, high: h },
        })
    }

    fn mean_and_sd(
        &self,
        mean: &Expr,
        sd: &Expr,
        shape: fn(f64, f64) -> Shape,
        desk: &mut Desk,
    ) -> Option<Shape> {
        let found = self.together(&[mean, sd], desk)?;
        if found[0] <= 0.0 {
            desk.fault(words::mean_not_above_zero(self.spec.span, self.what, &said(mean)));
            return None;
        }
        if found[1] > 100.0 * found[0] {
            desk.fault(words::spread_beyond_reason(self.spec.span, self.what, &said(mean), &said(sd)));
            return None;
        }
        Some(match found[1] == 0.0 {
            true => Shape::Constant { value: found[0] },
            false => shape(found[0], found[1]),
        })
    }

    /// The mass of a normal below 0 is Phi(-mean/sd) = erfc(mean / (sd sqrt 2)) / 2.
    fn doubt_cut(&self, shape: &Shape, desk: &mut Desk) {
        if let Shape::Normal { mean, sd } = shape {
            let lost = libm::erfc(mean / (sd * std::f64::consts::SQRT_2)) / 2.0;
            if lost > 0.001 {
                desk.fault(words::cut_mass(self.spec.span, &percent(lost)));
            }
        }
    }

    fn one_of(&self, cases: &[(Expr, Expr)], desk: &mut Desk) -> Option<Shape> {
        let mut values = Vec::new();
        let mut shares = Vec::new();
        for (value, share) in cases {
            let found = self.time(value, desk);
            let part = quantity::share(share, &format!("the share of {}", said(value)), desk);
            if let (Some(found), Some(part)) = (found, part) {
                values.push(found);
                shares.push((part, said(share)));
            }
        }
        if values.len() < cases.len() {
            return None;
        }
        let shares = sum_to_one(&shares, "the shares of `one of`", self.spec.span, desk)?;
        Some(Shape::OneOf { values: values.into_iter().zip(shares).collect() })
    }

    /// Microseconds in a unit of time.
    fn unit_of_time(&self, unit: &Name, desk: &mut Desk) -> Option<Exact> {
        let (kind, size) = super::unit_words::unit(unit, desk)?;
        if kind != Kind::Time {
            desk.fault(words::wrong_unit(unit.span, self.what, "a time", kind.said(), "min"));
            return None;
        }
        Some(size)
    }
}

/// The exponent of a Weibull time; outside these bounds its mean and spread lose all digits.
fn weibull_shape(shape: &Expr, desk: &mut Desk) -> Option<f64> {
    let found = quantity::number(shape, "the Weibull shape", desk)?.as_f64();
    if !(0.1..=100.0).contains(&found) {
        let allowed = "from 0.1 to 100";
        desk.fault(words::out_of_range(shape.span, "the Weibull shape", &said(shape), allowed));
        return None;
    }
    Some(found)
}

/// Shares that must sum to 100 %, within 0.01 points; then normalised.
pub(super) fn sum_to_one(
    shares: &[(Exact, String)],
    what: &str,
    span: Span,
    desk: &mut Desk,
) -> Option<Vec<f64>> {
    let sum = shares.iter().try_fold(Exact::ZERO, |sum, (share, _)| sum.plus(*share));
    let Some(sum) = sum else {
        desk.fault(words::number_too_long(span));
        return None;
    };
    if (sum.as_f64() - 1.0).abs() > 0.000_100_001 {
        let parts: Vec<&str> = shares.iter().map(|(_, text)| text.as_str()).collect();
        let sum = format!("{} %", crate::units::decimals(sum.as_f64() * 100.0, 2));
        desk.fault(words::shares_do_not_sum(span, what, &parts.join(" + "), &sum));
        return None;
    }
    Some(shares.iter().map(|(share, _)| share.as_f64() / sum.as_f64()).collect())
}
