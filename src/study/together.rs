//! Lines run on the same random days: one warm-up for all, then the replications of each.

use super::plan::{Plan, RunChoices, horizon_words, warm_up_words};
use super::run::{Attendant, Outcome, run_on};
use super::{StudyError, warm_up};
use crate::line::{Line, Measure};
use crate::simulate::WarmUp;
use crate::units::count_of;

/// What came of it, line by line.
#[derive(Clone, PartialEq, Debug)]
pub struct Together {
    pub plans: Vec<Plan>,
    /// One cut for all lines: the longest that any of them needs.
    pub warm_up: WarmUp,
    pub outcomes: Vec<Outcome>,
}

/// Runs every line as chosen.
///
/// # Errors
/// The choices do not fit a line, or a run could not go on.
pub fn together(
    lines: &[&Line],
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<Together, StudyError> {
    let plans = lines.iter().map(|line| Plan::of(line, choices)).collect::<Result<Vec<_>, _>>()?;
    let pilots = lines.iter().zip(&plans).map(|(line, plan)| warm_up::find_by_pilot(line, plan, attendant));
    let pilots = pilots.collect::<Result<Vec<_>, _>>()?;
    let warm_up = pilots.iter().fold(WarmUp::None, |cut, pilot| longer(cut, pilot.cut));
    let runs = lines
        .iter()
        .zip(&plans)
        .zip(pilots)
        .map(|((line, plan), pilot)| run_on(line, plan, warm_up, pilot.begins(plan, warm_up), attendant));
    let outcomes = runs.collect::<Result<Vec<_>, _>>()?;
    Ok(Together { plans, warm_up, outcomes })
}

/// The longer of two cuts; layouts of one line are cut in the same unit.
pub fn longer(one: WarmUp, other: WarmUp) -> WarmUp {
    match (one, other) {
        (WarmUp::None, cut) | (cut, WarmUp::None) => cut,
        (WarmUp::Shifts(a), WarmUp::Shifts(b)) => WarmUp::Shifts(a.max(b)),
        (WarmUp::Units(a), WarmUp::Units(b)) => WarmUp::Units(a.max(b)),
        (WarmUp::For(a), WarmUp::For(b)) => WarmUp::For(a.max(b)),
        (one, WarmUp::For(_) | WarmUp::Shifts(_) | WarmUp::Units(_)) => one,
    }
}

/// `no warm-up`, `warm-up 5 shifts`
pub fn cut_words(warm_up: WarmUp) -> String {
    match warm_up {
        WarmUp::None => "no warm-up".to_string(),
        cut @ (WarmUp::For(_) | WarmUp::Shifts(_) | WarmUp::Units(_)) => {
            format!("warm-up {}", warm_up_words(cut))
        }
    }
}

impl Together {
    /// `20 replications of 5 shifts, no warm-up, seed 7`
    pub fn words(&self) -> String {
        let Some(plan) = self.plans.first() else { return "nothing was run".to_string() };
        let most = self.outcomes.iter().map(|o| o.observations.replications.len()).max().unwrap_or(0);
        let cut = cut_words(self.warm_up);
        let (replications, horizon) = (count_of(most, "replication"), horizon_words(plan.horizon));
        format!("{replications} of {horizon}, {cut}, seed {}", plan.seed)
    }

    pub fn is_interrupted(&self) -> bool {
        self.outcomes.iter().any(|outcome| outcome.observations.interrupted)
    }
}

/// The count that lines are judged on: of a shift where all of them have shifts, else of an hour.
pub fn count_of_lines(lines: &[&Line]) -> Measure {
    match lines.iter().all(|line| line.calendar.is_some()) {
        true => Measure::UnitsPerShift,
        false => Measure::UnitsPerHour,
    }
}
