//! A unit has come into its bay: which of the work there it still needs.

use super::run::Run;
use super::units::{Row, Way};
use super::watcher::Watcher;
use crate::schedule::BayWork;

impl<W: Watcher> Run<'_, W> {
    /// The unit in the bay has arrived: its work may begin.
    #[inline]
    pub(super) fn arrive(&mut self, bay: usize) {
        if self.c.solo[self.c.shop.bay_place[bay] as usize] {
            self.solo_starts(bay);
        } else {
            self.arrive_with(bay, false);
        }
    }

    /// `holds_done`: at a full start the holds of the place count as done.
    pub(super) fn arrive_with(&mut self, bay: usize, holds_done: bool) {
        let shop = &self.c.shop;
        let place = shop.bay_place[bay] as usize;
        let row = self.bays[bay].unit;
        let unit = self.units.rows[row as usize];
        self.bays[bay].moving = false;
        self.entries += 1;
        let returning = unit.way != Way::Series;
        let first_return = returning && self.c.line.places[place].returns_first;
        let work = BayWork::new(unit.model, self.entries, first_return, unit.kept);
        let mut fresh = std::mem::take(&mut self.fresh);
        fresh.clear();
        let held = holds_done && !shop.places[place].holds.is_empty();
        if shop.places[place].plain && !self.c.has_redo && !held {
            self.floor.enter_plain(shop, bay, work, &mut fresh);
        } else if holds_done || !self.comes_as_new(place, row) {
            self.enter_as_it_is(bay, work, holds_done, &mut fresh);
        } else if !self.floor.enter_alike(shop, bay, (work, unit.options), &mut fresh) {
            self.enter_as_it_is(bay, work, holds_done, &mut fresh);
            let kind = (unit.model, unit.options);
            self.floor.keep_entered(shop, bay, kind, &fresh);
        }
        if self.c.has_drift {
            self.early_has_come(bay);
            self.go_on_with_carried(bay);
        }
        self.dispatch(bay, &mut fresh);
        self.fresh = fresh;
        self.look_if_done(bay);
        self.book(bay);
    }

    /// Nothing of the place was ever done to the unit, and nothing comes with it.
    fn comes_as_new(&self, place: usize, row: Row) -> bool {
        let unit = &self.units.rows[row as usize];
        unit.way == Way::Series
            && unit.first_pass
            && unit.pending == u16::MAX
            && !self.c.shop.places[place].mends
            && !self.c.has_drift
            && self.c.travel.is_empty()
    }

    /// Looks at every step of the place: whether it applies, and whether it is done.
    fn enter_as_it_is(&mut self, bay: usize, work: BayWork, holds_done: bool, fresh: &mut Vec<u16>) {
        let shop = &self.c.shop;
        let place = shop.bay_place[bay] as usize;
        let row = self.bays[bay].unit;
        let unit = self.units.rows[row as usize];
        let nodes = shop.nodes_of(place);
        if !self.c.travel.is_empty() {
            self.comes_home(row, place);
        }
        let fix = if unit.way != Way::Series { self.begin_visit(bay, place) } else { None };
        if unit.escaped != 0 && shop.places[place].mends {
            self.find_what_was_let_through(row, place);
        }
        let (units, found) = (&self.units, self.units.rows[row as usize].found);
        let tests = &self.c.tests;
        let held = |k: usize| holds_done && nodes[k].is_hold();
        let redone = self.copies_due(place, row);
        // A step whose redo is due as a copy is not done in its first form.
        let copied = |k: usize| {
            nodes[k].copy_of_window.is_none()
                && redone.iter().any(|c| nodes[*c as usize].step == nodes[k].step)
        };
        let begun = &self.early;
        let early = |k: usize| begun.is_brought(bay, k);
        // What had begun goes on as what is brought.
        let brought = |k: usize| {
            !nodes[k].brought && nodes[k].travels.is_some_and(|t| units.open(row)[usize::from(t)] != 0)
        };
        let done = |k: usize| {
            held(k) || copied(k) || brought(k) || early(k) || Self::is_settled(units, row, &nodes[k], tests)
        };
        let timer0 = shop.places[place].node0 as usize * shop.models + unit.model as usize;
        let mends_nothing = |k: usize| {
            let timer = &self.c.timers[timer0 + k * shop.models];
            let more = || self.c.found_by_gate_of(found, nodes[k].step);
            nodes[k].mends
                && timer.faults(self.replication, unit.number, more()).is_some_and(|(_, here)| here == 0)
        };
        let applies = |k: usize| nodes[k].is_for(unit.model as usize, unit.options) && !mends_nothing(k);
        self.floor.enter(shop, bay, work, done, applies, fresh);
        self.floor.call_besides(shop, bay, &redone, fresh);
        if let Some(fix) = fix {
            self.floor.call_again(shop, bay, &[fix], fresh);
        }
        if !self.c.travel.is_empty() {
            self.call_what_is_brought(bay, fresh);
        }
    }
}
