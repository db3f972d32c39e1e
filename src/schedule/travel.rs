//! Copies of steps that may come to a place with their unit, unfinished.

use super::crew::{Idle, choose};
use super::gang::Gang;
use super::node::{Node, step_node};
use crate::line::{Line, OutcomeKind, PlaceId};

/// Adds to a place's nodes a dormant copy of every step that may be brought there, along the line or off it, and that
/// its crew can do, with its edges to what follows it here. Begun and brought back to its own place it goes on as a copy,
/// too, behind what is done again there. (Where a step waits for it, or where it must be done at
/// the latest, the checker has seen to it that the crew can.)
pub(super) fn add_copies(
    line: &Line,
    travelling: &[u32],
    place: usize,
    own: &[usize],
    crew: Option<&Gang>,
    list: &mut Vec<Node>,
    edges: &mut Vec<(usize, usize)>,
) {
    let mut copies: Vec<(usize, usize)> = Vec::new();
    for (k, index) in travelling.iter().enumerate() {
        let step = &line.steps[*index as usize];
        let home = step.place.index() == place && is_returned_to(line, step.place);
        let on_the_way = step
            .travel
            .is_some_and(|travel| (step.place.index() < place || home) && place <= travel.to.index());
        let off_line = line.goes_on_off_line(step, PlaceId::from_index(place));
        let can = |needs: &Vec<crate::line::Need>| match crew {
            Some(gang) => {
                choose(gang, needs, gang.all, Idle::anywhere(&vec![0; gang.people.len()])).is_some()
            }
            None => needs.is_empty(),
        };
        if off_line || on_the_way && step.needs.iter().all(can) {
            let mut node = step_node(line, *index as usize, None);
            (node.dormant, node.brought, node.travels) = (true, true, Some(k as u16));
            copies.push((*index as usize, list.len()));
            list.push(node);
        }
    }
    for (step, copy) in &copies {
        // By whatever way: a step between the two that does not apply passes the wait through.
        let after = descendants(line, *step);
        let follows = |other: usize| after[other];
        edges.extend(own.iter().enumerate().filter(|(_, s)| follows(**s)).map(|(local, _)| (*copy, local)));
        edges.extend(copies.iter().filter(|(other, _)| follows(*other)).map(|(_, local)| (*copy, *local)));
        if line.steps[*step].place.index() == place {
            let before = own.iter().enumerate().filter(|(_, s)| descendants(line, **s)[*step]);
            edges.extend(before.map(|(local, _)| (local, *copy)));
        }
    }
    super::drift::add_copies(line, place, own, list, edges);
}

/// Some fail sends units back there.
fn is_returned_to(line: &Line, place: PlaceId) -> bool {
    line.tests.iter().flat_map(|test| &test.outcomes).any(|outcome| match &outcome.kind {
        OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => {
            route.iter().any(|stop| stop.place == place)
        }
        OutcomeKind::FixedInPlace(_) | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => false,
    })
}

/// Steps that come after a step, directly or through others.
pub(super) fn descendants(line: &Line, step: usize) -> Vec<bool> {
    let mut found = vec![false; line.steps.len()];
    let mut changed = true;
    while changed {
        changed = false;
        for (index, other) in line.steps.iter().enumerate() {
            let follows = other.after.iter().any(|before| before.index() == step || found[before.index()]);
            changed |= follows && !found[index];
            found[index] |= follows;
        }
    }
    found
}
