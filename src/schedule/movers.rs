//! People who move the units of a pushed segment: whom a waiting push keeps back, who goes, who is back.

use super::crew::{Idle, in_order};
use super::floor::Floor;
use super::seats::seats;
use super::shop::Shop;

impl Floor {
    /// Those of these people of a gang who are there in this shift, at work or not.
    pub fn movers_there(&self, gang: usize, able: u128) -> u128 {
        self.gangs[gang].here & able
    }

    /// Those of them who are free, in the order in which a crew chooses people.
    pub fn movers_free<'a>(
        &'a self,
        shop: &'a Shop,
        gang: usize,
        able: u128,
    ) -> impl Iterator<Item = usize> + 'a {
        let state = &self.gangs[gang];
        in_order(&shop.gangs[gang], state.free & able, Idle::anywhere(&state.idle_since))
    }

    /// A push waits for some of them: whoever is free begins nothing.
    pub fn keep_back(&mut self, gang: usize, able: u128) {
        self.gangs[gang].kept_back |= able;
    }

    /// No push waits for them any more.
    pub fn let_begin(&mut self, gang: usize) {
        if std::mem::take(&mut self.gangs[gang].kept_back) != 0 {
            self.mark(gang);
        }
    }

    /// They take hold of the units.
    pub fn take_movers(&mut self, gang: usize, people: u128) {
        let state = &mut self.gangs[gang];
        state.free &= !people;
        state.moving |= people;
    }

    /// They have moved the units; those who are still there, that is.
    pub fn movers_back(&mut self, gang: usize, people: u128, now: i64) -> u128 {
        let state = &mut self.gangs[gang];
        let back = people & state.moving;
        state.moving &= !back;
        state.free |= back;
        seats(back).for_each(|seat| state.idle_since[seat] = now);
        self.mark(gang);
        back
    }
}
