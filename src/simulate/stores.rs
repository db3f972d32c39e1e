//! Stores of parts: lots fall due, come to the door and go in; who waits for parts is served in turn.
//!
//! What does not fit waits outside and goes in as places become free.

use super::feeders::{ARRIVES, TRUCK};
use super::queue::{Class, Entry};
use super::run::Run;
use super::timer::Timer;
use super::watcher::{Event, Watcher};
use super::yard::{LORRY, nth_in_week};
use crate::line::{Lots, LotsWhen, Origin, PartId, StepId};
use crate::units::Time;

/// A store in a run.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct StoreState {
    /// Pieces at the door that did not fit.
    pub outside: u64,
    /// Lots that have fallen due, or have been ordered.
    due: u64,
    /// Pieces that are ordered and have not come.
    ordered: u64,
    /// When the last one did, on the clock that its gaps run on.
    last_due: i64,
    /// Level as last booked, and since when.
    pub seen: u32,
    since: i64,
}

/// A store and its parts.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PartCounts {
    /// Integral over clock time of the pieces in the store (piece-microseconds).
    pub level: i128,
    /// Clock time during which it was empty, and full.
    pub empty: Time,
    pub full: Time,
    /// Pieces that came into it, and that tasks took.
    pub came: u64,
    pub used: u64,
    /// Starts of tasks that took from it, and how often a task began to wait for it.
    pub starts: u64,
    pub waits: u64,
    /// Lots that came to the door, those of them that were late, and that did not fit at once.
    pub lots: u64,
    pub late_lots: u64,
    pub lots_kept_out: u64,
    /// Integral over clock time of the pieces that are ordered and have not come, lots ordered, and how often the store
    /// came to be empty at the end of an instant.
    pub on_order: i128,
    pub orders: u64,
    pub ran_out: u64,
    /// Starts that found it short, and clock time until what was missing arrived.
    pub short: u64,
    pub missing: Time,
    /// Starts that found it for another model, units that others overtook, and net time of the re-kits.
    pub wrong: u64,
    pub out_of_turn: u64,
    pub rekitting: Time,
}

/// What an entry says of a lot.
const DUE: u16 = 0;
pub(super) const LATE: u16 = 1;
/// One that was ordered comes in time.
const ORDERED: u16 = 5;

