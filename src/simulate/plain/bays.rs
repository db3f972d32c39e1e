//! A place with several bays or steps: its bays, slots and returning units, and what is booked of them.

use super::kinds::BaysPlan;
use super::length::Length;
use super::marks::Marks;
use super::window::{Active, Stretches, UNKNOWN, Window, settle_place};
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::{BayState, Replication};
use crate::units::Time;
use std::collections::VecDeque;

/// Row of a unit.
pub(super) type Row = u32;
const NONE: Row = u32::MAX;

#[derive(Clone, Copy, Debug)]
pub(super) struct Bay {
    pub unit: Row,
    entered: i64,
    active: Active,
}

pub(super) struct Bays<'a> {
    pub plan: &'a BaysPlan,
    lengths: Vec<Length>,
    pub bays: Vec<Bay>,
    /// When each step of the unit in a bay ends, all of a bay together; a fix is the one step of its repair place.
    ends: Vec<i64>,
    steps: usize,
    free_bays: Marks,
    pub free: usize,
    pub slots: VecDeque<Row>,
    slot_count: usize,
    /// Units waiting outside to re-enter.
    pub returns: VecDeque<Row>,
    /// Bays whose units are done and wait for room, longest first.
    pub done: VecDeque<u16>,
    states: [i64; BayState::COUNT],
    stretches: Stretches,
    visits: u64,
    /// Ends of steps of units that have left.
    steps_ended: u64,
    bay_levels: Vec<i64>,
    bay_level_since: i64,
    slot_levels: Vec<i64>,
    slot_level_since: i64,
    busy: i64,
    last_arrival: i64,
    full_since: i64,
    full: i64,
    /// Clock time waited for a bay, summed over units.
    pub queue: i128,
}

