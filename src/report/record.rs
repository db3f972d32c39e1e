//! The report of a simulation as one record: what every format prints, field by field.
//!
//! Published as `taktwright.report/1`: fields are added, never renamed or dropped, without a new
//! number. Times are minutes, shares 0..1; a measure that does not exist is null, never 0.

use schemars::JsonSchema;
use serde::Serialize;

use super::rows::{
    BottleneckRow, CarrierRow, CostRow, DecidedRow, EquipmentRow, FeederRow, FloaterRow, GateRow, HelpRow,
    HoldRow, LaneRow, LevelRow, MoveRow, PeopleRow, PromiseRow, PushRow, StationRow, StopRow, StoreRow,
    TestRow, TurnRow, Week, WindowRow, YardRow,
};

/// Name and number of the JSON form.
pub const SCHEMA: &str = "taktwright.report/1";

/// A figure over independent replications and the interval that covers the true value.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Estimate {
    pub mean: f64,
    /// Null where the replications are too few for an interval.
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub confidence: f64,
    /// Replications behind the figure.
    pub n: u32,
}

impl Estimate {
    /// In another unit.
    #[must_use]
    pub fn times(self, factor: f64) -> Estimate {
        let all = |end: Option<f64>| end.map(|end| end * factor);
        Estimate { mean: self.mean * factor, low: all(self.low), high: all(self.high), ..self }
    }
}

impl From<&crate::stats::Banded> for Estimate {
    fn from(banded: &crate::stats::Banded) -> Estimate {
        Estimate {
            mean: banded.value,
            low: banded.low,
            high: banded.high,
            confidence: banded.confidence,
            n: u32::try_from(banded.n).unwrap_or(u32::MAX),
        }
    }
}

impl From<&crate::stats::Estimate> for Estimate {
    fn from(estimate: &crate::stats::Estimate) -> Estimate {
        Estimate {
            mean: estimate.mean,
            low: Some(estimate.low),
            high: Some(estimate.high),
            confidence: estimate.confidence,
            n: u32::try_from(estimate.n).unwrap_or(u32::MAX),
        }
    }
}

/// What one run of a line showed.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Report {
    /// `taktwright.report/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    pub line: String,
    pub layout: String,
    pub seed: u64,
    pub replications: u32,
    /// Clock minutes counted in one replication, after its warm-up (mean over replications).
    pub horizon_min: f64,
    /// Clock minutes cut from the front of each.
    pub warm_up_min: f64,
    /// Entries taken from the event queue, all replications, warm-up included.
    pub events: u64,
    /// Seconds the run took; left out where output must be the same byte for byte.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub elapsed_s: Option<f64>,
    /// Fewer replications than asked for: the run was stopped.
    pub interrupted: bool,
    /// Of every interval and verdict.
    pub confidence: f64,
    /// Net minutes counted in one replication (mean over replications).
    pub net_min: f64,
    /// Whole shifts counted in all replications; null without a calendar.
    pub shifts: Option<u64>,
    pub line_measures: LineMeasures,
    /// Every place of the line in its order (racks among them), then the repair bays.
    pub stations: Vec<StationRow>,
    /// Pushed segments.
    pub pushes: Vec<PushRow>,
    pub bottleneck: BottleneckRow,
    pub tests: Vec<TestRow>,
    /// Slots before a station.
    pub buffers: Vec<LevelRow>,
    pub racks: Vec<LevelRow>,
    /// How full racks, repair places and places with a long hold are by the hour of the week; null without any, or
    /// without a calendar.
    pub week: Option<Week>,
    pub people: Vec<PeopleRow>,
    /// Who stands in where crews are short.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub floaters: Vec<FloaterRow>,
    /// Who lends a hand beside work of their own.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub helping: Vec<HelpRow>,
    /// Shifts that are longer or left out as units are finished.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub decided_shifts: Vec<DecidedRow>,
    /// Breaks that people take in turn.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub breaks_in_turn: Vec<TurnRow>,
    pub equipment: Vec<EquipmentRow>,
    /// Stores of parts.
    pub stores: Vec<StoreRow>,
    /// Short lines that make parts.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub feeders: Vec<FeederRow>,
    /// Where faults are found and mended.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub gates: Vec<GateRow>,
    /// Ways side by side.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lanes: Vec<LaneRow>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub carriers: Vec<CarrierRow>,
    /// Segments whose units people move one by one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub moved_one_by_one: Vec<MoveRow>,
    /// The yard behind the line, where there is one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub yard: Vec<YardRow>,
    /// One row for each cause of stops, in the order of the file.
    pub stops: Vec<StopRow>,
    /// Null where the file states no costs.
    pub costs: Option<CostRow>,
    pub holds: Vec<HoldRow>,
    pub windows: Vec<WindowRow>,
    pub promises: Vec<PromiseRow>,
    /// Of the file and of the run: what makes the figures doubtful.
    pub warnings: Vec<Warning>,
    /// What the reader must know before acting on any figure.
    pub cautions: Vec<Caution>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LineMeasures {
    /// Good units per net hour.
    pub units_per_hour: Option<Estimate>,
    /// Null without a calendar, or when no whole shift was counted.
    pub units_per_shift: Option<UnitsPerShift>,
    /// Net minutes from one good unit to the next.
    pub minutes_between_units: Interval,
    /// Clock minutes from line-on to finish.
    pub flow_time_min: FlowTime,
    /// Clock minutes from release to finish.
    pub flow_time_from_release_min: FlowTime,
    /// Units present, averaged over clock time.
    pub work_in_process: Option<Estimate>,
    /// Share of good units that passed every test at the first attempt; null without tests.
    pub first_pass_yield: Option<Estimate>,
    /// Product of the tests' first-pass yields; null without tests.
    pub rolled_yield: Option<Estimate>,
    /// Person-minutes at work per good unit.
    pub labour_min_per_unit: Option<Estimate>,
    /// Person-minutes of net time of everybody in a crew per good unit.
    pub attended_min_per_unit: Option<Estimate>,
    /// Integral of units present less the sum of unit times, unit-microseconds: 0 or the program is
    /// at fault.
    pub little_residual: i64,
    /// Minutes from the start of the shift to the last crew's going home, on shifts that made the
    /// count after which they go.
    pub home_after_min: Option<HomeTime>,
    /// Units of all replications.
    pub finished: u64,
    pub scrapped: u64,
    pub set_aside: u64,
    pub models: Vec<ModelRow>,
}

