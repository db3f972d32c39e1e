//! Which lines run the plain way, and the parts they are cut into.

use super::Plan;
use super::window::Window;
use crate::line::{Line, OutcomeKind, Release, StartState, WrongVerdicts};
use crate::schedule::{Node, NodeKind};
use crate::simulate::compiled::{Compiled, off_line};
use crate::simulate::settings::Settings;

/// A part of the line.
#[derive(Clone, Debug)]
pub(super) enum Part {
    /// Stations of one bay and one step, one after another from the entrance, before something else:
    /// places `0..=last`.
    Head { last: usize },
    /// A place with several bays or steps, or a test, or a repair place; or any place between such.
    Bays(BaysPlan),
    /// Stations of one bay and one step to the end of the line: places `first..=last`.
    Tail { first: usize, last: usize },
}

#[derive(Clone, Debug)]
pub(super) struct BaysPlan {
    pub place: usize,
    /// Its steps in the only order they have: node of the shop, and the hold's index if it is one.
    pub steps: Vec<(usize, Option<usize>)>,
    pub test: Option<usize>,
    pub off_line: bool,
}

/// Cuts the line into parts; `None` where something needs the general run.
pub(super) fn plan(c: &Compiled, settings: &Settings) -> Option<Plan> {
    let line = c.line;
    let plain = line.calendar.is_none()
        && !line.people_come_and_go()
        && line.models.len() == 1
        && line.options.is_empty()
        && line.windows.is_empty()
        && line.keeps.is_empty()
        && line.parts.is_empty()
        && line.stops.is_empty()
        && line.exclusions.is_empty()
        && line.visitors.is_empty()
        && line.learning.is_empty()
        && line.carriers.is_empty()
        && line.yard.is_none()
        && line.lanes.is_empty()
        && line.sequence.rules.is_empty()
        && line.release == Release::Saturated
        && line.start == StartState::Empty
        && !c.ordered.contains(&true)
        && c.stretches.iter().all(|s| !s.pushed && s.index == 0);
    if !plain || Window::new(settings).is_none() {
        return None;
    }
    let on_line = line.on_line;
    let first_other = (0..on_line).position(|place| !is_station(c, place)).unwrap_or(on_line);
    let tail = (0..on_line).rposition(|place| !is_station(c, place)).map_or(0, |place| place + 1);
    let mut parts: Vec<Part> = Vec::new();
    if tail > 0 && first_other > 0 {
        parts.push(Part::Head { last: first_other - 1 });
    }
    for place in first_other..tail {
        parts.push(Part::Bays(bays(c, place)?));
    }
    if tail < on_line {
        parts.push(Part::Tail { first: tail, last: on_line - 1 });
    }
    let parts_on_line = parts.len();
    for place in on_line..line.places.len() {
        parts.push(Part::Bays(bays(c, place)?));
    }
    Some(Plan { parts, on_line: parts_on_line })
}

/// One bay, one step that takes nothing but time.
fn is_station(c: &Compiled, place: usize) -> bool {
    place < c.line.on_line && c.solo[place] && c.shop.places[place].bays == 1 && c.test_at[place].is_none()
}

/// Takes nothing but time, for every unit.
fn is_free(node: &Node) -> bool {
    node.free_start && !node.gated && node.closes == 0 && node.opens == 0 && node.options == 0
}

fn bays(c: &Compiled, place: usize) -> Option<BaysPlan> {
    let shop = &c.shop;
    let stated = &shop.places[place];
    let nodes = shop.nodes_of(place);
    let node0 = stated.node0 as usize;
    let tests: Vec<usize> =
        (0..c.line.tests.len()).filter(|t| c.line.tests[*t].place.index() == place).collect();
    if stated.pushed || !nodes.iter().all(is_free) {
        return None;
    }
    if off_line(c.line, place) {
        let fixes = nodes.iter().all(|n| matches!(n.kind, NodeKind::Fix { .. }));
        let plain = fixes && tests.is_empty() && c.line.places[place].slots == 0;
        return plain.then(|| BaysPlan { place, steps: Vec::new(), test: None, off_line: true });
    }
    // One order only: every node follows the one before it.
    let chained = (0..nodes.len()).all(|k| {
        if k == 0 { stated.left0[0] == 0 } else { shop.predecessors[node0 + k].contains(&(k as u16 - 1)) }
    });
    if !stated.plain || !chained || tests.len() > 1 {
        return None;
    }
    let mut steps = Vec::new();
    for (k, node) in nodes.iter().enumerate() {
        match node.kind {
            NodeKind::Work => steps.push((node0 + k, None)),
            NodeKind::Hold { .. } => {
                steps.push((node0 + k, Some(c.hold_index[node.step as usize] as usize)));
            }
            // A verdict comes last, and judges every step of the place.
            NodeKind::Verdict { test } => {
                if k + 1 != nodes.len() || !is_plain_test(c.line, test as usize, steps.len()) {
                    return None;
                }
            }
            NodeKind::Fix { .. } => return None,
        }
    }
    if steps.is_empty() {
        return None;
    }
    Some(BaysPlan { place, steps, test: tests.first().copied(), off_line: false })
}

/// Judges `steps` steps; its fails go to a repair place and straight back, or leave the line.
fn is_plain_test(line: &Line, test: usize, steps: usize) -> bool {
    let test = &line.tests[test];
    test.steps.len() == steps
        && test.wrong == WrongVerdicts::default()
        && test.outcomes.iter().all(|o| match &o.kind {
            OutcomeKind::ToRepair { route, .. } => route.is_empty(),
            OutcomeKind::Scrapped => true,
            OutcomeKind::FixedInPlace(_) | OutcomeKind::BackTo { .. } | OutcomeKind::Retest { .. } => false,
        })
}
