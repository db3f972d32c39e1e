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
use super::under_way::last_place;
use super::units_with::UnitsWith;
use crate::diagnostic::Span;
use crate::diagnostic::words::{names as name_words, orientation as words, statements as statement_words};
use crate::line::{Exclusion, Orientation, PlaceId, Precedence, Step, StepId, Window};
use crate::syntax::tree::{ClauseKind, Statement};
use std::collections::BTreeSet;

/// As it comes in, where no statement says how that is.
pub(super) const UNSAID: usize = usize::MAX;

/// The statements, and what is done to a unit.
pub(super) struct Asked<'a> {
    pub statements: &'a [&'a Statement],
    pub items: &'a [&'a Item<'a>],
    pub steps: &'a Steps,
    pub tests: &'a Tests,
    pub windows: &'a [Window],
    pub exclusions: &'a [Exclusion],
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
        Judge::new(&found, asked, order, around).judge(desk);
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
    /// Per step: does it come after the setter?
    after: Vec<bool>,
}

/// Judges how units stand, for all that is done to them.
pub(super) struct Judge<'a> {
    pub steps: &'a [Step],
    pub all: &'a [Orientation],
    pub asked: &'a Asked<'a>,
    pub order: &'a Precedence,
    around: &'a Around<'a>,
    setters: Vec<Setter>,
    first: usize,
    /// Per step: the last place where it may be done or end.
    ends_at: Vec<PlaceId>,
}

/// A moment in the life of some units, for the steps around it.
#[derive(Clone)]
pub(super) struct Moment<'a> {
    pub units: UnitsWith<'a>,
    /// Per step: it is surely over by then; it surely comes later.
    pub over: Vec<bool>,
    pub later: Vec<bool>,
}

