//! Promises: what is measured, and the limit it is held to.

use super::{Expr, Name};
use crate::diagnostic::Span;

/// A promise, as it stands in the file or in a scenario.
#[derive(Clone, PartialEq, Debug)]
pub enum Promise {
    /// `at least 18 units per shift on 80 % of shifts`
    CountOnShare { count: Expr, share: Expr },
    /// `mean units per shift at least 13`, `wait at rough p95 at most 20 min`
    Measure {
        measure: Measure,
        at: Option<Name>,
        statistic: Option<(Statistic, Span)>,
        at_least: bool,
        limit: Expr,
    },
    /// `no hold under its minimum`
    NoHoldShort,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Measure {
    /// `units per shift`
    UnitsPerShift,
    /// `units per hour`
    UnitsPerHour,
    /// `minutes between units`
    MinutesBetweenUnits,
    /// `wait at TEST`
    Wait,
    /// `flow time`
    FlowTime,
    /// `work in process`
    WorkInProcess,
    /// `labour per unit`
    LabourPerUnit,
    /// `first pass yield`
    FirstPassYield,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Statistic {
    Mean,
    P05,
    P50,
    P90,
    P95,
    Max,
}
