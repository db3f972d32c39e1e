//! How long a task takes when more people share it than it needs.

use super::compiled::Compiled;
use super::lengths::Start;
use crate::draws::{Purpose, Sampler, Stream};
use crate::line::{Line, SharedBy};
use crate::schedule::Shop;

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
            let step = line.steps.get(node.step as usize).filter(|_| !node.most.is_empty());
            for model in 0..shop.models {
                times.push(step.and_then(|step| {
                    let time = &step.times[model];
                    Some(SharedTime {
                        sampler: Sampler::new(&time.dist),
                        factor: time.factor * faster(place),
                        stream: stream(Purpose::TaskTime, &step.draws_as),
                        by: &step.shared.as_ref()?.by,
                        needed: node.heads[model],
                    })
                }));
            }
        }
    }
    times
}

impl SharedTime<'_> {
    /// Microseconds, not rounded.
    fn micros(&self, (replication, unit, visit): Start, people: u32) -> f64 {
        let drawn = self.sampler.draw(&self.stream.of_replication(replication), unit, visit);
        self.by.time(drawn, self.needed, people) * self.factor
    }
}

impl Compiled<'_> {
    /// Microseconds, not rounded, of a (node of the shop, model) that more people share than it needs.
    pub(super) fn shared_micros(&self, at: usize, start: Start, people: u32) -> f64 {
        let time = self.shared[at].as_ref();
        time.expect("only a node that may be shared takes more people than it needs").micros(start, people)
    }
}
