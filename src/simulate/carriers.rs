//! Pallets, moulds and cradles: who has one, how many are on their way back, who waits for one.

use super::observations::CarrierCounts;
use super::queue::{CARRIER_BACK, Class, Entry};
use super::run::Run;
use super::units::Row;
use super::watcher::{Event, Watcher};
use crate::line::PlaceId;
use crate::units::Time;

/// Carriers of one statement.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct CarrierState {
    pub free: u32,
    /// Under a unit.
    on: u32,
    /// On the way back.
    back: u32,
    /// Ways back so far.
    ways: u64,
    since: i64,
}

impl CarrierState {
    pub fn all(count: u32) -> CarrierState {
        CarrierState { free: count, ..CarrierState::default() }
    }

    pub fn is_coming(&self) -> bool {
        self.back > 0
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Whether a unit that stands on `held` may come to a place: what it needs there is free.
    #[inline]
    pub(super) fn carriers_for(&self, place: usize, held: u64) -> bool {
        self.carrier_due(place, held).is_none()
    }

    /// The carriers of which it needs one there and none is free.
    pub(super) fn carrier_due(&self, place: usize, held: u64) -> Option<usize> {
        let due = |k: usize| self.c.line.carriers[k].first.index() == place && held >> k & 1 == 0;
        (0..self.around.carriers.len()).find(|k| due(*k) && self.around.carriers[*k].free == 0)
    }

    /// A unit comes to a place: it takes what it needs from there on, and leaves what it needs no more.
    #[inline]
    pub(super) fn change_carriers(&mut self, row: Row, place: usize) {
        if !self.around.carriers.is_empty() {
            self.change_those_due(row, place);
        }
    }

    fn change_those_due(&mut self, row: Row, place: usize) {
        let here = PlaceId::from_index(place);
        let line = self.c.line;
        // Repair bays stand beside the line: who goes there keeps its carrier.
        if line.places[place].segment.is_none() {
            return;
        }
        for (k, carriers) in line.carriers.iter().enumerate() {
            let held = self.units.rows[row as usize].carriers >> k & 1 == 1;
            if !held && carriers.first == here {
                self.take_carrier(row, k);
            } else if held && !carriers.carries_at(here) {
                self.leave_carrier(row, k);
            }
        }
    }

    /// A unit stands at a place from the start: it took its carriers before.
    pub(super) fn has_its_carriers(&mut self, row: Row, place: usize) {
        for k in 0..self.around.carriers.len() {
            if self.c.line.carriers[k].carries_at(PlaceId::from_index(place)) {
                self.take_carrier(row, k);
            }
        }
    }

    /// A unit leaves its line for good.
    pub(super) fn leave_carriers(&mut self, row: Row) {
        for k in 0..self.around.carriers.len() {
            if self.units.rows[row as usize].carriers >> k & 1 == 1 {
                self.leave_carrier(row, k);
            }
        }
    }

    fn take_carrier(&mut self, row: Row, k: usize) {
        self.close_carriers(k);
        // A line that starts full has as many as it needs: that is checked with the file.
        self.around.carriers[k].free -= 1;
        self.around.carriers[k].on += 1;
        self.units.rows[row as usize].carriers |= 1 << k;
    }

    fn leave_carrier(&mut self, row: Row, k: usize) {
        self.close_carriers(k);
        self.units.rows[row as usize].carriers &= !(1 << k);
        let state = &mut self.around.carriers[k];
        state.on -= 1;
        state.back += 1;
        let way = state.ways;
        state.ways += 1;
        match &self.c.ways_back[k] {
            None => self.carrier_is_back(k),
            Some(timer) => {
                let length = timer.length(self.replication, way, 0);
                self.see(Event::CarrierLeft { carriers: k as u16, length: Time(length) });
                let at = self.clock.now() + length;
                self.queue.push(Entry::new(at, Class::End, 0, k as u16, CARRIER_BACK));
            }
        }
    }

    pub(super) fn carrier_is_back(&mut self, k: usize) {
        self.close_carriers(k);
        self.around.carriers[k].back -= 1;
        self.around.carriers[k].free += 1;
        let first = self.c.line.carriers[k].first.index();
        self.touch(first);
        self.check_stretch_of(first);
    }

    pub(super) fn close_all_carriers(&mut self) {
        (0..self.around.carriers.len()).for_each(|k| self.close_carriers(k));
    }

    pub(super) fn carriers_from_now(&mut self) {
        let now = self.clock.now();
        self.around.carriers.iter_mut().for_each(|state| state.since = now);
    }

    /// Books what has held up to now.
    fn close_carriers(&mut self, k: usize) {
        let now = self.clock.now();
        let (state, counts): (_, &mut CarrierCounts) =
            (&mut self.around.carriers[k], &mut self.seen.carriers[k]);
        let held = now - state.since;
        state.since = now;
        counts.on += i128::from(held) * i128::from(state.on);
        counts.back += i128::from(held) * i128::from(state.back);
        if state.free == 0 {
            counts.none_free += Time(held);
        }
    }
}
