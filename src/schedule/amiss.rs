//! Parts that lie at a unit before its task starts: something of them was amiss (missing in part, or for another
//! model), or the task had begun at an earlier place and goes on here.
//!
//! A task that finds something amiss takes its parts all the same: they lie at the unit from then on, and it starts when what was amiss is put
//! right. Owns what is known of each task; what is drawn, and when it is put right, is the caller's.

use super::bay_work::{BayWork, Lack};
use super::floor::{Floor, Gate};
use super::shop::Shop;

/// What is known of the parts of a ready task.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Looked {
    /// Nothing can be amiss with them.
    Sound,
    /// Something may be: the gate says, when all else is there.
    NotYet,
    /// They lie at the unit, and something of them is still to come.
    Waits,
    /// They lie at the unit, and nothing is amiss any more.
    Right,
}

impl Floor {
    /// From now on something may be amiss with parts, or they may lie at a unit that brings work along.
    pub fn watch_parts(&mut self, shop: &Shop) {
        self.looked = vec![Looked::Sound; shop.bay_nodes];
    }

    #[inline]
    pub fn watches_parts(&self) -> bool {
        !self.looked.is_empty()
    }

    /// What is known of the parts of the task of bay node `at`.
    #[inline]
    pub fn looked(&self, at: usize) -> Looked {
        self.looked.get(at).copied().unwrap_or(Looked::Sound)
    }

    pub fn set_looked(&mut self, at: usize, looked: Looked) {
        self.looked[at] = looked;
    }

    /// The parts that a task asks for are there for it.
    pub(super) fn has_what_it_uses(&mut self, shop: &Shop, bay: usize, local: usize) -> bool {
        match self.looked(shop.bay_node0[bay] as usize + local) {
            Looked::Sound | Looked::NotYet => self.parts_are_there(shop, bay, local),
            Looked::Waits => false,
            Looked::Right => true,
        }
    }

    /// It takes what it uses, unless that lies at the unit already.
    pub(super) fn take_what_it_uses(&mut self, shop: &Shop, bay: usize, local: usize) {
        if self.looked(shop.bay_node0[bay] as usize + local) != Looked::Right {
            self.take_parts(shop, bay, local);
        }
    }

    /// The gate has the last word: `None` where it lets the task start.
    pub(super) fn held_back(
        &mut self,
        shop: &Shop,
        (bay, local): (usize, usize),
        gate: &impl Fn(&BayWork, usize, usize) -> Gate,
    ) -> Option<Result<Gate, Lack>> {
        let looked = self.looked(shop.bay_node0[bay] as usize + local);
        if !shop.node(bay, local).gated && looked != Looked::NotYet {
            return None;
        }
        match gate(&self.bays[bay], bay, local) {
            Gate::Amiss if looked == Looked::NotYet => Some(Err(self.lay_out(shop, bay, local))),
            // What was found amiss before is right by now.
            Gate::Go | Gate::Amiss => None,
            other @ (Gate::NotNow | Gate::Missed) => Some(Ok(other)),
        }
    }

    /// All else is there, and something is amiss: the parts are laid out at the unit, and it waits.
    fn lay_out(&mut self, shop: &Shop, bay: usize, local: usize) -> Lack {
        self.take_parts(shop, bay, local);
        self.looked[shop.bay_node0[bay] as usize + local] = Looked::Waits;
        self.laid_out.push((bay as u32, local as u16));
        Lack::Parts
    }

    /// As `has_what_it_uses`, whether it asks or not.
    pub(super) fn would_have_parts(&self, shop: &Shop, bay: usize, local: usize) -> bool {
        match self.looked(shop.bay_node0[bay] as usize + local) {
            Looked::Sound | Looked::NotYet => self.has_parts(shop, bay, local),
            Looked::Waits => false,
            Looked::Right => true,
        }
    }
}
