//! Gates, lanes, carriers, moves and the yard.

use crate::report::record::Estimate;
use schemars::JsonSchema;
use serde::Serialize;

/// A gate and what it found.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct GateRow {
    pub id: String,
    pub label: Option<String>,
    pub station: String,
    /// Units that came to it, all replications.
    pub units: u64,
    /// Faults found in a unit.
    pub found_per_unit: Option<Estimate>,
    /// Share of the units in which nothing was found.
    pub clear: Option<Estimate>,
    /// Where the faults that go on are mended; null where all are mended at the gate.
    pub goes_on_to: Option<String>,
    /// Faults of a unit that went on.
    pub went_on_per_unit: Option<Estimate>,
    /// Faults found in a unit that tests had let through; null where none lets any through to it.
    pub let_through_per_unit: Option<Estimate>,
}

/// What decides which lane a unit takes.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ChosenBy {
    Model,
    Share,
    ShortestQueue,
}

/// One of several ways side by side.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LaneRow {
    pub id: String,
    pub label: Option<String>,
    /// The group that it belongs to.
    pub lanes: String,
    pub lanes_label: Option<String>,
    pub chosen_by: ChosenBy,
    /// Its first and its last place.
    pub first: String,
    pub last: String,
    /// Units that went into it, all replications.
    pub units: u64,
    /// Of the units that went into any lane of the group.
    pub share: Option<Estimate>,
}

/// Pallets, moulds, cradles; averages over clock time.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CarrierRow {
    pub id: String,
    pub label: Option<String>,
    pub count: u32,
    /// The places between which a unit has one.
    pub from: String,
    pub to: String,
    /// Under a unit.
    pub with_units: Option<Estimate>,
    /// On the way back.
    pub on_the_way_back: Option<Estimate>,
    /// Share of the time in which none was free.
    pub share_none_free: Option<Estimate>,
}

/// Where finished units wait for lorries; averages over clock time.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct YardRow {
    pub id: String,
    pub label: Option<String>,
    pub places: u32,
    /// Units that a lorry takes at most.
    pub load: u32,
    /// Units in the yard.
    pub mean: Option<Estimate>,
    /// Share of the time in which it was full.
    pub share_full: Option<Estimate>,
    /// Units on a lorry.
    pub taken_per_lorry: Option<Estimate>,
    /// Lorries that came, and those of them that were not filled; all replications.
    pub lorries: u64,
    pub part_loads: u64,
}

/// One segment whose units people move one by one.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct MoveRow {
    pub segment: String,
    pub first: String,
    pub last: String,
    /// Of one move.
    pub moving_min: f64,
    /// All replications.
    pub moves: u64,
    pub moves_per_shift: Option<Estimate>,
    /// Net minutes per move that it waited for the people who move units, and for nothing else.
    pub waited_for_people_min: Option<Estimate>,
}
