//! Work that is to be done again: redos, retests, fixes, and what a missed window undoes.

use super::bay_work::Status;
use super::floor::Floor;
use super::shop::Shop;

impl Floor {
    /// Nodes are to be done (again): a redo, a retest, a fix. None of them runs.
    pub fn call_again(&mut self, shop: &Shop, bay: usize, locals: &[u16], fresh: &mut Vec<u16>) {
        let base = shop.bay_node0[bay] as usize;
        for local in locals {
            // A failed verdict is undone already.
            self.bays[bay].undone += u16::from(self.status[base + *local as usize] == Status::Done);
            self.status[base + *local as usize] = Status::Waiting;
        }
        self.wait_anew(shop, bay, fresh);
        self.recount(shop, bay, fresh);
    }

    /// What was ready and follows something that is done again is ready no longer.
    fn wait_anew(&mut self, shop: &Shop, bay: usize, fresh: &mut Vec<u16>) {
        let (base, place) = (shop.bay_node0[bay] as usize, &shop.places[shop.bay_place[bay] as usize]);
        for k in 0..place.nodes {
            let before = &shop.predecessors[place.node0 as usize + usize::from(k)];
            let is_free = || before.iter().all(|p| self.status[base + usize::from(*p)] == Status::Done);
            if self.status[base + usize::from(k)] == Status::Ready && !is_free() {
                self.put_back(shop, bay, k);
                match fresh.iter().position(|ready| *ready == k) {
                    Some(at) => drop(fresh.remove(at)),
                    None => self.take_off_list(shop, bay, k),
                }
            }
        }
    }

    /// As `call_again`, just after the unit came in: what is ready without them (`fresh`) is counted
    /// anew with them.
    pub fn call_besides(&mut self, shop: &Shop, bay: usize, locals: &[u16], fresh: &mut Vec<u16>) {
        if locals.is_empty() {
            return;
        }
        for ready in fresh.drain(..) {
            self.put_back(shop, bay, ready);
        }
        self.call_again(shop, bay, locals, fresh);
    }

    /// Marks a node (by its per-bay index) done without releasing what follows: it is called again.
    pub fn finish_quietly(&mut self, bay: usize, at: usize) {
        self.status[at] = Status::Done;
        self.bays[bay].undone -= 1;
    }

    /// A failed verdict stays undone until it is called again.
    pub fn hold_verdict(&mut self, shop: &Shop, bay: usize, local: u16) {
        self.status[shop.bay_node0[bay] as usize + local as usize] = Status::Running;
    }

    /// A ready task goes back to waiting (its window was missed). It must be off the list.
    pub fn put_back(&mut self, shop: &Shop, bay: usize, local: u16) {
        self.status[shop.bay_node0[bay] as usize + local as usize] = Status::Waiting;
    }
}
