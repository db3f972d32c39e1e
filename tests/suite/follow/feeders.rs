//! Feeders: parts are begun when they may be, go through their places like units, leave the last one
//! for the truck, and the truck goes when it is full and the store has room.

use super::Follower;
use super::unit::Unit;
use std::collections::VecDeque;
use taktwright::line::{Builds, Feeder, ModelId, PartId, PlaceId, Release, StepId};
use taktwright::simulate::{Replication, RunErrorKind};
use taktwright::units::Time;

/// Parts of feeder k have numbers from here times k + 1 on.
const FIRST: u64 = 1 << 48;

/// The feeder that makes a part of this number, if it is one.
pub fn maker(number: u64) -> Option<usize> {
    (number / FIRST).checked_sub(1).map(|f| f as usize)
}

#[derive(Clone, Default, Debug)]
pub struct FeederNow {
    truck: Vec<ModelId>,
    /// On their way to the store: when they arrive.
    way: VecDeque<(Time, ModelId)>,
    /// For a feeder that builds ahead, models in the order of their units: those that are known and not
    /// begun, and those that were begun before they were known.
    known: VecDeque<ModelId>,
    begun_before: VecDeque<ModelId>,
    /// To be made again before any other.
    again: Vec<ModelId>,
    /// Per model: parts less that are wanted of units not known yet.
    spare: Vec<u32>,
    /// In the store at the start, for units that are not known yet.
    from_start: u32,
}

#[derive(Clone, Copy, Default, Debug)]
pub struct FeederSum {
    pub begun: u64,
    pub lots: u64,
    pub made: u64,
    pub lost: u64,
    pub making: i64,
    pub on_the_way: i128,
}

