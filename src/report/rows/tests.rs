//! Tests and the waiting before them.

use crate::report::record::Estimate;
use schemars::JsonSchema;
use serde::Serialize;

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
    /// Left out where the file says nothing of wrong verdicts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wrong_verdicts: Option<WrongRow>,
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

/// Verdicts that are wrong.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct WrongRow {
    /// Share of the fails that were none.
    pub false_alarms: Option<Estimate>,
    /// Share of the passes that were none.
    pub let_through: Option<Estimate>,
    /// Units in which it found what another test had let through, all replications.
    pub found_later: u64,
}
