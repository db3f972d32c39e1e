//! Pausing and going on: running work and holds lose their end and get a new one.
//!
//! Owns the ends: each running step of a bay has one instant at which it is due, and an entry of the
//! queue for any other instant is void. So an end, once scheduled, may be taken back at no cost: the
//! entry stays and is passed over when it comes up. Work keeps its people, room and equipment while
//! it is paused, and what it still takes in net time; a hold is begun again whole. Why something
//! pauses is not known here. Lines in which nothing ever pauses skip all of it.

use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::line::{PlaceId, StepId, TestId};
use crate::schedule::{NodeKind, Shop, Status};
use crate::units::Time;

/// Per bay node unless said otherwise; empty where nothing pauses.
#[derive(Clone, Debug, Default)]
pub(super) struct Pauses {
    /// When it ends; -1 if it does not run.
    due: Vec<i64>,
    /// Paused work: net time that it still takes. Paused holds: their whole length. Else -1.
    left: Vec<i64>,
    /// Whole length of a hold that runs.
    whole: Vec<i64>,
    /// Per bay.
    pub work: Vec<u16>,
    pub holds: Vec<u16>,
    /// Holds on the clock whose turn came while they were barred, or while equipment that is kept from them on was not
    /// free: they begin when that is over, the one that has waited longest first.
    waiting: Vec<(u32, u16)>,
}

impl Pauses {
    pub fn new(shop: &Shop, wanted: bool) -> Pauses {
        if !wanted {
            return Pauses::default();
        }
        Pauses {
            due: vec![-1; shop.bay_nodes],
            left: vec![-1; shop.bay_nodes],
            whole: vec![0; shop.bay_nodes],
            work: vec![0; shop.bays],
            holds: vec![0; shop.bays],
            waiting: Vec::new(),
        }
    }

    /// The step of bay node `at` ends at `due`.
    #[inline]
    pub fn will_end(&mut self, at: usize, due: i64) {
        self.due[at] = due;
    }

    /// Whether the step of bay node `at` ends now; if not, the entry is void.
    #[inline]
    pub fn ends(&mut self, at: usize, now: i64) -> bool {
        let ends = self.due[at] == now;
        if ends {
            self.due[at] = -1;
        }
        ends
    }

    /// The work of bay node `at` is taken off the bay: when it was due, or what it still takes in net time
    /// if it is paused.
    pub fn take_off(&mut self, bay: usize, at: usize) -> Result<i64, i64> {
        let left = std::mem::replace(&mut self.left[at], -1);
        if left >= 0 {
            self.work[bay] -= 1;
            return Err(left);
        }
        Ok(std::mem::replace(&mut self.due[at], -1))
    }

    /// Work that still takes `left` of net time is put down in the bay, and rests.
    pub fn put_on(&mut self, bay: usize, at: usize, left: i64) {
        self.left[at] = left;
        self.work[bay] += 1;
    }

    /// A hold runs on as another node, and ends when it would have.
    pub fn moves_on(&mut self, from: usize, at: usize, due: i64) {
        (self.due[at], self.whole[at]) = (due, self.whole[from]);
    }

    /// When it ends, if it runs and does not pause.
    pub fn due_at(&self, at: usize) -> Option<i64> {
        Some(self.due[at]).filter(|due| *due >= 0)
    }

    #[inline]
    pub fn is_paused(&self, at: usize) -> bool {
        self.left[at] >= 0
    }

    /// Its next hold waits for equipment.
    pub fn has_waiting_hold(&self, bay: usize) -> bool {
        self.waiting.iter().any(|(other, _)| *other as usize == bay)
    }

    pub fn hold_lasts(&mut self, at: usize, length: i64) {
        self.whole[at] = length;
    }

    /// The unit leaves the bay: nothing of it waits there any more.
    #[inline]
    pub fn forget(&mut self, bay: usize) {
        if !self.waiting.is_empty() {
            self.waiting.retain(|(other, _)| *other as usize != bay);
        }
    }

