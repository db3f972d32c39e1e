//! Where the units go: from the time of a shift to its good units, cause by cause, on the same random days.
//!
//! Owns the runs. The line as it stands is run; then one cause after another is switched off, each on top of
//! those before, and run again. What a cause costs is the difference of two neighbouring runs, so that
//! the parts add up exactly; it depends on the order, which is fixed and stated.

mod causes;
mod record;

use causes::{ORDER, without};

use super::compare::{Series, Side};
use super::plan::{Plan, RunChoices};
use super::run::{Attendant, Outcome, run_after};
use super::together::{Together, count_of_lines, longer};
use super::{StudyError, warm_up};
use crate::line::Line;
use crate::report::{Caution, LossCause, LossLeftOut, LossesReport};

/// A run of the line with some causes switched off.
#[derive(Debug)]
struct Stage {
    /// What was switched off last; `None`: the line as it stands.
    off: Option<LossCause>,
    /// Good units, one value for each replication.
    series: Series,
}

/// Runs the line as it stands, then with one cause after another switched off.
///
/// # Errors
/// The choices do not fit the line, the line as it stands could not go on, or the run was stopped.
pub fn losses(
    line: &Line,
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<LossesReport, StudyError> {
    let choices = RunChoices { gains: 0, ..choices.clone() };
    let plan = Plan::of(line, &choices)?;
    let mut cut = warm_up::find(line, &plan, attendant)?;
    let mut found = Found::default();
    let mut lines: Vec<(LossCause, Line)> = Vec::new();
    for cause in ORDER.iter().copied() {
        let before = lines.last().map_or(line, |(_, line)| line);
        let Some(off) = without(before, cause) else { continue };
        match warm_up::find(&off, &plan, attendant) {
            Ok(own) => cut = longer(cut, own),
            Err(StudyError::NeverSettles { .. }) => found.unsettled.push(cause),
            Err(error) => {
                found.leave_out(cause, error)?;
                continue;
            }
        }
        lines.push((cause, off));
    }
    let outcome = run_after(line, &plan, cut, attendant)?;
    found.cautions = outcome.cautions_of(line);
    found.add(line, None, &outcome)?;
    for (cause, off) in &lines {
        match run_after(off, &plan, cut, attendant) {
            Ok(outcome) => found.add(off, Some(*cause), &outcome)?,
            Err(error) => found.leave_out(*cause, error)?,
        }
    }
    let together = Together { plans: vec![plan], warm_up: cut, outcomes: vec![outcome] };
    Ok(record::record(line, &together, found))
}

/// What came of the runs.
#[derive(Debug, Default)]
struct Found {
    stages: Vec<Stage>,
    /// Causes without which no warm-up of their own was found.
    unsettled: Vec<LossCause>,
    left_out: Vec<LossLeftOut>,
    cautions: Vec<Caution>,
}

impl Found {
    /// Without all of it nothing adds up: a run that was stopped ends the study.
    fn add(&mut self, line: &Line, off: Option<LossCause>, outcome: &Outcome) -> Result<(), StudyError> {
        if outcome.observations.interrupted {
            return Err(StudyError::Interrupted);
        }
        let side = Side { line, measure: count_of_lines(&[line]), observed: &outcome.observations };
        self.stages.push(Stage { off, series: side.series() });
        Ok(())
    }

    /// A cause without which the line cannot be run stays on, and its cost is in what is left.
    fn leave_out(&mut self, cause: LossCause, error: StudyError) -> Result<(), StudyError> {
        match error {
            StudyError::Interrupted => Err(StudyError::Interrupted),
            StudyError::Run(_)
            | StudyError::NoShifts
            | StudyError::NothingToChoose
            | StudyError::NeverSettles { .. } => {
                self.left_out.push(LossLeftOut { cause, why: error.to_string() });
                Ok(())
            }
        }
    }
}
