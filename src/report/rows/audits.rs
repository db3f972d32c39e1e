//! What is kept or not, and what stops: holds, windows, stops, promises.

use crate::report::record::Estimate;
use schemars::JsonSchema;
use serde::Serialize;

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct HoldRow {
    pub id: String,
    pub label: Option<String>,
    pub station: String,
    /// The minimum is fixed by safety or quality.
    pub safety: bool,
    pub minimum_min: f64,
    /// Null when none ended.
    pub shortest_min: Option<f64>,
    pub count: u64,
    pub restarts: u64,
    /// Pushes with which one went on; left out where it may not move.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moved: Option<u64>,
    /// Clock minutes by which the cold made one longer, on average; left out where cold does not matter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cold_min: Option<f64>,
    /// None that ended was under its minimum.
    pub kept: bool,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct WindowRow {
    pub opens: String,
    pub closes: String,
    pub limit_min: f64,
    pub judged: u64,
    pub missed: u64,
    pub share_missed: Option<Estimate>,
}

/// What a cause stops.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StoppedKind {
    Station,
    Rack,
    Repair,
    Equipment,
    /// Several places.
    Group,
    /// Every place on the line.
    Line,
    /// Calls for help, some of which stop the line or part of it.
    Calls,
    /// Bad days.
    Weather,
}

impl StoppedKind {
    pub fn word(self) -> &'static str {
        match self {
            StoppedKind::Station => "station",
            StoppedKind::Rack => "rack",
            StoppedKind::Repair => "repair",
            StoppedKind::Equipment => "equipment",
            StoppedKind::Group => "group",
            StoppedKind::Line => "line",
            StoppedKind::Calls => "calls",
            StoppedKind::Weather => "weather",
        }
    }
}

/// Stops of one cause.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct StopRow {
    /// Name of what stops.
    pub id: String,
    pub label: Option<String>,
    pub kind: StoppedKind,
    /// Stops that began, all replications.
    pub stops: u64,
    /// Calls answered, all replications, those solved included; null where none are made.
    pub calls: Option<u64>,
    /// Null without a calendar.
    pub stops_per_shift: Option<Estimate>,
    /// Clock minutes from the beginning of a stop to its end, mean of all; null without stops.
    pub length_min: Option<f64>,
    /// Net minutes stopped, per replication.
    pub lost_min: Option<Estimate>,
    /// Share of net time.
    pub stopped: Option<Estimate>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    Kept,
    Broken,
    Undecided,
}

impl Verdict {
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Kept => "kept",
            Verdict::Broken => "broken",
            Verdict::Undecided => "undecided",
        }
    }
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PromiseRow {
    pub text: String,
    pub verdict: Verdict,
    /// Null where nothing was counted, and for the audit of holds.
    pub estimate: Option<Estimate>,
    pub limit: f64,
    /// Of the estimate and the limit.
    pub unit: String,
    /// About so many more would tell; null where decided, or where no number would.
    pub more_replications: Option<u64>,
}
