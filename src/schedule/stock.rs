//! Parts in stores: who may take them, and who waits for them in which order.
//!
//! A task takes all its parts at its start. One that finds too few of a part joins that store's queue
//! and stays in it until it starts. It may take its parts once enough are there for it and enough for each
//! of those ahead of it; so nobody is passed by who lacks parts, and who lacks something else keeps nobody
//! from them. That follows from the queue and the pieces alone: looking again changes nothing.

use super::floor::Floor;
use super::shop::Shop;
use crate::line::{Builds, Feeder, Line};

/// As many as anybody wants: for the schedule of one unit alone.
const UNLIMITED: u32 = u32::MAX;

/// A task in the queue of a store.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Waiter {
    pub bay: u32,
    pub node: u16,
    /// Pieces that it wants.
    pub pieces: u32,
}

/// Something that happened in the queue of a store.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct QueueNote {
    pub kind: u16,
    pub bay: u32,
    pub node: u16,
    /// It joined; else it left.
    pub joined: bool,
}

#[derive(Clone, Debug)]
pub struct Stock {
    /// Pieces of each kind of part (`Shop::kind`).
    pub pieces: Vec<u32>,
    /// Tasks that wait for each kind, the one that waits longest first.
    pub queues: Vec<Vec<Waiter>>,
    /// Kinds whose queue is to be looked at: some came in, or somebody left it.
    pub to_serve: Vec<u16>,
    /// Joining and leaving since the caller last looked.
    pub notes: Vec<QueueNote>,
    /// Pieces have come or gone, and some have been taken, since the caller last looked.
    pub moved: bool,
    pub taken: bool,
}

impl Stock {
    /// Without limit; a run sets what is there.
    pub fn unlimited(parts: usize) -> Stock {
        Stock {
            pieces: vec![UNLIMITED; parts],
            queues: vec![Vec::with_capacity(8); parts],
            to_serve: Vec::with_capacity(parts),
            notes: Vec::with_capacity(8),
            moved: true,
            taken: true,
        }
    }

    /// Parts have come in.
    pub fn add(&mut self, part: usize, pieces: u32) {
        self.pieces[part] += pieces;
        self.moved = true;
        self.serve(part);
    }

    fn serve(&mut self, part: usize) {
        if !self.queues[part].is_empty() && !self.to_serve.contains(&(part as u16)) {
            self.to_serve.push(part as u16);
        }
    }

    /// May it take its pieces, for all that the store says? If not, it joins the queue.
    fn is_there(&mut self, part: usize, waiter: Waiter) -> bool {
        let there = self.would_be_there(part, waiter);
        if !there {
            self.join(part, waiter);
        }
        there
    }

    /// Are there enough pieces for it and for each of those ahead of it?
    fn would_be_there(&self, part: usize, waiter: Waiter) -> bool {
        let pieces = self.pieces[part];
        for ahead in &self.queues[part] {
            if pieces < ahead.pieces {
                return false;
            }
            if (ahead.bay, ahead.node) == (waiter.bay, waiter.node) {
                return true;
            }
        }
        pieces >= waiter.pieces
    }

    fn join(&mut self, part: usize, waiter: Waiter) {
        if !self.queues[part].iter().any(|w| (w.bay, w.node) == (waiter.bay, waiter.node)) {
            self.queues[part].push(waiter);
            let note = QueueNote { kind: part as u16, bay: waiter.bay, node: waiter.node, joined: true };
            self.notes.push(note);
        }
    }

    /// It takes its pieces and waits no longer.
    fn take(&mut self, part: usize, waiter: Waiter) {
        self.pieces[part] -= waiter.pieces;
        (self.moved, self.taken) = (true, true);
        let queue = &mut self.queues[part];
        if let Some(own) = queue.iter().position(|w| (w.bay, w.node) == (waiter.bay, waiter.node)) {
            queue.remove(own);
            let note = QueueNote { kind: part as u16, bay: waiter.bay, node: waiter.node, joined: false };
            self.notes.push(note);
        }
    }

    /// Whoever waits with a unit that is leaving waits no longer; or one task whose window is missed.
    pub(super) fn forget(&mut self, bay: usize, node: Option<u16>) {
        for part in 0..self.queues.len() {
            let before = self.queues[part].len();
            let notes = &mut self.notes;
            self.queues[part].retain(|w| {
                let stays = w.bay as usize != bay || node.is_some_and(|node| w.node != node);
                if !stays {
                    notes.push(QueueNote { kind: part as u16, bay: w.bay, node: w.node, joined: false });
                }
                stays
            });
            if self.queues[part].len() != before {
                self.serve(part);
            }
        }
    }
}

