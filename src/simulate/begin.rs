//! A replication before anything has happened: the empty line, and what is known in advance.

use super::around::Around;
use super::blank::blank;
use super::breaks::goes_through_breaks;
use super::clock::Clock;
use super::compiled::Compiled;
use super::dried::Standstill;
use super::drift::Drifting;
use super::early::Early;
use super::feeders::FeederState;
use super::hours::OwnHours;
use super::learning::Learners;
use super::movers::Movers;
use super::observations::{BayState, FloaterCounts, HelpCounts, Replication};
use super::orders::Orders;
use super::overtime::Week;
use super::pauses::Pauses;
use super::presence::Away;
use super::queue::{Class, Entry, Queue};
use super::run::{Bay, Fate, PlaceState, Run, StretchState};
use super::settings::{Horizon, RunErrorKind, Settings, WarmUp};
use super::stops::Stops;
use super::stores::StoreState;
use super::units::{NONE, Units};
use super::visitors::Visiting;
use super::walks::Walks;
use super::warmth::Warmed;
use super::watcher::Watcher;
use crate::draws::Ahead;
use crate::line::StartState;
use crate::schedule::{Floor, Walked};
use crate::units::Time;
use std::collections::VecDeque;

impl<'a, W: Watcher> Run<'a, W> {
    pub(super) fn new(
        c: &'a Compiled<'a>,
        settings: &'a Settings,
        replication: u32,
        watcher: &'a mut W,
    ) -> Run<'a, W> {
        let line = c.line;
        let (steps, windows) = if c.has_redo { (line.steps.len(), line.windows.len()) } else { (0, 0) };
        let empty = |free| PlaceState { free, last_arrival: -1, full_since: -1, ..PlaceState::default() };
        let places = c.shop.places.iter().map(|place| empty(place.bays)).collect();
        let still = StretchState { moving_until: -1, check: true, ..StretchState::default() };
        Run {
            clock: Clock::new(line.calendar.as_ref()),
            own: OwnHours::new(line),
            queue: Queue::with_capacity(c.shop.bays * 2 + 8),
            floor: Floor::new(&c.shop, c.path.clone()),
            units: Units::new(steps, line.tests.len(), windows, c.travel.len()),
            brought: Vec::with_capacity(8),
            orders: Orders::new(line, replication),
            bays: vec![empty_bay(); c.shop.bays],
            places,
            exit: VecDeque::with_capacity(4),
            aheads: c
                .aheads
                .iter()
                .map(|(time, stream)| Ahead::new(time.clone(), stream.of_replication(replication)))
                .collect(),
            stretches: vec![still; c.stretches.len()],
            outside: VecDeque::with_capacity(16),
            feeders: vec![FeederState::default(); line.feeders.len()],
            plan: VecDeque::new(),
            dirty_places: vec![0; (line.places.len() + line.feeders.len()) / 64 + 1],
            dirty_bays: Vec::with_capacity(c.shop.bays),
            leavers: Vec::with_capacity(8),
            fresh: Vec::with_capacity(16),
            walked: Walked::default(),
            hold_since: vec![-1; c.shop.bay_nodes],
            pauses: Pauses::new(&c.shop, c.takes_back),
            drifting: Drifting::default(),
            early: Early::default(),
            stops: Stops::new(c),
            next_number: 0,
            entries: 0,
            releases: 0,
            last_gap_at: 0,
            shift: 0,
            shift_count: 0,
            week: Week::default(),
            going_home: false,
            all_home: false,
            present: 0,
            counted: false,
            cut_clock: 0,
            cut_net: 0,
            last_finish_net: -1,
            finished_in_all: 0,
            crew_running: vec![0; line.crews.len()],
            group_running: vec![0; line.groups.len()],
            crew_home: vec![0; line.crews.len()],
            away: Away::new(line),
            visiting: Visiting::new(line, &c.shop),
            floating: vec![FloaterCounts::default(); line.floaters.len()],
            helping: vec![HelpCounts::default(); line.helping.len()],
            warmed: vec![Warmed::default(); if line.temperatures.is_empty() { 0 } else { c.shop.bay_nodes }],
            overruns: vec![-1; if goes_through_breaks(line) { c.shop.bay_nodes } else { 0 }],
            walks: Walks::new(&c.shop, line.crews.len(), line.groups.len()),
            movers: Movers::new(line),
            learners: Learners::new(line, &c.shop),
            handed: Vec::new(),
            equipment_seen: c.shop.equipment.clone(),
            stores: vec![StoreState::default(); line.parts.len()],
            around: Around::new(line),
            waiting_gangs: Vec::with_capacity(c.shop.parts.min(8)),
            events: 0,
            standstill: Standstill::default(),
            began_to_wait: false,
            over: false,
            cut_due: false,
            end_due: false,
            failed: None,
            seen: Replication::default(),
            c,
            settings,
            replication,
            watcher,
        }
    }

    /// Sets the line up at time 0 and schedules what is known in advance.
    pub(super) fn begin(&mut self) -> Result<(), RunErrorKind> {
        self.seen = blank(self.c.line, self.replication);
        if self.c.roster.is_some() {
            self.floor.watch_presence(&self.c.shop);
        }
        if !self.c.amiss.is_empty() || self.c.line.parts_may_lie_at_units() {
            self.floor.watch_parts(&self.c.shop);
        }
        self.floor.planned.clone_from(&self.c.planned);
        if self.clock.has_calendar() {
            let first = self.clock.shift(0).start;
            if first == i64::MAX {
                return Err(RunErrorKind::OverLimit { what: "weeks without a shift", limit: 1_000 });
            }
            // The shift that has not begun is shift 0; `begin_shift` counts up.
            self.shift = usize::MAX;
            self.schedule_calendar();
        }
        self.own_hours_begin();
        self.drift_begins();
        self.early_begins();
        self.schedule_horizon();
        self.schedule_release();
        self.around.filling = self.c.line.start == StartState::Full && self.c.line.has_lanes_for_some();
        self.set_up_stores();
        self.schedule_lorry();
        for s in 0..self.c.stretches.len() {
            self.after_push(s, 0);
        }
        if self.c.line.start == StartState::Full {
            self.fill()?;
        }
        self.stock_feeders();
        self.touch_all();
        for gang in 0..self.floor.gangs.len() {
            self.floor.mark(gang);
        }
        self.advance(0);
        self.visitors_begin();
        if self.settings.warm_up.is_none() && !matches!(self.settings.horizon, Horizon::Shifts(_)) {
            self.cut();
        }
        // After the cut: what stands still from the first instant on is counted.
        self.schedule_stops();
        // Who comes to a shift that begins with the run is known before anything of its first instant starts.
        match self.c.roster.is_some() && self.queue.next_at() == Time::ZERO {
            true => Ok(()),
            false => self.settle(),
        }
    }

    fn schedule_horizon(&mut self) {
        let first = if self.clock.has_calendar() { self.clock.shift(0).start } else { 0 };
        let shift_at = |clock: &mut Clock, at: i64| (0..).find(|k| clock.shift(*k).start >= at).unwrap_or(0);
        match self.settings.horizon {
            Horizon::Shifts(n) => {
                let warm = match self.settings.warm_up {
                    WarmUp::None | WarmUp::Units(_) => 0,
                    WarmUp::Shifts(w) => w as usize,
                    WarmUp::For(t) => shift_at(&mut self.clock, first + t.0),
                };
                let (from, to) = (self.clock.shift(warm).start, self.clock.shift(warm + n as usize).start);
                self.queue.push(Entry::new(from, Class::Horizon, 0, 0, 0));
                self.queue.push(Entry::new(to, Class::Horizon, 0, 0, 1));
            }
            Horizon::For(t) => {
                let from = match self.settings.warm_up {
                    WarmUp::None | WarmUp::Units(_) => 0,
                    WarmUp::For(warm) => warm.0,
                    WarmUp::Shifts(w) => self.clock.shift(w as usize).start,
                };
                if from > 0 {
                    self.queue.push(Entry::new(from, Class::Horizon, 0, 0, 0));
                }
                self.queue.push(Entry::new(from + t.0, Class::Horizon, 0, 0, 1));
            }
            Horizon::Units(_) => {
                let from = match self.settings.warm_up {
                    none if none.is_none() => return,
                    WarmUp::None | WarmUp::Units(_) => return,
                    WarmUp::For(warm) => warm.0,
                    WarmUp::Shifts(w) => self.clock.shift(w as usize).start,
                };
                self.queue.push(Entry::new(from, Class::Horizon, 0, 0, 0));
            }
        }
    }
}

fn empty_bay() -> Bay {
    Bay {
        unit: NONE,
        state: BayState::Starved,
        booked: false,
        moving: false,
        queued: false,
        done: false,
        fate: Fate::Stays,
        since_net: 0,
        since_clock: 0,
        entered_clock: 0,
        entered_net: 0,
        done_net: 0,
        active_since: -1,
    }
}
