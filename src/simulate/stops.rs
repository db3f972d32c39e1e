//! Stops: when each cause strikes, what then stands still, who mends it and how long it takes.
//!
//! A stop begins after everything that ends at its instant and before anything begins. Nothing enters
//! or leaves a stopped place (moves under way finish); what runs there pauses. The time to the next
//! stop counts from the end of the last one.

use super::clock::Clock;
use super::compiled::Compiled;
use super::observations::BayState;
use super::queue::{Class, Entry};
use super::run::Run;
use super::stop_plans::ComesPlan;
use super::watcher::{Event, Watcher};
use crate::line::{GapTime, Mending, Stopped};
use crate::units::Time;
use std::collections::VecDeque;

/// Stops in a row without any unit entering a bay or leaving the line: nothing moves any more.
const MOST_IN_VAIN: u32 = 1_000_000;
/// Days looked ahead for one that is bad: with fewer in a thousand years it never is.
const MOST_FINE_DAYS: i64 = 365_000;

/// One cause in a run.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cause {
    /// Stops so far.
    pub number: u64,
    /// When the next one begins; -1 where that is not known (stopped, or its use stands still).
    pub due: i64,
    is_stopped: bool,
    /// Use: how much is left before the next stop, and since when (net) it runs down; -1.
    left: i64,
    used_since: i64,
    /// Bays that work or hold, or 1 while pieces are taken.
    users: u32,
    /// When its stop began; when its repair ends (-1: none is under way); what is left of one that was
    /// broken off, in net time (-1: none was).
    pub since: i64,
    pub mended_at: i64,
    pub to_mend: i64,
    /// Which of those who help of a group mend it, by their numbers among these.
    pub helpers: u64,
}

/// The causes of a run.
#[derive(Clone, Debug)]
pub(super) struct Stops {
    pub causes: Vec<Cause>,
    /// Per group: people free to mend. Of those who help the floor knows it.
    pub menders: Vec<u32>,
    /// Visitors, or some of those who help, may begin a repair now, at the end of the instant.
    pub may_mend: bool,
    /// Stops that wait for people, per group, first come first.
    pub unmended: Vec<VecDeque<u16>>,
    /// Units that leave as soon as their place is no longer stopped.
    pub leavers: Vec<u32>,
    /// Per place: net time of the end of its last stop; -1.
    pub ended_net: Vec<i64>,
    /// Stops since a unit last went on, and how far units had gone then.
    in_vain: u32,
    progress: u64,
}

