//! Pushed segments: all units move at once, bays work in rotation, what is not done holds the line.

use super::queue::{Class, Entry, PUSH_END};
use super::run::{Fate, Run};
use super::units::{NONE, Row};
use super::watcher::{Event, Spot, Watcher};
use crate::line::{PlaceId, SegmentId};

impl<W: Watcher> Run<'_, W> {
    /// Pushes the first segment (counted from the end of the line) that is ready; false if none is.
    pub(super) fn push_what_is_ready(&mut self) -> bool {
        for s in &self.c.pushed {
            let s = *s;
            let first = self.c.stretches[s].first;
            if self.stretches[s].check || self.movers.are_wanted_at(first) {
                self.stretches[s].check = false;
                self.let_movers_begin(s);
                let ready = self.is_ready(s);
                if ready && self.movers_are_ready(s, first) {
                    self.push(s);
                    return true;
                } else if !ready {
                    self.movers_are_not_wanted(first);
                }
            }
        }
        false
    }

    pub(super) fn due_bay(&self, place: usize) -> usize {
        self.c.shop.places[place].bay0 as usize + self.places[place].due as usize
    }

    fn is_ready(&mut self, s: usize) -> bool {
        let stretch = self.c.stretches[s];
        let now = self.clock.now();
        if self.going_home || self.stretches[s].moving_until > now || !self.stretches[s].signalled {
            return false;
        }
        if self.waits_still(s) {
            self.began_to_wait = true;
            return false;
        }
        if (stretch.first..=stretch.last).any(|place| self.is_halted(place)) {
            return false;
        }
        if !self.all_may_go(s) {
            // The others wait for the one that is not.
            self.began_to_wait = true;
            return false;
        }
        // Nothing in it and nothing to enter: a push when ready would move holes for ever.
        if stretch.every.is_none() && self.is_empty(s) && !self.has_entrance(stretch.first) {
            return false;
        }
        let exit = self.due_bay(stretch.last);
        let leaves = self.bays[exit].unit;
        let room = leaves == NONE
            || self.places[stretch.last].pulls
            || self.has_room_after(stretch.last, leaves)
                && self.carriers_for(stretch.last + 1, self.units.rows[leaves as usize].carriers);
        if room {
            if self.stretches[s].no_room {
                self.stretches[s].no_room = false;
                self.stretches[s].room_net = self.clock.net();
            }
        } else if !self.stretches[s].no_room {
            self.stretches[s].no_room = true;
            self.book(exit);
            self.began_to_wait = true;
        }
        room
    }

    /// What was not ready at the last look is not yet: most often so, and told at once.
    fn waits_still(&self, s: usize) -> bool {
        let stretch = &self.c.stretches[s];
        let plain =
            !self.c.has_drift && stretch.late.is_none() && !stretch.pulls && self.floor.halts.any == 0;
        let place = usize::from(self.stretches[s].unready);
        plain && place >= stretch.first && !self.may_be_pushed(self.due_bay(place))
    }

    pub(super) fn is_empty(&self, s: usize) -> bool {
        let stretch = self.c.stretches[s];
        (stretch.first..=stretch.last)
            .all(|p| self.places[p].free == self.c.shop.places[p].bays && self.places[p].returns.is_empty())
    }

    /// A unit that could enter a pushed segment at its next push.
    pub(super) fn has_entrance(&self, place: usize) -> bool {
        !self.places[place].slots.is_empty()
            || self.waiting_upstream(place).is_some()
            || self.may_enter(place)
    }

    /// The bay upstream whose unit is done and waits for this place, longest first.
    fn waiting_upstream(&self, place: usize) -> Option<usize> {
        if place > 0 && self.is_halted(place - 1) {
            return None;
        }
        let carried = |bay: usize| {
            let unit = self.bays[bay].unit;
            self.carriers_for(place, self.units.rows[unit as usize].carriers)
        };
        if let Some(bay) = self.places[place].blocked.front() {
            return Some(*bay as usize).filter(|bay| carried(*bay));
        }
        let before = self.c.stretches.get(self.c.stretch_of[place].checked_sub(1)?)?;
        if !before.pushed {
            return None;
        }
        let bay = self.due_bay(before.last);
        (self.bays[bay].unit != NONE
            && self.bays[bay].done
            && self.bays[bay].fate == Fate::Stays
            && carried(bay))
        .then_some(bay)
    }

    fn has_room_after(&self, last: usize, row: Row) -> bool {
        let next = last + 1;
        if next >= self.c.line.on_line {
            return self.yard_has_room();
        }
        self.places[next].slots.len() < self.slots_of(next)
            || !self.c.shop.places[next].pushed && self.has_bay_for(next, row)
    }

    fn push(&mut self, s: usize) {
        let stretch = self.c.stretches[s];
        self.see(Event::Pushed { segment: SegmentId::from_index(s) });
        self.book_push(s);
        self.movers_begin(s, stretch.first, self.clock.now() + stretch.index);
        // The place nearest to the exit at which a returning unit waits: those before it stand still, unless the push
        // would bring it a hole.
        let returning = (stretch.first..=stretch.last).rev().find(|p| {
            self.first_to_return(*p).is_some()
                && (self.c.line.places[*p].returns_first || self.brings_hole(stretch.first, *p))
        });
        let moves_from = returning.filter(|p| !self.brings_hole(stretch.first, *p)).unwrap_or(stretch.first);
        if stretch.pulls {
            self.pull_off_who_is_late(moves_from..=stretch.last);
        }
        for place in (stretch.first..=stretch.last).rev() {
            if place < moves_from {
                self.seen.places[place].held_for_return += 1;
                continue;
            }
            let bay = self.due_bay(place);
            if self.bays[bay].unit != NONE {
                if place == stretch.last {
                    self.push_out(bay, place, stretch.index)
                } else {
                    self.push_on(bay, place + 1, stretch.index)
                }
            }
            // The place after it has got what came, a unit or a hole; its next bay is due.
            if place < stretch.last && returning != Some(place + 1) {
                self.turn(place + 1);
            }
            if returning == Some(place) {
                // In the place of the hole, or of those who stand still.
                if let Some(row) = self.take_return(place) {
                    self.enter_with_push(row, bay, Spot::Outside(PlaceId::from_index(place)), stretch.index);
                }
                self.turn(place);
            } else if place == stretch.first {
                self.let_in(bay, place, stretch.index);
                self.turn(place);
            }
        }
        self.after_push(s, stretch.index);
        if stretch.index == 0 {
            self.push_arrives(s);
        }
    }

    /// Nobody would come to the place along the line with the push. (At the first one a returning unit takes the turn of
    /// whoever enters.)
    fn brings_hole(&self, first: usize, place: usize) -> bool {
        place == first || self.bays[self.due_bay(place - 1)].unit == NONE || self.places[place - 1].pulls
    }

    /// With an index of zero, too, a pushed unit is on its way until `push_arrives`.
    fn enter_with_push(&mut self, row: Row, bay: usize, from: Spot, index: i64) {
        self.enter_bay(row, bay, from, index);
        self.bays[bay].moving = true;
    }

    fn turn(&mut self, place: usize) {
        let bays = self.c.shop.places[place].bays;
        self.places[place].due = (self.places[place].due + 1) % bays;
    }

    /// Into the next place of the segment: the bay that has just been left there.
    fn push_on(&mut self, bay: usize, next: usize, index: i64) {
        let (from, to) = (self.spot_of(bay), self.due_bay(next));
        match (self.bays[bay].done, self.goes_along(next - 1)) {
            (true, _) if self.c.has_early => self.take_early_along(bay, to),
            (true, _) => {}
            (false, true) => self.carry_along(bay, to),
            (false, false) => self.take_along(bay),
        }
        let row = self.leave_blocked(bay);
        self.enter_with_push(row, to, from, index);
    }

    fn push_out(&mut self, bay: usize, place: usize, index: i64) {
        let from = self.spot_of(bay);
        let next = place + 1;
        if next >= self.c.line.on_line {
            // What it keeps goes no further than the line.
            self.floor.drop_keeps(&self.c.shop, bay);
        }
        let row = self.leave_blocked(bay);
        if next >= self.c.line.on_line {
            self.finish(row);
            return;
        }
        if !self.c.shop.places[next].pushed && self.has_bay_for(next, row) {
            self.come_in(row, next, from, index);
        } else {
            self.enter_slot(row, next, from, index);
        }
    }

    /// The unit at the entrance enters; nobody there: a hole does.
    fn let_in(&mut self, bay: usize, place: usize, index: i64) {
        let now = self.clock.now();
        let slot_ready =
            self.places[place].slots.front().is_some_and(|r| self.units.rows[*r as usize].arrives <= now);
        let (row, from): (Row, Spot) = if slot_ready {
            self.slot_level(place);
            let Some(row) = self.places[place].slots.pop_front() else { return };
            self.check_full(place);
            // The slot that is free now may be taken at this very instant.
            self.touch(place);
            (row, Spot::Slot(PlaceId::from_index(place)))
        } else if !self.places[place].slots.is_empty() {
            return;
        } else if let Some(from) = self.waiting_upstream(place) {
            self.places[place].blocked.retain(|b| *b as usize != from);
            self.check_full(place);
            let spot = self.spot_of(from);
            (self.leave_blocked(from), spot)
        } else if self.may_enter(place) {
            let Some(row) = self.enters(place) else { return };
            (row, Spot::Outside(PlaceId(0)))
        } else {
            return;
        };
        self.enter_with_push(row, bay, from, index);
    }

    /// Schedules the end of the move and the next signal.
    pub(super) fn after_push(&mut self, s: usize, index: i64) {
        let stretch = self.c.stretches[s];
        if !stretch.pushed {
            return;
        }
        let now = self.clock.now();
        let ends = now + index;
        let rank = self.c.rank_of[stretch.last];
        if index > 0 {
            self.queue.push(Entry::new(ends, Class::End, rank, 0, PUSH_END));
        }
        let pushed_net = self.clock.net_at(ends);
        let state = &mut self.stretches[s];
        let last_signal = state.signal_net;
        state.moving_until = ends;
        state.pushed_net = pushed_net;
        state.no_room = false;
        state.room_net = pushed_net;
        state.signal_net = pushed_net;
        state.signalled = stretch.every.is_none();
        state.check = index == 0;
        if let Some(every) = stretch.every {
            let signal = match stretch.on_the_grid {
                true => self.clock.next_on_grid(last_signal, every),
                false => pushed_net + every - stretch.index,
            };
            self.stretches[s].signal_net = signal;
            let at = self.clock.clock_of_net(signal);
            let reversed = (self.c.stretches.len() - 1 - s) as u16;
            self.queue.push(Entry::new(at, Class::Signal, reversed, 0, 0));
            if self.c.has_early {
                self.early_after_push(s);
            }
        }
    }

    /// The move is over: every unit of the segment that was on its way has arrived.
    pub(super) fn push_arrives(&mut self, s: usize) {
        let stretch = self.c.stretches[s];
        self.stretches[s].check = true;
        self.stretches[s].moving_until = -1;
        self.movers_end(s);
        for place in (stretch.first..=stretch.last).rev() {
            let compiled = &self.c.shop.places[place];
            let (bay0, bays) = (compiled.bay0 as usize, compiled.bays as usize);
            for bay in bay0..bay0 + bays {
                if self.bays[bay].moving {
                    self.arrive(bay);
                }
            }
        }
        self.touch(stretch.first);
    }
}