impl Follower<'_> {
    pub fn feeders_begin(&mut self) {
        for (f, feeder) in self.line.feeders.iter().enumerate() {
            if feeder.builds != Builds::ToStock {
                self.feeders[f].from_start = self.line.parts[feeder.part.index()].at_start;
                self.feeders[f].spare = vec![0; self.line.models.len()];
                self.stores[feeder.part.index()].by_model = Some(vec![0; self.line.models.len()]);
            }
        }
    }

    /// The step in which units of a model take a part.
    pub fn taker(&self, part: PartId, model: ModelId) -> Option<StepId> {
        let uses = |step: &taktwright::line::Step| step.uses.iter().any(|(p, _)| *p == part);
        let steps = &self.line.steps;
        let found = steps.iter().position(|step| uses(step) && step.models[model.index()]);
        found.map(StepId::from_index)
    }

    /// A unit is released, and will take its parts in the steps that are still to come: what was begun
    /// for it, if it was, is of its model.
    pub fn orders_known(&mut self, number: u64, to_come: impl Fn(StepId) -> bool) {
        let model = self.units[&number].model;
        for (f, feeder) in self.line.feeders.iter().enumerate() {
            let taker = self.taker(feeder.part, model).filter(|step| to_come(*step));
            if feeder.builds == Builds::ToStock || taker.is_none() {
                continue;
            }
            let now = &mut self.feeders[f];
            if now.from_start > 0 {
                now.from_start -= 1;
                if let Some(kinds) = &mut self.stores[feeder.part.index()].by_model {
                    kinds[model.index()] += 1;
                }
                continue;
            }
            let spare = &mut now.spare[model.index()];
            // In lots, parts are begun before their turn.
            let nearest = if feeder.lot.is_some() { now.begun_before.len() } else { 1 };
            match now.begun_before.iter().take(nearest).position(|begun| *begun == model) {
                Some(at) => {
                    now.begun_before.remove(at);
                }
                None if *spare > 0 => *spare -= 1,
                None if now.begun_before.is_empty() || feeder.lot.is_some() => now.known.push_back(model),
                None => {
                    let text = format!("finds a part of another model begun for it at {}", feeder.name);
                    self.fault(Some(number), None, text);
                }
            }
        }
    }

    /// A unit needs no part any more, or never did: the next one of its model is not built.
    pub fn cancel_order(&mut self, number: u64, takes_no_more: impl Fn(StepId) -> bool) {
        let (line, model) = (self.line, self.units[&number].model);
        for (f, feeder) in line.feeders.iter().enumerate() {
            let step = self.taker(feeder.part, model).filter(|_| feeder.builds != Builds::ToStock);
            let Some(step) = step else { continue };
            if !takes_no_more(step) {
                continue;
            }
            let now = &mut self.feeders[f];
            // What was lost last is the first order.
            let again = now.again.iter().rposition(|lost| *lost == model);
            match (again, now.known.iter().position(|known| *known == model)) {
                (Some(at), _) => {
                    now.again.remove(at);
                }
                (None, Some(at)) => {
                    now.known.remove(at);
                }
                (None, None) => now.spare[model.index()] += 1,
            }
            self.lot_cancelled(f, model);
        }
    }

    pub fn part_begun(&mut self, number: u64, part: PartId, model: ModelId) {
        let Some(f) = maker(number).filter(|f| self.line.feeders.get(*f).is_some_and(|x| x.part == part))
        else {
            return self.fault(Some(number), None, "is begun by a feeder that does not make it");
        };
        let feeder = &self.line.feeders[f];
        let first_of_lot = self.begins_lot(f, number, model);
        if number % FIRST != self.totals.feeders[f].begun {
            self.fault(Some(number), Some(feeder.first), "is begun out of turn");
        }
        self.totals.feeders[f].begun += 1;
        self.totals.feeders[f].lots += u64::from(first_of_lot);
        if self.hours_at(feeder.first) == 0 && self.is_going_home() {
            self.fault(Some(number), Some(feeder.first), "is begun though the count is made");
        }
        let released = self.models_released.len() as u64;
        let now = &mut self.feeders[f];
        let wrong = match feeder.builds {
            Builds::ToStock => (model.index() > 0).then_some("is of a model though it is made to stock"),
            // Whether it was its turn is judged when the units are known.
            Builds::Ahead(_) if feeder.lot.is_some() => {
                let same = |other: &ModelId| *other == model;
                if let Some(at) = now.again.iter().position(same) {
                    now.again.remove(at);
                } else if let Some(at) = now.known.iter().position(same) {
                    now.known.remove(at);
                } else {
                    now.begun_before.push_back(model);
                }
                None
            }
            Builds::Ahead(ahead) => {
                if let Some(again) = now.again.pop() {
                    (again != model).then_some("is of another model than the lost part")
                } else if let Some(wanted) = now.known.pop_front() {
                    (wanted != model).then_some("is of another model than its unit")
                } else {
                    now.begun_before.push_back(model);
                    // Units without a part of this feeder shorten the row.
                    (now.begun_before.len() as u64 > released.max(1) + u64::from(ahead))
                        .then_some("is begun before its order comes")
                }
            }
        };
        if let Some(wrong) = wrong {
            self.fault(Some(number), Some(feeder.first), wrong);
        }
        let mut unit = Unit::new(self.line, model, 0, self.now);
        unit.spot = taktwright::simulate::Spot::Outside(feeder.first);
        unit.first_of_lot = first_of_lot;
        self.units.insert(number, unit);
        self.places[feeder.first.index()].outside.push(number);
    }

    pub fn part_made(&mut self, number: u64, part: PartId) {
        let (line, at) = (self.line, self.now);
        let Some(f) = maker(number).filter(|f| line.feeders.get(*f).is_some_and(|x| x.part == part)) else {
            return self.fault(Some(number), None, "is made by a feeder that does not make it");
        };
        let feeder = &line.feeders[f];
        let Some(unit) = self.units.get(&number) else {
            return self.fault(Some(number), Some(feeder.last), "is made and is not there");
        };
        let mut wrong = Vec::new();
        if self.is_halted(feeder.last) {
            wrong.push("leaves a stopped place".to_string());
        }
        if !matches!(unit.bay(), Some((place, _)) if place == feeder.last) {
            wrong.push("is made without standing in the last place".to_string());
        }
        if !unit.route.is_empty() {
            wrong.push("is made with places of its route unvisited".to_string());
        }
        self.check_done(unit, feeder.last, &mut wrong);
        let undone = (0..line.steps.len()).map(StepId::from_index).find(|s| {
            feeder.has(line.steps[s.index()].place) && unit.applies(line, *s) && !unit.done[s.index()]
        });
        if let Some(step) = undone {
            wrong.push(format!("is made without {}", line.steps[step.index()].name));
        }
        if !self.truck_has_room(feeder.last) {
            wrong.push("goes onto a truck that has no room, or can't go".to_string());
        }
        let (model, on) = (unit.model, unit.on_line.unwrap_or(at));
        for text in wrong {
            self.fault(Some(number), Some(feeder.last), text);
        }
        self.feeders[f].truck.push(model);
        self.totals.feeders[f].made += 1;
        self.totals.feeders[f].making += (at - on).0;
        self.leave_line(number);
    }

    /// A part is scrapped or set aside.
    pub fn part_lost(&mut self, number: u64) {
        let (Some(f), Some(unit)) = (maker(number), self.units.get(&number)) else { return };
        let model = unit.model;
        self.totals.feeders[f].lost += 1;
        if self.line.feeders[f].builds != Builds::ToStock {
            self.feeders[f].again.push(model);
            self.lot_lost(f, model);
        }
    }

    /// Room in the store of a feeder, less what is on its way.
    fn room_for_parts(&self, f: usize) -> u64 {
        let part = self.line.feeders[f].part.index();
        let taken = self.stores[part].pieces + self.feeders[f].way.len() as u64;
        u64::from(self.line.parts[part].places).saturating_sub(taken)
    }

    /// So many leave on the truck: all of a full one, or what finds room at its time.
    fn truck_leaves(&mut self, f: usize, pieces: u64) -> Vec<ModelId> {
        let feeder = &self.line.feeders[f];
        let room = self.room_for_parts(f);
        let mut brought = std::mem::take(&mut self.feeders[f].truck);
        if let Some(every) = feeder.every {
            let net = self.days_at(feeder.first).net(self.now);
            if pieces != room.min(brought.len() as u64) || net.0 % every.0 != 0 {
                let text = format!("the truck of {} brings {pieces} of {}", feeder.name, brought.len());
                self.fault(None, Some(feeder.last), text);
            }
            self.feeders[f].truck = brought.split_off((pieces as usize).min(brought.len()));
        } else if brought.len() as u64 != pieces || brought.len() != feeder.truck as usize || pieces > room {
            let text = format!("the truck of {} brings {pieces} and holds {}", feeder.name, brought.len());
            self.fault(None, Some(feeder.last), text);
        }
        brought
    }

    /// A truck is on its way.
    pub fn truck_went(&mut self, part: PartId, pieces: u64) {
        let Some(f) = self.line.feeders.iter().position(|feeder| feeder.part == part) else { return };
        let arrives = self.now + self.line.feeders[f].way;
        let brought = self.truck_leaves(f, pieces);
        self.feeders[f].way.extend(brought.into_iter().map(|model| (arrives, model)));
    }

    /// Nothing is on its way longer than it takes.
    fn judge_ways(&mut self) {
        let late = |f: &usize| self.feeders[*f].way.front().is_some_and(|(at, _)| *at <= self.now);
        if let Some(f) = (0..self.feeders.len()).find(late) {
            self.fault(None, Some(self.line.feeders[f].last), "a truck has not arrived in time");
        }
    }

    /// Time passes.
    pub fn integrate_ways(&mut self, clock: i64) {
        for (now, sum) in self.feeders.iter().zip(&mut self.totals.feeders) {
            sum.on_the_way += i128::from(clock) * now.way.len() as i128;
        }
    }

    /// The truck of the feeder that makes a part brings it into its store; `false` if none makes it.
    pub fn truck_comes(&mut self, part: PartId, pieces: u64) -> bool {
        let Some(f) = self.line.feeders.iter().position(|feeder| feeder.part == part) else { return false };
        let feeder = &self.line.feeders[f];
        let brought = if feeder.way.is_zero() {
            self.truck_leaves(f, pieces)
        } else {
            let due = self.feeders[f].way.iter().take_while(|(at, _)| *at == self.now).count();
            let brought: Vec<ModelId> = self.feeders[f].way.drain(..due).map(|(_, model)| model).collect();
            if brought.len() as u64 != pieces {
                self.fault(None, Some(feeder.last), format!("{pieces} arrive, and {due} are due"));
            }
            brought
        };
        let store = &mut self.stores[part.index()];
        if let Some(kinds) = &mut store.by_model {
            brought.iter().for_each(|model| kinds[model.index()] += 1);
        }
        store.pieces += pieces;
        self.totals.stores[part.index()].came += pieces;
        if store.pieces > u64::from(self.line.parts[part.index()].places) {
            self.fault(None, Some(feeder.last), "the store holds more than it can");
        }
        true
    }

    /// At the end of an attended instant: a full truck goes if it may, and what may be begun is.
    pub fn judge_feeders(&mut self) {
        self.judge_ways();
        let mut left: Vec<(PlaceId, &str)> = Vec::new();
        for (feeder, now) in self.line.feeders.iter().zip(&self.feeders) {
            if !self.attended_at(feeder.first) {
                continue;
            }
            if feeder.every.is_none() && now.truck.len() == feeder.truck as usize {
                left.push((feeder.last, "the truck is full and does not go"));
            }
            let ordered = match feeder.builds {
                Builds::ToStock => true,
                Builds::Ahead(_) => !now.again.is_empty() || !now.known.is_empty(),
            };
            let stands = &self.places[feeder.first.index()];
            let free = stands.bays.iter().any(Option::is_none) && !self.is_halted(feeder.first);
            let room = free && stands.slots.is_empty()
                || stands.slots.len() < self.line.places[feeder.first.index()].slots as usize;
            let goes_home = self.hours_at(feeder.first) == 0 && self.is_going_home();
            if ordered && room && !goes_home {
                left.push((feeder.first, "a part could be begun and is not"));
            }
        }
        for (place, text) in left {
            self.fault(None, Some(place), text);
        }
    }

    /// Whether the truck takes another part: the one that fills it only when the store has room for all.
    pub fn truck_has_room(&self, place: PlaceId) -> bool {
        let Some(f) = self.line.feeders.iter().position(|feeder| feeder.last == place) else { return true };
        let (feeder, room) = (&self.line.feeders[f], self.room_for_parts(f));
        let on_it = self.feeders[f].truck.len() as u32;
        match feeder.every {
            Some(_) => on_it < feeder.truck,
            None => on_it + 1 < feeder.truck || room >= u64::from(feeder.truck),
        }
    }

    /// A run may dry up where a store has no room for another truck and holds nothing for whoever waits for it, or
    /// when everybody who was to come has come and gone.
    pub fn judge_stop(&mut self, kind: &RunErrorKind) {
        let all_came = match &self.line.release {
            Release::List(times) => self.models_released.len() >= times.len() && self.units.is_empty(),
            Release::Saturated | Release::ByTakt | Release::Every { .. } => false,
        };
        if matches!(kind, RunErrorKind::Dried { .. }) && !self.has_dried_up() && !all_came {
            self.fault(
                None,
                None,
                "the run dries up though no store and no truck keeps parts from who waits",
            );
        }
    }

    pub fn has_dried_up(&self) -> bool {
        let is_stuck = |feeder: &Feeder| {
            let store = &self.stores[feeder.part.index()];
            let Some(kinds) = &store.by_model else { return false };
            let lacks = |(number, _): &(u64, StepId)| kinds[self.units[number].model.index()] == 0;
            !store.queue.is_empty() && store.queue.iter().all(lacks) && !self.truck_has_room(feeder.last)
        };
        // Nobody whose part it makes is known any more, and what is made waits for a truck to be filled.
        let never_goes = |(f, feeder): (usize, &Feeder)| {
            let now = &self.feeders[f];
            let places = &self.places[feeder.first.index()..=feeder.last.index()];
            let empty = places.iter().all(|p| p.bays.iter().all(Option::is_none) && p.slots.is_empty());
            let idle = empty && now.known.is_empty() && now.again.is_empty() && now.way.is_empty();
            let store = &self.stores[feeder.part.index()];
            idle && feeder.every.is_none() && !now.truck.is_empty() && !store.queue.is_empty()
        };
        self.line.feeders.iter().any(is_stuck) || self.line.feeders.iter().enumerate().any(never_goes)
    }

    /// What the report says of feeders: (what, at least, at most, reported).
    pub fn feeders_reported(
        &self,
        report: &Replication,
        before: &[FeederSum],
        after: &[FeederSum],
    ) -> Vec<(String, i128, i128, i128)> {
        let (mut rows, mut ways) = (Vec::new(), Vec::new());
        for (f, counts) in report.feeders.iter().enumerate() {
            let (now, then, later) = (&self.totals.feeders[f], &before[f], &after[f]);
            let name = &self.line.feeders[f].name;
            let mut count = |what: &str, of: fn(&FeederSum) -> u64, reported: u64| {
                let (least, most) = (of(now) - of(later), of(now) - of(then));
                rows.push((format!("{what} at {name}"), least.into(), most.into(), reported.into()));
            };
            count("parts begun", |s| s.begun, counts.begun);
            count("lots begun", |s| s.lots, counts.lots);
            count("parts made", |s| s.made, counts.made);
            count("parts lost", |s| s.lost, counts.lost);
            let way = now.on_the_way - then.on_the_way;
            ways.push((format!("parts on the way from {name}"), way, way, counts.on_the_way));
            count("time of parts made", |s| s.making as u64, counts.making.0 as u64);
        }
        rows.extend(ways);
        rows
    }
}
