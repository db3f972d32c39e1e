//! Work that the crew of the next place may begin in the place behind, on the unit that comes with the next push.

use super::bay_work::Status;
use super::floor::Floor;
use super::node::{Node, step_node};
use super::shop::Shop;
use crate::line::{Line, PlaceId, StepId, StepKind};

/// Behind everything that a crew has of its own.
const LAST: u8 = 4;

/// Adds to a place's nodes a dormant copy of every task of the next place that may be begun here, each behind those
/// that it follows there.
pub(super) fn add_copies(line: &Line, place: usize, list: &mut Vec<Node>, edges: &mut Vec<(usize, usize)>) {
    let next = place + 1;
    if !line.begins_early(next) {
        return;
    }
    let steps = || line.steps.iter().enumerate().filter(|(_, step)| step.place.index() == next);
    let mut early: Vec<usize> = steps().map(|(s, _)| s).filter(|s| may_begin_early(line, *s)).collect();
    // What follows something there that can't be begun early waits with it.
    let mut before = usize::MAX;
    while std::mem::replace(&mut before, early.len()) != early.len() {
        let follows = |s: usize| line.steps[s].after.iter().map(|p| p.index());
        let here = |s: &usize| line.steps[*s].place.index() == next;
        let known = early.clone();
        early.retain(|s| follows(*s).filter(here).all(|p| known.contains(&p)));
    }
    let first = list.len();
    for (k, index) in early.iter().enumerate() {
        let mut node = step_node(line, *index, None);
        (node.dormant, node.early) = (true, true);
        list.push(node);
        let after =
            line.steps[*index].after.iter().filter_map(|p| early.iter().position(|s| *s == p.index()));
        edges.extend(after.map(|p| (first + p, first + k)));
    }
}

/// Tasks only; not what opens or closes a window, minds the breaks, is kept apart from other work, belongs to a test,
/// mends faults, takes parts, keeps equipment or fetches it, or would find less room here.
fn may_begin_early(line: &Line, index: usize) -> bool {
    let (step, node) = (&line.steps[index], step_node(line, index, None));
    let Some(here) = step.place.index().checked_sub(1).map(PlaceId::from_index) else { return false };
    let room = |cap: u16| {
        let cap = &line.room_caps[usize::from(cap)];
        cap.people_at(step.place) <= cap.people_at(here)
    };
    let reaches = |equipment: &crate::line::Equipment| {
        equipment.moving.is_zero() && equipment.first.is_empty() && equipment.reaches(here)
    };
    let id = StepId::from_index(index);
    step.kind == StepKind::Task
        && step.uses.is_empty()
        && !node.gated
        && !node.mends
        && node.sides.is_empty()
        && node.opens == 0
        && node.closes == 0
        && node.caps.iter().all(|cap| room(*cap))
        && step.equipment.iter().all(|(e, _)| reaches(&line.equipment[e.index()]))
        && !line.tests.iter().any(|test| test.steps.contains(&id))
}

impl Shop {
    /// Something may be begun early at a place, by the crew of the next one: of several gangs there by that of the bay
    /// into which the unit will come.
    pub fn has_early_at(&self, place: usize) -> bool {
        place + 1 < self.places.len() && self.nodes_of(place).iter().any(|node| node.early)
    }

    /// Bays in which a gang may begin early.
    pub(super) fn early_bays_of(&self, gang: usize) -> Vec<usize> {
        let before = |place: &u16| usize::from(*place).checked_sub(1).filter(|p| self.has_early_at(*p));
        let places = self.gangs[gang].places.iter().filter_map(before);
        places
            .flat_map(|p| {
                let place = &self.places[p];
                place.bay0 as usize..place.bay0 as usize + usize::from(place.bays)
            })
            .collect()
    }

    /// The place in which a gang that is the crew of one bay of the next begins early.
    pub(super) fn early_place_of_bay_gang(&self, gang: usize) -> Option<usize> {
        let [place] = self.gangs[gang].places[..] else { return None };
        let behind = usize::from(place).checked_sub(1)?;
        (self.places[usize::from(place)].gang_per_bay && self.has_early_at(behind)).then_some(behind)
    }
}

impl Floor {
    /// A task of the next place joins the list of the gang there.
    pub fn queue_early(&mut self, shop: &Shop, gang: usize, bay: usize, local: u16) {
        let at = shop.bay_node0[bay] as usize + usize::from(local);
        self.status[at] = Status::Ready;
        self.carried[at] = gang as u16;
        self.join_list(shop, gang, (bay, local), LAST);
    }

    /// It leaves the list again: its unit moves on, or nothing more is begun.
    pub fn unqueue_early(&mut self, shop: &Shop, bay: usize, local: u16) {
        let gang = self.gang_of(shop, bay, usize::from(local));
        self.gangs[gang].ready.retain(|entry| entry.bay as usize != bay || entry.node != local);
        self.bays[bay].ready -= 1;
        self.early_is_over(shop, bay, local);
        self.mark(gang);
    }

    /// Nothing of it is left in the bay.
    pub fn early_is_over(&mut self, shop: &Shop, bay: usize, local: u16) {
        let at = shop.bay_node0[bay] as usize + usize::from(local);
        self.status[at] = Status::Done;
        self.carried_ends(at);
    }
}
