//! How long a task takes when more people share it than it needs.

use super::compiled::Compiled;
use super::lengths::Start;
use crate::draws::{Purpose, Sampler, Stream};
use crate::line::{Line, SharedBy};
use crate::schedule::{Node, NodeKind, Shop};

/// The time of a node that may be shared, for one model.
#[derive(Clone, Debug)]
pub struct SharedTime<'a> {
    sampler: Sampler,
    factor: f64,
    stream: Stream,
    by: &'a SharedBy,
    needed: u32,
}

/// Per (node of the shop, model); empty where nothing is shared. `faster` is the factor on a place's
/// attended times.
pub fn shared_times<'a>(
    line: &'a Line,
    shop: &Shop,
    faster: &impl Fn(usize) -> f64,
    stream: &impl Fn(Purpose, &str) -> Stream,
) -> Vec<Option<SharedTime<'a>>> {
    if !shop.has_shared {
        return Vec::new();
    }
    let mut times = Vec::with_capacity(shop.nodes.len() * shop.models);
    for place in 0..line.places.len() {
        for node in shop.nodes_of(place) {
            // What may be begun early is work of the next place.
            let faster = faster(place + usize::from(node.early));
            let time = |model: usize| shared_time(line, node, model, faster, stream);
            times.extend((0..shop.models).map(|model| time(model).filter(|_| !node.most.is_empty())));
        }
    }
    times
}

/// What a node takes and how people share it; `None` where nobody does.
fn shared_time<'a>(
    line: &'a Line,
    node: &Node,
    model: usize,
    faster: f64,
    stream: &impl Fn(Purpose, &str) -> Stream,
) -> Option<SharedTime<'a>> {
    if let NodeKind::Fix { test, outcome } = node.kind {
        let test = &line.tests[usize::from(test)];
        let fix = test.outcomes[usize::from(outcome)].kind.fix()?;
        return Some(SharedTime {
            sampler: Sampler::new(&fix.time),
            factor: faster,
            stream: stream(Purpose::RepairTime, &test.draws_as),
            by: &fix.shared.as_ref()?.by,
            needed: node.heads[model],
        });
    }
    let step = line.steps.get(node.step as usize)?;
    // Done elsewhere it takes the factor of its way instead.
    let faster = step.travel.filter(|_| node.brought).map_or(faster, |travel| travel.factor);
    let redo = node.copy_of_window.and_then(|window| line.windows[usize::from(window)].redo_of(node.step));
    let own = &step.times[model];
    // A redo with a time of its own has no factor of its model or station.
    let (dist, factor) =
        redo.and_then(|w| w.redo_time.as_ref()).map_or((&own.dist, own.factor), |d| (d, 1.0));
    let own = redo.is_none_or(|window| window.redo_needs.is_none());
    let shared = if own { step.shared.as_ref() } else { redo.and_then(|w| w.redo_shared.as_ref()) };
    Some(SharedTime {
        sampler: Sampler::new(dist),
        factor: factor * faster,
        stream: stream(Purpose::TaskTime, &step.draws_as),
        by: &shared?.by,
        needed: node.heads[model],
    })
}

impl SharedTime<'_> {
    /// Microseconds, not rounded.
    fn micros(&self, start: Start, people: u32) -> f64 {
        let stream = self.stream.of_replication(start.replication);
        let drawn = self.sampler.draw_with(&stream, (start.unit, start.visit), start.more);
        self.by.time(drawn, self.needed, people) * self.factor
    }
}

impl Compiled<'_> {
    /// Microseconds, not rounded, of a (node of the shop, model) that more people share than it needs.
    pub(super) fn shared_micros(&self, at: usize, start: Start, people: u32) -> f64 {
        let time = self.shared[at].as_ref();
        time.expect("only a node that may be shared takes more people than it needs").micros(start, people)
    }

    /// What the time of a (node of the shop, model) for as many as it names becomes when more share it, as a share of it.
    pub(super) fn share_of_time(&self, at: usize, start: Start, (people, named): (u32, u32)) -> f64 {
        let whole = self.shared_micros(at, start, named);
        if whole > 0.0 { self.shared_micros(at, start, people) / whole } else { 1.0 }
    }
}
