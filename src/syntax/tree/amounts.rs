//! Amounts: arithmetic, and times as constants or distributions.

use super::Name;
use crate::diagnostic::Span;

/// A time: a constant or a distribution. In every form a number without unit takes the one unit
/// that stands in the same time; a time with no unit at all is the checker's fault to report.
#[derive(Clone, PartialEq, Debug)]
pub struct TimeSpec {
    pub shape: TimeShape,
    /// `from 8 timings`
    pub timings: Option<Expr>,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub enum TimeShape {
    Constant(Expr),
    /// `8/10/14 min`
    Three {
        low: Expr,
        mode: Expr,
        high: Expr,
        unit: Option<Name>,
    },
    /// `pert 8/10/14 min`
    Pert {
        low: Expr,
        mode: Expr,
        high: Expr,
        unit: Option<Name>,
    },
    /// `8 to 14 min`
    Uniform {
        low: Expr,
        high: Expr,
    },
    /// `about 12 min sd 3`
    About {
        mean: Expr,
        sd: Expr,
    },
    /// `lognormal mean 12 sd 3 min`
    Lognormal {
        mean: Expr,
        sd: Expr,
    },
    /// `gamma mean 12 sd 3 min`
    Gamma {
        mean: Expr,
        sd: Expr,
    },
    /// `erlang 3 mean 12 min`
    Erlang {
        stages: Expr,
        mean: Expr,
    },
    /// `exponential mean 12 min`
    Exponential {
        mean: Expr,
    },
    /// `weibull shape 1.5 mean 12 min`
    Weibull {
        shape: Expr,
        mean: Expr,
    },
    /// `one of 8 min 30 %, 12 min 70 %`
    OneOf(Vec<(Expr, Expr)>),
    /// `observed "times.csv" column cycle_min`
    Observed {
        file: Name,
        column: Option<Name>,
        unit: Option<Name>,
    },
}

/// Arithmetic on numbers, quantities and `let` names.
#[derive(Clone, PartialEq, Debug)]
pub struct Expr {
    pub kind: ExprKind,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub enum ExprKind {
    /// The digits as typed are in the source; `text` keeps them for rounding rules.
    Number {
        value: f64,
        text: String,
        unit: Option<Name>,
    },
    /// A `let` name.
    Name(String),
    /// `18 per shift`: the expression and the period.
    Per(Box<Expr>, Name),
    Negative(Box<Expr>),
    Binary {
        op: Op,
        left: Box<Expr>,
        right: Box<Expr>,
    },
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Op {
    Add,
    Subtract,
    Multiply,
    Divide,
}
