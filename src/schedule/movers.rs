//! People who move the units of a pushed segment: whom a waiting push keeps back, who goes, who is back.

use super::crew::{Idle, first};
use super::floor::Floor;
use super::seats::seats;
use super::shop::Shop;

impl Floor {
    /// Of these people of a gang: those who are there, and those who are free.
    pub fn movers_there(&self, gang: usize, able: u128) -> (u32, u32) {
        let state = &self.gangs[gang];
        ((state.here & able).count_ones(), (state.free & able).count_ones())
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

    /// As many of them as are free, so many at most, as a crew chooses people.
    pub fn take_movers(&mut self, shop: &Shop, gang: usize, able: u128, most: u32) -> u128 {
        let state = &mut self.gangs[gang];
        let people = first(&shop.gangs[gang], state.free & able, most, Idle::anywhere(&state.idle_since));
        state.free &= !people;
        state.moving |= people;
        people
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
