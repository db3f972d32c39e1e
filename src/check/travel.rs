//! Work that may travel with its unit to later places of its segment.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::fit;
use super::names::name_of;
use super::quantity;
use super::steps::{Around, Steps};
use crate::diagnostic::words::travel as words;
use crate::line::{
    Keep, LateWork, Line, MoveRule, PlaceId, Precedence, Segment, Step, StepId, Test, Travel, Window,
};
use crate::syntax::tree::ClauseKind;

/// What bars a task from being done elsewhere than at its own place.
pub(super) struct Bound<'a> {
    pub tests: &'a [Test],
    pub windows: &'a [Window],
    pub keeps: &'a [Keep],
}

impl<'a> Bound<'a> {
    pub fn of(line: &'a Line) -> Bound<'a> {
        Bound { tests: &line.tests, windows: &line.windows, keeps: &line.keeps }
    }

    /// `is part of test q`, where something keeps it from being done elsewhere.
    pub fn why(&self, step: StepId, steps: &[Step]) -> Option<String> {
        let again = || self.tests.iter().find(|test| test.outcomes.iter().any(|o| o.kind.redoes(step)));
        let again = || again().map(|test| format!("is done again when test {} fails", test.name));
        self.why_the_first_time(step, steps).or_else(again)
    }

    /// The same of a unit that no test has sent back.
    pub fn why_the_first_time(&self, step: StepId, steps: &[Step]) -> Option<String> {
        let name = |id: StepId| &steps[id.index()].name;
        if let Some(test) = self.tests.iter().find(|test| test.steps.contains(&step)) {
            return Some(format!("is part of test {}", test.name));
        }
        let window = self.windows.iter().find(|w| {
            [w.opens, w.closes].contains(&step) || w.undone.contains(&step) || w.redo.contains(&step)
        });
        if let Some(window) = window {
            let (opens, closes) = (name(window.opens), name(window.closes));
            return Some(format!("lies in the window from {opens} to {closes}"));
        }
        let keep = self.keeps.iter().find(|k| [k.from, k.to].contains(&step));
        keep.map(|_| "has equipment kept from or to it".to_string())
    }
}

fn travels(segment: &Segment) -> bool {
    matches!(segment.rule, MoveRule::PushedEvery { late_work: LateWork::Travels { .. }, .. })
}

/// Reads `may travel` of every task, and sees to it that every segment in which late work travels has some.
pub(super) fn travel(
    items: &[&Item],
    steps: &mut Steps,
    (bound, order): (&Bound, Option<&Precedence>),
    around: &Around,
    desk: &mut Desk,
) {
    let mut said = false;
    for (index, item) in items.iter().enumerate() {
        let may = clause!(&*item.statement, ClauseKind::MayTravel { to, factor } => (to, factor));
        let (Some(((to, factor), clause)), Some(id)) = (may, steps.of_name[index]) else { continue };
        said = true;
        let name = name_of(&item.statement).text;
        let factor = match factor {
            Some(factor) => quantity::factor(factor, &format!("the factor of {name} on its way"), desk),
            None => Some(1.0),
        };
        let place = around.ground.find(to, around.names, desk);
        let (Some(factor), Some(last), true) = (factor, place, steps.placed[id.index()]) else { continue };
        if let Some(why) = bound.why(id, &steps.steps) {
            desk.fault(words::may_not_travel(clause.span, &name, &why));
            continue;
        }
        let own = steps.steps[id.index()].place;
        let segment = around.ground.place(own).segment;
        let same = segment.is_some() && segment == around.ground.place(last).segment;
        let rule = segment.map(|s| &around.ground.segments[s.index()]);
        let by_signal = rule.is_some_and(|s| matches!(s.rule, MoveRule::PushedEvery { .. }));
        if !same || !by_signal || last <= own {
            let own = &around.ground.place(own).name;
            desk.fault(words::nowhere_to_travel(clause.span, &name, own, &to.text));
            continue;
        }
        // Where it must be done at the latest, and wherever a step waits for it on the way.
        let waits = |place: PlaceId| {
            let here = (0..steps.steps.len()).map(StepId::from_index);
            let mut here = here.filter(|s| steps.steps[s.index()].place == place);
            here.any(|s| order.is_some_and(|order| order.comes_before(id, s)))
        };
        let on_the_way = (own.index() + 1..last.index()).map(PlaceId::from_index).filter(|p| waits(*p));
        for place in on_the_way.chain([last]) {
            fit::judge_at(&steps.steps[id.index()], place, around, desk);
        }
        // A segment that does not let late work travel holds for it: a layout may allow it.
        if rule.is_some_and(travels) {
            steps.steps[id.index()].travel = Some(Travel { to: last, factor });
        }
    }
    for segment in around.ground.segments.iter().filter(|s| travels(s)) {
        let marked = steps
            .steps
            .iter()
            .any(|step| step.travel.is_some() && segment.first <= step.place && step.place <= segment.last);
        if !marked && !said {
            desk.fault(words::nothing_travels(segment.span, &segment.name));
        }
    }
}
