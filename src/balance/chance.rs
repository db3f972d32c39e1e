//! How often a unit takes longer than its window: the share of the fixed draws of a station and model, and the time
//! that all but the share allowed keep. One pass, without retests.

use super::load::{Bench, Closely, DRAWS, window};
use super::samples::{Held, Samples};
use crate::draws::moments::variance;
use crate::line::{Line, PlaceId};
use crate::numbers::normal;
use crate::schedule::{Alone, Shop};
use std::ops::Range;

/// Units of one model at a place.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Late {
    /// All but so many of the draws as the cap allows take no longer, microseconds.
    pub time: f64,
    /// Share of the draws over the window.
    pub over: f64,
    /// The same by the normal sum of its tasks, where they follow one another: the textbook's figure.
    pub normal: Option<f64>,
}

/// Draws that may be over the window where a share `kept` of the units shall keep it: two standard errors less than
/// the share itself allows, so that a plan is not chosen for the luck of its draws.
pub fn draws_allowed(kept: f64) -> usize {
    let draws = DRAWS as f64;
    let expected = draws * (1.0 - kept);
    (expected - 2.0 * libm::sqrt(expected * kept)).max(0.0) as usize
}

/// Share of fresh draws of one pass over the window, for every station with work and model; `seed` from 1 on, each
/// 2,000 draws of its own. For checking a plan on draws it was not chosen by.
pub fn shares_over(line: &Line, seed: u64) -> Vec<(PlaceId, Vec<Option<f64>>)> {
    let Ok(shop) = Shop::new(line) else { return Vec::new() };
    let samples = Samples::seeded(line, seed);
    let bench = Bench::new(line, &shop, &samples, Closely::Exactly, None);
    let stations = (0..line.on_line).filter(|p| shop.places[*p].nodes > 0 && line.places[*p].is_station());
    let of = |place: usize| {
        let window = window(line, PlaceId::from_index(place))?;
        let share = |model: usize| {
            bench.has_work(place, model).then(|| share_over(&bench.all_draws(place, model), window))
        };
        Some((PlaceId::from_index(place), (0..line.models.len()).map(share).collect()))
    };
    stations.filter_map(of).collect()
}

/// A microsecond is rounding.
fn share_over(times: &[i64], window: f64) -> f64 {
    times.iter().filter(|time| **time as f64 > window + 1.0).count() as f64 / times.len() as f64
}

impl Bench<'_> {
    /// How often units of a model are late at a place, if a share `kept` shall not be.
    pub(super) fn late(&self, place: usize, model: usize, (elapsed, window): (f64, f64), kept: f64) -> Late {
        let sd = self.sd_of_sum(place, model);
        let allowed = draws_allowed(kept);
        if self.closely != Closely::Exactly {
            // A guess that steers: as if the schedule spread as its labour does.
            let z = normal::upper_quantile((allowed as f64).max(0.5) / DRAWS as f64);
            return Late { time: elapsed + z * sd, over: 0.0, normal: None };
        }
        let mut times = self.all_draws(place, model);
        times.sort_unstable();
        let time = times[times.len() - 1 - allowed.min(times.len() - 1)] as f64;
        let over = share_over(&times, window);
        let normal = self.is_sum(place, model).then(|| match sd > 0.0 {
            true => normal::tail((window - elapsed) / sd),
            false => f64::from(u8::from(elapsed > window + 1.0)),
        });
        Late { time, over, normal }
    }

    /// A hold that may move and that nothing here follows keeps no unit.
    pub(super) fn moves_on(&self, place: usize, local: usize) -> bool {
        let step = self.line.steps.get(self.shop.nodes_of(place)[local].step as usize);
        let may_move = step.and_then(|step| step.hold()).is_some_and(|hold| hold.may_move);
        let at = self.shop.places[place].node0 as usize + local;
        may_move && self.shop.successors[at].is_empty()
    }

    /// Makespans of one pass over all fixed draws, microseconds.
    fn all_draws(&self, place: usize, model: usize) -> Vec<i64> {
        let nodes = self.shop.nodes_of(place);
        let applies = |k: usize| {
            nodes[k].step != u32::MAX && nodes[k].models >> model & 1 == 1 && !self.moves_on(place, k)
        };
        let mut times = Vec::with_capacity(DRAWS as usize);
        self.draw_each(place, model, 0..DRAWS, &applies, |time| times.push(time));
        times
    }

    /// Schedules one draw after the other.
    pub(super) fn draw_each(
        &self,
        place: usize,
        model: usize,
        draws: Range<u64>,
        applies: &dyn Fn(usize) -> bool,
        mut take: impl FnMut(i64),
    ) {
        let nodes = self.shop.nodes_of(place);
        let asks = nodes.iter().any(|node| node.options != 0);
        let mut alone = Alone::new(self.shop, self.path.clone());
        let mut held = Held::new();
        let mut lengths = vec![0i64; nodes.len()];
        for k in draws {
            for (local, node) in nodes.iter().enumerate() {
                lengths[local] = if applies(local) {
                    self.samples.length(self.line, node.step as usize, model, k, &mut held)
                } else {
                    0
                };
            }
            let options = if asks { self.samples.options(self.line, model, k) } else { 0 };
            let length = |local: usize, people: u32| self.shared(place, local, model, people, lengths[local]);
            take(alone.makespan(place, (model, options), length));
        }
    }

    /// The steps of a model at a place that are done in one pass.
    fn steps_of(&self, place: usize, model: usize) -> impl Iterator<Item = usize> + '_ {
        let nodes = self.shop.nodes_of(place).iter();
        let own = nodes.filter(move |n| n.step != u32::MAX && !n.dormant && n.models >> model & 1 == 1);
        own.map(|n| n.step as usize)
    }

    pub(super) fn has_work(&self, place: usize, model: usize) -> bool {
        self.steps_of(place, model).next().is_some()
    }

    /// No work of options, and one task after the other.
    fn is_sum(&self, place: usize, model: usize) -> bool {
        let nodes = self.shop.nodes_of(place);
        let applies = |k: usize| nodes[k].step != u32::MAX && nodes[k].models >> model & 1 == 1;
        (0..nodes.len()).all(|k| !applies(k) || nodes[k].options == 0)
            && self.is_plain_sum(place, model, &applies)
    }

    /// Standard deviation of the sum of the tasks, each by the share of the crew that it takes, microseconds.
    fn sd_of_sum(&self, place: usize, model: usize) -> f64 {
        let crew = self.line.places[place].crew.map_or(1, |crew| self.line.crews[crew.index()].size());
        let of = |step: usize| {
            let it = &self.line.steps[step];
            let heads: u32 = it.needs[model].iter().map(|need| need.count).sum();
            let share = f64::from(heads.max(1)) / f64::from(crew.max(1));
            variance(&it.times[model].dist) * it.times[model].factor * it.times[model].factor * share
        };
        libm::sqrt(self.steps_of(place, model).map(of).sum())
    }
}
