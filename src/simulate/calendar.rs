//! Shifts begin, people go home at the count, units are released, the line starts full.

use super::queue::{Class, Entry};
use super::run::Run;
use super::settings::RunErrorKind;
use super::units::Row;
use super::watcher::{Event, Spot, Watcher};
use crate::line::{CrewId, ModelId, PlaceId, Release};
use crate::units::Time;

impl<W: Watcher> Run<'_, W> {
    /// The next instant at which the calendar changes anything: a stretch begins, a shift begins, or
    /// the time before which nobody goes home is over.
    pub(super) fn schedule_calendar(&mut self) {
        let now = self.clock.now();
        let next_shift = self.clock.shift(self.shift.wrapping_add(1)).start;
        let mut at = self.clock.next_stretch_start().min(next_shift);
        if self.shift != usize::MAX
            && let Some((_, not_before)) = self.clock.shift(self.shift).home
            && not_before > now
        {
            at = at.min(not_before);
        }
        if self.shift != usize::MAX
            && let Some(decides) = self.clock.shift(self.shift).decides
            && decides > now
        {
            at = at.min(decides);
        }
        if at < i64::MAX {
            self.queue.push(Entry::new(at, Class::Calendar, 0, 0, 0));
        }
    }

    pub(super) fn calendar_changes(&mut self) {
        let now = self.clock.now();
        let next = self.shift.wrapping_add(1);
        if self.clock.shift(next).start == now && !self.is_left_out(next) {
            self.begin_shift();
        }
        if self.shift != usize::MAX {
            self.decide_overtime();
        }
        if self.clock.attended() {
            self.touch_all();
            for gang in 0..self.floor.gangs.len() {
                if !self.floor.gangs[gang].ready.is_empty() {
                    self.floor.mark(gang);
                }
            }
            for s in 0..self.stretches.len() {
                self.stretches[s].check = true;
            }
            self.serve_later();
            self.stops.may_mend = true;
        }
        self.look_if_count_is_made();
        self.schedule_calendar();
    }

    fn begin_shift(&mut self) {
        self.shift = self.shift.wrapping_add(1);
        self.shift_count = 0;
        self.going_home = false;
        self.all_home = false;
        if self.counted {
            self.seen.per_shift.push(0);
            let of_week = self.clock.shift(self.shift).of_week;
            self.seen.begun[of_week] += 1;
        }
        self.see(Event::ShiftBegins { counted: self.counted });
        let net = self.clock.net();
        for gang in 0..self.floor.gangs.len() {
            if std::mem::replace(&mut self.floor.gangs[gang].home, false) {
                self.crew_goes_home(gang, -1, net);
                self.book_gang(gang);
                self.floor.mark(gang);
            }
        }
        match self.c.roster.is_some() {
            true => self.people_come(0),
            false => self.helpers_come(0, &[], Vec::new()),
        }
    }

    /// Enough units have passed the last place and it is late enough: no further push or release.
    pub(super) fn look_if_count_is_made(&mut self) {
        if self.going_home || self.shift == usize::MAX || !self.clock.has_calendar() {
            return;
        }
        let span = self.clock.shift(self.shift);
        if let Some((units, not_before)) = span.home {
            let now = self.clock.now();
            self.going_home = self.shift_count >= units && now >= not_before && now < span.end;
        }
    }

    /// Every crew with nothing running and nothing ready goes home.
    pub(super) fn go_home(&mut self) {
        if self.all_home {
            return;
        }
        let net = self.clock.net();
        let mut all = true;
        for gang in 0..self.floor.gangs.len() {
            let compiled = &self.c.shop.gangs[gang];
            if compiled.crew.is_none() || self.floor.gangs[gang].home || self.hours_of_gang(gang) > 0 {
                continue;
            }
            // What is ready is open work, whatever it still lacks; what waits for a hold is not.
            let state = &self.floor.gangs[gang];
            let nobody_works = state.free == state.here && !self.floor.is_helped(gang);
            if nobody_works && state.ready.is_empty() && !self.stands_still(gang) {
                self.floor.gangs[gang].home = true;
                self.floor.wake_passed(gang);
                self.crew_goes_home(gang, 1, net);
                self.book_gang(gang);
                let (crew, gang) = (CrewId(compiled.crew.unwrap_or(0)), compiled.instance);
                self.see(Event::WentHome { crew, gang });
            } else {
                all = false;
            }
        }
        if all {
            self.all_home = true;
            if self.counted {
                let start = self.clock.shift(self.shift).start;
                self.seen.home_at.push(Time(self.clock.now() - start));
            }
        }
    }

    fn crew_goes_home(&mut self, gang: usize, sign: i64, net: i64) {
        if !self.c.line.visitors.is_empty() {
            return self.book_off(gang);
        }
        let compiled = &self.c.shop.gangs[gang];
        if let Some(crew) = compiled.crew {
            let heads = i64::from(self.floor.gangs[gang].here.count_ones());
            self.crew_home[crew as usize] += sign * heads;
            self.seen.crews[crew as usize].off_shift -= sign * heads * net;
        }
    }

    fn book_gang(&mut self, gang: usize) {
        for bay in 0..self.bays.len() {
            if self.c.shop.bay_gang[bay] as usize == gang {
                self.book(bay);
            }
        }
    }

    /// Schedules the next release, if releases have times.
    pub(super) fn schedule_release(&mut self) {
        let at = match &self.c.line.release {
            Release::Saturated => return,
            Release::ByTakt => {
                let Some(takt) = self.c.line.takt else { return };
                self.clock.clock_of_net(takt.times_floor(self.releases as i64 + 1).0)
            }
            Release::Every { on_the_clock, .. } => {
                let Some(gap) = &self.c.gap else { return };
                self.last_gap_at += gap.length(self.replication, self.releases, 0);
                if *on_the_clock {
                    self.last_gap_at.max(self.clock.now())
                } else {
                    self.clock.clock_of_net(self.last_gap_at)
                }
            }
            Release::List(list) => match list.get(self.releases as usize) {
                Some((at, _)) => self.clock.clock_of_net(at.0),
                None => return,
            },
        };
        if at < i64::MAX {
            self.queue.push(Entry::new(at, Class::Release, 0, 0, 0));
        }
    }

    /// A unit is released: it waits outside until the first place takes it.
    pub(super) fn release_falls(&mut self) {
        let model = match &self.c.line.release {
            Release::List(list) => {
                list.get(self.releases as usize).and_then(|(_, model)| *model).map(|m| m.0)
            }
            Release::Saturated | Release::ByTakt | Release::Every { .. } => None,
        };
        self.releases += 1;
        if let Some(row) = self.create(model) {
            self.outside.push_back(row);
            self.join_queue(0);
            self.touch(0);
            if let Some(state) = self.stretches.first_mut() {
                state.check = true;
            }
        }
        self.schedule_release();
    }

    /// Every bay and slot holds a unit, the one nearest to the exit released first: all earlier work
    /// done, holds of its place done, none of this place's other steps begun.
    pub(super) fn fill(&mut self) -> Result<(), RunErrorKind> {
        for place in (0..self.c.line.on_line).rev() {
            let compiled = &self.c.shop.places[place];
            let (bay0, bays) = (compiled.bay0 as usize, compiled.bays as usize);
            for bay in bay0..bay0 + bays {
                let row = self.filled_unit(place)?;
                self.enter_bay(row, bay, Spot::Outside(PlaceId(0)), 0);
                self.arrive_filled(bay);
            }
            for _ in 0..self.slots_of(place) {
                let row = self.filled_unit(place)?;
                self.enter_slot(row, place, Spot::Outside(PlaceId(0)), 0);
            }
        }
        if std::mem::take(&mut self.around.filling) {
            self.place_orders();
        }
        Ok(())
    }

    fn filled_unit(&mut self, place: usize) -> Result<Row, RunErrorKind> {
        if let Some((lanes, lane)) = self.c.line.lane_at(PlaceId::from_index(place)) {
            let models = &lanes.lanes[lane].models;
            if models.contains(&false) {
                let model = self.orders.next_standing(self.c, models)?;
                self.plan.push_front(model);
            }
        }
        if self.around.filling {
            self.place_next_order();
        }
        let row = match (self.create(None), self.failed.take()) {
            (Some(row), _) => row,
            (None, Some(kind)) => return Err(kind),
            (None, None) => return Err(RunErrorKind::NoLegalOrder { looked_at: 0 }),
        };
        if place > 0 {
            self.line_on(row);
        }
        let unit = self.units.rows[row as usize];
        for (s, step) in self.c.line.steps.iter().enumerate() {
            let applies = step.applies_to(ModelId(unit.model));
            if applies && step.place.index() < place {
                self.units.set_done(row, s as u32, true);
            }
        }
        self.has_its_parts(row, place);
        self.has_its_carriers(row, place);
        Ok(row)
    }

    /// As `arrive`, with the holds of the place done.
    fn arrive_filled(&mut self, bay: usize) {
        let place = self.c.shop.bay_place[bay] as usize;
        let row = self.bays[bay].unit;
        let nodes = self.c.shop.nodes_of(place);
        for node in nodes {
            if node.is_hold() && !node.dormant {
                self.units.set_done(row, node.step, true);
            }
        }
        self.arrive_with(bay, true);
    }
}
