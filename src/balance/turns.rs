//! Steps of which their places alone say how a unit stands when they come.
//!
//! Where one step follows another, both may go anywhere in that order. Where only earlier and later places say which of
//! them is first, and the unit would stand otherwise the other way round, both stay.

use crate::line::{Line, OutcomeKind, Precedence, StepId};

/// The steps that stay for that, each with the other one.
pub(super) fn kept_by_place(line: &Line, order: &Precedence) -> Vec<(StepId, StepId)> {
    let mut turning: Vec<StepId> = line.orientations.iter().flat_map(|o| &o.set_by).copied().collect();
    turning.sort_unstable();
    turning.dedup();
    // However it stands is as good for what takes it in every way there is.
    let said = line.orientations.iter().any(|o| o.first);
    let any_way = |step: &StepId| said && line.orientations.iter().all(|o| o.needed_by.contains(step));
    let needing = line.orientations.iter().flat_map(|o| &o.needed_by).copied();
    let mut all: Vec<StepId> = needing.filter(|step| !any_way(step)).collect();
    all.extend(&turning);
    all.sort_unstable();
    all.dedup();
    let again = done_again(line, &all);
    let mut found = Vec::new();
    for step in &all {
        let (before, after) = (order.all_before(*step), order.all_after(*step));
        let by_place = |others: &[StepId]| {
            let first = others.first().filter(|first| meet(line, *step, **first, !again.is_empty()))?;
            let ordered = |other: &StepId| before[other.index()] || after[other.index()] || other == step;
            (!others.iter().any(ordered)).then_some(*first)
        };
        let turns = |step: &StepId| turning.binary_search(step).is_ok();
        let others = all.iter().filter(|other| turns(step) || turns(other)).map(std::slice::from_ref);
        let other = others.chain(again.iter().map(Vec::as_slice)).find_map(by_place);
        found.extend(other.map(|other| (*step, other)));
    }
    found
}

/// Some units have both; at different places, where nothing is done again: then a unit that stands in fewer ways is as
/// good. What is done again must leave it in one of those that were.
fn meet(line: &Line, one: StepId, other: StepId, again: bool) -> bool {
    let (one, other) = (&line.steps[one.index()], &line.steps[other.index()]);
    let both = one.models.iter().zip(&other.models).any(|(one, other)| *one && *other);
    both && (again || one.place != other.place)
}

/// The steps up to which a fail or a missed window has some of those done again, one list for each.
fn done_again(line: &Line, all: &[StepId]) -> Vec<Vec<StepId>> {
    let some = |steps: &[StepId]| steps.iter().any(|step| all.binary_search(step).is_ok());
    let redone = |kind: &OutcomeKind| all.iter().any(|step| kind.redoes(*step));
    let tests = line
        .tests
        .iter()
        .filter(|test| some(&test.steps) || test.outcomes.iter().any(|outcome| redone(&outcome.kind)));
    let windows = line.windows.iter().filter(|window| some(&window.undone));
    tests.map(|test| test.steps.clone()).chain(windows.map(|window| vec![window.closes])).collect()
}
