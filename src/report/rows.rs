//! The rows of the report: stations, tests, places to wait, people, holds, promises.

use schemars::JsonSchema;
use serde::Serialize;

use super::record::Estimate;
use crate::stats::BayState;

#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PlaceKind {
    Station,
    Rack,
    Repair,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct StationRow {
    pub id: String,
    pub label: Option<String>,
    pub kind: PlaceKind,
    pub bays: u32,
    /// Name of the crew; null for a rack.
    pub crew: Option<String>,
    /// Units that entered a bay, per replication.
    pub units: Option<Estimate>,
    /// Shares of the bays' net time; they sum to 1 (rounded by largest remainder at six decimals).
    pub shares: StateShares,
    /// Half-widths of their intervals; null below two replications.
    pub shares_plus_minus: Option<StateShares>,
    /// Share of net time working, holding or moving.
    pub in_use: Option<Estimate>,
    /// Clock minutes of holding outside net time, per replication.
    pub holding_outside_min: Option<Estimate>,
    pub bays_occupied: Option<LevelFigures>,
    /// Mix-weighted load, 1 = the whole window; null where no window is known.
    pub load: Option<f64>,
    /// The same with retests, fixes in place and work sent back.
    pub load_with_retests: Option<f64>,
    pub load_by_model: Vec<ModelLoad>,
    /// Share of the segment's pushes at which it was ready last; null in unpaced segments.
    pub last_to_finish: Option<Estimate>,
    /// Minutes per push of its segment.
    pub delay_caused_min: Option<Estimate>,
    /// Minutes per shift; null without a calendar.
    pub delay_caused_min_per_shift: Option<Estimate>,
    /// Pushes at which it stood still for a returning unit, all replications.
    pub held_for_return: u64,
    pub bottleneck: Evidence,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ModelLoad {
    pub model: String,
    /// Null where the model has no work there.
    pub load: Option<f64>,
}

/// One figure for each state, in the order in which the states apply.
#[derive(Clone, PartialEq, Debug, Default, Serialize, JsonSchema)]
pub struct StateShares {
    pub stopped: f64,
    pub holding: f64,
    pub off_shift: f64,
    pub moving: f64,
    pub working: f64,
    pub short_of_parts: f64,
    pub short_of_equipment: f64,
    pub short_of_room: f64,
    pub short_of_people: f64,
    pub waiting_for_another_step: f64,
    pub blocked: f64,
    pub waiting_for_the_signal: f64,
    pub starved: f64,
}

impl StateShares {
    pub fn from_fn(figure: impl Fn(BayState) -> f64) -> StateShares {
        let mut shares = StateShares::default();
        BayState::ALL.iter().for_each(|state| *shares.at(*state) = figure(*state));
        shares
    }

    fn at(&mut self, state: BayState) -> &mut f64 {
        match state {
            BayState::Stopped => &mut self.stopped,
            BayState::Holding => &mut self.holding,
            BayState::OffShift => &mut self.off_shift,
            BayState::Moving => &mut self.moving,
            BayState::Working => &mut self.working,
            BayState::ShortOfParts => &mut self.short_of_parts,
            BayState::ShortOfEquipment => &mut self.short_of_equipment,
            BayState::ShortOfRoom => &mut self.short_of_room,
            BayState::ShortOfPeople => &mut self.short_of_people,
            BayState::WaitingForStep => &mut self.waiting_for_another_step,
            BayState::Blocked => &mut self.blocked,
            BayState::WaitingForSignal => &mut self.waiting_for_the_signal,
            BayState::Starved => &mut self.starved,
        }
    }

    pub fn of(&self, state: BayState) -> f64 {
        *self.clone().at(state)
    }
}

/// What each method has to say about a station; null where the method does not apply.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Evidence {
    /// Units gained by 5 % less attended work, per shift (per net hour without a calendar), from
    /// paired runs; null where they were not made.
    pub units_gained: Option<Estimate>,
    pub delay_caused_min: Option<Estimate>,
    pub pushes_last: Option<Estimate>,
    /// Li, Chang & Ni 2009.
    pub turning_point: Option<bool>,
    /// Mean uninterrupted active period, net minutes: Roser, Nakano & Tanaka 2001.
    pub active_period_min: Option<Estimate>,
    pub in_use: Option<Estimate>,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    UnitsGained,
    DelayCaused,
    PushesLast,
    TurningPoint,
    ActivePeriod,
    HighestUse,
}

/// The one station named, and who says so.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct BottleneckRow {
    pub station: Option<String>,
    /// The verdict as a sentence, with the disagreement of methods where there is one.
    pub sentence: String,
    pub methods: Vec<MethodRow>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct MethodRow {
    pub method: Method,
    /// The first named, then those it cannot tell from it.
    pub stations: Vec<String>,
    /// Of the first.
    pub figure: Option<Estimate>,
    pub unit: String,
}

