//! Feeders in a run: what they begin next, and how what they made comes into its store.
//!
//! A finished part goes onto the truck; the one that fills it keeps its place until the store has room
//! for all that will be on it, and then the truck goes at once. One that goes at times takes what is on it then. Owns the orders of feeders that build for the units ahead.

use super::amiss::ToTake;
use super::queue::{Class, Entry};
use super::run::{Fate, Run};
use super::units::{Row, Unit};
use super::watcher::{Event, Watcher};
use crate::line::{Builds, ModelId};
use crate::schedule::FIRST_OF_LOT;
use crate::units::Time;
use std::collections::VecDeque;

/// What an entry of a delivery says that is a truck of a feeder which goes, or one that arrives after its way.
pub(super) const TRUCK: u16 = 3;
pub(super) const ARRIVES: u16 = 4;

/// A feeder and its parts.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct FeederCounts {
    pub begun: u64,
    /// Parts that were done, and those of them that passed every test at the first attempt.
    pub made: u64,
    pub first_pass: u64,
    /// Scrapped or set aside.
    pub lost: u64,
    /// Lots begun, where it makes lots.
    pub lots: u64,
    /// Clock time from the first place to the truck of the parts made.
    pub making: Time,
    /// Trucks that went at their time and brought something.
    pub trucks: u64,
    /// Integral over clock time of the parts on their way to the store (part-microseconds).
    pub on_the_way: i128,
}

/// A feeder in a run.
#[derive(Clone, Debug, Default)]
pub(super) struct FeederState {
    /// Bays of its last place whose parts are done.
    pub exit: VecDeque<u32>,
    /// Models of the parts on the truck.
    truck: Vec<u16>,
    /// Parts on their way to the store: when they arrive, and their models.
    on_the_way: VecDeque<(i64, u16)>,
    /// Departures so far, of a truck that goes at times.
    departures: i64,
    /// Parts begun so far.
    begun: u64,
    /// Models that are ordered and not begun, in turn.
    orders: VecDeque<u16>,
    /// The lot that is being made: its model, and how many of it are still to be begun.
    lot: (u16, u32),
    /// Per model: units that were taken off the line before they took their part.
    spare: Vec<u32>,
    /// Units that have still to take a part, in their order, where it matters.
    pub to_take: VecDeque<ToTake>,
    /// Orders that were placed, for units in the order in which they enter.
    pub ordered: u64,
}

