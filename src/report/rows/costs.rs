//! What a unit costs.

use crate::report::record::Estimate;
use schemars::JsonSchema;
use serde::Serialize;

/// What a good unit costs, in the money of the file. Costs run with the calendar; the bands are those of
/// the count.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CostRow {
    /// The word for it.
    pub money: String,
    /// Everything, per good unit.
    pub per_unit: Option<Estimate>,
    pub people_per_unit: Option<Estimate>,
    pub bays_per_unit: Option<Estimate>,
    pub space_per_unit: Option<Estimate>,
    /// Everybody, those outside the line included.
    pub people_per_paid_hour: f64,
    /// Of 365/7 weeks like that of the file.
    pub people_per_year: f64,
    pub bays_per_year: f64,
    pub space_per_year: f64,
    /// Of all bays, slots, racks and repair places; null where none is stated.
    pub floor_m2: Option<f64>,
}
