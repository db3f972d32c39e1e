//! What is built and when it enters: models, options, sequence, release, demand, promises.

use super::{Dist, ModelId, TestId};
use crate::diagnostic::Span;
use crate::units::Time;

#[derive(Clone, PartialEq, Debug)]
pub struct Model {
    pub name: String,
    pub label: Option<String>,
    /// Shares of all models sum to 1.
    pub share: f64,
    pub draws_as: String,
    pub span: Span,
}

/// An extra that a share of the units has.
#[derive(Clone, PartialEq, Debug)]
pub struct UnitOption {
    pub name: String,
    pub label: Option<String>,
    /// Share of the units that can have it.
    pub rate: f64,
    /// Every so many-th of them has it, in the order of their release; otherwise it is drawn.
    pub every: Option<u32>,
    /// Per model: can it have the option?
    pub models: Vec<bool>,
    pub draws_as: String,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Sequence {
    pub kind: SequenceKind,
    pub rules: Vec<Spacing>,
    /// Orders held in the bank at most.
    pub look_ahead: u32,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub enum SequenceKind {
    /// Models drawn by share, order by order.
    Random,
    /// Repeats for ever; rules are checked, not applied.
    Pattern(Vec<ModelId>),
    /// Drawn by share, each draw giving a batch of so many units.
    Batches(u32),
    /// The legal model that keeps the counts nearest to their shares.
    Levelled,
    /// In the order of a file, from the start again at its end.
    List(Vec<ModelId>),
}

/// At most `most` units of `model` in any `window` units released one after another.
#[derive(Clone, PartialEq, Debug)]
pub struct Spacing {
    pub model: ModelId,
    pub most: u32,
    pub window: u32,
    /// The rule as written.
    pub text: String,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub enum Release {
    /// A unit enters whenever the first place is free, or at each push.
    Saturated,
    /// The k-th (from 1) at floor(k x takt) of net time.
    ByTakt,
    /// Gaps drawn one after another, in net time or on the clock; the first release one gap after
    /// the start.
    Every { gap: Dist, on_the_clock: bool },
    /// At these instants of net time since the start (sorted), with a model where the list gives one.
    List(Vec<(Time, Option<ModelId>)>),
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StartState {
    Empty,
    Full,
}

/// Units per period, as a fraction so that takt stays exact.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Demand {
    pub units: i64,
    /// The typed number is units / per_units (18.5 is 185 / 10).
    pub denominator: i64,
    pub period: Period,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Period {
    Hour,
    Shift,
    Day,
    Week,
}

/// A time as an exact fraction of microseconds: numerator / denominator.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ratio {
    pub numerator: i128,
    pub denominator: i128,
}

impl Ratio {
    /// floor(k x ratio).
    pub fn times_floor(self, k: i64) -> Time {
        let value = (i128::from(k) * self.numerator).div_euclid(self.denominator);
        Time(i64::try_from(value).unwrap_or(i64::MAX))
    }

    pub fn as_minutes(self) -> f64 {
        self.numerator as f64 / self.denominator as f64 / 60e6
    }
}

#[derive(Clone, PartialEq, Debug)]
pub struct Promise {
    /// As written in the file or scenario, without the statement word.
    pub text: String,
    pub kind: PromiseKind,
    pub span: Span,
}

#[derive(Clone, PartialEq, Debug)]
pub enum PromiseKind {
    /// At least `count` units on at least `share` of the shifts.
    CountOnShare { count: f64, share: f64 },
    /// A statistic of a measure against a limit in the measure's own unit (minutes for times, 0..1
    /// for yields).
    Measure { measure: Measure, statistic: Statistic, at_least: bool, limit: f64 },
    /// The audit shows no hold under its minimum.
    NoHoldShort,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Measure {
    UnitsPerShift,
    UnitsPerHour,
    MinutesBetweenUnits,
    Wait(TestId),
    FlowTime,
    WorkInProcess,
    LabourPerUnit,
    /// Of finished units, over all tests.
    FirstPassYield,
    /// Of the first verdicts of one test.
    FirstPassAt(TestId),
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
