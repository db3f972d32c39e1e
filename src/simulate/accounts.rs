//! Accounts: exact integrals and counts. A running thing is entered with minus its start and closed
//! with plus its end; the window's cut and end settle what runs across them.

use super::blank::blank;
use super::observations::{BayState, Replication};
use super::run::{Fate, Run};
use super::settings::{Horizon, WarmUp};
use super::units::{NONE, Row};
use super::watcher::{Event, Watcher};
use super::week;
use crate::line::PlaceId;
use crate::schedule::Lack;
use crate::units::Time;

impl<W: Watcher> Run<'_, W> {
    /// The window counted begins.
    pub(super) fn cut(&mut self) {
        let (now, net) = (self.clock.now(), self.clock.net());
        self.book_states();
        self.counted = true;
        self.cut_clock = now;
        self.cut_net = net;
        self.cut_own_hours();
        self.seen = blank(self.c.line, self.replication);
        self.seen.present_at_start = self.present;
        self.seen.presence = -i128::from(now) * i128::from(self.present);
        for at in 0..self.bays.len() {
            let net = self.clock_in(at).net();
            let bay = &mut self.bays[at];
            bay.since_net = net;
            bay.since_clock = now;
            if bay.active_since >= 0 {
                bay.active_since = net;
            }
        }
        for (p, place) in self.places.iter_mut().enumerate() {
            place.bay_level_since = now;
            place.slot_level_since = now;
            if place.full_since >= 0 {
                place.full_since = now;
            }
            if let Some(test) = self.c.test_at[p] {
                let occupied = i128::from(self.c.shop.places[p].bays - place.free);
                self.seen.tests[test as usize].busy = -i128::from(now) * occupied;
            }
        }
        self.settle_running(-1);
        self.equipment_seen.clone_from(&self.floor.free_equipment);
        self.settle_elsewhere(-1);
        self.settle_people(-1);
        self.levels_from_now();
        self.settle_stops(-1);
        self.settle_ways(-1);
        self.see(Event::CountingBegins);
    }

    /// The window counted ends: settles what still runs.
    pub(super) fn end_of_window(&mut self) {
        let (now, net) = (self.clock.now(), self.clock.net());
        self.book_states();
        self.book_equipment();
        for bay in 0..self.bays.len() {
            self.close_state(bay);
            if self.bays[bay].active_since >= 0 {
                self.close_active(bay);
            }
        }
        for place in 0..self.places.len() {
            self.bay_level(place);
            self.slot_level(place);
            self.close_test(place);
        }
        self.seen.presence += i128::from(now) * i128::from(self.present);
        for row in self.rows_in_line() {
            let since = self.units.rows[row as usize].line_on.max(self.cut_clock);
            self.seen.unit_time += i128::from(now - since);
        }
        self.settle_running(1);
        self.settle_overruns();
        self.settle_elsewhere(1);
        self.settle_people(1);
        self.close_levels();
        self.settle_stops(1);
        self.settle_ways(1);
        self.seen.present_at_end = self.present;
        self.seen.clock = Time(now - self.cut_clock);
        self.seen.net = Time(net - self.cut_net);
        self.close_week();
        self.seen.own_net = self.own_net_counted();
        self.seen.events = self.events;
        // Only whole shifts are counted.
        if !self.seen.per_shift.is_empty() && self.clock.shift(self.shift).end > now {
            self.seen.per_shift.pop();
        }
    }

    /// What runs at the test of a place, where it has one.
    fn close_test(&mut self, place: usize) {
        let now = self.clock.now();
        if self.places[place].full_since >= 0
            && let Some(test) = self.c.test_at[place]
        {
            self.seen.tests[test as usize].full += Time(now - self.places[place].full_since);
        }
        if let Some(test) = self.c.test_at[place] {
            let occupied = i128::from(self.c.shop.places[place].bays - self.places[place].free);
            self.seen.tests[test as usize].busy += i128::from(now) * occupied;
            let waiting: i128 = self
                .waiting_for(place)
                .iter()
                .map(|row| i128::from(now - self.units.rows[*row as usize].waits_since.max(self.cut_clock)))
                .sum();
            self.seen.tests[test as usize].queue += waiting;
        }
    }

    /// The counted window begins (`-1`) or ends (`1`): who works, is off or away, and equipment that is taken.
    fn settle_running(&mut self, sign: i64) {
        for c in 0..self.crew_running.len() {
            let net = sign * self.net_of_crew(c);
            let counts = &mut self.seen.crews[c];
            counts.busy += self.crew_running[c] * net;
            counts.off_shift += self.crew_home[c] * net;
            counts.absent += self.away.crews[c] * net;
            counts.not_on_shift += self.away.not_on_shift.get(c).map_or(0, |seats| seats * net);
        }
        for g in 0..self.group_running.len() {
            let net = sign * self.net_of_group(g);
            self.seen.group_busy[g] += self.group_running[g] * net;
            self.seen.group_absent[g] += self.away.groups[g] * net;
            self.seen.group_off[g] += self.visiting.groups.get(g).map_or(0, |off| off * net);
        }
        for (e, free) in self.floor.free_equipment.iter().enumerate() {
            let taken = i64::from(self.c.shop.equipment[e] - free);
            self.seen.equipment_busy[e] += sign * taken * self.net_of_equipment(e);
        }
    }

    pub(super) fn take_result(self) -> Replication {
        self.seen
    }

    fn rows_in_line(&self) -> Vec<Row> {
        let bays = self.bays.iter().map(|b| b.unit);
        let queues = self.places.iter().flat_map(|p| p.slots.iter().chain(&p.returns).copied());
        bays.chain(queues).filter(|row| *row != NONE && self.units.rows[*row as usize].line == 0).collect()
    }

    /// Books the states of the bays at which something changed at this instant.
    pub(super) fn book_states(&mut self) {
        for at in 0..self.dirty_bays.len() {
            let bay = self.dirty_bays[at] as usize;
            self.bays[bay].booked = false;
            let state = self.state_of(bay);
            if state != self.bays[bay].state {
                self.close_state(bay);
                if self.c.has_stops {
                    self.note_use(bay, self.bays[bay].state, state);
                }
                let was_active = self.bays[bay].active_since >= 0;
                let is_active = matches!(state, BayState::Holding | BayState::Moving | BayState::Working);
                if was_active && !is_active {
                    self.close_active(bay);
                } else if is_active && !was_active {
                    self.bays[bay].active_since = self.clock_in(bay).net();
                }
                self.bays[bay].state = state;
                if W::WATCHING {
                    let event = Event::BayIs {
                        place: PlaceId(self.c.shop.bay_place[bay]),
                        bay: self.bay_in_place(bay),
                        state,
                    };
                    self.see(event);
                }
            }
        }
        self.dirty_bays.clear();
        if std::mem::take(&mut self.floor.equipment_moved) {
            self.book_equipment();
        }
        if self.c.shop.parts > 0 {
            self.book_stores();
        }
    }

    fn book_equipment(&mut self) {
        for e in 0..self.equipment_seen.len() {
            let (was, is) = (self.equipment_seen[e], self.floor.free_equipment[e]);
            if was != is {
                let net = self.net_of_equipment(e);
                // Pieces taken enter with minus now, pieces returned with plus now.
                self.seen.equipment_busy[e] += (i64::from(is) - i64::from(was)) * net;
                self.equipment_seen[e] = is;
                if self.c.has_stops {
                    self.note_equipment_use(e);
                }
            }
        }
    }

    fn close_state(&mut self, bay: usize) {
        let (now, net) = (self.clock.now(), self.clock_in(bay).net());
        let place = self.c.shop.bay_place[bay] as usize;
        let state = &mut self.bays[bay];
        let in_net = net - state.since_net;
        let counts = &mut self.seen.places[place];
        counts.states[state.state as usize] += in_net;
        if state.state == BayState::Holding {
            counts.holding_outside += Time(now - state.since_clock - in_net);
        }
        state.since_net = net;
        state.since_clock = now;
    }

    fn close_active(&mut self, bay: usize) {
        let place = self.c.shop.bay_place[bay] as usize;
        let length = Time(self.clock_in(bay).net() - self.bays[bay].active_since);
        self.bays[bay].active_since = -1;
        let counts = &mut self.seen.places[place];
        counts.active_periods += 1;
        counts.active_time += length;
        counts.longest_active = counts.longest_active.max(length);
    }

    fn state_of(&self, bay: usize) -> BayState {
        let state = &self.bays[bay];
        let work = &self.floor.bays[bay];
        if self.c.takes_back && self.is_stopped(bay) {
            return BayState::Stopped;
        }
        if self.c.solo[self.c.shop.bay_place[bay] as usize] && !state.moving {
            return match (state.unit == NONE, work.running_work > 0) {
                (true, _) => BayState::Starved,
                (false, true) => BayState::Working,
                (false, false) => BayState::Blocked,
            };
        }
        let (running, holding) = self.goes_on_in(bay);
        let home = self.floor.gangs[self.c.shop.bay_gang[bay] as usize].home;
        if state.unit == NONE {
            return if home { BayState::OffShift } else { BayState::Starved };
        }
        // A hold that moves with its unit holds on the way, too.
        if holding > 0 && running == 0 {
            return BayState::Holding;
        }
        if home {
            return BayState::OffShift;
        }
        if state.moving {
            return BayState::Moving;
        }
        if running > 0 {
            return BayState::Working;
        }
        // Whoever comes to begin early is not waited for.
        if self.walks.in_bay(bay) > 0 && !state.done || self.c.takes_back && self.unmanned(bay) > 0 {
            return BayState::ShortOfPeople;
        }
        if work.undone > 0 || state.fate != Fate::Stays {
            return match (work.ready, work.lack) {
                (0, _) if self.pauses.has_waiting_hold(bay) => BayState::ShortOfEquipment,
                (0, _) | (_, Lack::Leave) => BayState::WaitingForStep,
                (_, Lack::Parts) => BayState::ShortOfParts,
                (_, Lack::Equipment) => BayState::ShortOfEquipment,
                (_, Lack::Room) => BayState::ShortOfRoom,
                (_, Lack::People) => BayState::ShortOfPeople,
            };
        }
        let place = self.c.shop.bay_place[bay] as usize;
        match self.stretch(place) {
            Some(stretch) if stretch.pushed => {
                let due = self.c.shop.places[place].bay0 as usize + self.places[place].due as usize == bay;
                let no_room = self.stretches[self.c.stretch_of[place]].no_room;
                if place == stretch.last && due && no_room {
                    BayState::Blocked
                } else {
                    BayState::WaitingForSignal
                }
            }
            Some(_) | None => BayState::Blocked,
        }
    }

    #[inline]
    pub(super) fn bay_level(&mut self, place: usize) {
        let now = self.clock.now();
        let state = &mut self.places[place];
        let occupied = (self.c.shop.places[place].bays - state.free) as usize;
        let (counts, since) = (&mut self.seen.places[place], state.bay_level_since);
        counts.bay_levels[occupied] += now - since;
        if !counts.by_hour.is_empty() {
            week::add(&mut counts.by_hour, self.c.line, (since, now), occupied as i64);
        }
        state.bay_level_since = now;
    }

    #[inline]
    pub(super) fn slot_level(&mut self, place: usize) {
        let now = self.clock.now();
        let state = &mut self.places[place];
        self.seen.places[place].slot_levels[state.slots.len()] += now - state.slot_level_since;
        state.slot_level_since = now;
    }

    pub(super) fn line_on(&mut self, row: Row) {
        let now = self.clock.now();
        let unit = &mut self.units.rows[row as usize];
        unit.line_on = now;
        if unit.line > 0 {
            return;
        }
        self.present += 1;
        self.seen.line_on += 1;
        self.seen.presence -= i128::from(now);
    }

    fn line_off(&mut self, row: Row) {
        let now = self.clock.now();
        self.present -= 1;
        self.seen.presence += i128::from(now);
        let since = self.units.rows[row as usize].line_on.max(self.cut_clock);
        self.seen.unit_time += i128::from(now - since);
        self.leave_carriers(row);
        self.forget_laid_out(row);
        self.units.remove(row);
    }

    /// A unit has passed the last place.
    pub(super) fn finish(&mut self, row: Row) {
        let (now, net) = (self.clock.now(), self.clock.net());
        let unit = self.units.rows[row as usize];
        self.see(Event::Finished { unit: unit.number });
        self.finished_in_all += 1;
        self.shift_count += 1;
        self.week_counts();
        self.seen.finished += 1;
        self.seen.finished_first_pass += u64::from(unit.first_pass);
        self.seen.finished_by_model[unit.model as usize] += 1;
        if let Some(count) = self.seen.per_shift.last_mut() {
            *count += 1;
        }
        if self.last_finish_net >= 0 {
            self.seen.intervals.record(net - self.last_finish_net);
        }
        self.last_finish_net = net;
        self.seen.flow.record(now - unit.line_on);
        self.seen.flow_from_release.record(now - unit.released);
        if self.settings.record_finishes {
            self.seen.finishes.push(Time(net));
        }
        self.yard_takes_one();
        self.line_off(row);
        self.look_if_count_is_made();
        if let Horizon::Units(n) = self.settings.horizon {
            if let WarmUp::Units(w) = self.settings.warm_up
                && !self.counted
                && self.finished_in_all == w
            {
                self.cut_due = true;
            } else if self.counted && self.seen.finished >= n {
                self.end_due = true;
            }
        }
    }

    /// A unit leaves the line unfinished.
    pub(super) fn gone(&mut self, row: Row, fate: Fate) {
        let unit = self.units.rows[row as usize].number;
        match fate {
            Fate::Scrap => {
                self.seen.scrapped += 1;
                self.see(Event::Scrapped { unit });
            }
            Fate::SetAside => {
                self.seen.set_aside += 1;
                self.see(Event::SetAside { unit });
            }
            Fate::Stays | Fate::NextStop => {}
        }
        self.spare_its_parts(row);
        self.line_off(row);
    }
}
