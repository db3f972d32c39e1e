//! What tests cost beyond one pass: how often a unit fails, and how long it is fixed.

use super::load::DRAWS;
use crate::draws::moments::{mean, quantile};
use crate::line::{Fix, Line, OutcomeKind, SharedBy, Test};

/// Mean time of a fix with everybody who may share it: the unit is alone with the full crew.
pub(super) fn mean_of_fix(fix: &Fix, model: usize) -> f64 {
    let mean = mean(&fix.time);
    let Some(shared) = &fix.shared else { return mean };
    let needed = fix.needs.iter().map(|need| need.count).sum();
    let time = |micros: f64| shared.by.time(micros, needed, shared.most_people(model));
    match shared.by {
        // A share of whatever it takes.
        SharedBy::Table(_) | SharedBy::Power { fixed: 0.0, .. } => time(mean),
        SharedBy::Power { .. } if fix.time.as_constant().is_some() => time(mean),
        // Bent where it is shorter than what is fixed: by its quantiles, in the middle of equal shares.
        SharedBy::Power { .. } => {
            let middle = |k: u64| (k as f64 + 0.5) / DRAWS as f64;
            (0..DRAWS).map(|k| time(quantile(&fix.time, middle(k)))).sum::<f64>() / DRAWS as f64
        }
    }
}

/// Expected fails of one unit at a test.
pub(super) fn expected_fails(line: &Line, test: usize, model: usize) -> f64 {
    let lets_through = |other: &Test| match other.wrong.escapes {
        Some((share, finder)) if finder.index() == test => share * attempts(other, model, 0.0).passed_unsure,
        Some(_) | None => 0.0,
    };
    let sound: f64 = line.tests.iter().map(|other| 1.0 - lets_through(other)).product();
    attempts(&line.tests[test], model, 1.0 - sound).fails
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
