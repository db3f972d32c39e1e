//! How the unit stands when work is done again, after a fail or a missed window, and for what comes later.

use super::desk::Desk;
use super::orientation::{Judge, Moment, UNSAID};
use crate::diagnostic::Span;
use crate::diagnostic::words::orientation as words;
use crate::line::{OutcomeKind, PlaceId, StepId, Test, Window};
use std::collections::BTreeSet;

/// Work that is done again.
struct Again<'a> {
    /// `after a fail of rough`
    who: String,
    span: Span,
    /// When it begins, and the place of that.
    moment: Moment<'a>,
    place: PlaceId,
    /// What has been done by then, last of all.
    ends: &'a [StepId],
    /// In the order in which it is done.
    steps: Vec<StepId>,
}

impl<'a> Judge<'a> {
    /// Steps done again find the unit as they need it and leave it as it was, and what comes later finds it right.
    pub(super) fn judge_again(&self, model: usize, desk: &mut Desk) {
        let tests = self.asked.tests.tests.iter().flat_map(|test| self.after_fails(test, model));
        let windows = self.asked.windows.iter().map(|window| self.after_miss(window, model));
        let all: Vec<Again> = tests.chain(windows).collect();
        all.iter().for_each(|again| self.judge_itself(again, model, desk));
        if !desk.has_errors() {
            all.iter().for_each(|again| self.judge_what_follows(again, &all, model, desk));
        }
    }

    fn judge_itself(&self, again: &Again, model: usize, desk: &mut Desk) {
        for (at, id) in again.steps.iter().enumerate() {
            let needs = self.needs_of(*id, model);
            if !needs.is_empty() {
                let units = again.moment.units.clone().with(&self.steps[id.index()]);
                let moment = Moment { units, ..again.moment.clone() };
                let found = self.possible(&moment, &again.steps[..at]);
                if self.finds_otherwise(again, *id, &needs, &found, desk) {
                    return;
                }
            }
        }
        let was = self.possible(&again.moment, &[]);
        let left = self.possible(&again.moment, &again.steps);
        if let Some(wrong) = left.iter().find(|found| !was.contains(found)) {
            let was: Vec<usize> = was.iter().copied().filter(|o| *o != UNSAID).collect();
            let (stands, was) = (self.said(*wrong), self.names(&was));
            desk.fault(words::not_turned_back(again.span, &again.who, stands.as_deref(), &was));
        }
    }

    /// A unit is left as some other one was: what is still to do to it, the first time or again, may need more.
    fn judge_what_follows(&self, again: &Again, all: &[Again], model: usize, desk: &mut Desk) {
        let later = |steps: Vec<StepId>| -> Vec<StepId> {
            steps.into_iter().filter(|step| again.moment.later[step.index()]).collect()
        };
        let units = &again.moment.units;
        for step in (0..self.steps.len()).filter(|step| !again.moment.over[*step]).map(StepId::from_index) {
            let needs = self.needs_of(step, model);
            if !needs.is_empty() {
                let units = units.clone().with(&self.steps[step.index()]);
                let found = self.turned(&units, &again.steps, &later(self.turning_before(step)));
                if self.finds_otherwise(again, step, &needs, &found, desk) {
                    return;
                }
            }
        }
        let over = |other: &Again| other.ends.iter().all(|step| again.moment.over[step.index()]);
        for other in all.iter().filter(|other| other.ends == again.ends || !over(other)) {
            let between = later(self.turning_by(&other.moment));
            for (at, step) in other.steps.iter().enumerate() {
                let needs = self.needs_of(*step, model);
                if !needs.is_empty() {
                    let units = units.clone().at(other.place).with(&self.steps[step.index()]);
                    let since: Vec<StepId> = between.iter().chain(&other.steps[..at]).copied().collect();
                    let found = self.turned(&units, &again.steps, &since);
                    if self.finds_otherwise(again, *step, &needs, &found, desk) {
                        return;
                    }
                }
            }
        }
    }

    /// None for a step that the model doesn't have.
    fn needs_of(&self, step: StepId, model: usize) -> Vec<usize> {
        if self.steps[step.index()].models[model] { self.needs(step) } else { Vec::new() }
    }

    /// Reports a step that may find the unit otherwise.
    fn finds_otherwise(
        &self,
        again: &Again,
        step: StepId,
        needs: &[usize],
        found: &BTreeSet<usize>,
        desk: &mut Desk,
    ) -> bool {
        let Some(wrong) = found.iter().find(|found| !needs.contains(found)) else { return false };
        desk.fault(words::redone_otherwise(
            again.span,
            &again.who,
            &self.steps[step.index()].name,
            &self.names(needs),
            self.said(*wrong).as_deref(),
            &self.setters_of(needs),
        ));
        true
    }

    fn in_order(&self, mut steps: Vec<StepId>) -> Vec<StepId> {
        steps.sort_by_key(|step| self.order.rank(*step));
        steps
    }

    /// When all of `steps` are done, at `place`.
    fn when_done(&self, steps: &[StepId], place: PlaceId, model: usize) -> Moment<'a> {
        let mut moment = self.between(self.units(model).at(place), place, place);
        for step in steps {
            let around = self.order.all_before(*step).into_iter().zip(self.order.all_after(*step));
            for (index, (before, after)) in around.enumerate() {
                moment.over[index] |= before;
                moment.later[index] |= after;
            }
        }
        for step in steps {
            moment.over[step.index()] = true;
            moment.later[step.index()] = false;
        }
        moment
    }

    /// What is done again after the fails of a test, each way.
    fn after_fails(&self, test: &'a Test, model: usize) -> Vec<Again<'a>> {
        let mut found = Vec::new();
        for outcome in &test.outcomes {
            let mut steps = Vec::new();
            match &outcome.kind {
                OutcomeKind::Scrapped => continue,
                OutcomeKind::FixedInPlace { .. } | OutcomeKind::Retest { .. } => {}
                OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => {
                    for visit in route {
                        steps.extend(self.in_order(visit.redo.clone()));
                    }
                }
            }
            steps.extend(self.in_order(test.steps.clone()));
            steps.retain(|step| self.steps[step.index()].models[model]);
            found.push(Again {
                who: format!("after a fail of {}", test.name),
                span: outcome.span,
                moment: self.when_done(&test.steps, test.place, model),
                place: test.place,
                ends: &test.steps,
                steps,
            });
        }
        found
    }

    fn after_miss(&self, window: &'a Window, model: usize) -> Again<'a> {
        let closes = &self.steps[window.closes.index()];
        let ends = match window.judged_at_end {
            true => std::slice::from_ref(&window.closes),
            false => closes.after.as_slice(),
        };
        let mut moment = self.when_done(ends, closes.place, model);
        moment.units = moment.units.with(&self.steps[window.opens.index()]).with(closes);
        let mut steps = self.in_order(window.undone.clone());
        steps.retain(|step| self.steps[step.index()].models[model]);
        Again {
            who: format!("after a miss of the window to {}", closes.name),
            span: window.span,
            moment,
            place: closes.place,
            ends,
            steps,
        }
    }
}
