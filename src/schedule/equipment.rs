//! Equipment at the bays: pieces taken for a task and returned at its end, and pieces that a unit keeps.

use super::bay_work::BayWork;
use super::floor::Floor;
use super::node::Node;
use super::shop::Shop;

impl Floor {
    /// Pieces a node takes beyond those its unit keeps already, per equipment.
    fn pieces(shop: &Shop, work: &BayWork, node: &Node, equipment: usize) -> u32 {
        let counted = |mask: u64| {
            let mut rest = mask;
            let mut n = 0;
            while rest != 0 {
                n += u32::from(shop.keep_equipment[rest.trailing_zeros() as usize] as usize == equipment);
                rest &= rest - 1;
            }
            n
        };
        let held = counted(work.kept);
        let asked =
            node.equipment.iter().filter(|(e, _)| *e as usize == equipment).map(|(_, n)| *n).sum::<u32>();
        asked.max(held + counted(node.opens & !work.kept)) - held
    }

    fn each_equipment(shop: &Shop, node: &Node, mut visit: impl FnMut(usize) -> bool) -> bool {
        let mut opens = node.opens;
        for (e, _) in &node.equipment {
            if !visit(*e as usize) {
                return false;
            }
        }
        while opens != 0 {
            let equipment = shop.keep_equipment[opens.trailing_zeros() as usize];
            if !node.equipment.iter().any(|(e, _)| *e == equipment) && !visit(equipment as usize) {
                return false;
            }
            opens &= opens - 1;
        }
        true
    }

    pub(super) fn equipment_is_free(&self, shop: &Shop, work: &BayWork, node: &Node) -> bool {
        Floor::each_equipment(shop, node, |e| Floor::pieces(shop, work, node, e) <= self.free_equipment[e])
    }

    fn opens_piece(&self, shop: &Shop, node: &Node, equipment: usize) -> bool {
        (0..shop.keep_equipment.len())
            .any(|k| node.opens >> k & 1 == 1 && shop.keep_equipment[k] as usize == equipment)
    }

    pub(super) fn take_equipment(&mut self, shop: &Shop, bay: usize, local: usize) {
        let node = shop.node(bay, local);
        let at = (shop.bay_node0[bay] as usize + local) * shop.equipment.len();
        let work = self.bays[bay];
        self.equipment_moved = true;
        let all = Floor::each_equipment(shop, node, |e| {
            let pieces = Floor::pieces(shop, &work, node, e);
            self.fetch(shop, (bay, local), e, pieces);
            self.free_equipment[e] -= pieces;
            let kept_now = (0..shop.keep_equipment.len())
                .filter(|k| (node.opens & !work.kept) >> k & 1 == 1 && shop.keep_equipment[*k] as usize == e)
                .count() as u32;
            self.taken[at + e] = pieces - kept_now;
            true
        });
        debug_assert!(all, "every piece was free");
        // Whoever waits for the same pieces no longer lacks people only: what it barred may start.
        for e in 0..shop.equipment.len() {
            if node.equipment.iter().any(|(own, _)| *own as usize == e) || self.opens_piece(shop, node, e) {
                self.mark_waiting(shop, e);
            }
        }
        self.bays[bay].kept |= node.opens;
    }

    /// A task has ended: what it took and its unit does not keep is free.
    pub(super) fn return_equipment(&mut self, shop: &Shop, bay: usize, local: usize) {
        let at = (shop.bay_node0[bay] as usize + local) * shop.equipment.len();
        for e in 0..shop.equipment.len() {
            let pieces = std::mem::take(&mut self.taken[at + e]);
            if pieces > 0 {
                self.free_equipment[e] += pieces;
                self.equipment_moved = true;
                self.put_down(shop, bay, e, pieces);
                self.mark_waiting(shop, e);
            }
        }
    }

    pub(super) fn close_keeps(&mut self, shop: &Shop, bay: usize, closes: u64) {
        let mut closing = self.bays[bay].kept & closes;
        self.bays[bay].kept &= !closes;
        while closing != 0 {
            let equipment = shop.keep_equipment[closing.trailing_zeros() as usize] as usize;
            self.free_equipment[equipment] += 1;
            self.equipment_moved = true;
            self.put_down(shop, bay, equipment, 1);
            self.mark_waiting(shop, equipment);
            closing &= closing - 1;
        }
    }

    /// A step that ends on a unit about to leave: what it closes is free.
    pub fn ends_keeps(&mut self, shop: &Shop, bay: usize, local: usize) {
        self.close_keeps(shop, bay, shop.node(bay, local).closes);
    }

    /// The unit is gone for good: what it kept is free.
    pub fn drop_keeps(&mut self, shop: &Shop, bay: usize) {
        self.close_keeps(shop, bay, u64::MAX);
    }

    fn mark_waiting(&mut self, shop: &Shop, equipment: usize) {
        for gang in &shop.waits_for_equipment[equipment] {
            if !self.gangs[*gang as usize].ready.is_empty() {
                self.mark(*gang as usize);
            }
        }
    }
}