/// One pushed segment.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PushRow {
    pub segment: String,
    pub first: String,
    pub last: String,
    /// Minutes between signals; null where units move as soon as all are ready.
    pub every_min: Option<f64>,
    pub index_min: f64,
    /// All replications.
    pub pushes: u64,
    pub pushes_per_shift: Option<Estimate>,
    /// Share of pushes that went at their signal.
    pub on_time: Option<Estimate>,
    /// Minutes after the signal, per push.
    pub delay_min: Option<Estimate>,
    pub delay_min_per_shift: Option<Estimate>,
    /// Tasks that went on unfinished, per push; null where late work does not travel.
    pub tasks_taken_along: Option<Estimate>,
    /// Net minutes per push worked on them at later places.
    pub done_elsewhere_min: Option<Estimate>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct TestRow {
    pub id: String,
    pub label: Option<String>,
    pub station: String,
    pub bays: u32,
    /// Visits to a bay, per replication.
    pub arrivals: Option<Estimate>,
    pub arrivals_per_shift: Option<Estimate>,
    pub first_pass_yield: Option<Estimate>,
    pub attempts_per_unit: Option<Estimate>,
    /// Clock minutes from done upstream to entry of the bay.
    pub wait_min: Wait,
    /// Share of all waiting that was spent blocked in an upstream bay.
    pub blocked_upstream: Option<Estimate>,
    /// Units waiting, averaged over clock time.
    pub queue_length: Option<Estimate>,
    /// Share of visits that waited at all.
    pub chance_of_wait: Option<Estimate>,
    /// Bays occupied, averaged over clock time.
    pub busy_bays: Option<Estimate>,
    /// Clock minutes that a visit holds a bay.
    pub service_min: Option<Estimate>,
    pub closed_form: Option<ClosedFormRow>,
    /// Why no formula stands here.
    pub no_closed_form: Option<String>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Wait {
    pub mean: Option<Estimate>,
    pub p50: Option<Estimate>,
    pub p90: Option<Estimate>,
    pub p95: Option<Estimate>,
    /// The longest seen.
    pub max: Option<f64>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ClosedFormRow {
    pub wait_min: f64,
    pub model: String,
    pub assumptions: String,
    /// Share of the bays' time that the visits need.
    pub load: f64,
}

/// Places to wait.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LevelRow {
    /// The rack; for slots, the station they stand before.
    pub id: String,
    pub label: Option<String>,
    pub places: u32,
    /// Places occupied, averaged over clock time.
    pub mean: Option<Estimate>,
    /// Not exceeded 95 % of the time.
    pub p95: Option<Estimate>,
    pub share_full: Option<Estimate>,
    pub share_empty: Option<Estimate>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LevelFigures {
    pub mean: Option<Estimate>,
    pub p95: Option<Estimate>,
    pub share_full: Option<Estimate>,
    pub share_empty: Option<Estimate>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PeopleKind {
    Crew,
    Group,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PeopleRow {
    pub id: String,
    pub label: Option<String>,
    pub kind: PeopleKind,
    /// Heads, all bays together.
    pub count: u32,
    /// Shares of their net time.
    pub shares: Option<PeopleShares>,
    pub shares_plus_minus: Option<PeopleShares>,
    /// Who was there; only where the file says who may be absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub presence: Option<PresenceRow>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PresenceRow {
    /// People there on average: all of them less those absent.
    pub present: f64,
    /// Share of net time.
    pub absent: f64,
    pub absent_plus_minus: Option<f64>,
    /// Of a crew: share of its shifts in which a seat was empty; null of a group.
    pub short_shifts: Option<f64>,
    pub short_shifts_low: Option<f64>,
    pub short_shifts_high: Option<f64>,
}

#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PeopleShares {
    pub working: f64,
    pub waiting: f64,
    /// Gone home early; visitors: outside their hours.
    pub off_shift: f64,
}

/// The floaters of one statement.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct FloaterRow {
    pub label: Option<String>,
    pub count: u32,
    pub shares: Option<FloaterShares>,
    pub shares_plus_minus: Option<FloaterShares>,
}

/// Of their net time.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct FloaterShares {
    /// In the seat of somebody who is absent.
    pub standing_in: f64,
    /// There, and nobody to stand in for.
    pub spare: f64,
    pub absent: f64,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct EquipmentRow {
    pub id: String,
    pub label: Option<String>,
    pub count: u32,
    pub shares: Option<EquipmentShares>,
    pub shares_plus_minus: Option<EquipmentShares>,
}

#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct EquipmentShares {
    /// In use or kept.
    pub in_use: f64,
    pub free: f64,
}

/// A store of parts.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct StoreRow {
    pub id: String,
    pub label: Option<String>,
    pub places: u32,
    /// Pieces in the store, averaged over clock time.
    pub mean: Option<Estimate>,
    /// Shares of clock time.
    pub share_empty: Option<Estimate>,
    pub share_full: Option<Estimate>,
    /// Pieces that came in and that tasks took, per replication.
    pub came: Option<Estimate>,
    pub used: Option<Estimate>,
    /// How often a task found too few and began to wait, per replication.
    pub waits: Option<Estimate>,
    /// Lots that came, those of them that were late, and that did not fit at once; all replications.
    pub lots: u64,
    pub late_lots: u64,
    pub lots_kept_out: u64,
}

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
