//! What the queue before a test is booked with: arrivals, waits, visits, and when it was full.

use super::run::{Fate, Run};
use super::units::Row;
use super::watcher::Watcher;
use crate::line::PlaceId;
use crate::units::Time;

impl<W: Watcher> Run<'_, W> {
    /// A unit begins to wait for a place: times between arrivals to its queue.
    pub(super) fn join_queue(&mut self, place: usize) {
        let Some(test) = self.c.test_at[place] else { return };
        let now = self.clock.now();
        let last = std::mem::replace(&mut self.places[place].last_arrival, now);
        if last >= self.cut_clock && last >= 0 {
            self.seen.tests[test as usize].gaps.record(now - last);
        }
    }

    /// A unit enters a bay of a place with a test: its wait is over.
    pub(super) fn leave_queue(&mut self, place: usize, row: Row) {
        let Some(test) = self.c.test_at[place] else { return };
        let now = self.clock.now();
        let unit = self.units.rows[row as usize];
        let wait = now - unit.waits_since;
        let counts = &mut self.seen.tests[test as usize];
        counts.arrivals += 1;
        counts.waits.record(wait);
        counts.waited += u64::from(wait > 0);
        counts.wait_blocked += Time(unit.blocked);
        counts.queue += i128::from(now - unit.waits_since.max(self.cut_clock));
        counts.busy -= i128::from(now);
    }

    /// A visit to a bay with a test ends.
    pub(super) fn visit_ends(&mut self, bay: usize, test: usize) {
        let (now, net) = (self.clock.now(), self.clock_in(bay).net());
        let state = &self.bays[bay];
        let (held, in_net) = (now - state.entered_clock, net - state.entered_net);
        let counts = &mut self.seen.tests[test];
        counts.service.record(held);
        counts.visits_over_breaks += u64::from(in_net < held);
        counts.busy += i128::from(now);
    }

    /// Are the waiting places before a test full (or, without any, is somebody blocked)?
    #[inline]
    pub(super) fn check_full(&mut self, place: usize) {
        let Some(test) = self.c.test_at[place] else { return };
        let slots = self.slots_of(place);
        let state = &self.places[place];
        let waiting = &self.places[self.c.lanes.kept_with(place)].blocked;
        let full = if slots > 0 { state.slots.len() == slots } else { !waiting.is_empty() };
        let (now, since) = (self.clock.now(), state.full_since);
        if full && since < 0 {
            self.places[place].full_since = now;
        } else if !full && since >= 0 {
            self.places[place].full_since = -1;
            self.seen.tests[test as usize].full += Time(now - since);
        }
    }

    /// Units that wait for a bay of this place.
    pub(super) fn waiting_for(&self, place: usize) -> Vec<Row> {
        let mut rows: Vec<Row> =
            self.places[place].slots.iter().chain(&self.places[place].returns).copied().collect();
        let leaving =
            self.leavers.iter().map(|b| &self.bays[*b as usize]).filter(|b| b.fate == Fate::NextStop);
        rows.extend(
            leaving.map(|b| b.unit).filter(|row| self.next_stop(*row) == Some(PlaceId::from_index(place))),
        );
        if place == 0 {
            rows.extend(&self.outside);
        } else if !self.c.lanes.is_empty() {
            rows.extend(self.coming_from_lanes(place));
        } else if self.c.next[place - 1].map(usize::from) == Some(place) {
            let before = &self.c.shop.places[place - 1];
            let bays = before.bay0 as usize..before.bay0 as usize + before.bays as usize;
            rows.extend(
                bays.into_iter()
                    .filter(|b| self.bays[*b].done && self.bays[*b].fate == Fate::Stays)
                    .map(|b| self.bays[b].unit),
            );
        }
        rows
    }
}
