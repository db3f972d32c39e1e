//! Work that a crew finishes in the next place: a unit that has moved with a little of it left, and
//! the people who go along; and holds that run on while their unit moves.

use super::bay_work::Status;
use super::floor::Floor;
use super::node::{Node, NodeKind, step_node};
use super::shop::Shop;
use crate::line::{Line, PlaceId, StepKind};

/// Nobody's but the crew's of the bay.
const OWN: u16 = u16::MAX;

/// Adds to a place's nodes a dormant copy of every task that may be finished there by the crew of the place before it,
/// and of every hold that may go on there, with its edges to what follows it here. What opens or closes a window, what is
/// kept apart from other work, and what would find less room there is finished where it was begun.
pub(super) fn add_copies(
    line: &Line,
    place: usize,
    own: &[usize],
    list: &mut Vec<Node>,
    edges: &mut Vec<(usize, usize)>,
) {
    super::early::add_copies(line, place, list, edges);
    let Some(before) = place.checked_sub(1).filter(|before| line.moves_on(*before)) else { return };
    let here = |cap: u16, place: usize| line.room_caps[cap as usize].people_at(PlaceId::from_index(place));
    for (index, step) in line.steps.iter().enumerate() {
        let goes_on = match &step.kind {
            StepKind::Task => line.drifts(before),
            StepKind::Hold(hold) => hold.may_move,
        };
        if step.place.index() != before || !goes_on {
            continue;
        }
        let mut node = step_node(line, index, None);
        let room = node.caps.iter().all(|cap| here(*cap, before) <= here(*cap, place));
        if node.gated || !node.sides.is_empty() || !room {
            continue;
        }
        (node.dormant, node.drifted) = (true, true);
        let after = super::travel::descendants(line, index);
        edges.extend(own.iter().enumerate().filter(|(_, s)| after[**s]).map(|(k, _)| (list.len(), k)));
        list.push(node);
    }
}

impl Shop {
    /// Where a task or a hold of a place goes on in the next one, as a local node of that.
    pub fn copy_in_next(&self, place: usize, local: usize) -> Option<usize> {
        let node = &self.nodes_of(place)[local];
        let own = matches!(node.kind, NodeKind::Work | NodeKind::Hold { .. }) && !node.dormant;
        if !own || place + 1 >= self.places.len() {
            return None;
        }
        self.nodes_of(place + 1).iter().position(|copy| copy.drifted && copy.step == node.step)
    }
}

impl Floor {
    /// Work that crews finish in the next place is told apart from now on.
    pub fn watch_drift(&mut self, shop: &Shop) {
        self.carried = vec![OWN; shop.bay_nodes];
    }

    /// Whose people do this: the crew of the bay, or the one that came along with the unit.
    #[inline]
    pub fn gang_of(&self, shop: &Shop, bay: usize, local: usize) -> usize {
        match self.carried.get(shop.bay_node0[bay] as usize + local) {
            Some(gang) if *gang != OWN => usize::from(*gang),
            Some(_) | None => usize::from(shop.bay_gang[bay]),
        }
    }

    /// A crew came along with the unit to finish this.
    #[inline]
    pub fn is_carried(&self, shop: &Shop, bay: usize, local: usize) -> bool {
        self.carried.get(shop.bay_node0[bay] as usize + local).is_some_and(|gang| *gang != OWN)
    }

    /// Something that a crew came along to finish has ended.
    #[inline]
    pub(super) fn carried_ends(&mut self, at: usize) {
        if let Some(gang) = self.carried.get_mut(at) {
            *gang = OWN;
        }
    }

    /// The unit takes a running task along to the bay `to`, with its people and all that they use.
    pub fn carry(&mut self, shop: &Shop, from: (usize, usize), to: (usize, usize)) {
        self.carry_over(shop, from, to);
        self.bays[from.0].undone -= 1;
    }

    /// The same for what is no part of the work of the place that it leaves.
    pub fn carry_over(&mut self, shop: &Shop, (bay, local): (usize, usize), (to, copy): (usize, usize)) {
        let (from, at) = (shop.bay_node0[bay] as usize + local, shop.bay_node0[to] as usize + copy);
        self.carried[at] = self.gang_of(shop, bay, local) as u16;
        self.carried_ends(from);
        self.status[from] = Status::Done;
        self.status[at] = Status::Running;
        self.people[at] = std::mem::take(&mut self.people[from]);
        if !self.started.is_empty() {
            self.started[at] = std::mem::take(&mut self.started[from]);
        }
        self.use_changes(shop, bay, shop.node(bay, local), false);
        self.use_changes(shop, to, shop.node(bay, local), true);
        let heads = self.people[at].count_ones();
        for cap in &shop.node(bay, local).caps {
            self.room[bay * shop.caps.len() + *cap as usize] -= heads;
            self.room[to * shop.caps.len() + *cap as usize] += heads;
        }
        self.bays[to].model = self.bays[bay].model;
        let is_hold = shop.node(bay, local).is_hold();
        *self.bays[bay].running(is_hold) -= 1;
        *self.bays[to].running(is_hold) += 1;
    }

    /// The bays in which a gang may be at work: its own, and those next to them where it may drift.
    pub fn reach_of(&self, shop: &Shop, gang: usize) -> Vec<usize> {
        let mut bays = shop.bays_of(gang);
        if !self.carried.is_empty() {
            let next = shop.gangs[gang].places.iter().map(|place| usize::from(*place) + 1);
            let before =
                shop.gangs[gang].places.iter().filter_map(|place| usize::from(*place).checked_sub(1));
            for place in next.chain(before).filter_map(|place| shop.places.get(place)) {
                bays.extend(place.bay0 as usize..place.bay0 as usize + place.bays as usize);
            }
            bays.sort_unstable();
            bays.dedup();
        }
        bays
    }
}
