//! Why a station takes as long as it does: every cycle watched, and what held the unit from its arrival to the end
//! of its work.
//!
//! Owns the watching. A cycle is a visit of a unit to a bay, in net time (of its feeder, where that has
//! hours of its own); what held the unit is found backwards from
//! its end (`path`), and adds up to the cycle to the microsecond.

mod path;
mod record;
mod visits;

use super::plan::{Plan, Precision, RunChoices};
use super::run::{Attendant, Outcome};
use super::together::Together;
use super::{StudyError, warm_up};
use crate::line::{Line, PlaceId};
use crate::report::CyclesReport;
use crate::simulate::{Observations, Settings, replicate};
use visits::Recorder;

/// Replications that are watched at most: they are run one by one.
pub const WATCHED: u32 = 20;

/// Watches the cycles of a station.
///
/// # Errors
/// The choices do not fit the line, it could not go on, or the run was
/// stopped.
pub fn cycles(
    line: &Line,
    place: PlaceId,
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<CyclesReport, StudyError> {
    let plan = Plan::of(line, choices)?;
    let warm_up = warm_up::find(line, &plan, attendant)?;
    let count = match plan.precision {
        Precision::Replications(count) => count.min(WATCHED),
        Precision::Within(_) => WATCHED,
    };
    let settings = Settings {
        seed: plan.seed,
        first: 0,
        count,
        horizon: plan.horizon,
        warm_up,
        record_finishes: false,
        faster: None,
    };
    attendant.begin("watching", count);
    let mut watched = Vec::new();
    let mut observations = Observations { seed: plan.seed, ..Observations::default() };
    for replication in 0..count {
        if attendant.stop() {
            return Err(StudyError::Interrupted);
        }
        let mut recorder = Recorder::at(line, place);
        let seen = replicate(line, &settings, replication, &mut recorder)
            .map_err(|error| StudyError::of_run(line, &error))?;
        observations.replications.push(seen);
        watched.push(recorder.seen);
        attendant.finished_one();
    }
    let outcome =
        Outcome { observations, horizon: plan.horizon, warm_up, gains: Vec::new(), cautions: Vec::new() };
    let together = Together { plans: vec![plan], warm_up, outcomes: vec![outcome] };
    Ok(record::record(line, place, &together, &watched))
}
