//! Moves: who takes a freed place, entering and leaving bays, slots, the outside, the exit.
//!
//! Blocking after service: a finished unit keeps its bay until the next place is free. A freed place
//! goes to returning units if they have precedence, then to the unit waiting in the slots, then to
//! the unit blocked longest, then to a new unit at the entrance.

use super::queue::{Class, Entry, MOVE_END};
use super::run::{Fate, Run};
use super::units::{NONE, Row, Way};
use super::watcher::{Event, Spot, Watcher};
use crate::line::PlaceId;
use crate::units::Time;

/// Where the unit for a freed bay comes from.
#[derive(Clone, Copy)]
pub(super) enum Source {
    Return,
    Slot,
    Upstream,
    Entrance,
}

impl<W: Watcher> Run<'_, W> {
    /// All moves that are due, last place of the line first.
    pub(super) fn moves(&mut self) {
        self.look_at_moves_that_wait();
        loop {
            if self.somebody_leaves() {
                self.let_go();
            }
            if let Some(place) = self.next_dirty_place() {
                match place.checked_sub(self.c.line.places.len()) {
                    None => self.pull(place),
                    Some(0) => self.finish_blocked(),
                    Some(feeder) => self.deliver(feeder - 1),
                }
                continue;
            }
            let pushed = !self.c.pushed.is_empty() && self.clock.attended() && self.push_what_is_ready();
            if !pushed && !self.somebody_leaves() {
                break;
            }
        }
    }

    /// Steps done, tests passed: the unit may move on.
    #[inline]
    pub(super) fn look_if_done(&mut self, bay: usize) {
        if self.floor.bays[bay].undone > 0 || self.bays[bay].done || self.bays[bay].fate != Fate::Stays {
            return;
        }
        let (now, net) = (self.clock.now(), self.clock_in(bay).net());
        self.bays[bay].done = true;
        self.bays[bay].done_net = net;
        let place = self.c.shop.bay_place[bay] as usize;
        let row = self.bays[bay].unit;
        if self.units.rows[row as usize].way != Way::Series {
            self.bays[bay].fate = Fate::NextStop;
            self.units.rows[row as usize].waits_since = now;
            self.leavers.push(bay as u32);
            return;
        }
        let unit = &mut self.units.rows[row as usize];
        unit.waits_since = now;
        unit.blocked = 0;
        let next = self.way_on(place, row);
        if let Some(next) = next {
            self.joins(row, next);
        }
        let stretch = self.c.stretch_of[place];
        if self.c.stretches[stretch].pushed {
            self.stretches[stretch].check = true;
            if let Some(next) = next.filter(|_| place == self.c.stretches[stretch].last) {
                self.check_stretch_of(next);
            }
        } else if self.c.ordered[place] {
            self.queue_in_order(place);
            self.began_to_wait = true;
        } else {
            self.queue_for_next(bay, next);
        }
    }

    /// Units that are done at the last place (unpaced) leave the line.
    fn finish_blocked(&mut self) {
        let halted = |run: &Self, bay: u32| run.is_halted(run.c.shop.bay_place[bay as usize] as usize);
        while self.yard_has_room()
            && let Some(at) = self.exit.iter().position(|bay| !halted(self, *bay))
            && let Some(bay) = self.exit.remove(at)
        {
            self.floor.drop_keeps(&self.c.shop, bay as usize);
            let row = self.leave_bay(bay as usize);
            self.finish(row);
        }
    }

    #[inline]
    pub(super) fn check_stretch_of(&mut self, place: usize) {
        if self.c.pushed.is_empty() {
            return;
        }
        if let Some(state) = self.stretches.get_mut(self.c.stretch_of[place]) {
            state.check = true;
        }
    }

    /// Fills the free bays and slots of a place.
    fn pull(&mut self, place: usize) {
        let pushed = self.c.shop.places[place].pushed;
        if pushed {
            self.check_stretch_of(place);
        }
        let halted = self.is_halted(place);
        let (mut has_movers, mut came) = (true, false);
        while !pushed && !halted && self.places[place].free > 0 {
            let Some(source) = self.next_source(place) else { break };
            has_movers = self.has_movers_into(place);
            if !has_movers {
                break;
            }
            let Some((row, from)) = self.take_from(place, source) else { break };
            let travel = self.travel_into(place);
            self.movers_go_into(place, travel);
            self.come_in(row, place, from, travel);
            came = true;
        }
        has_movers = has_movers && self.fill_slots(place);
        if has_movers && !pushed && !self.is_begun_by_a_row(place) {
            self.movers_are_not_wanted(place);
        }
        if came && self.is_begun_by_a_row(place) {
            // Who came may go on at once, and those in the row choose after that.
            self.touch(place);
        } else if !self.c.lanes.is_empty() {
            self.look_at_row(place);
        }
        self.look_who_may_be_pulled_off(place);
        // Room here may be what a pushed segment upstream waits for.
        if !self.c.pushed.is_empty() && place > 0 && place < self.c.line.on_line {
            let before = self.c.stretch_of[place - 1];
            if before != self.c.stretch_of[place] && self.c.stretches[before].pushed {
                self.stretches[before].check = true;
            }
        }
    }

    /// A unit takes a free bay of a place that is not pushed, and is on its way so long.
    #[inline]
    pub(super) fn come_in(&mut self, row: Row, place: usize, from: Spot, travel: i64) {
        let bay = self.free_bay(place);
        self.enter_bay(row, bay, from, travel);
        if travel > 0 {
            let entry = Entry::new(
                self.clock.now() + travel,
                Class::End,
                self.c.rank_of[place],
                self.bay_in_place(bay),
                MOVE_END,
            );
            self.queue.push(entry);
        } else {
            self.arrive(bay);
        }
    }

    /// A unit that did not come with a push is in its bay.
    pub(super) fn move_ends(&mut self, place: usize, bay: usize) {
        self.movers_have_come(place);
        self.arrive(bay);
    }

    pub(super) fn travel_into(&self, place: usize) -> i64 {
        self.stretch(place).map_or(0, |s| if s.pushed { 0 } else { s.index })
    }

    fn free_bay(&self, place: usize) -> usize {
        let compiled = &self.c.shop.places[place];
        let bays = compiled.bay0 as usize..compiled.bay0 as usize + compiled.bays as usize;
        bays.into_iter().find(|b| self.bays[*b].unit == NONE).expect("a free bay was counted")
    }

    #[inline]
    pub(super) fn next_source(&self, place: usize) -> Option<Source> {
        if self.places[place].returns.is_empty() {
            return self.new_source(place);
        }
        let state = &self.places[place];
        let now = self.clock.now();
        let since = |row: Row| self.units.rows[row as usize].waits_since;
        let other = match (state.slots.front(), self.upstream(place)) {
            (Some(row), _) if self.units.rows[*row as usize].arrives <= now => {
                Some((Source::Slot, since(*row)))
            }
            (Some(_), _) => None,
            (None, Some(bay)) => Some((Source::Upstream, since(self.bays[bay as usize].unit))),
            (None, None) if self.may_enter(place) => {
                let first = self.outside.front().filter(|_| place == 0);
                Some((Source::Entrance, first.map_or(now, |r| since(*r))))
            }
            (None, None) => None,
        };
        match (self.first_to_return(place), other) {
            (None, other) => other.map(|(source, _)| source),
            (Some(row), None) => (!self.row_goes_before(place, row)).then_some(Source::Return),
            (Some(row), Some((source, waits))) => {
                let first = self.c.line.places[place].returns_first || since(row) <= waits;
                Some(if first { Source::Return } else { source })
            }
        }
    }

    /// The first of the units that wait to return to a place, if it may: pulled off before the way of carriers it has
    /// none yet.
    pub(super) fn first_to_return(&self, place: usize) -> Option<Row> {
        self.places[place].returns.get(self.next_return(place)?).copied()
    }

    /// It returns: it waits outside no more.
    pub(super) fn take_return(&mut self, place: usize) -> Option<Row> {
        let at = self.next_return(place)?;
        self.places[place].returns.remove(at)
    }

    fn next_return(&self, place: usize) -> Option<usize> {
        let may = |row: &Row| self.carriers_for(place, self.units.rows[*row as usize].carriers);
        self.places[place].returns.iter().position(may)
    }

    /// Without returning units: the slots, then upstream, then the entrance.
    #[inline]
    fn new_source(&self, place: usize) -> Option<Source> {
        let state = &self.places[place];
        match (state.slots.front(), self.upstream(place)) {
            (Some(row), _) => {
                (self.units.rows[*row as usize].arrives <= self.clock.now()).then_some(Source::Slot)
            }
            (None, Some(_)) => Some(Source::Upstream),
            (None, None) => self.may_enter(place).then_some(Source::Entrance),
        }
    }

    fn take_from(&mut self, place: usize, source: Source) -> Option<(Row, Spot)> {
        let here = PlaceId::from_index(place);
        match source {
            Source::Return => self.take_return(place).map(|row| (row, Spot::Outside(here))),
            Source::Slot => {
                self.slot_level(place);
                let row = self.places[place].slots.pop_front()?;
                self.check_full(place);
                Some((row, Spot::Slot(here)))
            }
            Source::Upstream => {
                let bay = match self.c.lanes.is_empty() {
                    true => *self.places[place].blocked.front()?,
                    false => self.upstream(place)?,
                };
                self.take_blocked(place, bay);
                let from = self.spot_of(bay as usize);
                Some((self.leave_blocked(bay as usize), from))
            }
            Source::Entrance => {
                let row = self.enters(place)?;
                Some((row, Spot::Outside(here)))
            }
        }
    }

    /// A unit leaves the bay in which it was blocked; the time it was is part of its wait.
    pub(super) fn leave_blocked(&mut self, bay: usize) -> Row {
        let row = self.leave_bay(bay);
        let unit = &mut self.units.rows[row as usize];
        unit.blocked = self.clock.now() - unit.waits_since;
        row
    }

    pub(super) fn spot_of(&self, bay: usize) -> Spot {
        Spot::Bay(PlaceId(self.c.shop.bay_place[bay]), self.bay_in_place(bay))
    }

    /// A unit takes a bay; `arrive` follows when it has moved in.
    pub(super) fn enter_bay(&mut self, row: Row, bay: usize, from: Spot, travel: i64) {
        let place = self.c.shop.bay_place[bay] as usize;
        let (now, net) = (self.clock.now(), self.clock_in(bay).net());
        self.bay_level(place);
        self.places[place].free -= 1;
        let state = &mut self.bays[bay];
        state.unit = row;
        state.moving = travel > 0;
        state.done = false;
        state.fate = Fate::Stays;
        state.entered_clock = now;
        state.entered_net = net;
        self.seen.places[place].visits += 1;
        if self.c.ordered[place] {
            self.bays[bay].queued = false;
            self.places[place].order.push_back(bay as u32);
        }
        if self.c.test_at[place].is_some() {
            self.leave_queue(place, row);
        }
        if self.c.begins[place].is_some() && self.units.rows[row as usize].line_on < 0 {
            self.line_on(row);
        }
        self.change_carriers(row, place);
        if !self.c.gates.is_empty() && self.units.rows[row as usize].way == Way::Series {
            self.count_faults(row, place);
        }
        self.book(bay);
        if W::WATCHING {
            let unit = self.shown(row);
            self.see(Event::Moved { unit, from, to: self.spot_of(bay), arrives: Time(now + travel) });
        }
    }

    /// The bay is empty from now on.
    pub(super) fn leave_bay(&mut self, bay: usize) -> Row {
        let shop = &self.c.shop;
        let place = shop.bay_place[bay] as usize;
        let row = self.bays[bay].unit;
        for local in &shop.places[place].holds {
            self.audit_hold(bay, *local);
        }
        if let Some(test) = self.c.test_at[place] {
            self.visit_ends(bay, test as usize);
        }
        if !shop.keep_equipment.is_empty() {
            self.units.rows[row as usize].kept = self.floor.bays[bay].kept;
        }
        self.pauses.forget(bay);
        self.floor.bays[bay].undone = 0;
        self.bay_level(place);
        self.places[place].free += 1;
        let state = &mut self.bays[bay];
        state.unit = NONE;
        state.done = false;
        state.moving = false;
        state.fate = Fate::Stays;
        self.touch(place);
        self.book(bay);
        if self.c.ordered[place] {
            self.places[place].order.retain(|other| *other as usize != bay);
            self.queue_in_order(place);
            if !self.c.lanes.is_empty() {
                self.turn_before_lanes(place);
            }
        }
        row
    }

    /// Units with another fate than moving on leave their bays at once.
    fn let_go(&mut self) {
        let mut leavers = std::mem::take(&mut self.leavers);
        leavers.sort_unstable_by_key(|bay| {
            (self.c.rank_of[self.c.shop.bay_place[*bay as usize] as usize], *bay)
        });
        for bay in leavers.drain(..) {
            let bay = bay as usize;
            if self.bays[bay].unit == NONE {
                continue;
            }
            // Nobody moves where nobody is.
            if self.has_own_hours() && !self.clock_in(bay).attended() {
                self.own.leavers.push(bay as u32);
                continue;
            }
            if self.is_halted(self.c.shop.bay_place[bay] as usize) {
                self.stops.leavers.push(bay as u32);
                continue;
            }
            match self.bays[bay].fate {
                Fate::Stays => {}
                Fate::NextStop => self.go_to_next_stop(bay),
                fate @ (Fate::Scrap | Fate::SetAside) => {
                    self.floor.drop_keeps(&self.c.shop, bay);
                    let row = self.leave_bay(bay);
                    match self.units.rows[row as usize].line {
                        0 => self.gone(row, fate),
                        _ => self.part_lost(row, fate),
                    }
                }
            }
        }
        // Nothing above adds leavers, so the empty list is simply put back, with those who stay for now.
        self.leavers = leavers;
        self.leavers.append(&mut self.own.leavers);
    }
}
