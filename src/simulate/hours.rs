//! Feeders that have hours of their own: which clock holds where, when their shifts and breaks begin.
//!
//! The line has its clock, each of these feeders another one, and all stand at the same instant. What attended
//! time is to a place, a crew or a cause of stops is told by its own clock; what passes from a feeder to the
//! line passes by the clock on the wall. Costs nothing where all have the hours of the line.

use super::clock::Clock;
use super::observations::Replication;
use super::queue::{Class, Entry};
use super::run::Run;
use super::watcher::Watcher;
use crate::line::{EquipmentId, GroupId, Line, PlaceId};
use crate::schedule::Shop;
use crate::units::Time;

/// What stands in the rank of a calendar entry that is about a feeder's hours; their number less one stands in
/// the bay field.
pub(super) const OWN: u16 = 2;

/// Whose hours hold: 0 those of the line, k + 1 the k-th own ones. Empty where all have the line's.
#[derive(Clone, Debug, Default)]
pub struct HoursPlan {
    places: Vec<u16>,
    gangs: Vec<u16>,
    crews: Vec<u16>,
    groups: Vec<u16>,
    equipment: Vec<u16>,
    stops: Vec<u16>,
    mending: Vec<u16>,
    feeders: Vec<u16>,
}

impl HoursPlan {
    /// Whose hours hold at a place.
    #[inline]
    pub fn at(&self, place: usize) -> usize {
        nth(&self.places, place)
    }

    pub fn new(line: &Line, shop: &Shop) -> HoursPlan {
        if line.own_hours.is_empty() {
            return HoursPlan::default();
        }
        let of_gang = |gang: &crate::schedule::Gang| {
            gang.places.first().map_or(0, |place| line.hours_at(PlaceId(*place)))
        };
        HoursPlan {
            places: line.places.iter().map(|place| place.hours).collect(),
            gangs: shop.gangs.iter().map(of_gang).collect(),
            crews: line.crews.iter().map(|crew| line.hours_of_crew(crew)).collect(),
            groups: (0..line.groups.len()).map(|g| line.hours_of_group(GroupId::from_index(g))).collect(),
            equipment: (0..line.equipment.len())
                .map(|e| line.hours_of_equipment(EquipmentId::from_index(e)))
                .collect(),
            stops: line.stops.iter().map(|stop| line.hours_of_stop(stop)).collect(),
            mending: line.stops.iter().map(|stop| line.hours_of_mending(stop)).collect(),
            feeders: line.feeders.iter().map(|feeder| feeder.hours).collect(),
        }
    }
}

fn nth(hours: &[u16], index: usize) -> usize {
    hours.get(index).map_or(0, |hours| usize::from(*hours))
}

/// The clocks of feeders with hours of their own, and their shifts.
#[derive(Clone, Debug, Default)]
pub(super) struct OwnHours {
    clocks: Vec<Clock>,
    /// Per clock: the shift that has begun last.
    shifts: Vec<usize>,
    /// Per clock: net time at which the counted window began.
    cut_net: Vec<i64>,
    /// Stores in which there are parts for somebody who is not there now.
    pub to_serve: Vec<u16>,
    /// Bays that units will leave when somebody is there; empty between events.
    pub leavers: Vec<u32>,
}

/// What each clock says.
#[derive(Clone, Copy)]
pub(super) struct Nets<'a> {
    pub line: &'a Clock,
    pub own: &'a OwnHours,
}

impl<'a> Nets<'a> {
    pub fn of(self, hours: u16) -> i64 {
        self.clock_of(usize::from(hours)).net()
    }

    pub fn clock_of(self, hours: usize) -> &'a Clock {
        match hours.checked_sub(1) {
            None => self.line,
            Some(own) => &self.own.clocks[own],
        }
    }
}

