//! A plan against today's line, on the same random days.

use super::compare::{Compared, Side, compare};
use super::error::StudyError;
use super::plan::RunChoices;
use super::run::Attendant;
use super::together::{count_of_lines, together};
use crate::line::Line;

/// Runs `line` as it stands and with its steps placed as `at` says; the count per shift (per hour where
/// there are no shifts) of the latter against the former.
///
/// # Errors
/// The choices do not fit the line, or a run could not go on.
pub fn simulate_plan(
    line: &Line,
    planned: &Line,
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<Compared, StudyError> {
    let lines = [line, planned];
    let runs = together(&lines, choices, attendant)?;
    let measure = count_of_lines(&lines);
    let side = |k: usize| Side { line: lines[k], measure, observed: &runs.outcomes[k].observations };
    Ok(compare(&side(1), &side(0), line.confidence))
}
