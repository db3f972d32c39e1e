//! Stations, what holds the line back, and pushes.

use super::stores::LevelFigures;
use crate::report::record::Estimate;
use crate::stats::BayState;
use schemars::JsonSchema;
use serde::Serialize;

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
    /// The feeder that it belongs to; left out for places of the line and repair bays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feeder: Option<String>,
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
    /// Share of the segment's pushes at which its unit was pulled off the line; left out where it pulls none off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pulled_off: Option<Estimate>,
    /// Share of the segment's pushes at which its unit went on with work left, and minutes of it per push; left
    /// out where its crew does not drift.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drifts: Option<Estimate>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drift_min: Option<Estimate>,
    /// Share of the segment's pushes at which its crew had begun the unit that came, in the place behind, and minutes
    /// before the push, per push; left out where its crew does not begin early.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub begun_early: Option<Estimate>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub begun_early_min: Option<Estimate>,
    /// Person-minutes a shift beyond net time, of work that people finish before a break; left out where they
    /// finish none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overrun_min: Option<Estimate>,
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

impl Method {
    /// As printed.
    pub fn words(self) -> &'static str {
        match self {
            Method::UnitsGained => "units gained (paired runs)",
            Method::DelayCaused => "delay caused",
            Method::PushesLast => "share of pushes last",
            Method::TurningPoint => "turning point (Li 2009)",
            Method::ActivePeriod => "active period (Roser 2001)",
            Method::HighestUse => "highest use",
        }
    }
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
    /// Net minutes per push that it waited for the people who move the units, and for nothing else; left out where
    /// nobody does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waited_for_people_min: Option<Estimate>,
}