impl Shop {
    /// Numbers the kinds of every part.
    pub(super) fn add_kinds(&mut self, line: &Line) {
        for part in 0..line.parts.len() {
            self.kind0.push(self.part_of.len() as u16);
            let for_a_model =
                |feeder: &Feeder| feeder.part.index() == part && feeder.builds != Builds::ToStock;
            let kinds = if line.feeders.iter().any(for_a_model) { self.models } else { 1 };
            self.part_of.extend(std::iter::repeat_n(part as u16, kinds));
        }
    }

    /// The kinds of a part: one, or one for each model.
    pub fn kinds_of(&self, part: usize) -> std::ops::Range<usize> {
        let end = self.kind0.get(part + 1).map_or(self.part_of.len(), |next| *next as usize);
        self.kind0[part] as usize..end
    }

    /// The kind of a part that a unit of a model takes.
    #[inline]
    pub fn kind(&self, part: usize, model: u16) -> usize {
        let kinds = self.kinds_of(part);
        if kinds.len() == 1 { kinds.start } else { kinds.start + model as usize }
    }
}

impl Floor {
    /// All parts of a task are there for it; it joins the queue of every store that has too few.
    pub(super) fn parts_are_there(&mut self, shop: &Shop, bay: usize, local: usize) -> bool {
        let mut all = true;
        let model = self.bays[bay].model;
        for (part, pieces) in &shop.node(bay, local).parts {
            let waiter = Waiter { bay: bay as u32, node: local as u16, pieces: *pieces };
            let notes = self.stock.notes.len();
            all &= self.stock.is_there(shop.kind(*part as usize, model), waiter);
            if self.stock.notes.len() > notes {
                self.mark_users(shop, *part as usize);
            }
        }
        all
    }

    /// All parts of a task are there for it, whether it asks for them or not.
    pub(super) fn has_parts(&self, shop: &Shop, bay: usize, local: usize) -> bool {
        let model = self.bays[bay].model;
        shop.node(bay, local).parts.iter().all(|(part, pieces)| {
            let waiter = Waiter { bay: bay as u32, node: local as u16, pieces: *pieces };
            self.stock.would_be_there(shop.kind(*part as usize, model), waiter)
        })
    }

    /// Whoever has had parts in sight may have them no longer, and so bar nobody from people.
    fn mark_users(&mut self, shop: &Shop, part: usize) {
        for gang in &shop.uses_part[part] {
            self.mark(*gang as usize);
        }
    }

    pub(super) fn take_parts(&mut self, shop: &Shop, bay: usize, local: usize) {
        let model = self.bays[bay].model;
        for (part, pieces) in &shop.node(bay, local).parts {
            let kind = shop.kind(*part as usize, model);
            if self.stock.pieces[kind] != UNLIMITED {
                let waiter = Waiter { bay: bay as u32, node: local as u16, pieces: *pieces };
                self.stock.take(kind, waiter);
                self.mark_users(shop, *part as usize);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn waiter(bay: u32, pieces: u32) -> Waiter {
        Waiter { bay, node: 0, pieces }
    }

    #[test]
    fn who_waits_longest_is_served_first_and_keeps_its_claim() {
        let mut stock = Stock::unlimited(1);
        stock.pieces[0] = 1;
        assert!(!stock.is_there(0, waiter(7, 3)), "three are wanted, one is there");
        assert!(!stock.is_there(0, waiter(4, 1)), "the one there is for who came first");
        stock.add(0, 2);
        assert_eq!(stock.to_serve, [0]);
        assert!(stock.is_there(0, waiter(7, 3)));
        // It may lack something else: its parts are free for the next until it starts.
        assert!(stock.is_there(0, waiter(4, 1)));
        stock.take(0, waiter(4, 1));
        assert!(!stock.is_there(0, waiter(7, 3)), "and now two are left");
        assert!(!stock.is_there(0, waiter(2, 1)), "which are for it, for it came before");
        let joined: Vec<bool> = stock.notes.iter().map(|note| note.joined).collect();
        assert_eq!(joined, [true, true, false, true]);
    }

    #[test]
    fn a_unit_that_leaves_gives_its_claim_up() {
        let mut stock = Stock::unlimited(2);
        stock.pieces.fill(0);
        assert!(!stock.is_there(1, waiter(3, 1)));
        assert!(!stock.is_there(1, waiter(5, 1)));
        stock.forget(3, None);
        assert_eq!(stock.queues[1], [waiter(5, 1)]);
        assert_eq!(stock.to_serve, [1]);
    }
}