impl<W: Watcher> Run<'_, W> {
    pub(super) fn set_up_feeders(&mut self) {
        for (f, feeder) in self.c.line.feeders.iter().enumerate() {
            self.feeders[f].truck.reserve(feeder.truck as usize);
            self.feeders[f].spare.resize(self.c.shop.models, 0);
            self.schedule_truck(f);
        }
        self.place_orders();
    }

    /// What is in the stores at the start: made for the first orders, where those are for models.
    pub(super) fn stock_feeders(&mut self) {
        for f in 0..self.feeders.len() {
            let part = self.c.line.feeders[f].part.index();
            for _ in 0..self.c.line.parts[part].at_start {
                let model = match self.c.line.feeders[f].builds {
                    Builds::ToStock => Some(0),
                    Builds::Ahead(_) => self.next_order(f),
                };
                let Some(model) = model else { break };
                self.floor.stock.pieces[self.c.shop.kind(part, model)] += 1;
            }
            self.stores[part].seen = self.level(part);
        }
    }

    /// Its exit among the places that may take a unit.
    pub(super) fn exit_of(&self, feeder: usize) -> usize {
        self.c.line.places.len() + 1 + feeder
    }

    /// A part may be begun: its model.
    pub(super) fn next_part(&self, feeder: usize) -> Option<u16> {
        if self.going_home && self.hours_of_feeder(feeder) == 0 {
            return None;
        }
        match self.c.line.feeders[feeder].builds {
            Builds::ToStock => Some(0),
            Builds::Ahead(_) => self.feeders[feeder].orders.get(self.next_order_at(feeder)?).copied(),
        }
    }

    /// Which order is the next one: the oldest of the model of the lot, as long as that has room; else the oldest one.
    fn next_order_at(&self, feeder: usize) -> Option<usize> {
        let state = &self.feeders[feeder];
        let (model, left) = state.lot;
        let of_lot = state.orders.iter().position(|ordered| left > 0 && *ordered == model);
        of_lot.or_else(|| (!state.orders.is_empty()).then_some(0))
    }

    /// Some feeder could begin a part, if only it were ordered.
    pub(super) fn a_feeder_waits_for_orders(&self) -> bool {
        let ahead = |f: usize| self.c.line.feeders[f].builds != Builds::ToStock;
        (0..self.feeders.len()).any(|f| ahead(f) && self.feeders[f].orders.is_empty())
    }

    /// A part is begun; whether it is the first one of its lot.
    fn begins_lot(&mut self, feeder: usize, model: u16) -> bool {
        let Some(size) = self.c.line.feeders[feeder].lot else { return false };
        let (of, left) = self.feeders[feeder].lot;
        let begins = left == 0 || of != model;
        self.feeders[feeder].lot = (model, if begins { size - 1 } else { left - 1 });
        self.seen.feeders[feeder].lots += u64::from(begins);
        begins
    }

    /// Begins a part, if any may be begun.
    pub(super) fn begin_part(&mut self, feeder: usize) -> Option<Row> {
        let model = self.next_part(feeder)?;
        let order = self.next_order_at(feeder);
        let options = if self.begins_lot(feeder, model) { FIRST_OF_LOT } else { 0 };
        let state = &mut self.feeders[feeder];
        order.map(|at| state.orders.remove(at));
        let number = state.begun;
        state.begun += 1;
        self.seen.feeders[feeder].begun += 1;
        let unit = Unit { line: feeder as u16 + 1, ..Unit::new(number, model, options, self.clock.now()) };
        let row = self.units.add(unit);
        let (unit, part) = (self.shown(row), self.c.line.feeders[feeder].part);
        self.see(Event::Begun { unit, part, model: ModelId(model) });
        self.show_faults(row);
        Some(row)
    }

    /// A unit has been released (or the run begins): the orders of those so many units behind it.
    pub(super) fn place_orders(&mut self) {
        // Where lanes are for some models, who stands where decides which units come next.
        if !self.around.filling {
            self.place_orders_of(|ahead| ahead);
        }
    }

    /// The order of the unit that is released next, and of nobody behind it.
    pub(super) fn place_next_order(&mut self) {
        self.place_orders_of(|_| 1);
    }

    fn place_orders_of(&mut self, so_many: impl Fn(u32) -> u32) {
        for f in 0..self.feeders.len() {
            let Builds::Ahead(ahead) = self.c.line.feeders[f].builds else { continue };
            let due = self.next_number + u64::from(so_many(ahead));
            while self.feeders[f].ordered < due && self.place_order(f) {}
            self.touch(self.c.line.feeders[f].first.index());
        }
    }

    /// The order for the next unit that has none yet; false if no further unit is known.
    fn place_order(&mut self, f: usize) -> bool {
        let Some(model) = self.planned(self.feeders[f].ordered) else { return false };
        let state = &mut self.feeders[f];
        state.ordered += 1;
        let takes_one = self.c.takers[f] >> model & 1 == 1;
        match state.spare.get_mut(model as usize).filter(|spare| takes_one && **spare > 0) {
            Some(spare) => *spare -= 1,
            None if takes_one => state.orders.push_back(model),
            None => {}
        }
        true
    }

    /// The first order that nothing has been made for, placed sooner if need be.
    fn next_order(&mut self, f: usize) -> Option<u16> {
        while self.feeders[f].orders.is_empty() {
            // Where nobody takes a part there is none to order.
            if self.c.takers[f] == 0 || !self.place_order(f) {
                return None;
            }
        }
        self.feeders[f].orders.pop_front()
    }

    /// The model of the unit of that number, planned before it enters.
    fn planned(&mut self, number: u64) -> Option<u16> {
        let at = (number - self.next_number) as usize;
        while self.plan.len() <= at {
            let model = self.next_model(self.next_number + self.plan.len() as u64)?;
            self.plan.push_back(model);
        }
        Some(self.plan[at])
    }

    /// A unit leaves the line for good: its part, if it has not taken it, is for the next of its model.
    pub(super) fn spare_its_parts(&mut self, row: Row) {
        let model = self.units.rows[row as usize].model;
        for f in 0..self.feeders.len() {
            let taken = self.c.taken_by[f].iter().any(|step| self.units.visits(row, *step) > 0)
                || self.has_laid_out(row, &self.c.taken_by[f]);
            self.takes_no_more(row, f);
            if !taken {
                self.cancel_one(f, model);
            }
        }
    }

    /// A unit that stands at a place from the start took its parts before it.
    pub(super) fn has_its_parts(&mut self, row: Row, place: usize) {
        let model = self.units.rows[row as usize].model;
        for f in 0..self.feeders.len() {
            let takes = |s: &&u32| self.c.line.steps[**s as usize].models[model as usize];
            let step = self.c.taken_by[f].iter().find(takes);
            if step.is_some_and(|s| self.c.line.steps[*s as usize].place.index() < place) {
                self.takes_no_more(row, f);
                self.cancel_one(f, model);
            }
        }
    }

    /// One part less is wanted of a model: the next one that is ordered, or will be.
    fn cancel_one(&mut self, f: usize, model: u16) {
        let ahead = self.c.line.feeders[f].builds != Builds::ToStock;
        if !ahead || self.c.takers[f] >> model & 1 == 0 {
            return;
        }
        let orders = &mut self.feeders[f].orders;
        match orders.iter().position(|ordered| *ordered == model) {
            Some(at) => {
                orders.remove(at);
            }
            None => self.feeders[f].spare[model as usize] += 1,
        }
    }

    /// A part is scrapped, or set aside after all its tries: another one is made in its place.
    pub(super) fn part_lost(&mut self, row: Row, fate: Fate) {
        let unit = self.units.rows[row as usize];
        let f = unit.line as usize - 1;
        self.seen.feeders[f].lost += 1;
        let number = self.shown(row);
        match fate {
            Fate::SetAside => self.see(Event::SetAside { unit: number }),
            Fate::Scrap | Fate::Stays | Fate::NextStop => self.see(Event::Scrapped { unit: number }),
        }
        self.leave_carriers(row);
        self.forget_laid_out(row);
        self.units.remove(row);
        if self.c.line.feeders[f].builds != Builds::ToStock {
            self.feeders[f].orders.push_front(unit.model);
            self.touch(self.c.line.feeders[f].first.index());
        }
    }

    /// What is done at the end of a feeder goes onto its truck; the one that fills it waits until the
    /// store has room for all of them.
    pub(super) fn deliver(&mut self, f: usize) {
        let feeder = &self.c.line.feeders[f];
        while self.truck_takes_one(f) {
            let Some(bay) = self.feeders[f].exit.pop_front() else { return };
            self.floor.drop_keeps(&self.c.shop, bay as usize);
            let row = self.leave_bay(bay as usize);
            let unit = self.units.rows[row as usize];
            self.feeders[f].truck.push(unit.model);
            let counts = &mut self.seen.feeders[f];
            counts.made += 1;
            counts.first_pass += u64::from(unit.first_pass);
            counts.making += Time(self.clock.now() - unit.line_on);
            let (unit, part) = (self.shown(row), feeder.part);
            self.see(Event::Made { unit, part });
            self.leave_carriers(row);
            self.units.remove(row);
            if feeder.every.is_none() && self.feeders[f].truck.len() == feeder.truck as usize {
                self.unload_truck(f, feeder.truck);
            }
        }
    }

    /// The oldest parts on the truck, so many of them, go to the store: at once, or they are on their way.
    fn unload_truck(&mut self, f: usize, pieces: u32) {
        let feeder = &self.c.line.feeders[f];
        let now = self.clock.now();
        if feeder.way.is_zero() {
            for model in self.feeders[f].truck.drain(..pieces as usize) {
                self.floor.stock.add(self.c.shop.kind(feeder.part.index(), model), 1);
            }
            return self.parts_came(f, pieces);
        }
        let arrives = now + feeder.way.0;
        let state = &mut self.feeders[f];
        state.on_the_way.extend(state.truck.drain(..pieces as usize).map(|model| (arrives, model)));
        self.seen.feeders[f].on_the_way -= i128::from(now) * i128::from(pieces);
        self.queue.push(Entry::new(arrives, Class::Delivery, f as u16, 0, ARRIVES));
        self.see(Event::TruckWent { part: feeder.part, pieces });
    }

    /// Whatever was on its way up to now goes into the store, which has kept room for it.
    pub(super) fn truck_arrives(&mut self, f: usize) {
        let (now, part) = (self.clock.now(), self.c.line.feeders[f].part.index());
        let mut pieces = 0;
        while let Some((at, model)) = self.feeders[f].on_the_way.front().copied().filter(|(at, _)| *at <= now)
        {
            debug_assert_eq!(at, now, "a truck is on its way as long as the others");
            self.feeders[f].on_the_way.pop_front();
            self.floor.stock.add(self.c.shop.kind(part, model), 1);
            pieces += 1;
        }
        // Of several trucks of one instant the first entry brings all.
        if pieces > 0 {
            self.seen.feeders[f].on_the_way += i128::from(now) * i128::from(pieces);
            self.parts_came(f, pieces);
        }
    }

    fn parts_came(&mut self, f: usize, pieces: u32) {
        let part = self.c.line.feeders[f].part;
        self.standstill.note(true);
        self.seen.parts[part.index()].came += u64::from(pieces);
        self.see(Event::Stored { part, pieces });
    }

    /// Places of the store in which there is nothing, and to which nothing is on its way.
    fn room_in_store(&self, f: usize) -> u32 {
        let part = self.c.line.feeders[f].part.index();
        self.c.line.parts[part].places - self.level(part) - self.feeders[f].on_the_way.len() as u32
    }

    /// The counted window begins (`-1`) or ends (`1`): what is on its way is counted from or up to here.
    pub(super) fn settle_ways(&mut self, sign: i128) {
        let now = i128::from(self.clock.now());
        for (state, counts) in self.feeders.iter().zip(&mut self.seen.feeders) {
            counts.on_the_way += sign * now * state.on_the_way.len() as i128;
        }
    }

    /// The next part that is done may go: nothing leaves a stopped place, and a truck that is filled goes.
    fn truck_takes_one(&self, f: usize) -> bool {
        let feeder = &self.c.line.feeders[f];
        if self.is_halted(feeder.last.index()) {
            return false;
        }
        if feeder.every.is_some() {
            return self.feeders[f].truck.len() < feeder.truck as usize;
        }
        let fills_it = self.feeders[f].truck.len() + 1 == feeder.truck as usize;
        !fills_it || self.room_in_store(f) >= feeder.truck
    }

    /// The next departure of a truck that goes at times.
    fn schedule_truck(&mut self, f: usize) {
        let Some(every) = self.c.line.feeders[f].every else { return };
        self.feeders[f].departures += 1;
        let (hours, gone) = (self.hours_of_feeder(f), self.feeders[f].departures);
        let at = self.clock_of_mut(hours).clock_of_net(every.0.saturating_mul(gone));
        if at < i64::MAX {
            self.queue.push(Entry::new(at, Class::Delivery, f as u16, 0, TRUCK));
        }
    }

    /// It goes with what is on it; what the store has no room for stays on it.
    pub(super) fn truck_goes(&mut self, f: usize) {
        self.schedule_truck(f);
        let pieces = self.room_in_store(f).min(self.feeders[f].truck.len() as u32);
        if pieces > 0 {
            self.seen.feeders[f].trucks += 1;
            self.unload_truck(f, pieces);
            self.touch(self.exit_of(f));
        }
    }

    /// Somebody waits for parts that are on a truck or on their way, and the store has room for them.
    pub(super) fn trucks_may_help(&self) -> bool {
        self.c.line.feeders.iter().enumerate().any(|(f, feeder)| {
            let part = feeder.part.index();
            let waited_for = |kind: usize| !self.floor.stock.queues[kind].is_empty();
            let comes = !self.feeders[f].on_the_way.is_empty()
                || !self.feeders[f].truck.is_empty() && feeder.every.is_some() && self.room_in_store(f) > 0;
            comes && self.c.shop.kinds_of(part).any(waited_for)
        })
    }

    /// Tasks have taken parts: trucks that may be filled now go.
    pub(super) fn call_trucks(&mut self) {
        for f in 0..self.feeders.len() {
            if !self.feeders[f].exit.is_empty() && self.truck_takes_one(f) {
                self.touch(self.exit_of(f));
            }
        }
    }
}
