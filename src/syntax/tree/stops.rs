//! Stops: what a `stopping` clause says.

use super::{Expr, Need, TimeSpec};
use crate::diagnostic::Span;

/// `stopping every exponential mean 40 h of use for 15/25/90 min by 1 mechanics`
#[derive(Clone, PartialEq, Debug)]
pub struct StoppingSpec {
    pub gap: GapSpec,
    pub lasts: TimeSpec,
    pub mended: MendedBy,
}

/// When the next stop comes.
#[derive(Clone, PartialEq, Debug)]
pub enum GapSpec {
    /// `every exponential mean 40 h of net time`
    Every { gap: TimeSpec, of: Option<TimeOf>, span: Span },
    /// `6 per shift`
    Rate(Expr),
}

/// In which time a gap or a repair is counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TimeOf {
    /// `on the clock`
    Clock,
    /// `of net time`
    Net,
    /// `of use`
    Use,
}

#[derive(Clone, PartialEq, Debug)]
pub enum MendedBy {
    /// Nobody in particular; clock time unless said otherwise.
    Time(Option<TimeOf>),
    /// `by 1 mechanics`
    People(Vec<Need>),
}
