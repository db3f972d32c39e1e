//! How the unit stands: which steps turn it, which need it to stand so, and that they find it so.
//!
//! All of it is settled here, by precedence: a step that could find the unit standing otherwise, the first
//! time or when it is done again, is refused. So no run has to wait for a turn.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::listed::listed;
use super::mix::label;
use super::names::{Kind, name_of};
use super::procedures::Tests;
use super::steps::{Around, Steps};
use crate::diagnostic::Span;
use crate::diagnostic::words::{names as name_words, orientation as words, statements as statement_words};
use crate::line::{Orientation, OutcomeKind, PlaceId, Precedence, Step, StepId, Window};
use crate::syntax::tree::{ClauseKind, Statement};
use std::collections::BTreeSet;

/// As it comes in, where no statement says how that is.
const UNSAID: usize = usize::MAX;

/// The statements, and what is done to a unit.
pub(super) struct Asked<'a> {
    pub statements: &'a [&'a Statement],
    pub items: &'a [&'a Item<'a>],
    pub steps: &'a Steps,
    pub tests: &'a Tests,
    pub windows: &'a [Window],
    pub order: Option<&'a Precedence>,
}

pub(super) fn orientations(asked: &Asked, around: &Around, desk: &mut Desk) -> Vec<Orientation> {
    let mut found: Vec<Orientation> = Vec::new();
    for statement in asked.statements {
        let name = name_of(statement);
        let after = clause!(statement, ClauseKind::After(list) => list);
        let set_by = after
            .and_then(|(list, _)| listed(list, "after", asked.steps, asked.tests, around, desk))
            .unwrap_or_default();
        if after.is_none()
            && let Some(first) = found.iter().find(|other| other.first)
        {
            desk.fault(words::two_first(name.span, &name.text, &first.name, first.span));
        }
        let (label, span) = (label(statement), name.span);
        let first = after.is_none();
        found.push(Orientation { name: name.text, label, first, set_by, needed_by: Vec::new(), span });
    }
    note_needs(asked, around, &mut found, desk);
    if let Some(order) = asked.order
        && !found.is_empty()
        && asked.steps.placed.iter().all(|placed| *placed)
        && !desk.has_errors()
    {
        Judge::new(&found, asked, order).judge(around, desk);
    }
    if !desk.has_errors() && desk.broken().is_empty() {
        for orientation in found.iter().filter(|orientation| orientation.needed_by.is_empty()) {
            let cure = format!("say what needs it: `task ... needs {}`", orientation.name);
            desk.fault(name_words::unused(orientation.span, &orientation.name, "orientation", &cure));
        }
    }
    found
}

/// The `needs` clauses of all steps.
fn note_needs(asked: &Asked, around: &Around, found: &mut [Orientation], desk: &mut Desk) {
    for (index, item) in asked.items.iter().enumerate() {
        let Some((list, _)) = clause!(item.statement, ClauseKind::Needs(list) => list) else { continue };
        // A test without work of its own has been reported.
        let Some(step) = asked.steps.of_name[index] else { continue };
        for name in list {
            let Some(id) = around.names.find(Kind::Orientation, name, desk) else { continue };
            match found[id].needed_by.contains(&step) {
                true => desk.fault(statement_words::repeated_in_list(name.span, &name.text, "needs")),
                false => found[id].needed_by.push(step),
            }
        }
    }
}

/// A step that turns the unit.
struct Setter {
    step: StepId,
    makes: usize,
    /// Per step: does it come before the setter, or after it?
    before: Vec<bool>,
    after: Vec<bool>,
}

struct Judge<'a> {
    steps: &'a [Step],
    all: &'a [Orientation],
    asked: &'a Asked<'a>,
    order: &'a Precedence,
    setters: Vec<Setter>,
    first: usize,
}

