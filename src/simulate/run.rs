//! One replication: the state of the line and the loop over instants.
//!
//! At every instant: what the queue holds of it, in its order; then moves (last place first) and
//! starts of work, again and again until nothing changes; then the states of bays are booked.

use super::around::Around;
use super::clock::Clock;
use super::compiled::{Compiled, Stretch};
use super::dried::Standstill;
use super::drift::{Drifting, MAY_DRIFT};
use super::early::Early;
use super::feeders::FeederState;
use super::hours::{OWN, OwnHours};
use super::learning::Learners;
use super::movers::Movers;
use super::observations::{BayState, FloaterCounts, HelpCounts, Replication};
use super::orders::Orders;
use super::overtime::Week;
use super::pauses::Pauses;
use super::presence::Away;
use super::queue::{
    CARRIER_BACK, Class, Entry, MOVE_END, PART_RIGHT, PUSH_END, Queue, REKIT_END, REPAIR_END, SLOT_ARRIVAL,
};
use super::settings::{RunError, RunErrorKind, Settings};
use super::stops::Stops;
use super::stores::StoreState;
use super::units::{Row, Units};
use super::visitors::{HOURS, Visiting};
use super::walks::Walks;
use super::warmth::Warmed;
use super::watcher::Watcher;
use crate::draws::Ahead;
use crate::schedule::{Floor, Handover, Walked};
use crate::units::Time;
use std::collections::VecDeque;

/// Entries of the queue in one replication, against lines that go round without time passing.
const MOST_EVENTS: u64 = 20_000_000_000;
/// Entries at one instant, likewise.
const MOST_AT_ONCE: u32 = 10_000_000;

/// Where a unit goes that does not simply move on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Fate {
    /// Moves on when done.
    Stays,
    /// To the next stop of its way, waiting outside it.
    NextStop,
    Scrap,
    SetAside,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Bay {
    pub unit: Row,
    pub state: BayState,
    pub booked: bool,
    pub moving: bool,
    /// Done, and in the queue of what follows.
    pub queued: bool,
    /// All steps done and tests passed.
    pub done: bool,
    pub fate: Fate,
    pub since_net: i64,
    pub since_clock: i64,
    pub entered_clock: i64,
    pub entered_net: i64,
    pub done_net: i64,
    /// Net time since which it is active without a gap; -1 if it is not.
    pub active_since: i64,
}

#[derive(Clone, Debug, Default)]
pub(super) struct PlaceState {
    pub slots: VecDeque<Row>,
    /// Bays in the order in which their units came, where that order is kept.
    pub order: VecDeque<u32>,
    /// Units waiting outside to re-enter here.
    pub returns: VecDeque<Row>,
    /// Bays upstream whose units are done and wait for this place, longest first.
    pub blocked: VecDeque<u32>,
    pub free: u16,
    /// Pushed segments: the bay whose turn it is.
    pub due: u16,
    /// The unit that is due there is pulled off the line with the push.
    pub pulls: bool,
    pub bay_level_since: i64,
    pub slot_level_since: i64,
    pub last_arrival: i64,
    pub full_since: i64,
}

#[derive(Clone, Copy, Default, Debug)]
pub(super) struct StretchState {
    /// The push is under way until then.
    pub moving_until: i64,
    /// Net time of the signal that has fallen or will fall.
    pub signal_net: i64,
    pub signalled: bool,
    pub check: bool,
    /// The place whose unit was not ready at the last look.
    pub unready: u16,
    /// The last place's unit had no room at the last look.
    pub no_room: bool,
    pub room_net: i64,
    /// Net time of the end of the last push.
    pub pushed_net: i64,
    /// Brought steps that are worked on now.
    pub elsewhere: i64,
}

