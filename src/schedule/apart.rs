//! Work that is kept apart: how much of each side of every exclusion runs now, on each unit or at each
//! place. Costs nothing where nothing is kept apart.

use super::floor::Floor;
use super::node::Node;
use super::shop::Shop;
use crate::line::{Line, PlaceId, Reach, StepId};

/// What a node is to an exclusion.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Side {
    /// Index into `Line::exclusions`.
    pub of: u16,
    /// It is kept from running while the others run; it is one of the others. Perhaps both.
    pub apart: bool,
    pub running: bool,
}

/// Running now: what is kept apart, and what it is kept apart from.
#[derive(Clone, Copy, Default, Debug)]
pub(super) struct Counts {
    apart: u16,
    running: u16,
}

/// What a step is to each exclusion that names it.
pub(super) fn sides(line: &Line, step: usize) -> Vec<Side> {
    let step = StepId::from_index(step);
    let sides = line.exclusions.iter().enumerate().map(|(x, exclusion)| Side {
        of: x as u16,
        apart: exclusion.keeps_apart(step, &line.steps[step.index()]),
        running: exclusion.running.binary_search(&step).is_ok(),
    });
    sides.filter(|side| side.apart || side.running).collect()
}

impl Floor {
    /// Counts for each bay and place of the shop, or none.
    pub(super) fn apart_counts(shop: &Shop) -> Vec<Counts> {
        vec![Counts::default(); shop.exclusions.len() * shop.bays.max(shop.places.len())]
    }

    /// Whether a task may not start for what runs on its unit or near by.
    pub(super) fn is_kept_apart(&self, shop: &Shop, bay: usize, node: &Node) -> bool {
        let all = shop.exclusions.len();
        node.sides.iter().any(|side| {
            let bars = |at: usize| {
                let counts = self.apart[at * all + side.of as usize];
                side.apart && counts.running > 0 || side.running && counts.apart > 0
            };
            match shop.exclusions[side.of as usize] {
                Reach::Unit => bars(bay),
                Reach::Places(most) => near(shop, bay, most).any(bars),
            }
        })
    }

    /// A step that something is kept apart from, or that is kept apart, starts (`true`) or ends.
    pub(super) fn note_apart(&mut self, shop: &Shop, bay: usize, local: usize, starts: bool) {
        for side in &shop.node(bay, local).sides {
            let reach = shop.exclusions[side.of as usize];
            let at = match reach {
                Reach::Unit => bay,
                Reach::Places(_) => shop.bay_place[bay] as usize,
            };
            let counts = &mut self.apart[at * shop.exclusions.len() + side.of as usize];
            let (apart, running) = (u16::from(side.apart), u16::from(side.running));
            if starts {
                counts.apart += apart;
                counts.running += running;
            } else {
                counts.apart -= apart;
                counts.running -= running;
            }
            match reach {
                Reach::Unit if starts => {}
                Reach::Unit => self.mark_if_waiting(shop.bay_gang[bay] as usize),
                // What waits near by may start; or no longer lacks people only, and what it barred may.
                Reach::Places(most) => self.mark_near(shop, bay, most),
            }
        }
    }

    fn mark_near(&mut self, shop: &Shop, bay: usize, most: u32) {
        for place in near(shop, bay, most) {
            let place = &shop.places[place];
            let gangs = if place.gang_per_bay { place.bays } else { 1 };
            for gang in place.gang0..place.gang0 + gangs {
                self.mark_if_waiting(gang as usize);
            }
        }
    }

    fn mark_if_waiting(&mut self, gang: usize) {
        if !self.gangs[gang].ready.is_empty() {
            self.mark(gang);
        }
    }
}

/// How far it is from each place to every other that can be reached from it, or from which it can be; where lanes
/// stand side by side and nearness counts.
pub(super) fn far(line: &Line) -> Vec<Vec<(u16, u32)>> {
    let counts = line.exclusions.iter().any(|exclusion| matches!(exclusion.reach, Reach::Places(_)));
    if line.lanes.is_empty() || !counts {
        return Vec::new();
    }
    let all = || (0..line.places.len()).map(PlaceId::from_index);
    let from = |one: PlaceId| {
        all()
            .filter_map(|other| Some((other.0, line.moves_between(one, other)?)))
            .collect::<Vec<(u16, u32)>>()
    };
    all().map(from).collect()
}

/// The places of its line at most so many moves from that of the bay. (No step is done at a repair place.)
fn near(shop: &Shop, bay: usize, most: u32) -> impl Iterator<Item = usize> {
    let place = shop.bay_place[bay] as usize;
    let line = &shop.places[place].line;
    let (listed, in_a_row) = match shop.far.get(place) {
        Some(list) => (list.as_slice(), 0..0),
        None => {
            let most = most as usize;
            (&[][..], place.saturating_sub(most).max(*line.start())..(place + most).min(*line.end()) + 1)
        }
    };
    let listed = listed.iter().filter(move |(_, moves)| *moves <= most);
    in_a_row.chain(listed.map(|(other, _)| usize::from(*other)))
}