/// An estimate of the mean over shifts, and how single shifts spread.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct UnitsPerShift {
    pub mean: f64,
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub confidence: f64,
    pub n: u32,
    /// Standard deviation of single shifts.
    pub sd: Option<f64>,
    /// Percentiles of single shifts.
    pub p05: Option<Estimate>,
    pub p50: Option<Estimate>,
    pub p95: Option<Estimate>,
    pub histogram: Vec<ShiftsAt>,
    /// Units of the first counted shift of the first replication: the one that the page plays.
    pub first_shift: Option<u32>,
    /// Units asked of a shift.
    pub count: Option<f64>,
    /// `demand`, or `home` for the count after which the crews go home.
    pub count_from: Option<CountFrom>,
    /// Share of shifts that make the count.
    pub chance_of_count: Option<Estimate>,
}

impl UnitsPerShift {
    /// The mean alone.
    pub fn estimate(&self) -> Estimate {
        Estimate { mean: self.mean, low: self.low, high: self.high, confidence: self.confidence, n: self.n }
    }
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CountFrom {
    Demand,
    Home,
}

/// So many shifts made so many units.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct ShiftsAt {
    pub units: u32,
    pub shifts: u64,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Interval {
    pub mean: Option<Estimate>,
    /// Standard deviation over mean.
    pub cv: Option<Estimate>,
    pub p05: Option<Estimate>,
    pub p50: Option<Estimate>,
    pub p95: Option<Estimate>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct FlowTime {
    pub mean: Option<Estimate>,
    pub p50: Option<Estimate>,
    pub p90: Option<Estimate>,
    pub p95: Option<Estimate>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct HomeTime {
    pub mean: Option<Estimate>,
    pub p50: Option<Estimate>,
    pub p95: Option<Estimate>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ModelRow {
    pub id: String,
    pub label: Option<String>,
    /// Share of the orders.
    pub share: f64,
    /// Share of the units finished.
    pub share_finished: Option<f64>,
}

/// A doubt: from the file (with its code) or from the run (without).
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct Warning {
    pub code: Option<String>,
    pub text: String,
}

/// A fixed text and what it is about.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct Caution {
    pub topic: String,
    pub text: String,
}
