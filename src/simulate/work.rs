//! Steps at a bay: arrival of a unit, starts and ends of tasks and holds.

use super::hours::Nets;
use super::queue::{Class, Entry};
use super::run::{Fate, Run};
use super::watcher::{Event, Watcher};
use super::windows::has_passed;
use crate::line::{PlaceId, StepId, TestId};
use crate::schedule::{BayWork, Gate, NodeKind};
use crate::units::Time;

impl<W: Watcher> Run<'_, W> {
    /// What is ready now starts, or joins the list of its crew.
    pub(super) fn dispatch(&mut self, bay: usize, fresh: &mut Vec<u16>) {
        while let Some(local) = fresh.pop() {
            if self.bays[bay].fate != Fate::Stays {
                continue;
            }
            let node = self.c.shop.node(bay, local as usize);
            match node.kind {
                NodeKind::Verdict { test } => self.verdict(bay, local, test, fresh),
                NodeKind::Hold { attended } => {
                    if node.gated && self.is_missed_at_start(bay, local) {
                        self.count_missed_at_start(bay, local);
                        self.floor.put_back(&self.c.shop, bay, local);
                        self.undo_window(bay, local, false, fresh);
                    } else if !attended && (self.is_barred(bay, local) || self.waits_for_pieces(bay, local)) {
                        self.hold_waits(bay, local);
                    } else if attended && self.hold_is_listed(bay, local) {
                        let class = self.rank_class(bay, local);
                        self.floor.queue(&self.c.shop, bay, local, class);
                    } else {
                        self.floor.start_free(&self.c.shop, bay, local as usize);
                        self.start_hold(bay, local, attended);
                    }
                }
                NodeKind::Work | NodeKind::Fix { .. } => {
                    let barred = self.is_barred(bay, local);
                    if node.free_start && self.clock_in(bay).attended() && !barred {
                        self.floor.start_free(&self.c.shop, bay, local as usize);
                        self.work_starts(bay, local);
                    } else {
                        let class = self.rank_class(bay, local);
                        self.look_at_parts(bay, local);
                        self.floor.queue(&self.c.shop, bay, local, class);
                    }
                }
            }
        }
    }

    fn rank_class(&self, bay: usize, local: u16) -> u8 {
        let node = self.c.shop.node(bay, local as usize);
        let row = self.bays[bay].unit;
        let closes = node.gated
            && node
                .judges_at_start
                .iter()
                .chain(&node.judges_at_end)
                .any(|w| self.units.opened(row, *w) >= 0);
        match (closes, node.brought, self.floor.bays[bay].returning) {
            (true, _, _) => 0,
            (false, true, _) => 1,
            (false, false, true) => 2,
            (false, false, false) => 3,
        }
    }

    /// The floor knows already that it runs.
    fn start_hold(&mut self, bay: usize, local: u16, attended: bool) {
        let (length, visit) = self.length(bay, local);
        let ends = self.end_of_hold(bay, local, attended, length);
        self.step_starts(bay, local);
        self.hold_since[self.c.shop.bay_node0[bay] as usize + local as usize] = self.clock.now();
        self.schedule_end(bay, local, ends);
        if self.c.has_stops {
            self.pauses.hold_lasts(self.c.shop.bay_node0[bay] as usize + local as usize, length);
        }
        if W::WATCHING {
            self.show_start(bay, local, visit, length, ends, 0);
        }
        self.book(bay);
    }

    #[inline]
    pub(super) fn schedule_end(&mut self, bay: usize, local: u16, ends: i64) {
        if self.c.takes_back {
            self.pauses.will_end(self.c.shop.bay_node0[bay] as usize + local as usize, ends);
        }
        self.note_change(bay);
        let place = self.c.shop.bay_place[bay] as usize;
        let entry = Entry::new(ends, Class::End, self.c.rank_of[place], self.bay_in_place(bay), local);
        self.queue.push(entry);
    }

    /// A task or fix that has what it needs starts.
    #[inline]
    pub(super) fn work_starts(&mut self, bay: usize, local: u16) {
        let (length, visit) = self.length(bay, local);
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        // Whoever takes equipment that stands elsewhere fetches it first.
        let length = length + self.floor.take_way(at);
        let ends = self.end_of_task(bay, local, length);
        let people = self.floor.people[at];
        self.overrun_begins(bay, local);
        if people != 0 {
            let gang = self.floor.gang_of(&self.c.shop, bay, local as usize);
            self.people_start(gang, people);
            self.count_help(gang, people);
        }
        let node = self.c.shop.node(bay, local as usize);
        if node.brought {
            self.works_elsewhere(bay, 1);
        }
        if node.early {
            self.early_starts(bay, local);
        }
        self.step_starts(bay, local);
        self.schedule_end(bay, local, ends);
        if W::WATCHING {
            self.show_start(bay, local, visit, length, ends, people);
        }
        self.book(bay);
    }

    /// Audits the holds it follows and opens windows.
    #[inline]
    fn step_starts(&mut self, bay: usize, local: u16) {
        let c = self.c;
        let node = c.shop.node(bay, local as usize);
        if !node.after_holds.is_empty() {
            for hold in &node.after_holds {
                self.audit_hold(bay, *hold);
            }
        }
        if node.gated {
            let row = self.bays[bay].unit;
            for w in &node.judges_at_start {
                if self.units.opened(row, *w) >= 0 {
                    self.seen.windows[*w as usize].judged += 1;
                    self.units.set_opened(row, *w, -1);
                    self.units.rows[row as usize].pending = u16::MAX;
                }
            }
            for w in &node.opens_at_start {
                self.open_window(bay, *w);
            }
        }
    }

    /// A hold is over for good: what follows starts, or the unit moves.
    pub(super) fn audit_hold(&mut self, bay: usize, local: u16) {
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        let since = std::mem::replace(&mut self.hold_since[at], -1);
        if since >= 0 {
            let step = self.c.shop.node(bay, local as usize).step;
            let actual = Time(self.clock.now() - since);
            let hold = &mut self.seen.holds[self.c.hold_index[step as usize] as usize];
            hold.count += 1;
            hold.shortest = hold.shortest.min(actual);
        }
    }

    /// A node's timer has run out.
    #[inline]
    pub(super) fn node_ends(&mut self, bay: usize, local: u16) {
        if self.c.solo[self.c.shop.bay_place[bay] as usize] {
            self.solo_ends(bay);
            return;
        }
        if self.c.takes_back {
            let at = self.c.shop.bay_node0[bay] as usize + local as usize;
            if !self.pauses.ends(at, self.clock.now()) {
                return;
            }
        }
        if self.walks.is_on(self.c.shop.bay_node0[bay] as usize + local as usize) {
            return self.walk_ends(bay, local);
        }
        match self.c.shop.node(bay, local as usize).kind {
            NodeKind::Hold { .. } => self.hold_ends(bay, local),
            NodeKind::Work | NodeKind::Fix { .. } => self.work_ends(bay, local),
            NodeKind::Verdict { .. } => {}
        }
    }

    #[inline]
    pub(super) fn work_ends(&mut self, bay: usize, local: u16) {
        let gang = self.floor.gang_of(&self.c.shop, bay, local as usize);
        let people = self.floor.end_work(&self.c.shop, bay, local as usize, self.clock.now());
        self.overrun_ends(bay, local, people);
        if people != 0 {
            self.people_end(gang, people);
            self.visitors_end(gang, people);
        }
        self.node_done(bay, local);
    }

    pub(super) fn hold_ends(&mut self, bay: usize, local: u16) {
        self.floor.end_hold(&self.c.shop, bay, local as usize);
        self.count_cold(bay, local);
        self.node_done(bay, local);
    }

    #[inline]
    fn node_done(&mut self, bay: usize, local: u16) {
        let shop = &self.c.shop;
        let node = shop.node(bay, local as usize);
        if node.early {
            return self.early_ends(bay, local);
        }
        let row = self.bays[bay].unit;
        if W::WATCHING {
            let (unit, place, at) = (self.number(bay), PlaceId(shop.bay_place[bay]), self.bay_in_place(bay));
            match node.kind {
                NodeKind::Fix { test, .. } => {
                    self.see(Event::FixEnded { unit, test: TestId(test), place, bay: at })
                }
                NodeKind::Work | NodeKind::Hold { .. } | NodeKind::Verdict { .. } => {
                    self.see(Event::StepEnded { unit, step: StepId(node.step), place, bay: at })
                }
            }
        }
        self.book(bay);
        self.note_change(bay);
        if !self.c.travel.is_empty() {
            self.look_what_travels(bay, local);
        }
        if self.bays[bay].fate != Fate::Stays {
            // It failed while this ran: once nothing runs any more it goes.
            self.floor.ends_keeps(shop, bay, local as usize);
            if node.step != u32::MAX {
                self.units.set_done(row, node.step, true);
                if node.gated && self.judge_at_end(bay, local) {
                    self.mark_undone(bay, local, true);
                }
            }
            self.look_if_it_may_go(bay);
            return;
        }
        let mut fresh = std::mem::take(&mut self.fresh);
        fresh.clear();
        if let NodeKind::Fix { test, .. } = node.kind {
            self.floor.done(shop, bay, local, &mut fresh);
            self.fixed(bay, test as usize, &mut fresh);
        } else {
            if self.c.has_redo {
                self.units.set_done(row, node.step, true);
            }
            if node.gated && self.judge_at_end(bay, local) {
                self.floor.finish_quietly(bay, shop.bay_node0[bay] as usize + local as usize);
                self.undo_window(bay, local, true, &mut fresh);
            } else {
                self.floor.done(shop, bay, local, &mut fresh);
            }
        }
        self.dispatch(bay, &mut fresh);
        self.fresh = fresh;
        self.look_if_done(bay);
    }

    /// The crew walks its list and starts what can start.
    pub(super) fn start_gang(&mut self, gang: usize) {
        if self.floor.gangs[gang].home {
            self.floor.gangs[gang].dirty = false;
            self.floor.wake_passed(gang);
            return;
        }
        self.take_over(gang);
        while self.walk_list(gang) {}
    }

    /// Walks the list; true if its rest must be walked once more.
    fn walk_list(&mut self, gang: usize) -> bool {
        let c = self.c;
        let shop = &c.shop;
        for at in 0..self.floor.gangs[gang].ready.len() {
            let bay = self.floor.gangs[gang].ready[at].bay as usize;
            self.book(bay);
        }
        let now = self.clock.now();
        let Run { floor, walked, units, bays, feeders, clock, own, replication, .. } = self;
        let nets = Nets { line: clock, own };
        // By the hours of the place: whoever may go first can have others than the gang that asks.
        let left = |bay: usize| nets.clock_of(c.hours.at(shop.bay_place[bay] as usize)).stretch_left();
        let gate = |work: &BayWork, bay: usize, local: usize| {
            let node = shop.node(bay, local);
            let row = bays[bay].unit;
            let is_missed = |w: &u16| has_passed(c.line, units, now, row, *w);
            let at = shop.places[shop.bay_place[bay] as usize].node0 as usize + local;
            if node.judges_at_start.iter().any(is_missed) {
                Gate::Missed
            } else if c.fits[at].as_ref().is_some_and(|needed| {
                let walk = shop.places[shop.bay_place[bay] as usize].walk;
                needed[work.model as usize] + walk > left(bay)
            }) {
                Gate::NotNow
            } else if c.finds_amiss(units, (row, node.step), (feeders, nets), *replication) {
                Gate::Amiss
            } else {
                Gate::Go
            }
        };
        walked.tells = W::WATCHING;
        let breaks_off = floor.walk(shop, gang, gate, walked);
        self.note_parts();
        for at in 0..self.walked.started.len() {
            let (bay, local) = self.walked.started[at];
            let bay = bay as usize;
            if shop.node(bay, local as usize).is_hold() {
                // An attended hold that waited for attended time.
                self.floor.started_hold(bay);
                self.start_hold(bay, local, true);
            } else {
                self.set_out(bay, local);
            }
        }
        if !self.walked.missed.is_empty() {
            self.undo_what_is_missed();
        }
        if W::WATCHING {
            let lacking = std::mem::take(&mut self.walked.lacking);
            self.show_lacking(&lacking);
        }
        self.walked.clear();
        breaks_off
    }

    /// Tasks that must not start any more, for their window is over.
    fn undo_what_is_missed(&mut self) {
        for (bay, local) in std::mem::take(&mut self.walked.missed) {
            let bay = bay as usize;
            self.count_missed_at_start(bay, local);
            self.floor.put_back(&self.c.shop, bay, local);
            let mut fresh = Vec::new();
            self.undo_window(bay, local, false, &mut fresh);
            self.dispatch(bay, &mut fresh);
        }
    }
}