    /// Holds that wait, by bay and node.
    pub fn waiting_holds(&self) -> &[(u32, u16)] {
        &self.waiting
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Whether a step of the bay can neither start nor go on.
    pub(super) fn is_barred(&self, bay: usize, local: u16) -> bool {
        let shop = &self.c.shop;
        let kept = self.floor.bays[bay].kept;
        self.floor.halts.bars(shop.bay_place[bay] as usize, shop.node(bay, local as usize), kept)
    }

    /// A hold on the clock from which equipment is kept: none is free, or those who have waited longer choose first.
    pub(super) fn waits_for_pieces(&self, bay: usize, local: u16) -> bool {
        let node = self.c.shop.node(bay, local as usize);
        node.takes_equipment()
            && (self.floor.came_free && !self.pauses.waiting.is_empty()
                || !self.floor.equipment_is_free(&self.c.shop, bay, node))
    }

    /// An attended hold waits for its turn like a task: for people to be there, for a stop to end, for equipment.
    pub(super) fn hold_is_listed(&self, bay: usize, local: u16) -> bool {
        let takes = self.c.shop.node(bay, local as usize).takes_equipment();
        takes || !self.clock_in(bay).attended() || self.is_barred(bay, local)
    }

    /// Holds that wait for equipment take what has come free, at any time, before all tasks.
    #[inline]
    pub(super) fn holds_take_pieces(&mut self) {
        if std::mem::take(&mut self.floor.came_free) && !self.pauses.waiting.is_empty() {
            self.begin_waiting_holds();
        }
    }

    /// A hold on the clock is barred, or waits for equipment: it begins when it no longer does.
    pub(super) fn hold_waits(&mut self, bay: usize, local: u16) {
        let entry = (bay as u32, local);
        self.began_to_wait = true;
        if !self.pauses.waiting.contains(&entry) {
            self.pauses.waiting.push(entry);
        }
    }

    /// What runs in the bay pauses or goes on, as it can.
    pub(super) fn review(&mut self, bay: usize) {
        let shop = &self.c.shop;
        for local in 0..shop.places[shop.bay_place[bay] as usize].nodes {
            self.review_step(bay, local);
        }
        self.book(bay);
    }

    /// Pauses a step that runs and is barred, or that nobody goes on with; lets it go on when neither
    /// is so any more.
    pub(super) fn review_step(&mut self, bay: usize, local: u16) {
        let shop = &self.c.shop;
        let at = shop.bay_node0[bay] as usize + local as usize;
        let (runs, paused) = (self.pauses.due[at] >= 0, self.pauses.is_paused(at));
        // What moves with its unit is looked at when it has arrived.
        let on_its_way = self.bays[bay].moving && shop.node(bay, local as usize).is_hold();
        if !runs && !paused || on_its_way {
            return;
        }
        let rests = self.bays[bay].moving
            || self.is_barred(bay, local)
            || self.floor.is_unmanned(shop, bay, local as usize);
        if runs && rests {
            self.pause(bay, local);
        } else if paused && !rests {
            self.go_on(bay, local);
        }
    }

    /// How many pieces of work pause in the bay only because nobody goes on with them.
    pub(super) fn unmanned(&self, bay: usize) -> u16 {
        let shop = &self.c.shop;
        if self.c.roster.is_none() || self.pauses.work[bay] == 0 {
            return 0;
        }
        let nodes = 0..shop.places[shop.bay_place[bay] as usize].nodes;
        let waits = |k: &u16| self.floor.is_unmanned(shop, bay, *k as usize) && !self.is_barred(bay, *k);
        nodes.filter(waits).count() as u16
    }

    /// Holds whose turn came meanwhile begin, where nothing bars them any more.
    pub(super) fn begin_waiting_holds(&mut self) {
        if self.pauses.waiting.is_empty() {
            return;
        }
        let waiting = std::mem::take(&mut self.pauses.waiting);
        for (bay, local) in waiting {
            let at = self.c.shop.bay_node0[bay as usize] as usize + local as usize;
            // Undone meanwhile, it comes up again by itself.
            if self.floor.status[at] == Status::Ready {
                let mut fresh = vec![local];
                self.dispatch(bay as usize, &mut fresh);
            }
        }
    }

    fn pause(&mut self, bay: usize, local: u16) {
        let shop = &self.c.shop;
        let at = shop.bay_node0[bay] as usize + local as usize;
        let due = std::mem::replace(&mut self.pauses.due[at], -1);
        let node = shop.node(bay, local as usize);
        match node.kind {
            NodeKind::Hold { .. } => {
                self.pauses.left[at] = self.pauses.whole[at];
                self.pauses.holds[bay] += 1;
                self.hold_since[at] = -1;
            }
            NodeKind::Work | NodeKind::Fix { .. } => {
                self.pauses.left[at] = self.left_until(bay, local as usize, due);
                self.pauses.work[bay] += 1;
                let people = self.floor.people[at];
                self.overrun_ends(bay, local, people);
                if people != 0 || self.walks.is_on(at) {
                    self.at_task(bay, at, people, -1);
                }
                if node.brought {
                    self.works_elsewhere(bay, -1);
                }
            }
            NodeKind::Verdict { .. } => {}
        }
        self.show_pause(bay, local, None);
    }

    fn go_on(&mut self, bay: usize, local: u16) {
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        let left = std::mem::replace(&mut self.pauses.left[at], -1);
        let node = self.c.shop.node(bay, local as usize);
        let ends = match node.kind {
            NodeKind::Hold { attended } => {
                self.pauses.holds[bay] -= 1;
                self.hold_since[at] = self.clock.now();
                self.seen.holds[self.c.hold_index[node.step as usize] as usize].restarts += 1;
                self.end_of_hold(bay, local, attended, left)
            }
            NodeKind::Work | NodeKind::Fix { .. } | NodeKind::Verdict { .. } => {
                self.pauses.work[bay] -= 1;
                if node.brought {
                    self.works_elsewhere(bay, 1);
                }
                let people = self.floor.people[at];
                self.overrun_begins(bay, local);
                if people != 0 || self.walks.is_on(at) {
                    self.at_task(bay, at, people, 1);
                }
                self.end_of_task(bay, local, left)
            }
        };
        self.schedule_end(bay, local, ends);
        self.show_pause(bay, local, Some(ends));
    }

    /// `ends`: it goes on and ends then; `None`: it pauses.
    fn show_pause(&mut self, bay: usize, local: u16, ends: Option<i64>) {
        if !W::WATCHING {
            return;
        }
        let (unit, place) = (self.number(bay), PlaceId(self.c.shop.bay_place[bay]));
        let node = self.c.shop.node(bay, local as usize);
        let (step, test) = match node.kind {
            NodeKind::Fix { test, .. } => (None, Some(TestId(test))),
            NodeKind::Work | NodeKind::Hold { .. } | NodeKind::Verdict { .. } => {
                (Some(StepId(node.step)), None)
            }
        };
        let bay = self.bay_in_place(bay);
        self.see(match ends {
            None => Event::Paused { unit, step, test, place, bay },
            Some(ends) => Event::WentOn { unit, step, test, place, bay, ends: Time(ends) },
        });
    }
}