pub(super) struct Run<'a, W: Watcher> {
    pub c: &'a Compiled<'a>,
    pub settings: &'a Settings,
    pub replication: u32,
    pub watcher: &'a mut W,
    pub clock: Clock,
    pub own: OwnHours,
    pub queue: Queue,
    pub floor: Floor,
    pub units: Units,
    pub orders: Orders,
    pub bays: Vec<Bay>,
    pub places: Vec<PlaceState>,
    /// Bays of the last place whose units are done and leave the line (unpaced).
    pub exit: VecDeque<u32>,
    /// Draws made ahead, as `Compiled::aheads`.
    pub aheads: Vec<Ahead>,
    pub stretches: Vec<StretchState>,
    pub outside: VecDeque<Row>,
    pub feeders: Vec<FeederState>,
    /// Models of units that have not entered yet and are ordered for, the next one first.
    pub plan: VecDeque<u16>,
    /// Places that may take a unit, one bit each; behind them the exits of the line and its feeders.
    pub dirty_places: Vec<u64>,
    pub dirty_bays: Vec<u32>,
    pub leavers: Vec<u32>,
    pub fresh: Vec<u16>,
    pub walked: Walked,
    /// Start of each hold that runs or whose end waits for what follows, per bay node; -1.
    pub hold_since: Vec<i64>,
    /// Copies of brought steps to be called, for the moment.
    pub brought: Vec<u16>,
    pub pauses: Pauses,
    pub drifting: Drifting,
    pub early: Early,
    pub stops: Stops,
    pub next_number: u64,
    pub entries: u64,
    pub releases: u64,
    pub last_gap_at: i64,
    pub shift: usize,
    pub shift_count: u32,
    pub week: Week,
    pub going_home: bool,
    pub all_home: bool,
    pub present: u64,
    pub counted: bool,
    pub cut_clock: i64,
    pub cut_net: i64,
    pub last_finish_net: i64,
    pub finished_in_all: u64,
    pub crew_running: Vec<i64>,
    pub group_running: Vec<i64>,
    pub crew_home: Vec<i64>,
    pub away: Away,
    pub visiting: Visiting,
    /// How many of each statement stand in or are away now.
    pub floating: Vec<FloaterCounts>,
    /// How many of each statement help, walk, stand in, mend or are away now.
    pub helping: Vec<HelpCounts>,
    /// Per bay node, where some hold must be warm.
    pub warmed: Vec<Warmed>,
    /// Per bay node, where some work goes through breaks: clock less net time at its start; -1.
    pub overruns: Vec<i64>,
    pub walks: Walks,
    pub movers: Movers,
    pub learners: Learners,
    pub handed: Vec<Handover>,
    /// Free pieces as last booked.
    pub equipment_seen: Vec<u32>,
    pub stores: Vec<StoreState>,
    pub around: Around,
    /// Gangs that wait for parts, while they are served.
    pub waiting_gangs: Vec<u16>,
    pub events: u64,
    pub standstill: Standstill,
    pub began_to_wait: bool,
    pub over: bool,
    /// The window begins or ends when everything of this instant is done.
    pub cut_due: bool,
    pub end_due: bool,
    pub failed: Option<RunErrorKind>,
    pub seen: Replication,
}

/// Runs one replication to its end.
pub(super) fn replicate<W: Watcher>(
    c: &Compiled,
    settings: &Settings,
    replication: u32,
    watcher: &mut W,
) -> Result<Replication, RunError> {
    let mut run = Run::new(c, settings, replication, watcher);
    let result = run.begin().and_then(|()| run.go());
    let at = Time(run.clock.now());
    match result {
        Ok(()) => Ok(run.take_result()),
        Err(kind) => Err(RunError { replication, seed: settings.seed, at, kind }),
    }
}

impl<'a, W: Watcher> Run<'a, W> {
    fn go(&mut self) -> Result<(), RunErrorKind> {
        while !self.over {
            let Some(entry) = self.queue.pop() else {
                return Err(self.dried());
            };
            self.advance(entry.at());
            self.take(entry);
            let mut at_once = 0u32;
            while !self.over && self.queue.next_at().0 == self.clock.now() {
                let entry = self.queue.pop().expect("the queue was just looked at");
                self.take(entry);
                at_once += 1;
                if at_once > MOST_AT_ONCE {
                    return Err(RunErrorKind::OverLimit {
                        what: "events at one instant",
                        limit: u64::from(MOST_AT_ONCE),
                    });
                }
            }
            if !self.over {
                self.settle()?;
            }
            if self.events > MOST_EVENTS {
                return Err(RunErrorKind::OverLimit {
                    what: "events in one replication",
                    limit: MOST_EVENTS,
                });
            }
        }
        self.failed.take().map_or(Ok(()), Err)
    }

    #[inline]
    fn take(&mut self, entry: Entry) {
        self.events += 1;
        match entry.class() {
            c if c == Class::End as u8 => {
                let place = self.c.place_of[entry.rank() as usize] as usize;
                self.standstill.note(match entry.step() {
                    REPAIR_END => false,
                    PUSH_END => !self.pushes_nothing(self.c.stretch_of[place]),
                    _ => true,
                });
                let bay = self.c.shop.places[place].bay0 as usize + entry.bay() as usize;
                match entry.step() {
                    MOVE_END => self.move_ends(place, bay),
                    SLOT_ARRIVAL => self.slot_is_reached(place),
                    PUSH_END => self.push_arrives(self.c.stretch_of[place]),
                    REPAIR_END => self.stop_ends(entry.bay() as usize),
                    PART_RIGHT | REKIT_END => self.part_is_right(entry.bay() as usize),
                    CARRIER_BACK => self.carrier_is_back(entry.bay() as usize),
                    local => self.node_ends(bay, local),
                }
            }
            c if c == Class::Horizon as u8 => match entry.step() {
                0 => self.cut(),
                _ => {
                    self.over = true;
                    self.look_if_it_stood();
                    self.end_of_window();
                }
            },
            c => {
                self.standstill.note(false);
                self.take_what_may_be_idle(c, entry);
            }
        }
    }

