//! What is fixed by safety or quality: compared between layouts, whatever way it is touched.
//!
//! Not the edits are judged but what they come to: a hold marked `safety` must still be there, for
//! every unit it was for, with no shorter minimum; a test must still be there with all its steps.

use super::desk::Desk;
use super::procedures::Tests;
use super::steps::Steps;
use crate::diagnostic::Span;
use crate::diagnostic::words::safety as words;
use crate::line::{Lanes, Model, UnitOption, Warmth};
use crate::units::{Time, join_and};

/// What must not be weakened.
#[derive(Clone, Debug, Default)]
pub(super) struct Guarded {
    holds: Vec<GuardedHold>,
    tests: Vec<GuardedTest>,
}

#[derive(Clone, Debug)]
struct GuardedHold {
    name: String,
    minimum: Time,
    safety: bool,
    warm: Option<Warmth>,
    applies: Applies,
    span: Span,
}

#[derive(Clone, Debug)]
struct GuardedTest {
    name: String,
    safety: bool,
    steps: Vec<(String, Applies)>,
    span: Span,
}

/// The units a step is for.
#[derive(Clone, PartialEq, Debug)]
struct Applies {
    /// With the share of its units that come there: all of them, outside lanes.
    models: Vec<(String, f64)>,
    options: Vec<String>,
    once_a_lot: bool,
}

impl Applies {
    /// Every unit of the other one is among these.
    fn covers(&self, other: &Applies) -> bool {
        let share =
            |name: &str| self.models.iter().find(|(model, _)| model == name).map_or(0.0, |(_, share)| *share);
        other.models.iter().all(|(model, before)| share(model) >= *before)
            && self.options.iter().all(|option| other.options.contains(option))
            && (other.once_a_lot || !self.once_a_lot)
    }
}

/// Every hold and test with what guards it.
pub(super) fn guarded(
    steps: &Steps,
    tests: &Tests,
    lanes: &[Lanes],
    (models, options): (&[Model], &[UnitOption]),
) -> Guarded {
    let comes = |step: &crate::line::Step, model: usize| {
        let lane = lanes.iter().find_map(|lanes| Some((lanes, lanes.lane_of(step.place)?)));
        lane.map_or(1.0, |(lanes, lane)| lanes.share_of(lane, model))
    };
    let applies = |step: &crate::line::Step| Applies {
        models: models
            .iter()
            .enumerate()
            .filter(|(m, _)| step.models[*m])
            .map(|(m, model)| (model.name.clone(), comes(step, m)))
            .collect(),
        options: step.options.iter().map(|id| options[id.index()].name.clone()).collect(),
        once_a_lot: step.once_a_lot,
    };
    let holds = steps
        .steps
        .iter()
        .filter_map(|step| step.hold().map(|hold| (step, hold)))
        .map(|(step, hold)| GuardedHold {
            name: step.name.clone(),
            minimum: hold.minimum,
            safety: hold.safety,
            warm: hold.warm.clone(),
            applies: applies(step),
            span: step.span,
        })
        .collect();
    let tests = tests
        .tests
        .iter()
        .map(|test| GuardedTest {
            name: test.name.clone(),
            safety: test.safety,
            steps: test
                .steps
                .iter()
                .map(|id| &steps.steps[id.index()])
                .map(|step| (step.name.clone(), applies(step)))
                .collect(),
            span: test.span,
        })
        .collect();
    Guarded { holds, tests }
}

/// Who weakens what: a layout (with what its statements name) or settings from outside.
pub(super) struct Culprit<'a> {
    pub said: String,
    pub span: Option<Span>,
    pub edits: &'a [(String, Span)],
}

impl Culprit<'_> {
    /// The edit that names it, else the whole; `own` for settings from outside.
    fn place(&self, names: &[&str], own: Span) -> Span {
        let edit = self.edits.iter().rev().find(|(name, _)| names.contains(&name.as_str()));
        edit.map(|(_, span)| *span).or(self.span).unwrap_or(own)
    }
}

/// Reports everything marked `safety` in `before` that is weaker in `after`.
pub(super) fn compare(before: &Guarded, after: &Guarded, culprit: &Culprit, desk: &mut Desk) {
    for hold in before.holds.iter().filter(|hold| hold.safety) {
        let place = culprit.place(&[&hold.name], hold.span);
        let who = &culprit.said;
        let Some(now) = after.holds.iter().find(|other| other.name == hold.name) else {
            desk.fault(words::safety_touched(
                place,
                "hold",
                &hold.name,
                &format!("{who} drops it"),
                hold.span,
            ));
            continue;
        };
        if now.minimum < hold.minimum {
            let (minimum, tried) = (hold.minimum.to_string(), now.minimum.to_string());
            desk.fault(words::under_safety_minimum(place, &hold.name, &minimum, &tried, who, hold.span));
        }
        if let Some(warm) = hold.warm.as_ref().filter(|warm| asks_less(now.warm.as_ref(), warm)) {
            let least = crate::units::decimals(warm.least, 1);
            let doing = format!("{who} asks for less than its {least} C");
            desk.fault(words::safety_touched(place, "hold", &hold.name, &doing, hold.span));
        }
        if !now.safety {
            let doing = format!("{who} drops the mark");
            desk.fault(words::safety_touched(place, "hold", &hold.name, &doing, hold.span));
        }
        if !now.applies.covers(&hold.applies) {
            let doing = format!("{who} drops it for some units");
            desk.fault(words::safety_touched(place, "hold", &hold.name, &doing, hold.span));
        }
    }
    for test in before.tests.iter().filter(|test| test.safety) {
        compare_test(test, after, culprit, desk);
    }
}

/// Less warmth than before, or colder time that no longer undoes it.
fn asks_less(now: Option<&Warmth>, before: &Warmth) -> bool {
    now.is_none_or(|now| now.least < before.least || (before.again && !now.again))
}

fn compare_test(test: &GuardedTest, after: &Guarded, culprit: &Culprit, desk: &mut Desk) {
    let who = &culprit.said;
    let Some(now) = after.tests.iter().find(|other| other.name == test.name) else {
        let place = culprit.place(&[&test.name], test.span);
        desk.fault(words::safety_touched(place, "test", &test.name, &format!("{who} drops it"), test.span));
        return;
    };
    if !now.safety {
        let place = culprit.place(&[&test.name], test.span);
        desk.fault(words::safety_touched(
            place,
            "test",
            &test.name,
            &format!("{who} drops the mark"),
            test.span,
        ));
    }
    let weaker: Vec<&str> = test
        .steps
        .iter()
        .filter(|(name, applies)| !now.steps.iter().any(|(other, now)| other == name && now.covers(applies)))
        .map(|(name, _)| name.as_str())
        .collect();
    if !weaker.is_empty() {
        let names: Vec<&str> = std::iter::once(test.name.as_str()).chain(weaker.iter().copied()).collect();
        let place = culprit.place(&names, test.span);
        let doing = format!("{who} takes {} out of it", join_and(&weaker));
        desk.fault(words::safety_touched(place, "test", &test.name, &doing, test.span));
    }
}
