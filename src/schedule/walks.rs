//! Who walks: people who start work at another unit than their last, or at the same one elsewhere. Costs
//! nothing where the file says nothing of it.

use super::crew::Idle;
use super::floor::Floor;
use super::seats::seats;
use super::shop::Shop;

/// Where somebody was last who has not worked yet: no entry of a unit has this number.
pub(super) const NOWHERE: u64 = u64::MAX;

impl Floor {
    /// Those of a gang who are at the unit in the bay already.
    fn at_unit(&self, gang: usize, bay: usize) -> u128 {
        let entered = self.bays[bay].entered;
        let last = self.gangs[gang].last.iter().enumerate().filter(|(_, last)| **last == entered);
        last.fold(0, |mask, (seat, _)| mask | 1 << seat)
    }

    /// Since when each of a gang is idle, as a choice for this unit sees it: who is there already goes before
    /// those who would have to walk.
    pub(super) fn idle_for(&self, shop: &Shop, gang: usize, bay: usize) -> Idle<'_> {
        let walked = shop.places[shop.bay_place[bay] as usize].walk > 0;
        let there = if walked { self.at_unit(gang, bay) } else { 0 };
        Idle { since: &self.gangs[gang].idle_since, there }
    }

    /// These people of a gang begin work on the unit in the bay: those of them who must walk there first, and how long it
    /// takes until all of them are there, microseconds. From now on they are all there.
    pub fn set_out(&mut self, shop: &Shop, bay: usize, gang: usize, people: u128) -> (u128, i64) {
        if !shop.has_walks {
            return (0, 0);
        }
        if !shop.gangs[gang].walks {
            self.are_at(shop, bay, gang, people);
            return (0, 0);
        }
        let must = people & !self.at_unit(gang, bay);
        self.are_at(shop, bay, gang, people);
        let walk = shop.places[shop.bay_place[bay] as usize].walk;
        let (mut walkers, mut way) = if walk > 0 && must != 0 { (must, walk) } else { (0, 0) };
        // Whoever is called comes from elsewhere, however near the others stand.
        for (helper, seat) in shop.gangs[gang].helpers_among(must) {
            let answering = shop.helpers[helper].answering;
            walkers |= u128::from(answering > 0) << seat;
            way = way.max(answering);
        }
        (walkers, way)
    }

    /// Whoever came along with the unit to finish something is there.
    pub fn came_along(&mut self, shop: &Shop, bay: usize, local: usize) {
        let people = self.people[shop.bay_node0[bay] as usize + local];
        self.are_at(shop, bay, self.gang_of(shop, bay, local), people);
    }

    /// These people of a gang are at the unit in the bay; who helps is there for whichever crew needs them next.
    pub(super) fn are_at(&mut self, shop: &Shop, bay: usize, gang: usize, people: u128) {
        if !shop.has_walks {
            return;
        }
        let entered = self.bays[bay].entered;
        if shop.gangs[gang].walks {
            seats(people).for_each(|seat| self.gangs[gang].last[seat] = entered);
        }
        for (helper, seat) in shop.gangs[gang].helpers_among(people) {
            for (other, elsewhere) in &shop.helpers[helper].walks_for {
                let (other, elsewhere) = (usize::from(*other), usize::from(*elsewhere));
                if (other, elsewhere) != (gang, seat) {
                    self.gangs[other].last[elsewhere] = entered;
                }
            }
        }
    }

    /// Nobody has been anywhere yet.
    pub(super) fn forget_where(&mut self, gang: usize) {
        self.gangs[gang].last.fill(NOWHERE);
    }
}