impl<'a> Judge<'a> {
    fn new(
        all: &'a [Orientation],
        asked: &'a Asked<'a>,
        order: &'a Precedence,
        around: &'a Around<'a>,
    ) -> Judge<'a> {
        let made = all.iter().enumerate().flat_map(|(o, found)| found.set_by.iter().map(move |s| (*s, o)));
        let setters = made.map(|(step, makes)| Setter { step, makes, after: order.all_after(step) });
        let first = all.iter().position(|found| found.first).unwrap_or(UNSAID);
        let steps = &asked.steps.steps[..];
        let last = |(at, step): (usize, &Step)| last_place(StepId::from_index(at), step, asked, around);
        let ends_at = steps.iter().enumerate().map(last).collect();
        Judge { steps, all, asked, order, around, setters: setters.collect(), first, ends_at }
    }

    fn judge(&self, desk: &mut Desk) {
        let models = self.around.models.len();
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
        for model in 0..models {
            if desk.has_errors() {
                return;
            }
            self.judge_again(model, desk);
        }
    }

    /// The orientations that a step asks for.
    pub fn needs(&self, step: StepId) -> Vec<usize> {
        (0..self.all.len()).filter(|o| self.all[*o].needed_by.contains(&step)).collect()
    }

    pub fn names(&self, list: &[usize]) -> Vec<&str> {
        list.iter().map(|o| self.all[*o].name.as_str()).collect()
    }

    pub fn said(&self, orientation: usize) -> Option<String> {
        self.all.get(orientation).map(|found| found.name.clone())
    }

    pub fn setters_of(&self, list: &[usize]) -> Vec<&str> {
        let of = list.iter().flat_map(|o| &self.all[*o].set_by);
        of.map(|step| self.steps[step.index()].name.as_str()).collect()
    }

    fn clause_of(&self, step: StepId) -> Span {
        let item = self.asked.items.iter().zip(&self.asked.steps.of_name).find(|(_, id)| **id == Some(step));
        let clause = item.and_then(|(item, _)| clause!(item.statement, ClauseKind::Needs(_) => ()));
        clause.map_or(self.steps[step.index()].span, |(_, clause)| clause.span)
    }

    /// An orientation that the step does not ask for and may find when it is first done.
    fn first_time(&self, step: StepId, model: usize) -> Option<usize> {
        let needs = self.needs(step);
        let own = &self.steps[step.index()];
        if needs.is_empty() || !own.models[model] {
            return None;
        }
        let mut moment = self.between(self.units(model).with(own), own.place, self.ends_at[step.index()]);
        self.order.all_before(step).iter().zip(&mut moment.over).for_each(|(before, over)| *over |= before);
        self.order.all_after(step).iter().zip(&mut moment.later).for_each(|(after, later)| *later |= after);
        moment.later[step.index()] = true;
        self.possible(&moment, &[]).into_iter().find(|found| !needs.contains(found))
    }

    pub fn units(&self, model: usize) -> UnitsWith<'a> {
        UnitsWith::of_model(model, self.around.lanes, self.around.ground)
    }

    /// While units stand somewhere from one place to another, as far as places say it: what ends before the first is
    /// over, and what begins behind the last comes later.
    pub fn between(&self, units: UnitsWith<'a>, first: PlaceId, last: PlaceId) -> Moment<'a> {
        let all = || (0..self.steps.len()).map(StepId::from_index);
        let over = all().map(|step| self.ends_at[step.index()] < first).collect();
        let later = all().map(|step| last < self.steps[step.index()].place).collect();
        Moment { units, over, later }
    }

    /// Every way in which one of the units may stand at a moment, once some work has been done again, one by one.
    pub fn possible(&self, moment: &Moment, again: &[StepId]) -> BTreeSet<usize> {
        let over = || self.setters.iter().filter(|s| moment.over[s.step.index()]);
        let turned_since = || self.turning(again);
        // It has turned the unit, and nothing has turned that since.
        let stands = |r: &&Setter| {
            let undone = over().filter(|s| s.step != r.step && self.surely_first(r.step, &r.after, s.step));
            let turned = moment.units.clone().with(&self.steps[r.step.index()]);
            let undone = undone.map(|s| &self.steps[s.step.index()]);
            !moment.later[r.step.index()] && turned.any_without(undone.chain(turned_since()))
        };
        let mut found: BTreeSet<usize> = self.setters.iter().filter(stands).map(|r| r.makes).collect();
        if moment.units.any_without(over().map(|s| &self.steps[s.step.index()]).chain(turned_since())) {
            found.insert(self.first);
        }
        found.extend(self.turned(&moment.units, again, &[]));
        found
    }

    /// How work that is done again may leave one of the units, once some other work has been done since.
    pub fn turned(&self, units: &UnitsWith, again: &[StepId], since: &[StepId]) -> BTreeSet<usize> {
        let last = |(at, step): (usize, &StepId)| {
            let turned = units.clone().with(&self.steps[step.index()]);
            let makes = self.setters.iter().filter(|s| s.step == *step).map(|s| s.makes);
            let undone = self.turning(&again[at + 1..]).chain(self.turning(since));
            makes.clone().next().filter(|_| turned.any_without(undone))?;
            Some(makes.collect::<Vec<usize>>())
        };
        again.iter().enumerate().filter_map(last).flatten().collect()
    }

    /// Those of some steps that turn the unit.
    fn turning<'s>(&'s self, steps: &'s [StepId]) -> impl Iterator<Item = &'s Step> {
        let turns = |step: &&StepId| self.setters.iter().any(|s| s.step == **step);
        steps.iter().filter(turns).map(|step| &self.steps[step.index()])
    }

    /// A step is over before another begins: that follows it, or stands at a later place.
    fn surely_first(&self, step: StepId, after: &[bool], other: StepId) -> bool {
        after[other.index()] || self.ends_at[step.index()] < self.steps[other.index()].place
    }

    /// The steps that turn a unit and are surely over before another begins.
    pub fn turning_before(&self, step: StepId) -> Vec<StepId> {
        let before = |s: &&Setter| self.surely_first(s.step, &s.after, step);
        self.setters.iter().filter(before).map(|s| s.step).collect()
    }

    /// The steps that turn a unit and are surely over at a moment.
    pub fn turning_by(&self, moment: &Moment) -> Vec<StepId> {
        self.setters.iter().map(|s| s.step).filter(|step| moment.over[step.index()]).collect()
    }
}
