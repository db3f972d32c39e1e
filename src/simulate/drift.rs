//! Crews that drift: a unit is pushed on with a little of its work left, its crew goes along and finishes it
//! in the next place. Holds that may move: they run on while their unit is pushed, and end in the next place.
//!
//! Work rests while the unit moves and goes on with the same people when it has arrived. Costs nothing where
//! no crew drifts and no hold moves.

use super::queue::{Class, Entry};
use super::run::{Fate, Run};
use super::units::{NONE, Way};
use super::watcher::{Event, Watcher};
use crate::line::{PlaceId, StepId};
use crate::schedule::Status;
use crate::units::Time;

/// What stands in the step field of a `Signal` that is none: a unit has become ready to drift.
pub const MAY_DRIFT: u16 = 1;

/// Empty where no crew drifts.
#[derive(Clone, Debug, Default)]
pub(super) struct Drifting {
    /// Per bay: net time at which something last began or ended there.
    changed: Vec<i64>,
    /// Per place: net time since which its unit may drift, at a push; and whether it goes on so, or what is open on it
    /// is cut off.
    ready: Vec<i64>,
    goes: Vec<bool>,
}

impl<W: Watcher> Run<'_, W> {
    pub(super) fn drift_begins(&mut self) {
        if self.c.has_drift {
            self.floor.watch_drift(&self.c.shop);
            self.drifting.changed = vec![0; self.bays.len()];
            self.drifting.ready = vec![0; self.places.len()];
            self.drifting.goes = vec![false; self.places.len()];
        }
    }

    /// Something began or ended in the bay: its unit may have little enough left for the push.
    #[inline]
    pub(super) fn note_change(&mut self, bay: usize) {
        if self.c.has_drift {
            self.drifting.changed[bay] = self.clock.net();
            let stretch = self.c.stretch_of[self.place_at(bay)];
            if let Some(state) = self.stretches.get_mut(stretch) {
                state.check = true;
            }
        }
    }

    fn place_at(&self, bay: usize) -> usize {
        usize::from(self.c.shop.bay_place[bay])
    }

    /// Nobody is in the bay, or its unit is done and goes on.
    #[inline]
    pub(super) fn may_be_pushed(&self, bay: usize) -> bool {
        let state = &self.bays[bay];
        state.unit == NONE || state.done && !state.moving && state.fate == Fate::Stays
    }

    /// Every unit that is due in the segment is done, or may go with what is left on it. Where only time is
    /// missing until they may, looks again then.
    pub(super) fn all_may_go(&mut self, s: usize) -> bool {
        let stretch = self.c.stretches[s];
        let (mut late, mut look) = (0, i64::MAX);
        for place in stretch.first..=stretch.last {
            let bay = self.due_bay(place);
            self.places[place].pulls = false;
            if self.may_be_pushed(bay) {
                continue;
            }
            // Its crew rather goes along than leaves its work to others.
            let over = self.longest_left(bay).map(|left| left - self.c.line.places[place].drift.0);
            let drifts = over.is_some_and(|over| over <= 0);
            if let Some(goes) = self.drifting.goes.get_mut(place) {
                *goes = drifts;
            }
            if drifts || stretch.late.is_some_and(|most| self.may_go_open(bay, most)) {
                continue;
            }
            // Rather off the line than waited for.
            if stretch.pulls && self.may_be_pulled_off(bay, stretch.first..place) {
                self.places[place].pulls = true;
                // Once it may drift, the place off the line is there for another.
                look = over.map_or(look, |over| look.min(over));
                continue;
            }
            match over {
                Some(over) => late = late.max(over),
                None => {
                    self.stretches[s].unready = place as u16;
                    self.look_again(s, look);
                    return false;
                }
            }
        }
        if late > 0 {
            self.look_again(s, late.min(look));
        }
        late <= 0
    }

    /// Looks at the segment again after so much net time; `i64::MAX` never.
    fn look_again(&mut self, s: usize, after: i64) {
        if after < i64::MAX {
            let at = self.clock.end_of_work(after);
            let reversed = (self.c.stretches.len() - 1 - s) as u16;
            self.queue.push(Entry::new(at, Class::Signal, reversed, 0, MAY_DRIFT));
        }
    }

    /// Net time that the longest piece of work on the unit still takes, where all that is open on it runs and
    /// could be finished in the next place. Notes since when the unit may drift.
    fn longest_left(&mut self, bay: usize) -> Option<i64> {
        let shop = &self.c.shop;
        let (place, base) = (self.place_at(bay), shop.bay_node0[bay] as usize);
        let state = &self.bays[bay];
        let drifts = self.c.has_drift && self.c.moves_on[place];
        if !drifts || state.unit == NONE || state.moving || state.fate != Fate::Stays {
            return None;
        }
        if self.units.rows[state.unit as usize].way != Way::Series {
            return None;
        }
        let mut longest = None;
        for local in 0..usize::from(shop.places[place].nodes) {
            // What is not for the unit and follows what runs is passed through with it.
            if self.floor.status[base + local] == Status::Done || self.floor.skip[base + local] {
                continue;
            }
            let due = self.pauses.due_at(base + local).filter(|_| !self.walks.is_on(base + local))?;
            shop.copy_in_next(place, local)?;
            let left = match shop.node(bay, local).is_hold() {
                // It goes along whatever it still takes.
                true => 0,
                false => self.left_until(bay, local, due),
            };
            longest = longest.max(Some(left));
        }
        let (left, drift) = (longest?, self.c.line.places[place].drift.0);
        self.drifting.ready[place] = self.drifting.changed[bay].max(self.clock.net() + left - drift);
        Some(left)
    }

    /// Net time since which the unit that is pushed on undone was ready to drift.
    pub(super) fn drift_ready(&self, place: usize) -> Option<i64> {
        self.goes_along(place).then(|| self.drifting.ready[place])
    }

    /// The unit that is pushed on undone takes along whoever works on it.
    pub(super) fn goes_along(&self, place: usize) -> bool {
        self.drifting.goes.get(place).is_some_and(|goes| *goes)
    }

    /// The unit is about to be pushed on to the bay `to`: whoever works on it goes along, and holds run on.
    pub(super) fn carry_along(&mut self, bay: usize, to: usize) {
        let shop = &self.c.shop;
        let (place, base) = (self.place_at(bay), shop.bay_node0[bay] as usize);
        let mut longest = None;
        for local in 0..usize::from(shop.places[place].nodes) {
            if self.floor.status[base + local] != Status::Running {
                continue;
            }
            let Some(copy) = shop.copy_in_next(place, local) else { continue };
            // All of it runs: that is what let the unit go.
            let Ok(due) = self.pauses.take_off(bay, base + local) else { continue };
            if shop.node(bay, local).is_hold() {
                self.carry_hold((bay, local), (to, copy), due);
                continue;
            }
            let left = self.left_until(bay, local, due);
            let (gang, people) = (self.floor.gang_of(shop, bay, local), self.floor.people[base + local]);
            self.people_end(gang, people);
            self.floor.carry(shop, (bay, local), (to, copy));
            self.pauses.put_on(to, shop.bay_node0[to] as usize + copy, left);
            longest = longest.max(Some(left));
            if W::WATCHING {
                let (unit, step) = (self.number(bay), StepId(shop.node(bay, local).step));
                let (place, bay) = (PlaceId::from_index(place), self.bay_in_place(bay));
                self.see(Event::Drifted { unit, step, place, bay, left: Time(left) });
            }
        }
        if let Some(longest) = longest {
            let counts = &mut self.seen.places[place];
            counts.drifted += 1;
            counts.drifted_left += Time(longest);
        }
        let row = self.bays[bay].unit as usize;
        self.units.rows[row].waits_since = self.clock.now();
    }

    /// A hold that ends at `due` runs on in the next place; its end is looked at when the unit has arrived.
    fn carry_hold(&mut self, (bay, local): (usize, usize), (to, copy): (usize, usize), due: i64) {
        let shop = &self.c.shop;
        let (from, at) = (shop.bay_node0[bay] as usize + local, shop.bay_node0[to] as usize + copy);
        let step = shop.node(bay, local).step;
        self.floor.carry(shop, (bay, local), (to, copy));
        self.pauses.moves_on(from, at, due);
        self.hold_since[at] = std::mem::replace(&mut self.hold_since[from], -1);
        if !self.warmed.is_empty() {
            self.warmed[at] = std::mem::take(&mut self.warmed[from]);
        }
        self.seen.holds[self.c.hold_index[step as usize] as usize].moved += 1;
        if W::WATCHING {
            let (unit, place) = (self.number(bay), PlaceId::from_index(self.place_at(bay)));
            let bay = self.bay_in_place(bay);
            self.see(Event::HoldMoves { unit, step: StepId(step), place, bay });
        }
    }

    /// The unit has arrived: what came along with it goes on; a hold that ended on the way is over now.
    pub(super) fn go_on_with_carried(&mut self, bay: usize) {
        let shop = &self.c.shop;
        for local in 0..usize::from(shop.places[self.place_at(bay)].nodes) {
            if self.floor.is_carried(shop, bay, local) {
                self.floor.came_along(shop, bay, local);
                let due = self.pauses.due_at(shop.bay_node0[bay] as usize + local);
                if let Some(due) = due.filter(|_| shop.node(bay, local).is_hold()) {
                    self.schedule_end(bay, local as u16, due.max(self.clock.now()));
                }
                self.review_step(bay, local as u16);
            }
        }
    }
}
