//! Blocking after service: who is done and waits in its bay for the place that follows, the longest first.

use super::run::{Fate, Run};
use super::watcher::Watcher;

impl<W: Watcher> Run<'_, W> {
    /// A unit that is done waits for the place after it (or leaves its line).
    pub(super) fn queue_for_next(&mut self, bay: usize, next: Option<usize>) {
        if let Some(next) = next {
            if self.c.lanes.is_empty() {
                self.places[next].blocked.push_back(bay as u32);
                self.check_full(next);
            } else {
                self.wait_beside_lanes(bay, next);
            }
            self.touch(next);
            self.check_stretch_of(next);
            self.began_to_wait = true;
            return;
        }
        match self.c.line_of[self.c.shop.bay_place[bay] as usize] {
            0 => {
                self.exit.push_back(bay as u32);
                self.touch(self.c.line.places.len());
            }
            line => {
                let feeder = line as usize - 1;
                self.feeders[feeder].exit.push_back(bay as u32);
                self.touch(self.exit_of(feeder));
            }
        }
    }

    /// Where units must not overtake: whoever is done and has nobody undone before it waits for what
    /// follows.
    pub(super) fn queue_in_order(&mut self, place: usize) {
        for at in 0..self.places[place].order.len() {
            let bay = self.places[place].order[at] as usize;
            let state = &self.bays[bay];
            if state.queued {
                continue;
            }
            if !state.done || state.fate != Fate::Stays {
                break;
            }
            self.bays[bay].queued = true;
            self.queue_for_next(bay, self.way_on(place, self.bays[bay].unit));
        }
    }

    /// The longest blocked bay upstream; nothing leaves a stopped place.
    #[inline]
    pub(super) fn upstream(&self, place: usize) -> Option<u32> {
        if !self.c.lanes.is_empty() {
            return self.upstream_beside_lanes(place);
        }
        if place > 0 && self.is_halted(place - 1) {
            return None;
        }
        let bay = *self.places[place].blocked.front()?;
        if self.around.carriers.is_empty() {
            return Some(bay);
        }
        let held = self.units.rows[self.bays[bay as usize].unit as usize].carriers;
        self.carriers_for(place, held).then_some(bay)
    }

    /// The bay that `upstream` has found is no longer waiting.
    #[inline]
    pub(super) fn take_blocked(&mut self, place: usize, bay: u32) {
        match self.places[place].blocked.front() == Some(&bay) {
            true => drop(self.places[place].blocked.pop_front()),
            false => self.places[place].blocked.retain(|other| *other != bay),
        }
        if !self.c.lanes.is_empty() {
            self.count_lane(place);
        }
        self.check_full(place);
    }
}
