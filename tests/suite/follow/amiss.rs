//! Parts that are amiss: who finds it could start otherwise, takes the parts and waits exactly as long as stated;
//! whose part is still re-kitted after others have overtaken it never goes unnoticed.

use super::Follower;
use super::feeders::maker;
use super::unit::What;
use taktwright::line::{Amiss, Builds, PartId, PlaceId, StepId};
use taktwright::simulate::Flaw;
use taktwright::units::Time;

/// Parts that lie at a unit for a step.
#[derive(Clone, Debug)]
pub struct Laid {
    unit: u64,
    step: StepId,
    at: Time,
    /// Taken by people who had set out and did not begin: they were looked at then.
    looked_at: bool,
    /// Parts whose re-kit was not over.
    due: Vec<PartId>,
    found: Vec<(PartId, Flaw, Time)>,
}

impl Laid {
    /// The ends of re-kits that go on: they go by net time.
    pub fn re_kits(&mut self, now: Time, of_the_line: &[bool]) -> impl Iterator<Item = &mut Time> {
        let goes_on = move |(part, flaw, until): &&mut (PartId, Flaw, Time)| {
            *flaw != Flaw::Short && *until > now && of_the_line[part.index()]
        };
        self.found.iter_mut().filter(goes_on).map(|(_, _, until)| until)
    }
}