impl<'a> Bays<'a> {
    pub fn new(c: &Compiled, plan: &'a BaysPlan, replication: u32) -> Bays<'a> {
        let place = plan.place;
        let bays = c.shop.places[place].bays as usize;
        let slots = c.line.places[place].slots as usize;
        let steps = if plan.off_line { 1 } else { plan.steps.len() };
        let mut free_bays = Marks::none_of(bays);
        (0..bays).for_each(|bay| free_bays.set(bay));
        Bays {
            plan,
            lengths: plan.steps.iter().map(|(node, _)| Length::new(c, *node, replication)).collect(),
            bays: vec![Bay { unit: NONE, entered: 0, active: Active::NOT }; bays],
            ends: vec![0; bays * steps],
            steps,
            free_bays,
            free: bays,
            slots: VecDeque::with_capacity(slots + 1),
            slot_count: slots,
            returns: VecDeque::with_capacity(8),
            done: VecDeque::with_capacity(bays),
            states: [0; BayState::COUNT],
            stretches: Stretches::default(),
            visits: 0,
            steps_ended: 0,
            bay_levels: vec![0; bays + 1],
            bay_level_since: 0,
            slot_levels: vec![0; slots + 1],
            slot_level_since: 0,
            busy: 0,
            last_arrival: -1,
            full_since: -1,
            full: 0,
            queue: 0,
        }
    }

    pub fn place(&self) -> usize {
        self.plan.place
    }

    pub fn has_room_in_slots(&self) -> bool {
        self.slots.len() < self.slot_count
    }

    /// A unit takes the first free bay.
    pub fn enter(&mut self, unit: Row, now: i64, window: &Window) -> usize {
        let bay = self.free_bays.take_first().expect("a free bay was counted");
        self.bay_level(now, window);
        self.free -= 1;
        self.visits += u64::from(window.holds(now));
        let taken = &mut self.bays[bay];
        (taken.unit, taken.entered) = (unit, now);
        taken.active.begin::<false>(now, window, &mut self.stretches);
        bay
    }

    /// The unit with this number goes through all its steps, one right after the other: when the last one ends, and
    /// whether one of them takes no time. `visit` says which start of them it is.
    pub fn work(&mut self, bay: usize, number: u64, visit: u32) -> (i64, bool) {
        let mut at = self.bays[bay].entered;
        let mut no_length = false;
        for (length, end) in self.lengths.iter_mut().zip(&mut self.ends[bay * self.steps..]) {
            let length = length.of(number, visit);
            no_length |= length == 0;
            at += length;
            *end = at;
        }
        (at, no_length)
    }

    /// The unit in this bay of a repair place is mended.
    pub fn mend(&mut self, bay: usize, length: i64) -> i64 {
        let end = self.bays[bay].entered + length;
        self.ends[bay] = end;
        end
    }

    /// The bay is empty from now on.
    pub fn leave(&mut self, bay: usize, now: i64, window: &Window, seen: &mut Replication) -> Row {
        self.book_visit(bay, now, window, seen);
        self.steps_ended += self.steps as u64;
        if let Some(test) = self.plan.test {
            let held = now - self.bays[bay].entered;
            if window.holds(now) {
                seen.tests[test].service.record(held);
            }
            self.busy += window.part(self.bays[bay].entered, now);
        }
        self.bay_level(now, window);
        self.free += 1;
        self.free_bays.set(bay);
        std::mem::replace(&mut self.bays[bay].unit, NONE)
    }

    /// Books what the unit in a bay did there until it left; until then its holds of the past may still be open.
    fn book_visit(&mut self, bay: usize, left: i64, window: &Window, seen: &mut Replication) {
        let ends = &self.ends[bay * self.steps..][..self.steps];
        let mut from = self.bays[bay].entered;
        for (step, end) in ends.iter().enumerate() {
            let hold = self.plan.steps.get(step).and_then(|(_, hold)| *hold);
            let state = if hold.is_some() { BayState::Holding } else { BayState::Working };
            self.states[state as usize] += window.part(from, *end);
            // A hold is over when the next step starts, the last one when the unit leaves.
            let over = if step + 1 < ends.len() { *end } else { left };
            if let Some(hold) = hold
                && window.holds(over)
            {
                let counts = &mut seen.holds[hold];
                counts.count += 1;
                counts.shortest = counts.shortest.min(Time(over - from));
            }
            from = *end;
        }
        self.states[BayState::Blocked as usize] += window.part(from, left);
        self.bays[bay].active.to = from;
    }

    fn bay_level(&mut self, now: i64, window: &Window) {
        self.bay_levels[self.bays.len() - self.free] += window.part(self.bay_level_since, now);
        self.bay_level_since = now;
    }

    pub fn slot_level(&mut self, now: i64, window: &Window) {
        self.slot_levels[self.slots.len()] += window.part(self.slot_level_since, now);
        self.slot_level_since = now;
    }

    /// Time since the last unit joined the queue, if it is counted.
    pub fn gap(&mut self, now: i64, window: &Window) -> Option<i64> {
        let last = std::mem::replace(&mut self.last_arrival, now);
        (window.holds(now) && last >= window.cut && last >= 0).then_some(now - last)
    }

    /// Without waiting places, is full while somebody waits upstream.
    pub fn fills_upstream(&self) -> bool {
        self.slot_count == 0
    }

    pub fn check_full(&mut self, full: bool, now: i64, window: &Window) {
        if full && self.full_since < 0 {
            self.full_since = now;
        } else if !full && self.full_since >= 0 {
            self.full += window.part(self.full_since, now);
            self.full_since = -1;
        }
    }

    /// The end has come: books what still runs, and writes the counts. Returns the ends of steps up to it.
    pub fn settle(&mut self, window: &Window, seen: &mut Replication) -> u64 {
        let end = window.end;
        for bay in 0..self.bays.len() {
            if self.bays[bay].unit != NONE {
                self.book_visit(bay, UNKNOWN, window, seen);
                let ends = &self.ends[bay * self.steps..][..self.steps];
                self.steps_ended += ends.iter().filter(|end| **end <= window.last).count() as u64;
                self.busy += window.part(self.bays[bay].entered, end);
            }
            self.bays[bay].active.close(window, &mut self.stretches);
        }
        self.bay_level(end, window);
        self.slot_level(end, window);
        if self.full_since >= 0 {
            self.full += window.part(self.full_since, end);
        }
        if self.slot_count > 0 {
            self.full = self.slot_levels[self.slot_count];
        }
        let place = &mut seen.places[self.plan.place];
        let states =
            [BayState::Holding, BayState::Working, BayState::Blocked].map(|s| (s, self.states[s as usize]));
        settle_place(place, self.bays.len() as i64, window.end - window.cut, &states, self.stretches);
        place.visits = self.visits;
        place.bay_levels.clone_from(&self.bay_levels);
        place.slot_levels.clone_from(&self.slot_levels);
        if let Some(test) = self.plan.test {
            let counts = &mut seen.tests[test];
            counts.busy = i128::from(self.busy);
            counts.queue = self.queue;
            counts.full = Time(self.full);
        }
        self.steps_ended
    }

    /// Units in its bays and waiting before it.
    pub fn inside(&self) -> impl Iterator<Item = Row> + '_ {
        let bays = self.bays.iter().map(|b| b.unit).filter(|u| *u != NONE);
        bays.chain(self.slots.iter().copied()).chain(self.returns.iter().copied())
    }
}
