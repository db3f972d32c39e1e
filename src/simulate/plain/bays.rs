//! A place with several bays or steps: its bays, slots and returning units, and what is booked of them.

use super::kinds::BaysPlan;
use super::length::Length;
use super::window::{Active, Stretches, UNKNOWN, Window, settle_place};
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::{BayState, Replication};
use std::collections::VecDeque;

/// Row of a unit.
pub(super) type Row = u32;
const NONE: Row = u32::MAX;

#[derive(Clone, Copy, Debug)]
pub(super) struct Bay {
    pub unit: Row,
    /// Step that runs (its place in the plan); past the last one, the unit is done.
    pub step: usize,
    pub entered: i64,
    hold_since: i64,
    state: BayState,
    since: i64,
    active: Active,
}

pub(super) struct Bays<'a> {
    pub plan: &'a BaysPlan,
    lengths: Vec<Length>,
    pub bays: Vec<Bay>,
    pub free: usize,
    pub slots: VecDeque<Row>,
    slot_count: usize,
    /// Units waiting outside to re-enter.
    pub returns: VecDeque<Row>,
    /// Bays whose units are done and wait for room, longest first.
    pub done: VecDeque<u16>,
    /// Bays at which something happened at this instant.
    changed: Vec<u16>,
    states: [i64; BayState::COUNT],
    stretches: Stretches,
    visits: u64,
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
        let empty = Bay {
            unit: NONE,
            step: 0,
            entered: 0,
            hold_since: -1,
            state: BayState::Starved,
            since: 0,
            active: Active::NOT,
        };
        Bays {
            plan,
            lengths: plan.steps.iter().map(|(node, _)| Length::new(c, *node, replication)).collect(),
            bays: vec![empty; bays],
            free: bays,
            slots: VecDeque::with_capacity(slots + 1),
            slot_count: slots,
            returns: VecDeque::with_capacity(8),
            done: VecDeque::with_capacity(bays),
            changed: Vec::with_capacity(bays),
            states: [0; BayState::COUNT],
            stretches: Stretches::default(),
            visits: 0,
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

    /// Length of a step on the unit with this number.
    #[inline]
    pub fn length(&mut self, step: usize, number: u64, visit: u32) -> i64 {
        self.lengths[step].of(number, visit)
    }

    /// A unit takes the first free bay.
    pub fn enter(&mut self, unit: Row, now: i64, window: &Window) -> usize {
        let bay = self.bays.iter().position(|b| b.unit == NONE).expect("a free bay was counted");
        self.bay_level(now, window);
        self.free -= 1;
        self.visits += u64::from(window.holds(now));
        let state = &mut self.bays[bay];
        (state.unit, state.step, state.entered) = (unit, 0, now);
        self.changed.push(bay as u16);
        bay
    }

    /// The bay is empty from now on.
    pub fn leave(&mut self, bay: usize, now: i64, window: &Window, seen: &mut Replication) -> Row {
        self.audit(bay, now, window, seen);
        if let Some(test) = self.plan.test {
            let held = now - self.bays[bay].entered;
            if window.holds(now) {
                seen.tests[test].service.record(held);
            }
            self.busy += window.part(self.bays[bay].entered, now);
        }
        self.bay_level(now, window);
        self.free += 1;
        self.changed.push(bay as u16);
        std::mem::replace(&mut self.bays[bay].unit, NONE)
    }

    /// A step starts; a hold that it follows is over for good.
    pub fn start(&mut self, bay: usize, step: usize, now: i64, window: &Window, seen: &mut Replication) {
        self.audit(bay, now, window, seen);
        self.bays[bay].step = step;
        if self.plan.steps.get(step).is_some_and(|(_, hold)| hold.is_some()) {
            self.bays[bay].hold_since = now;
        }
        self.changed.push(bay as u16);
    }

    /// All steps are done.
    pub fn all_done(&mut self, bay: usize) {
        self.bays[bay].step = usize::MAX;
        self.changed.push(bay as u16);
    }

    fn audit(&mut self, bay: usize, now: i64, window: &Window, seen: &mut Replication) {
        let since = std::mem::replace(&mut self.bays[bay].hold_since, -1);
        if since >= 0 && window.holds(now) {
            // Only the last hold started can still be open.
            let hold = self.last_hold(bay);
            let counts = &mut seen.holds[hold];
            counts.count += 1;
            counts.shortest = counts.shortest.min(crate::units::Time(now - since));
        }
    }

    fn last_hold(&self, bay: usize) -> usize {
        let upto = self.bays[bay].step.min(self.plan.steps.len() - 1);
        let holds = self.plan.steps[..=upto].iter().rev().find_map(|(_, hold)| *hold);
        holds.expect("a hold was started")
    }

    /// Books the states of the bays at which something changed at this instant.
    pub fn book_states(&mut self, now: i64, window: &Window) {
        while let Some(bay) = self.changed.pop() {
            let is = self.state_of(bay as usize);
            let bay = &mut self.bays[bay as usize];
            if is == bay.state {
                continue;
            }
            self.states[bay.state as usize] += window.part(bay.since, now);
            let was_active = bay.active.since >= 0;
            let is_active = matches!(is, BayState::Holding | BayState::Working);
            if was_active && !is_active {
                bay.active.close(now, window, &mut self.stretches);
            } else if is_active && !was_active {
                bay.active.since = now;
            }
            (bay.state, bay.since) = (is, now);
        }
    }

    fn state_of(&self, bay: usize) -> BayState {
        let bay = &self.bays[bay];
        match (bay.unit, self.plan.steps.get(bay.step)) {
            (NONE, _) => BayState::Starved,
            // A fix at a repair place.
            (_, None) if self.plan.off_line => BayState::Working,
            (_, None) => BayState::Blocked,
            (_, Some((_, Some(_)))) => BayState::Holding,
            (_, Some((_, None))) => BayState::Working,
        }
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

    /// Are the waiting places full (or, without any, is somebody `blocked` upstream)?
    pub fn check_full(&mut self, blocked: bool, now: i64, window: &Window) {
        let full = if self.slot_count > 0 { self.slots.len() == self.slot_count } else { blocked };
        if full && self.full_since < 0 {
            self.full_since = now;
        } else if !full && self.full_since >= 0 {
            self.full += window.part(self.full_since, now);
            self.full_since = -1;
        }
    }

    /// The end has come: books what still runs, and writes the counts.
    pub fn settle(&mut self, window: &Window, seen: &mut Replication) {
        let end = window.end;
        self.book_states(end, window);
        for bay in &mut self.bays {
            self.states[bay.state as usize] += window.part(bay.since, end);
            bay.active.close(UNKNOWN, window, &mut self.stretches);
            if bay.unit != NONE {
                self.busy += window.part(bay.entered, end);
            }
        }
        self.bay_level(end, window);
        self.slot_level(end, window);
        if self.full_since >= 0 {
            self.full += window.part(self.full_since, end);
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
            counts.full = crate::units::Time(self.full);
        }
    }

    /// Units in its bays and waiting before it.
    pub fn inside(&self) -> impl Iterator<Item = Row> + '_ {
        let bays = self.bays.iter().map(|b| b.unit).filter(|u| *u != NONE);
        bays.chain(self.slots.iter().copied()).chain(self.returns.iter().copied())
    }
}