impl Follower<'_> {
    /// The step's parts lie at the unit: whether nothing of them is to come any more.
    pub fn laid_out(&self, number: u64, step: StepId) -> Option<bool> {
        let laid = self.laid.iter().find(|laid| (laid.unit, laid.step) == (number, step))?;
        Some(laid.found.iter().all(|(_, _, until)| *until <= self.now))
    }

    /// Its crew has passed it over in this instant, because something was amiss, even if it is right by now.
    pub fn was_just_found(&self, number: u64, what: What) -> bool {
        self.laid.iter().any(|laid| {
            laid.at == self.now && !laid.looked_at && (laid.unit, What::Step(laid.step)) == (number, what)
        })
    }

    /// Whoever finds a part amiss lacks nothing else; that the parts are there, taking them shows.
    fn has_all_but_parts_and_people(&self, number: u64, step: StepId, place: PlaceId) -> bool {
        let unit = &self.units[&number];
        !self.is_barred(unit, What::Step(step), place)
            && self.has_equipment(unit, step)
            && self.has_room(unit, step, place)
    }

    /// A unit takes the step's parts: those of other models that came before it and have still to take theirs are
    /// overtaken.
    fn overtake(&mut self, number: u64, step: StepId) {
        let model = self.units[&number].model;
        for (part, _) in &self.line.steps[step.index()].uses {
            // Lots lie model by model.
            let mut feeders = self.line.feeders.iter().filter(|f| f.part == *part && f.lot.is_none());
            let ahead = feeders.any(|f| f.builds != Builds::ToStock);
            if !ahead || self.line.parts[part.index()].wrong.is_none() {
                continue;
            }
            for (other, unit) in self.units.range(..number) {
                let known = self.overtaken.contains_key(&(*other, *part));
                let still_to_take = self.taker(*part, unit.model).is_some_and(|taker| {
                    unit.visits[taker.index()] == 0
                        && !unit.done[taker.index()]
                        && !unit.running.iter().any(|run| run.what == What::Step(taker))
                        && self.laid_out(*other, taker).is_none()
                });
                if maker(*other).is_none() && unit.model != model && !known && still_to_take {
                    self.overtaken.insert((*other, *part), self.now);
                    self.totals.stores[part.index()].out_of_turn += 1;
                }
            }
        }
    }

    /// The step's parts whose re-kit is not over.
    fn still_re_kitted(&self, number: u64, step: StepId) -> Vec<PartId> {
        let parts = self.line.steps[step.index()].uses.iter().map(|(part, _)| *part);
        parts.filter(|part| self.re_kitted(number, *part).is_some_and(|at| at > self.now)).collect()
    }

    /// When the re-kit of a part is over for a unit that was overtaken, if it always takes as long.
    fn re_kitted(&self, number: u64, part: PartId) -> Option<Time> {
        let length = self.line.parts[part.index()].wrong.as_ref()?.time.as_constant()?;
        let since = *self.overtaken.get(&(number, part))?;
        Some(self.days_of_part(part).end_of_work(since, Time(length as i64)))
    }

    pub fn part_amiss(&mut self, number: u64, step: StepId, part: PartId, flaw: Flaw, until: Time) {
        let place = self.units.get(&number).and_then(|unit| unit.bay()).map(|(place, _)| place);
        let Some(place) = place else {
            return self.fault(Some(number), None, "finds a part amiss and stands in no bay");
        };
        let name = &self.line.steps[step.index()].name;
        let mut wrong = Vec::new();
        let known = self.laid.iter().position(|laid| (laid.unit, laid.step) == (number, step));
        let known = known.unwrap_or_else(|| {
            let what = What::Step(step);
            if !self.attended_at(place) || !self.ready_on(number, place).contains(&what) {
                wrong.push(format!("finds a part for {name} amiss, which is not ready"));
            } else if !self.has_all_but_parts_and_people(number, step, place) {
                wrong.push(format!("finds a part for {name} amiss, which lacks something else"));
            }
            let due = self.still_re_kitted(number, step);
            self.overtake(number, step);
            self.take_parts(number, step);
            self.laid.push(Laid {
                unit: number,
                step,
                at: self.now,
                looked_at: false,
                due,
                found: Vec::new(),
            });
            self.laid.len() - 1
        });
        self.laid[known].found.push((part, flaw, until));
        let stated = &self.line.parts[part.index()];
        let amiss = match flaw {
            Flaw::Short => &stated.short,
            Flaw::Wrong | Flaw::OutOfTurn => &stated.wrong,
        };
        match amiss {
            None => wrong.push(format!("finds a part for {name} amiss, which never is")),
            Some(amiss) if flaw != Flaw::OutOfTurn && amiss.share <= 0.0 => {
                wrong.push(format!("finds a part for {name} amiss, which never is"));
            }
            Some(amiss) => {
                let right = amiss.time.as_constant().map(|length| match flaw {
                    Flaw::Short => self.now + Time(length as i64),
                    Flaw::Wrong => self.days_of_part(part).end_of_work(self.now, Time(length as i64)),
                    Flaw::OutOfTurn => self.re_kitted(number, part).unwrap_or(self.now),
                });
                if right.is_some_and(|right| right != until) || until < self.now {
                    wrong.push(format!("waits for {name} until {until:?}, and not until {right:?}"));
                }
            }
        }
        if flaw == Flaw::OutOfTurn && !self.overtaken.contains_key(&(number, part)) {
            wrong.push(format!("is called out of turn at {name} and is not"));
        }
        let sum = &mut self.totals.stores[part.index()];
        match flaw {
            Flaw::Short => sum.short += 1,
            Flaw::Wrong => sum.wrong += 1,
            Flaw::OutOfTurn => {}
        }
        for text in wrong {
            self.fault(Some(number), Some(place), text);
        }
    }

    /// A step begins to use its parts: they lie there and are right, or nothing of them was ever amiss. True if
    /// they lay there.
    pub fn uses_what_lies_there(&mut self, number: u64, step: StepId) -> bool {
        let known = self.laid.iter().position(|laid| (laid.unit, laid.step) == (number, step));
        let laid = known.map(|at| self.laid.remove(at));
        if laid.as_ref().is_some_and(|laid| laid.looked_at) {
            return true;
        }
        let found = |part: PartId, flaws: &[Flaw]| {
            laid.iter().flat_map(|laid| &laid.found).any(|(p, flaw, _)| *p == part && flaws.contains(flaw))
        };
        let due = match &laid {
            Some(laid) => laid.due.clone(),
            None => self.still_re_kitted(number, step),
        };
        if laid.is_none() {
            self.overtake(number, step);
        }
        let mut wrong = Vec::new();
        for (part, _) in &self.line.steps[step.index()].uses {
            let stated = &self.line.parts[part.index()];
            let surely = |amiss: &Option<Amiss>| amiss.as_ref().is_some_and(|amiss| amiss.share >= 1.0);
            if surely(&stated.short) && !found(*part, &[Flaw::Short]) {
                wrong.push(format!("finds no {} short", stated.name));
            }
            if surely(&stated.wrong) && !found(*part, &[Flaw::Wrong]) {
                wrong.push(format!("finds no {} wrong", stated.name));
            }
            if due.contains(part) && !found(*part, &[Flaw::Wrong, Flaw::OutOfTurn]) {
                wrong.push(format!("takes {} before its re-kit is over", stated.name));
            }
        }
        if laid.as_ref().is_some_and(|laid| laid.found.iter().any(|(_, _, until)| *until > self.now)) {
            wrong.push("starts before its parts are right".to_string());
        }
        for text in wrong {
            self.fault(Some(number), None, text);
        }
        laid.is_some()
    }

    /// People who had set out for a step do not begin it: its parts stay at the unit, if it took them for this.
    pub fn parts_stay(&mut self, number: u64, step: StepId) {
        let takes = !self.line.steps[step.index()].uses.is_empty();
        if takes && !self.units[&number].has_begun_elsewhere(step) {
            let laid = Laid {
                unit: number,
                step,
                at: self.now,
                looked_at: true,
                due: Vec::new(),
                found: Vec::new(),
            };
            self.laid.push(laid);
        }
    }

    /// A unit leaves its line, with what lies at it.
    pub fn forget_laid(&mut self, number: u64) {
        self.laid.retain(|laid| laid.unit != number);
    }
}
