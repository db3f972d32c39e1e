//! Crews that begin early: on the unit in the place behind that comes with the next push, from so long before the
//! signal on.
//!
//! What they have begun rests while the unit moves and goes on when it has arrived; what they have ended is done.
//! Costs nothing where nobody begins early.

use super::drift::MAY_DRIFT;
use super::queue::{Class, Entry};
use super::run::{Fate, Run};
use super::units::{NONE, Way};
use super::watcher::{Event, Watcher};
use crate::line::{PlaceId, StepId};
use crate::units::Time;

/// What has become of a task that may be begun early on the unit in a bay.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
enum Begun {
    #[default]
    Not,
    Waits,
    Runs,
    Ended,
}

/// Empty where nobody begins early.
#[derive(Clone, Debug, Default)]
pub(super) struct Early {
    /// Per bay node.
    begun: Vec<Begun>,
    /// Per bay: net time at which something was first begun early on its unit; -1.
    since: Vec<i64>,
    /// Bays and their nodes that are done when the unit on its way there arrives.
    brought: Vec<(u32, u16)>,
}

impl Early {
    /// It came with its unit, done.
    pub fn is_brought(&self, bay: usize, local: usize) -> bool {
        self.brought.contains(&(bay as u32, local as u16))
    }
}

impl<W: Watcher> Run<'_, W> {
    pub(super) fn early_begins(&mut self) {
        if self.c.has_early {
            self.early.begun = vec![Begun::Not; self.c.shop.bay_nodes];
            self.early.since = vec![-1; self.c.shop.bays];
        }
    }

    /// The next signal of a stretch is known: its crews look so long before it.
    pub(super) fn early_after_push(&mut self, s: usize) {
        let stretch = self.c.stretches[s];
        for place in stretch.first + 1..=stretch.last {
            if self.c.line.begins_early(place) {
                let from = self.stretches[s].signal_net - self.c.line.places[place].early.0;
                let at = self.clock.clock_of_net(from);
                let reversed = (self.c.stretches.len() - 1 - s) as u16;
                self.queue.push(Entry::new(at, Class::Signal, reversed, 0, MAY_DRIFT));
            }
        }
    }

    /// Before crews walk their lists: what may be begun early joins them, what may no longer leaves them.
    pub(super) fn look_early(&mut self) {
        if !self.c.has_early {
            return;
        }
        for s in 0..self.stretches.len() {
            let stretch = self.c.stretches[s];
            if stretch.pushed {
                (stretch.first + 1..=stretch.last).for_each(|place| self.look_early_at(s, place));
            }
        }
    }

    fn look_early_at(&mut self, s: usize, place: usize) {
        if !self.c.shop.has_early_at(place - 1) {
            return;
        }
        // The unit comes into the bay that is left next there.
        let gang = usize::from(self.c.shop.bay_gang[self.due_bay(place)]);
        let bay = self.due_bay(place - 1);
        let state = &self.bays[bay];
        let open = !self.going_home
            && self.stretches[s].moving_until <= self.clock.now()
            && self.signal_is_near(s, place)
            && state.unit != NONE
            && state.done
            && !state.moving
            && state.fate == Fate::Stays
            && self.units.rows[state.unit as usize].way == Way::Series;
        let base = self.c.shop.bay_node0[bay] as usize;
        for local in 0..self.c.shop.places[place - 1].nodes {
            let mut begun = self.early.begun[base + usize::from(local)];
            // Who has set out arrives, or turns back at the push.
            if self.walks.is_on(base + usize::from(local)) {
                continue;
            }
            let waits_for = || self.floor.gang_of(&self.c.shop, bay, usize::from(local));
            // It was to come into another bay, and a unit that returned took that one.
            if open && begun == Begun::Waits && waits_for() != gang {
                begun = Begun::Not;
                self.floor.unqueue_early(&self.c.shop, bay, local);
            }
            if open && begun == Begun::Not && self.may_now_begin(bay, usize::from(local)) {
                self.early.begun[base + usize::from(local)] = Begun::Waits;
                self.floor.queue_early(&self.c.shop, gang, bay, local);
            } else if !open && begun == Begun::Waits {
                self.early.begun[base + usize::from(local)] = Begun::Not;
                self.floor.unqueue_early(&self.c.shop, bay, local);
            }
        }
    }

    /// The signal has fallen and the push has not come, or it falls soon enough. After a push at once, the signal of the
    /// next one is not known yet.
    fn signal_is_near(&self, s: usize, place: usize) -> bool {
        let (state, net) = (&self.stretches[s], self.clock.net());
        state.signalled
            || (state.signal_net - self.c.line.places[place].early.0..state.signal_net).contains(&net)
    }

    /// It is for the unit, people do it, and all that it follows has been ended early.
    fn may_now_begin(&self, bay: usize, local: usize) -> bool {
        let (shop, unit) = (&self.c.shop, &self.units.rows[self.bays[bay].unit as usize]);
        let node = shop.node(bay, local);
        let model = usize::from(unit.model);
        node.early
            && node.heads[model] > 0
            && node.is_for(model, unit.options)
            && self.is_free_early(bay, local)
    }

    fn is_free_early(&self, bay: usize, local: usize) -> bool {
        let (shop, unit) = (&self.c.shop, &self.units.rows[self.bays[bay].unit as usize]);
        let place = &shop.places[usize::from(shop.bay_place[bay])];
        let base = shop.bay_node0[bay] as usize;
        shop.predecessors[place.node0 as usize + local].iter().all(|before| {
            let before = usize::from(*before);
            match shop.node(bay, before).is_for(usize::from(unit.model), unit.options) {
                true => self.early.begun[base + before] == Begun::Ended,
                // What is not for the unit passes the wait on.
                false => self.is_free_early(bay, before),
            }
        })
    }

    pub(super) fn early_starts(&mut self, bay: usize, local: u16) {
        self.early.begun[self.c.shop.bay_node0[bay] as usize + usize::from(local)] = Begun::Runs;
        if self.early.since[bay] < 0 {
            self.early.since[bay] = self.clock.net();
        }
    }

    /// It is done before its unit has come to its place.
    pub(super) fn early_ends(&mut self, bay: usize, local: u16) {
        let shop = &self.c.shop;
        let step = shop.node(bay, usize::from(local)).step;
        self.early.begun[shop.bay_node0[bay] as usize + usize::from(local)] = Begun::Ended;
        self.floor.early_is_over(shop, bay, local);
        if self.c.has_redo {
            self.units.set_done(self.bays[bay].unit, step, true);
        }
        if W::WATCHING {
            let (unit, place, at) = (self.number(bay), PlaceId(shop.bay_place[bay]), self.bay_in_place(bay));
            self.see(Event::StepEnded { unit, step: StepId(step), place, bay: at });
        }
        self.book(bay);
    }

    /// The unit is about to be pushed on to the bay `to`: what was begun early goes along.
    pub(super) fn take_early_along(&mut self, bay: usize, to: usize) {
        let place = usize::from(self.c.shop.bay_place[bay]);
        if !self.c.shop.has_early_at(place) {
            return;
        }
        let base = self.c.shop.bay_node0[bay] as usize;
        for local in 0..self.c.shop.places[place].nodes {
            let at = base + usize::from(local);
            let begun = std::mem::take(&mut self.early.begun[at]);
            let step = self.c.shop.node(bay, usize::from(local)).step;
            let own =
                || self.c.shop.nodes_of(place + 1).iter().position(|node| node.step == step && !node.dormant);
            match begun {
                Begun::Not => {}
                Begun::Waits if self.walks.is_on(at) => {
                    self.turn_back(bay, usize::from(local));
                    self.floor.early_is_over(&self.c.shop, bay, local);
                }
                Begun::Waits => self.floor.unqueue_early(&self.c.shop, bay, local),
                Begun::Runs => {
                    if let Some(own) = own() {
                        self.carry_early(bay, local, (to, own));
                    }
                }
                Begun::Ended => self.early.brought.extend(own().map(|own| (to as u32, own as u16))),
            }
        }
        let since = std::mem::replace(&mut self.early.since[bay], -1);
        if since >= 0 {
            let counts = &mut self.seen.places[place + 1];
            counts.early += 1;
            counts.early_by += Time(self.clock.net() - since);
        }
    }

    fn carry_early(&mut self, bay: usize, local: u16, (to, own): (usize, usize)) {
        let shop = &self.c.shop;
        let at = shop.bay_node0[bay] as usize + usize::from(local);
        let (gang, people) = (self.floor.gang_of(shop, bay, usize::from(local)), self.floor.people[at]);
        let left = match self.pauses.take_off(bay, at) {
            Ok(due) => {
                self.people_end(gang, people);
                self.left_until(bay, usize::from(local), due)
            }
            // It rested already.
            Err(left) => left,
        };
        self.floor.carry_over(shop, (bay, usize::from(local)), (to, own));
        self.pauses.put_on(to, shop.bay_node0[to] as usize + own, left);
        if W::WATCHING {
            let (unit, step) = (self.number(bay), StepId(shop.node(bay, usize::from(local)).step));
            let (place, bay) = (PlaceId(shop.bay_place[bay]), self.bay_in_place(bay));
            self.see(Event::Drifted { unit, step, place, bay, left: Time(left) });
        }
    }

    /// The unit stands there: what came done with it has been looked at.
    pub(super) fn early_has_come(&mut self, bay: usize) {
        self.early.brought.retain(|(other, _)| *other as usize != bay);
    }
}
