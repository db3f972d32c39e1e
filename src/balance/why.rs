//! One task, one station: what forbids it, or what it would come to.

use super::load::Closely;
use super::plan::{Caps, NoPlan, Worth};
use super::rules::{Reason, holdings, out_of_order, unable};
use super::trial::Trial;
use crate::line::{Line, PlaceId, StepId};

/// What becomes of moving one task.
#[derive(Clone, PartialEq, Debug)]
pub enum Verdict {
    /// It stands there already.
    There,
    /// The first rule that forbids it, in the order: held, the order of work, people, equipment, room.
    Forbidden(Reason),
    /// Nothing forbids it.
    Allowed { before: Worth, after: Worth, load_before: f64, load_after: f64, worst_after: f64 },
}

/// Could `step` stand at `place`, all others staying? Loads are shares of the place's window: mix-weighted
/// before and after, and of the model with most.
///
/// # Errors
/// The line can't be balanced at all.
pub fn why(line: &Line, step: StepId, place: PlaceId, caps: Caps) -> Result<Verdict, NoPlan> {
    if line.steps[step.index()].place == place {
        return Ok(Verdict::There);
    }
    let today: Vec<PlaceId> = line.steps.iter().map(|s| s.place).collect();
    let held = holdings(line)[step.index()].clone().map(Reason::Held);
    let reason =
        held.or_else(|| out_of_order(line, &today, step, place)).or_else(|| unable(line, step, place));
    if let Some(reason) = reason {
        return Ok(Verdict::Forbidden(reason));
    }
    let mut trial = Trial::new(line, caps)?;
    trial.as_stated = true;
    let mut then = today.clone();
    then[step.index()] = place;
    let mut look = |at: &[PlaceId]| {
        let loads = trial.loads(at, Closely::Exactly);
        let here = loads.iter().find(|load| load.place == place);
        let mix = here.map_or(0.0, |load| load.mean_share_with_retests(line));
        let worst = here.map_or(0.0, |load| {
            load.with_retests.iter().flatten().fold(0.0, |m: f64, t| m.max(t / load.window))
        });
        (trial.worth(at, Closely::Exactly), mix, worst)
    };
    let (before, load_before, _) = look(&today);
    let (after, load_after, worst_after) = look(&then);
    Ok(Verdict::Allowed { before, after, load_before, load_after, worst_after })
}
