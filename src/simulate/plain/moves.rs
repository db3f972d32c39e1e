//! Moves: who takes a freed bay, slots, the tail; steps start.

use super::bays::Row;
use super::flow::{BAY_IS_DONE, Flow, HEAD_IS_DONE, ROOM_COMES, State, Unit};
use super::window::{Passage, UNKNOWN};
use crate::units::Time;

impl Flow<'_> {
    /// All moves of this instant, repair places first, then from the end of the line.
    pub(super) fn move_units(&mut self) {
        while let Some(part) = self.dirty.take_last() {
            match &self.parts[part] {
                State::Head(_) => {}
                State::Tail(_) => self.fill_tail(part),
                State::Bays(_) => self.fill_bays(part),
            }
        }
    }

    pub(super) fn fill_tail(&mut self, part: usize) {
        loop {
            let (State::Tail(tail), Some(State::Bays(before))) =
                (&self.parts[part], self.parts.get(part - 1))
            else {
                return;
            };
            let room = tail.room();
            let Some(bay) = before.done.front().copied() else { return };
            if room > self.now {
                self.wait_for_room(part, room);
                return;
            }
            let unit = self.take_done(part - 1, bay as usize);
            let Unit { number, on, first_pass, .. } = self.units[unit as usize];
            let State::Tail(tail) = &mut self.parts[part] else { return };
            let off = tail.pass(number, self.now, &self.window);
            self.undecided |= tail.no_length;
            self.finish(Passage { on, off }, first_pass);
            self.free_rows.push(unit);
        }
    }

    pub(super) fn wait_for_room(&mut self, part: usize, room: i64) {
        let State::Tail(tail) = &mut self.parts[part] else { return };
        if tail.opens_at != room {
            debug_assert_eq!(tail.opens_at, UNKNOWN, "room does not change once it is known");
            tail.opens_at = room;
            self.push(room, part, 0, ROOM_COMES);
        }
    }

    /// A unit leaves the bay in which it waited for room downstream.
    pub(super) fn take_done(&mut self, part: usize, bay: usize) -> Row {
        let State::Bays(bays) = &mut self.parts[part] else { unreachable!("asked of bays only") };
        bays.done.pop_front();
        let unit = self.leave(part, bay);
        let waiting = &mut self.units[unit as usize];
        waiting.blocked = self.now - waiting.waits_since;
        unit
    }

    pub(super) fn fill_bays(&mut self, part: usize) {
        loop {
            let State::Bays(bays) = &self.parts[part] else { return };
            if bays.free == 0 {
                break;
            }
            let Some(unit) = self.next_unit(part) else { break };
            self.enter_bay(part, unit);
        }
        loop {
            let State::Bays(bays) = &self.parts[part] else { return };
            if !bays.has_room_in_slots() {
                break;
            }
            let Some(unit) = self.next_upstream(part) else { break };
            let State::Bays(bays) = &mut self.parts[part] else { return };
            bays.slot_level(self.now, &self.window);
            bays.slots.push_back(unit);
        }
    }

    /// Who takes a free bay: a returning unit, the slots, upstream.
    pub(super) fn next_unit(&mut self, part: usize) -> Option<Row> {
        let State::Bays(bays) = &self.parts[part] else { return None };
        let since = |unit: &Row| self.units[*unit as usize].waits_since;
        let from_slots = bays.slots.front().copied();
        if let Some(returning) = bays.returns.front().copied() {
            let other = from_slots.map(|unit| since(&unit)).or_else(|| self.upstream_waits(part));
            let first = self.c.line.places[bays.place()].returns_first;
            if first || other.is_none_or(|other| since(&returning) <= other) {
                let State::Bays(bays) = &mut self.parts[part] else { return None };
                return bays.returns.pop_front();
            }
        }
        if from_slots.is_some() {
            let State::Bays(bays) = &mut self.parts[part] else { return None };
            bays.slot_level(self.now, &self.window);
            bays.slots.pop_front();
            return from_slots;
        }
        self.next_upstream(part)
    }

    /// Since when the unit upstream has waited for this part.
    pub(super) fn upstream_waits(&self, part: usize) -> Option<i64> {
        if part >= self.plan.on_line {
            return None;
        }
        match part.checked_sub(1).map(|before| &self.parts[before]) {
            // New units always wait at the entrance.
            None => Some(self.now),
            Some(State::Head(head)) => head.waits.then(|| head.passage().1),
            Some(State::Tail(_)) => None,
            Some(State::Bays(bays)) => {
                let bay = bays.done.front()?;
                Some(self.units[bays.bays[*bay as usize].unit as usize].waits_since)
            }
        }
    }

    /// Takes the unit that waits upstream.
    pub(super) fn next_upstream(&mut self, part: usize) -> Option<Row> {
        if part >= self.plan.on_line {
            return None;
        }
        let Some(before) = part.checked_sub(1) else { return Some(self.create(self.now)) };
        let unit = match &mut self.parts[before] {
            State::Head(head) => {
                if !head.waits {
                    return None;
                }
                let (on, done) = head.passage();
                let next = head.take(self.now, &self.window);
                self.undecided |= head.no_length;
                self.push(next, before, 0, HEAD_IS_DONE);
                let unit = self.create(on);
                let taken = &mut self.units[unit as usize];
                (taken.waits_since, taken.blocked) = (done, self.now - done);
                unit
            }
            State::Tail(_) => return None,
            State::Bays(bays) => {
                let bay = *bays.done.front()?;
                self.take_done(before, bay as usize)
            }
        };
        self.check_full(part);
        Some(unit)
    }

    pub(super) fn enter_bay(&mut self, part: usize, unit: Row) {
        let State::Bays(bays) = &mut self.parts[part] else { return };
        let tests = self.c.tests.len();
        let bay = bays.enter(unit, self.now, &self.window);
        let Unit { waits_since, blocked, number, returns_from, .. } = self.units[unit as usize];
        if let Some(test) = self.c.test_at[bays.place()] {
            let wait = self.now - waits_since;
            bays.queue += i128::from(self.window.part(waits_since, self.now));
            if self.window.holds(self.now) {
                let counts = &mut self.seen.tests[test as usize];
                counts.arrivals += 1;
                counts.waits.record(wait);
                counts.waited += u64::from(wait > 0);
                counts.wait_blocked += Time(blocked);
            }
        }
        if !bays.plan.off_line {
            let visit = bays.plan.test.map_or(0, |t| u32::from(self.attempts[unit as usize * tests + t]));
            let (done, no_length) = bays.work(bay, number, visit);
            self.units[unit as usize].returns_from = None;
            self.undecided |= no_length;
            self.push(done, part, bay as u16, BAY_IS_DONE);
            return;
        }
        let (test, outcome) = returns_from.expect("only failed units come to a repair place");
        let local = self.c.tests[test as usize].fix[outcome as usize].expect("its fix stands here");
        let node = self.c.shop.places[bays.place()].node0 as usize + local as usize;
        let attempts = self.attempts[unit as usize * tests + test as usize];
        let length = self.c.timers[node].length(self.replication, number, u32::from(attempts));
        let done = bays.mend(bay, length);
        self.undecided |= length == 0;
        self.push(done, part, bay as u16, BAY_IS_DONE);
    }

    /// A unit begins to wait for a bay of a part.
    pub(super) fn joins(&mut self, part: usize) {
        self.dirty.set(part);
        if let State::Bays(bays) = &mut self.parts[part]
            && let Some(test) = self.c.test_at[bays.place()]
            && let Some(gap) = bays.gap(self.now, &self.window)
        {
            self.seen.tests[test as usize].gaps.record(gap);
        }
        self.check_full(part);
    }

    pub(super) fn check_full(&mut self, part: usize) {
        if !matches!(&self.parts[part], State::Bays(bays) if bays.fills_upstream()) {
            return;
        }
        let blocked = part > 0
            && part < self.plan.on_line
            && match &self.parts[part - 1] {
                State::Head(head) => head.waits,
                State::Tail(_) => false,
                State::Bays(bays) => !bays.done.is_empty(),
            };
        if let State::Bays(bays) = &mut self.parts[part] {
            bays.check_full(blocked, self.now, &self.window);
        }
    }
}
