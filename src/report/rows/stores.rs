//! Places to wait, stores of parts and equipment.

use crate::report::record::Estimate;
use schemars::JsonSchema;
use serde::Serialize;

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
    /// Lots that came, those of them that were late, and that did not fit at once; all replications. Null
    /// where a feeder fills the store.
    pub lots: Option<u64>,
    pub late_lots: Option<u64>,
    pub lots_kept_out: Option<u64>,
    /// Left out where no lots are ordered at a level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ordering: Option<OrderingRow>,
    /// Starts of tasks that found the part short; all replications. Null where it never is.
    pub short: Option<u64>,
    /// Clock minutes until what was missing arrived, on average.
    pub missing_min: Option<f64>,
    /// Starts that found it for another model, and units that others of another model overtook; all
    /// replications. Null where no re-kit is stated.
    pub wrong: Option<u64>,
    pub out_of_turn: Option<u64>,
    /// Net minutes of a re-kit, on average.
    pub rekit_min: Option<f64>,
}

/// Lots that are ordered at a level.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct OrderingRow {
    /// Pieces that are ordered and have not come, averaged over clock time.
    pub on_order: Option<Estimate>,
    /// Lots ordered, and how often the store ran empty; per replication.
    pub orders: Option<Estimate>,
    pub ran_out: Option<Estimate>,
}