impl<W: Watcher> Run<'_, W> {
    pub(super) fn set_up_stores(&mut self) {
        for part in 0..self.stores.len() {
            let stated = &self.c.line.parts[part];
            let kinds = self.c.shop.kinds_of(part);
            self.floor.stock.pieces[kinds].fill(match stated.origin {
                Origin::Bought(_) => stated.at_start,
                // What is there at the start is of some models.
                Origin::Made => 0,
            });
            self.stores[part].seen = stated.at_start;
            self.schedule_lot(part);
        }
        self.set_up_feeders();
    }

    /// Pieces in a store.
    #[inline]
    pub(super) fn level(&self, part: usize) -> u32 {
        self.c.shop.kinds_of(part).map(|kind| self.floor.stock.pieces[kind]).sum()
    }

    fn schedule_lot(&mut self, part: usize) {
        let store = &mut self.stores[part];
        let Some(lots) = self.c.line.parts[part].origin.lots() else { return };
        let at = match &lots.when {
            LotsWhen::Every { on_the_clock, .. } => {
                let Some(gap) = &self.c.supplies[part].gap else { return };
                store.last_due += gap.length(self.replication, store.due, 0);
                match on_the_clock {
                    true => store.last_due.max(self.clock.now()),
                    false => self.clock.clock_of_net(store.last_due),
                }
            }
            // It is ordered when its level says so.
            LotsWhen::AtLevel { .. } => return,
            LotsWhen::Days(dues) => {
                nth_in_week(dues, store.due, self.c.line.calendar.as_ref()).unwrap_or(i64::MAX)
            }
        };
        if at < i64::MAX {
            self.queue.push(Entry::new(at, Class::Delivery, part as u16, 0, DUE));
        }
    }

    pub(super) fn delivery_falls(&mut self, entry: Entry) {
        if entry.step() == LORRY {
            self.lorry_comes();
            return;
        }
        if entry.step() == TRUCK {
            return self.truck_goes(entry.rank() as usize);
        }
        if entry.step() == ARRIVES {
            return self.truck_arrives(entry.rank() as usize);
        }
        let part = entry.rank() as usize;
        if entry.step() == LATE || entry.step() == ORDERED {
            self.lot_comes(part, entry.step() == LATE);
        } else {
            let late = self.lateness(part);
            self.stores[part].due += 1;
            self.schedule_lot(part);
            match late {
                None => self.lot_comes(part, false),
                Some(late) => {
                    let at = self.clock.now() + late;
                    self.queue.push(Entry::new(at, Class::Delivery, part as u16, 0, LATE));
                }
            }
        }
    }

    /// By how much clock time the lot that falls due comes later, if it is one of the late ones.
    fn lateness(&self, part: usize) -> Option<i64> {
        let late = self.c.line.parts[part].origin.lots()?.late.as_ref()?;
        let (plan, lot) = (&self.c.supplies[part], self.stores[part].due);
        let is_late = plan.lates.of_replication(self.replication).uniform(lot, 0) < late.share;
        let by = plan.late.as_ref().filter(|_| is_late)?;
        Some(by.length(self.replication, lot, 1))
    }

    fn lot_comes(&mut self, part: usize, late: bool) {
        let Some(Lots { size: pieces, .. }) = self.c.line.parts[part].origin.lots() else { return };
        let pieces = *pieces;
        self.see(Event::LotCame { part: PartId::from_index(part), pieces });
        if self.stores[part].ordered > 0 {
            self.order_changes(part, -i64::from(pieces));
        }
        self.stores[part].outside += u64::from(pieces);
        self.unload(part);
        let kept_out = self.stores[part].outside > 0;
        let counts = &mut self.seen.parts[part];
        counts.lots += 1;
        counts.late_lots += u64::from(late);
        counts.lots_kept_out += u64::from(kept_out);
    }

    /// The end of an instant: lots are ordered of whatever is down to its level.
    pub(super) fn order_lots(&mut self) {
        let c = self.c;
        for part in c.ordered_lots.iter().copied() {
            let Some(lots) = c.line.parts[part].origin.lots() else { continue };
            let LotsWhen::AtLevel { level, .. } = lots.when else { continue };
            let Some(lead) = &c.supplies[part].gap else { continue };
            while self.position(part) <= i64::from(level) {
                self.order_lot(part, lots.size, lead);
            }
        }
    }

    /// What is there, outside and on its way, less what is waited for.
    fn position(&self, part: usize) -> i64 {
        let store = &self.stores[part];
        let kinds = self.c.shop.kinds_of(part);
        let waited_for: i64 = kinds
            .flat_map(|kind| &self.floor.stock.queues[kind])
            .map(|waiter| i64::from(waiter.pieces))
            .sum();
        i64::from(self.level(part)) + (store.outside + store.ordered) as i64 - waited_for
    }

    fn order_lot(&mut self, part: usize, size: u32, lead: &Timer) {
        let on_its_way = lead.length(self.replication, self.stores[part].due, 0);
        let late = self.lateness(part);
        self.stores[part].due += 1;
        self.order_changes(part, i64::from(size));
        self.seen.parts[part].orders += 1;
        let arrives = self.clock.now() + on_its_way + late.unwrap_or(0);
        let step = if late.is_some() { LATE } else { ORDERED };
        self.queue.push(Entry::new(arrives, Class::Delivery, part as u16, 0, step));
        self.see(Event::LotOrdered { part: PartId::from_index(part), arrives: Time(arrives) });
    }

    /// Pieces are ordered, or come: they enter the account with minus now and leave it with plus now.
    fn order_changes(&mut self, part: usize, pieces: i64) {
        let ordered = &mut self.stores[part].ordered;
        *ordered = ordered.saturating_add_signed(pieces);
        self.seen.parts[part].on_order -= i128::from(pieces) * i128::from(self.clock.now());
    }

    /// The counted window begins (`-1`) or ends (`1`): what is on order now.
    fn settle_orders(&mut self, sign: i128) {
        let now = i128::from(self.clock.now());
        for (store, counts) in self.stores.iter().zip(&mut self.seen.parts) {
            counts.on_order += sign * i128::from(store.ordered) * now;
        }
    }

    /// As many of the pieces outside go in as there is room for.
    fn unload(&mut self, part: usize) -> bool {
        let room = self.c.line.parts[part].places - self.level(part);
        let pieces = u64::from(room).min(self.stores[part].outside) as u32;
        if pieces == 0 {
            return false;
        }
        self.stores[part].outside -= u64::from(pieces);
        self.standstill.note(true);
        self.floor.stock.add(self.c.shop.kind0[part] as usize, pieces);
        self.seen.parts[part].came += u64::from(pieces);
        self.see(Event::Stored { part: PartId::from_index(part), pieces });
        true
    }

    /// Tasks have taken parts: what waits outside goes in. True if that may let another task start.
    pub(super) fn unload_what_waits(&mut self) -> bool {
        if !std::mem::take(&mut self.floor.stock.taken) {
            return !self.floor.stock.to_serve.is_empty();
        }
        for part in 0..self.stores.len() {
            if self.stores[part].outside > 0 {
                self.unload(part);
            }
        }
        self.call_trucks();
        !self.floor.stock.to_serve.is_empty()
    }

    /// The crews of those who wait for parts that came look at their work, the longest wait first.
    pub(super) fn serve_who_waits(&mut self) {
        let mut gangs = std::mem::take(&mut self.waiting_gangs);
        gangs.clear();
        let stock = &mut self.floor.stock;
        stock.to_serve.sort_unstable();
        let to_serve = std::mem::take(&mut stock.to_serve);
        for kind in &to_serve {
            for waiter in &self.floor.stock.queues[*kind as usize] {
                let gang = self.c.shop.bay_gang[waiter.bay as usize];
                if !self.gang_is_there(usize::from(gang)) {
                    if !self.own.to_serve.contains(kind) {
                        self.own.to_serve.push(*kind);
                    }
                } else if !gangs.contains(&gang) {
                    gangs.push(gang);
                }
            }
        }
        self.floor.stock.to_serve = to_serve;
        self.floor.stock.to_serve.clear();
        // Who has its parts now and still does not start waits for somebody else.
        self.began_to_wait = true;
        for gang in &gangs {
            self.start_gang(*gang as usize);
        }
        self.waiting_gangs = gangs;
    }

    /// Counts and shows who joined or left a queue.
    pub(super) fn note_who_waits(&mut self) {
        for at in 0..self.floor.stock.notes.len() {
            let note = self.floor.stock.notes[at];
            let part = self.c.shop.part_of[note.kind as usize];
            self.seen.parts[part as usize].waits += u64::from(note.joined);
            if W::WATCHING {
                let bay = note.bay as usize;
                let step = StepId(self.c.shop.node(bay, note.node as usize).step);
                let (unit, part) = (self.number(bay), PartId(part));
                self.see(Event::WaitsForPart { unit, step, part, joined: note.joined });
            }
        }
        self.floor.stock.notes.clear();
    }

    /// A task that has taken its parts starts.
    #[inline]
    pub(super) fn count_use(&mut self, bay: usize, local: u16) {
        if self.floor.watches_parts() && !self.c.shop.node(bay, local as usize).parts.is_empty() {
            if self.uses_what_lies_there(bay, local) {
                return;
            }
            self.take_turns(self.bays[bay].unit, self.c.shop.node(bay, local as usize).step);
        }
        self.count_taken(bay, local);
    }

    /// A task takes its parts.
    #[inline]
    pub(super) fn count_taken(&mut self, bay: usize, local: u16) {
        for (part, pieces) in &self.c.shop.node(bay, local as usize).parts {
            let counts = &mut self.seen.parts[*part as usize];
            counts.starts += 1;
            counts.used += u64::from(*pieces);
        }
    }

    /// Somebody waits for parts whose store has room for more of them.
    pub(super) fn lots_may_help(&self) -> bool {
        if self.lorries_may_help() || self.trucks_may_help() || self.parts_are_on_the_way() {
            return true;
        }
        let waited_for =
            |part: usize| self.c.shop.kinds_of(part).any(|kind| !self.floor.stock.queues[kind].is_empty());
        let mut parts = self.c.line.parts.iter().enumerate();
        parts.any(|(p, part)| part.origin.lots().is_some() && waited_for(p) && self.level(p) < part.places)
    }

    pub(super) fn book_stores(&mut self) {
        if !std::mem::take(&mut self.floor.stock.moved) {
            return;
        }
        for part in 0..self.stores.len() {
            let level = self.level(part);
            let StoreState { seen, since, .. } = self.stores[part];
            if seen != level {
                // A lot that comes at once finds it empty for no time.
                let no_time = seen == 0 && since == self.clock.now();
                self.close_level(part);
                let counts = &mut self.seen.parts[part];
                counts.ran_out = (counts.ran_out + u64::from(level == 0)).saturating_sub(no_time.into());
                self.stores[part].seen = level;
            }
        }
    }

    /// Of stores, carriers and the yard: the window counted ends.
    pub(super) fn close_levels(&mut self) {
        (0..self.stores.len()).for_each(|part| self.close_level(part));
        self.settle_orders(1);
        self.close_all_carriers();
        self.close_yard();
    }

    /// And it begins.
    pub(super) fn levels_from_now(&mut self) {
        let now = self.clock.now();
        self.stores.iter_mut().for_each(|store| store.since = now);
        self.settle_orders(-1);
        self.carriers_from_now();
        self.yard_from_now();
    }

    /// Books the level that has held up to now.
    fn close_level(&mut self, part: usize) {
        let now = self.clock.now();
        let (store, counts): (_, &mut PartCounts) = (&mut self.stores[part], &mut self.seen.parts[part]);
        let held = now - store.since;
        store.since = now;
        counts.level += i128::from(held) * i128::from(store.seen);
        if store.seen == 0 {
            counts.empty += Time(held);
        }
        if store.seen == self.c.line.parts[part].places {
            counts.full += Time(held);
        }
    }
}