/// A moment in the life of a unit, for the setters around it.
struct Moment<'m> {
    model: usize,
    options: &'m [crate::line::OptionId],
    once_a_lot: bool,
    /// Is the setter over by then? Does it come later?
    over: &'m dyn Fn(&Setter) -> bool,
    later: &'m dyn Fn(&Setter) -> bool,
}

impl<'a> Judge<'a> {
    fn new(all: &'a [Orientation], asked: &'a Asked<'a>, order: &'a Precedence) -> Judge<'a> {
        let made = all.iter().enumerate().flat_map(|(o, found)| found.set_by.iter().map(move |s| (*s, o)));
        let setters = made.map(|(step, makes)| Setter {
            step,
            makes,
            before: order.all_before(step),
            after: order.all_after(step),
        });
        let first = all.iter().position(|found| found.first).unwrap_or(UNSAID);
        Judge { steps: &asked.steps.steps, all, asked, order, setters: setters.collect(), first }
    }

    fn judge(&self, around: &Around, desk: &mut Desk) {
        let models = around.models.len();
        for index in 0..self.steps.len() {
            let step = StepId::from_index(index);
            if let Some(wrong) = (0..models).find_map(|model| self.first_time(step, model)) {
                let needs = self.needs(step);
                let clause = self.clause_of(step);
                desk.fault(words::may_stand_otherwise(
                    clause,
                    &self.steps[index].name,
                    &self.names(&needs),
                    self.said(wrong).as_deref(),
                    &self.setters_of(&needs),
                ));
            }
        }
        if desk.has_errors() {
            return;
        }
        for model in 0..models {
            self.judge_tests(model, desk);
            self.judge_windows(model, desk);
            if desk.has_errors() {
                return;
            }
        }
    }

    /// The orientations that a step asks for.
    fn needs(&self, step: StepId) -> Vec<usize> {
        (0..self.all.len()).filter(|o| self.all[*o].needed_by.contains(&step)).collect()
    }

    fn names(&self, list: &[usize]) -> Vec<&str> {
        list.iter().map(|o| self.all[*o].name.as_str()).collect()
    }

    fn said(&self, orientation: usize) -> Option<String> {
        self.all.get(orientation).map(|found| found.name.clone())
    }

    fn setters_of(&self, list: &[usize]) -> Vec<&str> {
        let of = list.iter().flat_map(|o| &self.all[*o].set_by);
        of.map(|step| self.steps[step.index()].name.as_str()).collect()
    }

    fn clause_of(&self, step: StepId) -> Span {
        let item = self.asked.items.iter().zip(&self.asked.steps.of_name).find(|(_, id)| **id == Some(step));
        let clause = item.and_then(|(item, _)| clause!(item.statement, ClauseKind::Needs(_) => ()));
        clause.map_or(self.steps[step.index()].span, |(_, clause)| clause.span)
    }

    /// The last place where a step may be done.
    fn ends_at(&self, step: StepId) -> PlaceId {
        let step = &self.steps[step.index()];
        step.travel.map_or(step.place, |travel| travel.to)
    }

    /// An orientation that the step does not ask for and may find when it is first done.
    fn first_time(&self, step: StepId, model: usize) -> Option<usize> {
        let needs = self.needs(step);
        let own = &self.steps[step.index()];
        if needs.is_empty() || !own.models[model] {
            return None;
        }
        let over = |s: &Setter| s.after[step.index()] || self.ends_at(s.step) < own.place;
        let later = |s: &Setter| {
            s.step == step || s.before[step.index()] || self.ends_at(step) < self.steps[s.step.index()].place
        };
        let moment =
            Moment { model, options: &own.options, once_a_lot: own.once_a_lot, over: &over, later: &later };
        self.possible(&moment).into_iter().find(|found| !needs.contains(found))
    }

    /// Every way in which the unit may stand at a moment.
    fn possible(&self, moment: &Moment) -> BTreeSet<usize> {
        let applies = |s: &&Setter| self.steps[s.step.index()].models[moment.model];
        let sure = |s: &Setter| {
            let step = &self.steps[s.step.index()];
            (moment.over)(s)
                && step.options.iter().all(|o| moment.options.contains(o))
                && (moment.once_a_lot || !step.once_a_lot)
        };
        let undone_by = |r: &Setter, s: &Setter| {
            let place = self.steps[s.step.index()].place;
            r.step != s.step && (r.after[s.step.index()] || self.ends_at(r.step) < place)
        };
        let setters: Vec<&Setter> = self.setters.iter().filter(applies).collect();
        let mut found: BTreeSet<usize> = setters
            .iter()
            .filter(|r| !(moment.later)(r) && !setters.iter().any(|s| sure(s) && undone_by(r, s)))
            .map(|r| r.makes)
            .collect();
        if !setters.iter().any(|s| sure(s)) {
            found.insert(self.first);
        }
        found
    }

    /// Steps done again find the unit as they need it and leave it as it was.
    fn again(
        &self,
        who: &str,
        span: Span,
        from: &BTreeSet<usize>,
        steps: &[StepId],
        model: usize,
        desk: &mut Desk,
    ) {
        let mut now = from.clone();
        for id in steps {
            let step = &self.steps[id.index()];
            if !step.models[model] {
                continue;
            }
            let needs = self.needs(*id);
            if let Some(wrong) = now.iter().find(|found| !needs.is_empty() && !needs.contains(found)) {
                let (needs, setters) = (self.names(&needs), self.setters_of(&needs));
                desk.fault(words::redone_otherwise(
                    span,
                    who,
                    &step.name,
                    &needs,
                    self.said(*wrong).as_deref(),
                    &setters,
                ));
                return;
            }
            for setter in self.setters.iter().filter(|setter| setter.step == *id) {
                if step.options.is_empty() && !step.once_a_lot {
                    now.clear();
                }
                now.insert(setter.makes);
            }
        }
        if let Some(wrong) = now.iter().find(|found| !from.contains(found)) {
            let was: Vec<usize> = from.iter().copied().filter(|o| *o != UNSAID).collect();
            desk.fault(words::not_turned_back(span, who, self.said(*wrong).as_deref(), &self.names(&was)));
        }
    }

    fn in_order(&self, mut steps: Vec<StepId>) -> Vec<StepId> {
        steps.sort_by_key(|step| self.order.rank(*step));
        steps
    }

    /// How the unit may stand when all of `steps` are done, at `place`.
    fn after_all(&self, steps: &[StepId], place: PlaceId, model: usize) -> BTreeSet<usize> {
        let over = |s: &Setter| {
            steps.contains(&s.step)
                || steps.iter().any(|p| s.after[p.index()])
                || self.ends_at(s.step) < place
        };
        let later = |s: &Setter| {
            !steps.contains(&s.step)
                && (steps.iter().any(|p| s.before[p.index()]) || place < self.steps[s.step.index()].place)
        };
        self.possible(&Moment { model, options: &[], once_a_lot: false, over: &over, later: &later })
    }

    fn judge_tests(&self, model: usize, desk: &mut Desk) {
        for test in &self.asked.tests.tests {
            let from = self.after_all(&test.steps, test.place, model);
            let procedure = self.in_order(test.steps.clone());
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
                steps.extend(&procedure);
                let who = format!("after a fail of {}", test.name);
                self.again(&who, outcome.span, &from, &steps, model, desk);
            }
        }
    }

    fn judge_windows(&self, model: usize, desk: &mut Desk) {
        for window in self.asked.windows {
            let closes = window.closes;
            let place = self.steps[closes.index()].place;
            let from = match window.judged_at_end {
                true => self.after_all(&[closes], place, model),
                false => self.after_all(&self.steps[closes.index()].after, place, model),
            };
            let steps = self.in_order(window.undone.clone());
            let who = format!("after a miss of the window to {}", self.steps[closes.index()].name);
            self.again(&who, window.span, &from, &steps, model, desk);
        }
    }
}
