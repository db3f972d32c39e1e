//! A plan against today's line, on the same random days.

use super::compare::{Compared, Side, compare};
use super::error::StudyError;
use super::plan::{Plan, RunChoices};
use super::run::{Attendant, run_after};
use super::verify::longest_warm_up;
use crate::line::{Line, Measure, PlaceId};

/// Runs `line` as it stands and with its steps placed as `at` says; the count per shift (per hour where
/// there are no shifts) of the latter against the former.
///
/// # Errors
/// The choices do not fit the line, or a run could not go on.
pub fn simulate_plan(
    line: &Line,
    at: &[PlaceId],
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<Compared, StudyError> {
    let mut planned = line.clone();
    planned.steps.iter_mut().zip(at).for_each(|(step, place)| step.place = *place);
    let lines = [line, &planned];
    let plans = lines.iter().map(|line| Plan::of(line, choices)).collect::<Result<Vec<_>, _>>()?;
    let warm_up = longest_warm_up(&lines, &plans, attendant)?;
    let today = run_after(line, &plans[0], warm_up, attendant)?;
    let then = run_after(&planned, &plans[1], warm_up, attendant)?;
    let measure = match line.calendar {
        Some(_) => Measure::UnitsPerShift,
        None => Measure::UnitsPerHour,
    };
    let side = |observed| Side { line, measure, observed };
    Ok(compare(&side(&then.observations), &side(&today.observations), line.confidence))
}
