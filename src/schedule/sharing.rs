//! More people than a task needs: those who are free when all that could start has what it needs.

use super::crew::{Idle, able, first};
use super::floor::Floor;
use super::shop::Shop;

impl Floor {
    /// A task has just started with the people it needs: takes as many more as it may and as are free,
    /// need by need, where room allows; never whom the waiting task of an older unit could use.
    pub(super) fn share(&mut self, shop: &Shop, gang: usize, bay: usize, local: usize) {
        let node = shop.node(bay, local);
        let (work, at) = (self.bays[bay], shop.bay_node0[bay] as usize + local);
        let model = work.model as usize;
        let Some(most) = node.most.get(model) else { return };
        // Where people are missing, it has not even what it needs.
        if self.people[at].count_ones() < node.heads[model] {
            return;
        }
        let barred = self.barred(work.entered);
        let room0 = bay * shop.caps.len();
        for (need, most) in node.needs[model].iter().zip(most) {
            let room = node.caps.iter().map(|cap| {
                let place = shop.bay_place[bay] as usize;
                let cap = *cap as usize;
                shop.caps[cap].at_place[place].saturating_sub(self.room[room0 + cap])
            });
            let more = most.saturating_sub(need.count).min(room.min().unwrap_or(u32::MAX));
            if more == 0 {
                continue;
            }
            let state = &mut self.gangs[gang];
            let free = state.free & !state.off & !state.kept_back & !barred & able(&shop.gangs[gang], need);
            let people = first(&shop.gangs[gang], free, more, Idle::anywhere(&state.idle_since));
            state.free &= !people;
            self.people[at] |= people;
            for cap in &node.caps {
                self.room[room0 + *cap as usize] += people.count_ones();
            }
        }
        self.begun_by(at, self.people[at].count_ones());
    }
}
