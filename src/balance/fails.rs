//! What tests send round again, and what they let through to gates: expected numbers for one unit.

use crate::draws::Found;
use crate::line::{Finder, Line, OutcomeKind, Test, TestId};

/// Expected fails of one unit at a test.
pub(super) fn expected_fails(line: &Line, test: usize, model: usize) -> f64 {
    let escapes = escapes_to(line, Finder::Test(TestId::from_index(test)), model);
    let sound: f64 = escapes.iter().map(|chance| 1.0 - chance).product();
    attempts(&line.tests[test], model, 1.0 - sound).fails
}

/// Per test that lets faults of a unit through to a finder: the chance that it does.
fn escapes_to(line: &Line, finder: Finder, model: usize) -> Vec<f64> {
    let chance =
        |(test, share): (TestId, f64)| share * attempts(&line.tests[test.index()], model, 0.0).passed_unsure;
    line.let_through_to(finder).map(chance).collect()
}

/// Expected time at a place for what tests have let through to gates.
pub(super) fn let_through(line: &Line, place: usize, model: usize) -> f64 {
    let mut sum = 0.0;
    for (g, gate) in line.gates.iter().enumerate() {
        let chances = escapes_to(line, Finder::Gate(g as u16), model);
        for step in std::iter::once(gate.step).chain(gate.goes_on.map(|on| on.step)) {
            let step = &line.steps[step.index()];
            if chances.is_empty() || step.place.index() != place || !step.models[model] {
                continue;
            }
            let time = &step.times[model];
            let options = step.options.iter().map(|o| line.options[o.index()].rate).product::<f64>();
            let faults = time.dist.faults().map_or(0.0, |faults| Found::new(faults).mean_of_more(&chances));
            sum += faults * time.factor * options;
        }
    }
    sum
}

/// What comes of the attempts of one unit at a test.
struct Attempts {
    fails: f64,
    /// Chance of a pass that does not follow a false alarm.
    passed_unsure: f64,
}

/// The first attempt fails with 1 - p1, or because the unit came `faulty`; each later one with 1 - p2, or, after a
/// false alarm, as sound units do, unless the unit was scrapped; never more than the most tries.
fn attempts(test: &Test, model: usize, faulty: f64) -> Attempts {
    let (first, again) = test.passes[model];
    let share = |of: fn(&OutcomeKind) -> bool| -> f64 {
        test.outcomes.iter().filter(|o| of(&o.kind)).map(|o| o.share).sum()
    };
    let scrapped = share(|kind| matches!(kind, OutcomeKind::Scrapped));
    let alarm = test.wrong.alarm.map_or(0.0, |alarm| test.outcomes[alarm].share);
    let sound_fails = test.wrong.sound.get(model).map_or(0.0, |sound| 1.0 - sound);
    let (mut fails, mut passed_unsure) = (0.0, first);
    // What fails at this attempt: as any unit, and as one that is sound.
    let (mut unsure, mut sure) = (1.0 - first * (1.0 - faulty), 0.0);
    for _ in 0..test.most_tries.unwrap_or(10_000).min(10_000) {
        let failed = unsure + sure;
        if failed < 1e-15 {
            break;
        }
        fails += failed;
        let (alarms, others) = (failed * alarm, failed * (1.0 - alarm - scrapped).max(0.0));
        (unsure, sure) = (others * (1.0 - again), alarms * sound_fails);
        passed_unsure += others * again;
    }
    Attempts { fails, passed_unsure }
}
