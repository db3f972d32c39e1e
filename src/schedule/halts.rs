//! What stands still: stopped places and equipment, counted, as several causes may stop one thing.
//!
//! Owns who is barred from starting or going on; when stops begin and end is the caller's.

use super::shop::{Node, Shop};

#[derive(Clone, Debug)]
pub struct Halts {
    /// Causes that stop each place now.
    places: Vec<u16>,
    /// Causes that stop each kind of equipment now.
    equipment: Vec<u16>,
    /// Bit k: the equipment of keep k is stopped.
    keeps: u64,
    /// Places and equipment stopped now: with none, nothing else is looked at.
    pub any: u32,
}

impl Halts {
    pub fn new(shop: &Shop) -> Halts {
        Halts {
            places: vec![0; shop.places.len()],
            equipment: vec![0; shop.equipment.len()],
            keeps: 0,
            any: 0,
        }
    }

    /// One more cause stops the place; true if it is the first.
    pub fn halt_place(&mut self, place: usize) -> bool {
        self.places[place] += 1;
        let first = self.places[place] == 1;
        self.any += u32::from(first);
        first
    }

    /// One cause less; true if it was the last.
    pub fn free_place(&mut self, place: usize) -> bool {
        self.places[place] -= 1;
        let last = self.places[place] == 0;
        self.any -= u32::from(last);
        last
    }

    /// As `halt_place`, for equipment.
    pub fn halt_equipment(&mut self, shop: &Shop, equipment: usize) -> bool {
        self.equipment[equipment] += 1;
        let first = self.equipment[equipment] == 1;
        self.any += u32::from(first);
        self.note_keeps(shop);
        first
    }

    /// As `free_place`, for equipment.
    pub fn free_equipment(&mut self, shop: &Shop, equipment: usize) -> bool {
        self.equipment[equipment] -= 1;
        let last = self.equipment[equipment] == 0;
        self.any -= u32::from(last);
        self.note_keeps(shop);
        last
    }

    fn note_keeps(&mut self, shop: &Shop) {
        self.keeps = 0;
        for (k, equipment) in shop.keep_equipment.iter().enumerate() {
            self.keeps |= u64::from(self.equipment[*equipment as usize] > 0) << k;
        }
    }

    #[inline]
    pub fn has_place(&self, place: usize) -> bool {
        self.any > 0 && self.places[place] > 0
    }

    #[inline]
    pub fn has_equipment(&self, equipment: usize) -> bool {
        self.any > 0 && self.equipment[equipment] > 0
    }

    /// Whether a step in a bay of `place` can neither start nor go on: its place is stopped, or
    /// equipment that it uses or that its unit keeps (`kept`).
    pub fn bars(&self, place: usize, node: &Node, kept: u64) -> bool {
        self.any > 0
            && (self.places[place] > 0
                || self.keeps & (node.opens | kept) != 0
                || node.equipment.iter().any(|(e, _)| self.equipment[*e as usize] > 0))
    }
}