impl Stops {
    pub fn new(c: &Compiled) -> Stops {
        let fresh = Cause {
            number: 0,
            due: -1,
            is_stopped: false,
            left: 0,
            used_since: -1,
            users: 0,
            since: -1,
            mended_at: -1,
            to_mend: -1,
            helpers: 0,
        };
        Stops {
            causes: vec![fresh; c.stops.causes.len()],
            menders: c.stops.menders.clone(),
            may_mend: false,
            unmended: vec![VecDeque::new(); c.stops.menders.len()],
            leavers: Vec::new(),
            ended_net: if c.has_stops { vec![-1; c.shop.places.len()] } else { Vec::new() },
            in_vain: 0,
            progress: 0,
        }
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Its place is stopped, or everything that runs in the bay is paused, some of it by a stop.
    pub(super) fn is_stopped(&self, bay: usize) -> bool {
        let (work, paused) = (&self.floor.bays[bay], (self.pauses.work[bay], self.pauses.holds[bay]));
        self.is_halted(self.c.shop.bay_place[bay] as usize)
            || !self.bays[bay].moving
                && paused != (0, 0)
                && paused == (work.running_work, work.running_holds)
                && (paused.1 > 0 || paused.0 > self.unmanned(bay))
    }

    /// Pieces of work and holds that run in the bay and do not pause.
    pub(super) fn not_paused(&self, bay: usize) -> (u16, u16) {
        let work = &self.floor.bays[bay];
        (work.running_work - self.pauses.work[bay], work.running_holds - self.pauses.holds[bay])
    }

    #[inline]
    pub(super) fn is_halted(&self, place: usize) -> bool {
        self.floor.halts.has_place(place)
    }

    /// Everything has just been mended when the run begins.
    pub(super) fn schedule_stops(&mut self) {
        for i in 0..self.stops.causes.len() {
            self.schedule_stop(i);
        }
    }

    /// Draws the time to the next stop of a cause.
    pub(super) fn schedule_stop(&mut self, i: usize) {
        let number = self.stops.causes[i].number;
        let plan = &self.c.stops.causes[i];
        // At least a microsecond, so that time passes between two stops.
        let gap = plan.gap.length(self.replication, number, 0).max(1);
        let gap = match &plan.comes {
            ComesPlan::ByItself => gap,
            ComesPlan::Calls { answered, .. } => gap + answered.length(self.replication, number, 1),
            ComesPlan::Days { bad, share } => {
                let bad = bad.of_replication(self.replication);
                self.stop_on_a_day(i, |day| bad.uniform(day, 0) < *share);
                return;
            }
        };
        match self.c.line.stops[i].runs {
            GapTime::Clock => self.stop_at(i, self.clock.now() + gap),
            GapTime::Net => {
                let clock = self.clock_of_stop(i);
                let at = clock.clock_of_net(clock.net() + gap);
                self.stop_at(i, at);
            }
            GapTime::Use => {
                self.stops.causes[i].left = gap;
                if self.stops.causes[i].users > 0 {
                    self.use_begins(i);
                }
            }
        }
    }

    /// The next bad day, from the one that begins now on; it stops from midnight to midnight.
    fn stop_on_a_day(&mut self, i: usize, is_bad: impl Fn(u64) -> bool) {
        let now = self.clock.now();
        let from = now.div_euclid(Time::DAY.0) + i64::from(now.rem_euclid(Time::DAY.0) > 0);
        let day = (from..from + MOST_FINE_DAYS).find(|day| is_bad(*day as u64));
        let Some(day) = day else { return };
        self.stop_at(i, day * Time::DAY.0);
        if day * Time::DAY.0 == now {
            self.stop_begins(i);
        }
    }

    /// A call that somebody solves stops nothing: the next one comes.
    fn is_solved(&mut self, i: usize) -> bool {
        let ComesPlan::Calls { solved, share, .. } = &self.c.stops.causes[i].comes else { return false };
        self.seen.stops[i].calls += 1;
        let number = self.stops.causes[i].number;
        let is_solved = solved.of_replication(self.replication).uniform(number, 0) < *share;
        if is_solved {
            self.stops.causes[i].number += 1;
            self.schedule_stop(i);
        }
        is_solved
    }

    fn stop_at(&mut self, i: usize, at: i64) {
        if at < i64::MAX {
            self.stops.causes[i].due = at;
            self.queue.push(Entry::new(at, Class::Stop, 0, i as u16, 0));
        }
    }

    fn use_begins(&mut self, i: usize) {
        let left = self.stops.causes[i].left;
        let clock = self.clock_of_stop(i);
        let net = clock.net();
        let at = clock.clock_of_net(net + left);
        self.stops.causes[i].used_since = net;
        self.stop_at(i, at);
    }

    fn clock_of_stop(&mut self, i: usize) -> &mut Clock {
        let hours = self.hours_of_stop(i);
        self.clock_of_mut(hours)
    }

    /// The bay works or holds from now on, or no longer: time of use runs or stands still.
    pub(super) fn note_use(&mut self, bay: usize, was: BayState, is: BayState) {
        let used = |state| matches!(state, BayState::Working | BayState::Holding);
        if used(was) != used(is) {
            let c = self.c;
            for i in &c.stops.used_places[c.shop.bay_place[bay] as usize] {
                let users = self.stops.causes[*i as usize].users;
                self.users_are(*i as usize, if used(is) { users + 1 } else { users - 1 });
            }
        }
    }

    /// As `note_use`, for equipment: it is in use while pieces of it are taken and it is not stopped.
    pub(super) fn note_equipment_use(&mut self, equipment: usize) {
        let c = self.c;
        let taken = self.floor.free_equipment[equipment] < c.shop.equipment[equipment]
            && !self.floor.halts.has_equipment(equipment);
        for i in &c.stops.used_equipment[equipment] {
            self.users_are(*i as usize, u32::from(taken));
        }
    }

    fn users_are(&mut self, i: usize, users: u32) {
        let net = self.net_of(self.hours_of_stop(i));
        let cause = &mut self.stops.causes[i];
        let was = std::mem::replace(&mut cause.users, users);
        if cause.is_stopped || (was > 0) == (users > 0) {
            return;
        }
        if users > 0 {
            self.use_begins(i);
        } else if cause.used_since >= 0 {
            cause.left -= net - cause.used_since;
            cause.used_since = -1;
            cause.due = -1;
        }
    }

    /// A stop begins, unless its entry is void.
    pub(super) fn stop_begins(&mut self, i: usize) {
        let (now, net) = (self.clock.now(), self.net_of(self.hours_of_stop(i)));
        let cause = &mut self.stops.causes[i];
        if cause.due != now || cause.is_stopped {
            return;
        }
        cause.due = -1;
        if self.is_solved(i) {
            return;
        }
        let cause = &mut self.stops.causes[i];
        (cause.used_since, cause.is_stopped, cause.since) = (-1, true, now);
        self.note_progress();
        let counts = &mut self.seen.stops[i];
        counts.count += 1;
        counts.clock -= Time(now);
        counts.net -= Time(net);
        self.see(Event::Stopped { stop: i as u16 });
        match &self.c.line.stops[i].what {
            Stopped::Places(places) => {
                for place in places {
                    if self.floor.halts.halt_place(place.index()) {
                        self.review_place(place.index());
                        // Whoever let work here go first does so no longer.
                        if self.c.shop.has_turns {
                            self.mark_crews_at(place.index());
                        }
                    }
                }
            }
            Stopped::Equipment(e) => {
                if self.floor.halts.halt_equipment(&self.c.shop, e.index()) {
                    self.review_all();
                    self.note_equipment_use(e.index());
                }
            }
        }
        self.mend(i);
    }

    /// Whoever works on units there: its own crews, and the next place's where that begins early.
    fn mark_crews_at(&mut self, place: usize) {
        let compiled = &self.c.shop.places[place];
        for bay in (compiled.bay0..).take(usize::from(compiled.bays)) {
            self.floor.mark(self.c.shop.bay_gang[bay as usize] as usize);
        }
        if self.c.has_early && self.c.shop.has_early_at(place) {
            let next = &self.c.shop.places[place + 1];
            for bay in (next.bay0..).take(usize::from(next.bays)) {
                self.floor.mark(self.c.shop.bay_gang[bay as usize] as usize);
            }
        }
    }

    /// Against runs that only break down and mend for ever.
    fn note_progress(&mut self) {
        let progress = self.entries + self.finished_in_all;
        if self.stops.progress != progress {
            (self.stops.progress, self.stops.in_vain) = (progress, 0);
            return;
        }
        self.stops.in_vain += 1;
        if self.stops.in_vain > MOST_IN_VAIN && !self.lots_may_help() {
            self.failed = Some(self.dried());
        }
    }

    fn review_place(&mut self, place: usize) {
        let compiled = &self.c.shop.places[place];
        for bay in compiled.bay0 as usize..compiled.bay0 as usize + compiled.bays as usize {
            self.review(bay);
        }
        // Work that waits there no longer lacks people only, or does again: claims fall or rise.
        self.mark_crews_at(place);
    }

    fn review_all(&mut self) {
        (0..self.bays.len()).for_each(|bay| self.review(bay));
        (0..self.floor.gangs.len()).for_each(|gang| self.floor.mark(gang));
    }

    /// A repair ends, unless its entry is void: what was stopped goes on.
    pub(super) fn stop_ends(&mut self, i: usize) {
        let (now, net) = (self.clock.now(), self.net_of(self.hours_of_stop(i)));
        let line_net = self.clock.net();
        let cause = &mut self.stops.causes[i];
        if cause.mended_at != now {
            return;
        }
        (cause.is_stopped, cause.mended_at, cause.to_mend) = (false, -1, -1);
        cause.number += 1;
        let counts = &mut self.seen.stops[i];
        counts.clock += Time(now);
        counts.net += Time(net);
        self.see(Event::Mended { stop: i as u16 });
        match &self.c.line.stops[i].what {
            Stopped::Places(places) => {
                for place in places {
                    if self.floor.halts.free_place(place.index()) {
                        self.stops.ended_net[place.index()] = line_net;
                        self.review_place(place.index());
                        self.reopen(place.index());
                    }
                }
            }
            Stopped::Equipment(e) => {
                if self.floor.halts.free_equipment(&self.c.shop, e.index()) {
                    self.review_all();
                    self.note_equipment_use(e.index());
                }
            }
        }
        self.begin_waiting_holds();
        self.began_to_wait = true;
        if let Mending::By { count, group } = self.c.line.stops[i].mending {
            self.menders_change(i, group.index(), count, -1);
            self.assign_menders(group.index());
        }
        self.schedule_stop(i);
    }

    /// Units may enter and leave the place again.
    fn reopen(&mut self, place: usize) {
        self.touch(place);
        match (self.c.next[place], self.c.line_of[place]) {
            (Some(next), _) => {
                let ways = self.c.lanes.ways_on(place, next as usize);
                ways.into_iter().for_each(|next| self.touch(next));
            }
            (None, 0) => self.touch(self.c.line.places.len()),
            (None, line) => self.touch(self.exit_of(line as usize - 1)),
        }
        let leavers = &mut self.stops.leavers;
        self.leavers.append(leavers);
        for state in &mut self.stretches {
            state.check = true;
        }
    }

    /// The counted window begins or ends: what is stopped now is counted from (`-1`) or up to (`1`) it.
    pub(super) fn settle_stops(&mut self, sign: i64) {
        let now = self.clock.now();
        for i in 0..self.stops.causes.len() {
            if self.stops.causes[i].is_stopped {
                let net = self.net_of(self.hours_of_stop(i));
                self.seen.stops[i].clock += Time(sign * now);
                self.seen.stops[i].net += Time(sign * net);
            }
        }
    }
}