    /// What moves nothing by itself: shifts, stops, releases, lots and signals.
    #[inline]
    fn take_what_may_be_idle(&mut self, class: u8, entry: Entry) {
        match class {
            c if c == Class::Calendar as u8 => match entry.rank() {
                HOURS => self.hours_change(entry.bay() as usize),
                OWN => self.own_hours_change(entry.bay() as usize),
                _ => self.calendar_changes(),
            },
            c if c == Class::Delivery as u8 => self.delivery_falls(entry),
            c if c == Class::Stop as u8 => self.stop_begins(entry.bay() as usize),
            c if c == Class::Release as u8 => self.release_falls(),
            _ => {
                let s = self.c.stretches.len() - 1 - entry.rank() as usize;
                self.stretches[s].signalled |= entry.step() != MAY_DRIFT;
                self.stretches[s].check = true;
            }
        }
    }

    /// Moves and starts until nothing changes, then books the states.
    pub(super) fn settle(&mut self) -> Result<(), RunErrorKind> {
        self.mend_now();
        self.holds_take_pieces();
        if self.is_any_attended() {
            let mut rounds = 0u32;
            loop {
                self.moves();
                self.holds_take_pieces();
                // Whoever helped with late work that is on its way now is free.
                self.mend_now();
                if self.clock.attended() {
                    self.look_early();
                }
                self.starts();
                if self.going_home && self.clock.attended() {
                    self.go_home();
                }
                if let Some(kind) = self.failed.take() {
                    return Err(kind);
                }
                let parts_came = self.c.shop.parts > 0 && self.unload_what_waits();
                if !parts_came && !self.moves_are_due() && !self.gangs_are_due() {
                    break;
                }
                rounds += 1;
                if rounds > MOST_AT_ONCE {
                    return Err(RunErrorKind::OverLimit {
                        what: "moves at one instant",
                        limit: u64::from(MOST_AT_ONCE),
                    });
                }
            }
        }
        self.order_lots();
        self.book_states();
        if let Some(kind) = self.failed.take() {
            return Err(kind);
        }
        if std::mem::take(&mut self.cut_due) {
            self.cut();
        }
        if self.end_due {
            self.over = true;
            self.end_of_window();
        }
        if self.began_to_wait {
            self.began_to_wait = false;
            if self.c.can_lock && self.floor.halts.any == 0 {
                self.look_for_lock_up()?;
            }
        }
        if self.over { Ok(()) } else { self.look_if_dried() }
    }

    fn starts(&mut self) {
        if self.has_own_hours() {
            self.look_who_is_there();
        }
        if !self.floor.stock.to_serve.is_empty() {
            self.serve_who_waits();
        }
        // Gangs start in the order of the line, its last place first.
        if self.has_own_hours() {
            self.start_those_who_are_there();
        } else if self.floor.dirty_gangs.len() == 1 {
            let gang = self.floor.dirty_gangs[0] as usize;
            self.floor.dirty_gangs.clear();
            self.start_gang(gang);
        } else if !self.floor.dirty_gangs.is_empty() {
            self.floor.dirty_gangs.clear();
            for at in 0..self.c.shop.gang_order.len() {
                let gang = self.c.shop.gang_order[at] as usize;
                if self.floor.gangs[gang].dirty {
                    self.start_gang(gang);
                }
            }
            // A start may free nothing, but a missed window may mark a gang walked before.
            let Floor { dirty_gangs, gangs, .. } = &mut self.floor;
            dirty_gangs.retain(|gang| gangs[usize::from(*gang)].dirty);
        }
    }

    /// Every gang that needs a walk.
    pub(super) fn list_dirty_gangs(&mut self) {
        let floor = &mut self.floor;
        floor.dirty_gangs.clear();
        for (gang, state) in floor.gangs.iter().enumerate() {
            if state.dirty {
                floor.dirty_gangs.push(gang as u16);
            }
        }
    }

    pub fn stretch(&self, place: usize) -> Option<&'a Stretch> {
        self.c.stretches.get(self.c.stretch_of[place])
    }
}
