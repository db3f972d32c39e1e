//! Lines that have dried up: nothing is left to happen, and the units that are asked for never come, or some stand in
//! the line for good.
//!
//! Most often the queue is empty, and the run knows. But shifts begin, things break down and are mended, orders are
//! released, lots, lorries and empty pushes come for ever. None of that moves a unit where the line has stood still with
//! somebody there and nothing stopped, unless something waits for what these bring: other people, a longer stretch, parts.
//! Looked at only after such events; where anything else is due, the first entry of the queue that says so ends the look.

use super::queue::{Class, Entry, REPAIR_END};
use super::run::Run;
use super::settings::{Horizon, RunErrorKind};
use super::units::Row;
use super::watcher::Watcher;

/// Such events in a row after which a line has dried up that waits for people, or for a stretch that is long enough.
const MOST_IN_A_ROW: u32 = 100_000;

#[derive(Clone, Copy, Default, Debug)]
pub(super) struct Standstill {
    /// Events in a row that move nothing by themselves.
    pub in_a_row: u32,
    /// Hours (bit 0 those of the line) in which the line stood as it does, with somebody there and nothing stopped.
    hours: u64,
    /// How it stood.
    state: u64,
}

impl Standstill {
    /// Something that may move a unit has happened, or not.
    #[inline]
    pub fn note(&mut self, moves: bool) {
        self.in_a_row = if moves { 0 } else { self.in_a_row + 1 };
    }
}

