//! Feeders and what they made.

use crate::report::record::Estimate;
use schemars::JsonSchema;
use serde::Serialize;

/// A short line that makes parts.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct FeederRow {
    pub id: String,
    pub label: Option<String>,
    /// Its stations and racks, in their order.
    pub places: Vec<String>,
    /// Parts made per net hour: of its own hours, where it has such.
    pub made_per_hour: Option<Estimate>,
    /// Net minutes of a replication in its own hours; null where it has those of the line.
    pub own_net_min: Option<f64>,
    /// Parts on their way to the store, on average; null where they are there at once.
    pub on_the_way: Option<Estimate>,
    /// Share of the parts made that passed every test at the first attempt; null without a test.
    pub first_pass_yield: Option<Estimate>,
    /// Clock minutes from its first place to the truck.
    pub making_min: Option<Estimate>,
    /// Parts made, and parts scrapped or set aside; all replications.
    pub made: u64,
    pub lost: u64,
    /// Lots begun; all replications. Null where it makes none.
    pub lots: Option<u64>,
    /// Trucks that brought something; all replications. Null where none goes at stated times.
    pub trucks: Option<u64>,
}