impl OwnHours {
    pub fn new(line: &Line) -> OwnHours {
        let clocks: Vec<Clock> = line.own_hours.iter().map(|calendar| Clock::new(Some(calendar))).collect();
        OwnHours {
            shifts: vec![usize::MAX; clocks.len()],
            cut_net: vec![0; clocks.len()],
            to_serve: Vec::new(),
            leavers: Vec::new(),
            clocks,
        }
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Some feeder has hours of its own.
    #[inline]
    pub(super) fn has_own_hours(&self) -> bool {
        !self.own.clocks.is_empty()
    }

    #[inline]
    pub(super) fn advance(&mut self, now: i64) {
        self.clock.advance(now);
        self.own.clocks.iter_mut().for_each(|clock| clock.advance(now));
    }

    #[inline]
    pub(super) fn clock_of(&self, hours: usize) -> &Clock {
        if hours == 0 { &self.clock } else { &self.own.clocks[hours - 1] }
    }

    #[inline]
    pub(super) fn clock_of_mut(&mut self, hours: usize) -> &mut Clock {
        if hours == 0 { &mut self.clock } else { &mut self.own.clocks[hours - 1] }
    }

    #[inline]
    pub(super) fn hours_at(&self, place: usize) -> usize {
        self.c.hours.at(place)
    }

    #[inline]
    pub(super) fn hours_in(&self, bay: usize) -> usize {
        if self.has_own_hours() { self.hours_at(self.c.shop.bay_place[bay] as usize) } else { 0 }
    }

    #[inline]
    pub(super) fn hours_of_gang(&self, gang: usize) -> usize {
        nth(&self.c.hours.gangs, gang)
    }

    pub(super) fn hours_of_group(&self, group: usize) -> usize {
        nth(&self.c.hours.groups, group)
    }

    pub(super) fn hours_of_crew(&self, crew: usize) -> usize {
        nth(&self.c.hours.crews, crew)
    }

    pub(super) fn hours_of_feeder(&self, feeder: usize) -> usize {
        nth(&self.c.hours.feeders, feeder)
    }

    pub(super) fn hours_of_stop(&self, stop: usize) -> usize {
        nth(&self.c.hours.stops, stop)
    }

    pub(super) fn hours_of_mending(&self, stop: usize) -> usize {
        nth(&self.c.hours.mending, stop)
    }

    /// The clock that holds in a bay.
    #[inline]
    pub(super) fn clock_in(&self, bay: usize) -> &Clock {
        self.clock_of(self.hours_in(bay))
    }

    #[inline]
    pub(super) fn clock_in_mut(&mut self, bay: usize) -> &mut Clock {
        let hours = self.hours_in(bay);
        self.clock_of_mut(hours)
    }

    /// Net time of some hours.
    #[inline]
    pub(super) fn net_of(&self, hours: usize) -> i64 {
        self.clock_of(hours).net()
    }

    #[inline]
    pub(super) fn net_of_gang(&self, gang: usize) -> i64 {
        self.net_of(self.hours_of_gang(gang))
    }

    pub(super) fn net_of_crew(&self, crew: usize) -> i64 {
        self.net_of(self.hours_of_crew(crew))
    }

    pub(super) fn net_of_group(&self, group: usize) -> i64 {
        self.net_of(self.hours_of_group(group))
    }

    pub(super) fn net_of_equipment(&self, equipment: usize) -> i64 {
        self.net_of(nth(&self.c.hours.equipment, equipment))
    }

    /// Net time at which the counted window began.
    pub(super) fn cut_net_of(&self, hours: usize) -> i64 {
        if hours == 0 { self.cut_net } else { self.own.cut_net[hours - 1] }
    }

    #[inline]
    pub(super) fn is_attended(&self, hours: usize) -> bool {
        self.clock_of(hours).attended()
    }

    /// Somebody is there, on the line or in a feeder.
    #[inline]
    pub(super) fn is_any_attended(&self) -> bool {
        self.clock.attended() || self.own.clocks.iter().any(Clock::attended)
    }

    #[inline]
    pub(super) fn gang_is_attended(&self, gang: usize) -> bool {
        self.is_attended(self.hours_of_gang(gang))
    }

    /// Likewise, while somebody is there.
    #[inline]
    pub(super) fn gang_is_there(&self, gang: usize) -> bool {
        !self.has_own_hours() || self.gang_is_attended(gang)
    }

    /// Whether a mark among the dirty places is about somebody who is there: a place, the exit of the line, of a
    /// feeder.
    pub(super) fn mark_is_attended(&self, mark: usize) -> bool {
        let hours = match mark.checked_sub(self.c.line.places.len()) {
            None => self.hours_at(mark),
            Some(0) => 0,
            Some(feeder) => self.hours_of_feeder(feeder - 1),
        };
        self.is_attended(hours)
    }

    /// Where some have other hours: who of them is not there now, which is asked of whoever goes first, too.
    pub(super) fn look_who_is_there(&mut self) {
        for gang in 0..self.floor.gangs.len() {
            self.floor.gangs[gang].away = !self.gang_is_there(gang);
        }
    }

    /// As `starts`, where some have other hours: those who are not there keep their mark.
    pub(super) fn start_those_who_are_there(&mut self) {
        for at in 0..self.c.shop.gang_order.len() {
            let gang = self.c.shop.gang_order[at] as usize;
            if self.floor.gangs[gang].dirty && !self.floor.gangs[gang].away {
                self.start_gang(gang);
            }
        }
        self.list_dirty_gangs();
    }

    /// A gang that is there may start something.
    pub(super) fn gangs_are_due(&self) -> bool {
        let there = |gang: &u16| self.gang_is_there(usize::from(*gang));
        !self.floor.dirty_gangs.is_empty()
            && (!self.has_own_hours() || self.floor.dirty_gangs.iter().any(there))
    }

    /// The shift of some hours that has begun last.
    pub(super) fn shift_of(&self, hours: usize) -> usize {
        if hours == 0 { self.shift } else { self.own.shifts[hours - 1] }
    }

    pub(super) fn own_hours_begin(&mut self) {
        (0..self.own.clocks.len()).for_each(|own| self.schedule_own_hours(own));
    }

    /// The next instant at which the calendar of a feeder changes anything.
    fn schedule_own_hours(&mut self, own: usize) {
        let next_shift = self.own.shifts[own].wrapping_add(1);
        let clock = &mut self.own.clocks[own];
        let at = clock.next_stretch_start().min(clock.shift(next_shift).start);
        if at < i64::MAX {
            self.queue.push(Entry::new(at, Class::Calendar, OWN, own as u16, 0));
        }
    }

    /// A shift of a feeder begins, or it is attended again.
    pub(super) fn own_hours_change(&mut self, own: usize) {
        let (now, hours) = (self.clock.now(), own + 1);
        let next = self.own.shifts[own].wrapping_add(1);
        if self.own.clocks[own].shift(next).start == now {
            self.own.shifts[own] = next;
            match self.c.roster.is_some() {
                true => self.people_come(hours),
                false => self.helpers_come(hours, &[], Vec::new()),
            }
        }
        if self.own.clocks[own].attended() {
            self.wake(hours);
        }
        self.schedule_own_hours(own);
    }

    /// Those of some hours are there again: they look at all their work and all their moves.
    fn wake(&mut self, hours: usize) {
        for place in 0..self.c.line.places.len() {
            if self.hours_at(place) == hours {
                self.touch(place);
            }
        }
        for feeder in 0..self.feeders.len() {
            if self.hours_of_feeder(feeder) == hours {
                self.touch(self.exit_of(feeder));
            }
        }
        for gang in 0..self.floor.gangs.len() {
            if self.hours_of_gang(gang) == hours && !self.floor.gangs[gang].ready.is_empty() {
                self.floor.mark(gang);
            }
        }
        self.serve_later();
        self.stops.may_mend = true;
    }

    /// Whoever has come may be served with parts that came before.
    pub(super) fn serve_later(&mut self) {
        let to_serve = &mut self.floor.stock.to_serve;
        for kind in self.own.to_serve.drain(..) {
            if !to_serve.contains(&kind) {
                to_serve.push(kind);
            }
        }
    }

    /// The counted window begins: every clock counts from here.
    pub(super) fn cut_own_hours(&mut self) {
        let nets = self.own.clocks.iter().map(Clock::net);
        self.own.cut_net = nets.collect();
    }

    /// And it ends.
    pub(super) fn own_net_counted(&self) -> Vec<Time> {
        let counted = self.own.clocks.iter().zip(&self.own.cut_net);
        counted.map(|(clock, cut)| Time(clock.net() - cut)).collect()
    }
}

impl Replication {
    /// Net time counted of the line (0), or of a feeder with hours of its own.
    pub fn net_of(&self, hours: u16) -> Time {
        match usize::from(hours).checked_sub(1) {
            None => self.net,
            Some(own) => self.own_net[own],
        }
    }
}
