//! Equipment at the bays: pieces taken for a task and returned at its end, and pieces that a unit keeps.

use super::floor::Floor;
use super::node::Node;
use super::shop::Shop;

impl Floor {
    /// Pieces of a kind that a unit holds: what it keeps covers what its tasks use.
    fn held(&self, shop: &Shop, bay: usize, equipment: usize) -> u32 {
        let kept = Floor::kept_of(shop, self.bays[bay].kept, equipment);
        kept.max(self.used[bay * shop.equipment.len() + equipment])
    }

    fn kept_of(shop: &Shop, mask: u64, equipment: usize) -> u32 {
        let mut rest = mask;
        let mut n = 0;
        while rest != 0 {
            n += u32::from(shop.keep_equipment[rest.trailing_zeros() as usize] as usize == equipment);
            rest &= rest - 1;
        }
        n
    }

    /// Pieces that the unit holds more of once a node of it has begun.
    fn pieces(&self, shop: &Shop, bay: usize, node: &Node, equipment: usize) -> u32 {
        let asked =
            node.equipment.iter().filter(|(e, _)| *e as usize == equipment).map(|(_, n)| *n).sum::<u32>();
        let kept = Floor::kept_of(shop, self.bays[bay].kept | node.opens, equipment);
        let used = self.used[bay * shop.equipment.len() + equipment] + asked;
        kept.max(used) - self.held(shop, bay, equipment)
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

    pub fn equipment_is_free(&self, shop: &Shop, bay: usize, node: &Node) -> bool {
        Floor::each_equipment(shop, node, |e| self.pieces(shop, bay, node, e) <= self.free_equipment[e])
    }

    fn opens_piece(&self, shop: &Shop, node: &Node, equipment: usize) -> bool {
        (0..shop.keep_equipment.len())
            .any(|k| node.opens >> k & 1 == 1 && shop.keep_equipment[k] as usize == equipment)
    }

    pub(super) fn take_equipment(&mut self, shop: &Shop, bay: usize, local: usize) {
        let node = shop.node(bay, local);
        self.equipment_moved = true;
        let all = Floor::each_equipment(shop, node, |e| {
            let pieces = self.pieces(shop, bay, node, e);
            self.fetch(shop, (bay, local), e, pieces);
            self.free_equipment[e] -= pieces;
            true
        });
        debug_assert!(all, "every piece was free");
        // Whoever waits for the same pieces no longer lacks people only: what it barred may start.
        for e in 0..shop.equipment.len() {
            if node.equipment.iter().any(|(own, _)| *own as usize == e) || self.opens_piece(shop, node, e) {
                self.mark_waiting(shop, e);
            }
        }
        self.use_changes(shop, bay, node, true);
        if let Some(opened) = self.opened.get_mut(shop.bay_node0[bay] as usize + local) {
            *opened = node.opens & !self.bays[bay].kept;
        }
        self.bays[bay].kept |= node.opens;
    }

    /// A task of the unit in the bay uses what it asks for from now on, or no longer.
    pub(super) fn use_changes(&mut self, shop: &Shop, bay: usize, node: &Node, more: bool) {
        for (e, pieces) in &node.equipment {
            let used = &mut self.used[bay * shop.equipment.len() + *e as usize];
            *used = if more { *used + pieces } else { *used - pieces };
        }
    }

    /// A task has ended: what it took and its unit does not hold besides is free.
    pub(super) fn return_equipment(&mut self, shop: &Shop, bay: usize, local: usize) {
        let node = shop.node(bay, local);
        for (e, pieces) in &node.equipment {
            let (e, before) = (*e as usize, self.held(shop, bay, *e as usize));
            self.used[bay * shop.equipment.len() + e] -= pieces;
            self.give_back(shop, bay, e, before);
        }
    }

    /// Pieces that the unit does not hold any more, of those it did before, are free.
    fn give_back(&mut self, shop: &Shop, bay: usize, equipment: usize, before: u32) {
        let pieces = before - self.held(shop, bay, equipment);
        self.free_equipment[equipment] += pieces;
        self.equipment_moved |= pieces > 0;
        self.came_free |= pieces > 0;
        self.put_down(shop, bay, equipment, pieces);
        // What the unit keeps may do for another of its tasks now.
        self.mark_waiting(shop, equipment);
    }

    pub(super) fn close_keeps(&mut self, shop: &Shop, bay: usize, closes: u64) {
        let mut closing = self.bays[bay].kept & closes;
        while closing != 0 {
            let keep = closing.trailing_zeros();
            let equipment = shop.keep_equipment[keep as usize] as usize;
            let before = self.held(shop, bay, equipment);
            self.bays[bay].kept &= !(1 << keep);
            self.give_back(shop, bay, equipment, before);
            closing &= closing - 1;
        }
    }

    /// People turn back from a task, or are too late for it: what would be kept from its start on isn't.
    pub fn keep_nothing(&mut self, shop: &Shop, bay: usize, local: usize) {
        let opened = self.opened.get_mut(shop.bay_node0[bay] as usize + local).map_or(0, std::mem::take);
        self.close_keeps(shop, bay, opened);
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