impl<W: Watcher> Run<'_, W> {
    /// The end of an instant.
    ///
    /// # Errors
    /// Nothing moves any more, and units are waited for.
    #[inline]
    pub(super) fn look_if_dried(&mut self) -> Result<(), RunErrorKind> {
        match self.standstill.in_a_row > 0 && self.has_dried() {
            // A run of so long may well go on without units, but not with some that stand for good.
            true if self.counts_units() || self.somebody_stands() => Err(self.dried()),
            true | false => Ok(()),
        }
    }

    /// As long as was asked for: has it stood at the end?
    pub(super) fn look_if_it_stood(&mut self) {
        let looked_at = !self.moves_are_due() && !self.gangs_are_due();
        if looked_at && !self.counts_units() && self.somebody_stands() && self.has_dried() {
            self.failed = Some(self.dried());
        }
    }

    fn counts_units(&self) -> bool {
        matches!(self.settings.horizon, Horizon::Units(_))
    }

    /// Some unit of the line is on its way.
    fn somebody_stands(&self) -> bool {
        self.rows_that_stand().next().is_some()
    }

    /// Units of the line and where they stand, the last place first.
    fn rows_that_stand(&self) -> impl Iterator<Item = (Row, usize)> + '_ {
        let at = |place: usize| {
            let state = &self.places[place];
            let outside = state.slots.iter().chain(&state.returns).copied();
            self.occupants(place).into_iter().chain(outside).map(move |row| (row, place))
        };
        let all = (0..self.places.len()).rev().flat_map(at);
        all.filter(|(row, _)| self.units.rows[*row as usize].line == 0)
    }

    /// Nothing is left to happen: where units wait for one another, who for whom; else who stands where.
    pub(super) fn dried(&self) -> RunErrorKind {
        self.look_for_lock_up().err().unwrap_or_else(|| self.who_stands_for_good())
    }

    fn who_stands_for_good(&self) -> RunErrorKind {
        let name = |place: usize| self.c.line.places[place].name.clone();
        let standing =
            self.rows_that_stand().map(|(row, place)| (self.units.rows[row as usize].number, name(place)));
        let is_full = |part: &usize| {
            let mut kinds = self.c.shop.kinds_of(*part);
            let waits = kinds.any(|kind| !self.floor.stock.queues[kind].is_empty());
            waits && self.level(*part) >= self.c.line.parts[*part].places
        };
        let full =
            (0..self.c.line.parts.len()).filter(is_full).map(|part| self.c.line.parts[part].name.clone());
        RunErrorKind::Dried {
            finished: self.finished_in_all,
            standing: standing.collect(),
            full: full.collect(),
        }
    }

    fn has_dried(&mut self) -> bool {
        if self.queue.entries().any(|entry| self.may_move_something(entry)) || self.lots_may_help() {
            return false;
        }
        if self.counts_units() && self.standstill.in_a_row > MOST_IN_A_ROW {
            return true;
        }
        if self.floor.halts.any > 0 || self.somebody_may_begin() {
            return false;
        }
        let state = self.how_it_stands();
        if std::mem::replace(&mut self.standstill.state, state) != state {
            self.standstill.hours = 0;
        }
        self.standstill.hours |= self.hours_there();
        let all = 1u64.checked_shl(1 + self.c.line.own_hours.len() as u32).map_or(u64::MAX, |end| end - 1);
        self.standstill.hours == all
    }

    /// What is due may move a unit, or begin some work, as the line stands.
    fn may_move_something(&self, entry: Entry) -> bool {
        match entry.class() {
            c if c == Class::End as u8 => entry.step() != REPAIR_END || self.floor.halts.any > 0,
            // Nobody who waits outside could come in, nor does a feeder wait for the order.
            c if c == Class::Release as u8 => self.outside.is_empty() || self.a_feeder_waits_for_orders(),
            c if c == Class::Signal as u8 => {
                !self.pushes_nothing(self.c.stretches.len() - 1 - entry.rank() as usize)
            }
            // The window, the calendar, stops; lots and lorries for which nobody waits.
            _ => false,
        }
    }

    /// Nobody is in the stretch, and nobody could come in with a push.
    pub(super) fn pushes_nothing(&self, s: usize) -> bool {
        self.is_empty(s) && !self.has_entrance(self.c.stretches[s].first)
    }

    /// Something runs, if only it went on; or waits for people, or for more time than is left.
    fn somebody_may_begin(&self) -> bool {
        let runs = |bay: usize| {
            let work = &self.floor.bays[bay];
            self.bays[bay].moving || work.running_work > 0 || work.running_holds > 0
        };
        let may = |gang: usize| self.floor.may_begin_with_people(&self.c.shop, gang);
        (0..self.bays.len()).any(runs)
            || (0..self.floor.gangs.len()).any(may)
            || self.c.stretches.iter().any(|stretch| self.movers.are_wanted(stretch))
            || !self.leavers.is_empty()
            || !self.stops.leavers.is_empty()
    }

    /// Whose hours these are, where everybody may begin what they find.
    fn hours_there(&self) -> u64 {
        let there = |hours: &usize| self.is_attended(*hours) && (*hours > 0 || !self.going_home);
        (0..=self.c.line.own_hours.len())
            .filter(there)
            .fold(0, |bits, hours| bits | 1u64.wrapping_shl(hours as u32))
    }

    /// Where all units are, what is done on them, what is in the stores: folded into one number (FNV-1a).
    fn how_it_stands(&self) -> u64 {
        let bays = self.bays.iter().zip(&self.floor.bays);
        let bays = bays
            .map(|(bay, work)| u64::from(bay.unit) << 20 | u64::from(work.undone) << 1 | u64::from(bay.done));
        let queues = self.places.iter().map(|p| (p.slots.len() as u64) << 32 | p.returns.len() as u64);
        let stores = self.floor.stock.pieces.iter().map(|pieces| u64::from(*pieces));
        let made = self.seen.feeders.iter().map(|feeder| feeder.made);
        let counts = [self.entries, self.finished_in_all];
        let all = bays.chain(queues).chain(stores).chain(made).chain(counts);
        all.fold(0xcbf2_9ce4_8422_2325, |hash, value| (hash ^ value).wrapping_mul(0x0100_0000_01b3))
    }
}
