//! Loads: how long one unit keeps a place, against the place's window.
//!
//! The load of a model is the mean makespan of its steps with the full crew, holds included; exact
//! where it is a plain sum or nothing is drawn, otherwise over 2,000 fixed keyed draws (the makespan
//! at mean times is smaller: Jensen's inequality for a maximum). Beside it stands the load with
//! retests: expected further attempts, fixes in place and work sent back multiplied in.

use super::chance::Late;
use super::fails;
use super::retests::mean_of_fix;
pub(super) use super::samples::Closely;
use super::samples::Samples;
pub(super) use super::window::lost;
pub use super::window::window;
use crate::diagnostic::{Diagnostic, words};
use crate::draws::moments::mean;
use crate::line::{Line, OutcomeKind, PlaceId, StepId};
use crate::schedule::{Alone, FIRST_OF_LOT, NodeKind, Shop, remaining_paths};
use rayon::prelude::*;

/// Fixed draws behind a load that is no plain sum.
pub(super) const DRAWS: u64 = 2_000;
/// As many of them as steer a search.
const FEW_DRAWS: u64 = 200;

/// One place on the line.
#[derive(Clone, PartialEq, Debug)]
pub struct Load {
    pub place: PlaceId,
    /// Bays x pace, less the index where units are pushed; microseconds.
    pub window: f64,
    /// Per model: mean makespan of one pass, microseconds; `None` where it has no work there.
    pub elapsed: Vec<Option<f64>>,
    /// Per model: the same with retests, fixes in place and work sent back.
    pub with_retests: Vec<Option<f64>>,
    /// Per model: mean of people x time of one pass, person-microseconds.
    pub labour: Vec<f64>,
    /// Per model with work, where a cap on chance is asked for: how often it is late; otherwise empty.
    pub late: Vec<Option<Late>>,
    /// No draws were needed.
    pub exact: bool,
}

impl Load {
    /// Share of the window, 0..1 and above, of one pass.
    pub fn share(&self, model: usize) -> Option<f64> {
        self.elapsed[model].map(|t| t / self.window)
    }

    /// Weighted by the models' shares, one pass.
    pub fn mean_share(&self, line: &Line) -> f64 {
        weighted(line, &self.elapsed) / self.window
    }

    /// Weighted by the models' shares, person-microseconds of one pass.
    pub fn mean_labour(&self, line: &Line) -> f64 {
        line.models.iter().zip(&self.labour).map(|(m, labour)| m.share * labour).sum()
    }

    /// Weighted by the models' shares, with retests.
    pub fn mean_share_with_retests(&self, line: &Line) -> f64 {
        weighted(line, &self.with_retests) / self.window
    }
}

fn weighted(line: &Line, times: &[Option<f64>]) -> f64 {
    line.models.iter().zip(times).map(|(m, t)| m.share * t.unwrap_or(0.0)).sum()
}

/// Work of one unit of a model over the whole line, one pass, microseconds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WorkContent {
    /// Sum of mean time x people.
    pub labour: f64,
    /// Sum over the stations of the mean time a unit is there (racks left out); of lanes, by the share that takes them.
    pub elapsed: f64,
}

/// Per model, from the loads of `loads`.
pub fn work_content(line: &Line, loads: &[Load]) -> Vec<WorkContent> {
    let on_line = || loads.iter().filter(|load| load.place.index() < line.on_line);
    (0..line.models.len())
        .map(|m| WorkContent {
            labour: on_line().map(|l| l.labour[m]).sum(),
            elapsed: on_line()
                .filter(|l| line.places[l.place.index()].is_station())
                .filter_map(|l| Some(l.elapsed[m]? * line.lane_share(l.place, m)))
                .sum(),
        })
        .collect()
}

/// Loads of every place of the line and its feeders that has steps; empty where the line states no pace or is larger
/// than the engine's widths (a run says so).
pub fn loads(line: &Line) -> Vec<Load> {
    let Ok(shop) = Shop::new(line) else { return Vec::new() };
    let samples = Samples::of(line);
    let bench = Bench::new(line, &shop, &samples, Closely::Exactly, None);
    let places: Vec<usize> = (0..line.places.len()).filter(|p| shop.places[*p].nodes > 0).collect();
    places.into_par_iter().filter_map(|p| bench.load(p)).collect()
}

/// A station over its window on average for some model.
pub fn doubts(line: &Line, loads: &[Load]) -> Vec<Diagnostic> {
    let mut doubts = Vec::new();
    for load in loads {
        let place = &line.places[load.place.index()];
        let mut over = |whom: &str, elapsed: f64| {
            let (elapsed, window) = (elapsed / 60e6, load.window / 60e6);
            doubts.push(words::plan::over_window(place.span, &place.name, whom, elapsed, window));
        };
        // A feeder's store makes up for a part that takes longer than others.
        if line.feeder_at(load.place).is_some() {
            let share = load.mean_share(line);
            if share > 1.0 {
                over("a part", share * load.window);
            }
            continue;
        }
        for (m, model) in line.models.iter().enumerate() {
            if let (Some(elapsed), Some(share)) = (load.elapsed[m], load.share(m))
                && share > 1.0
            {
                over(&model.name, elapsed);
            }
        }
    }
    doubts
}

/// Mean length of a step for a model, microseconds.
pub fn mean_length(line: &Line, step: usize, model: usize) -> i64 {
    let time = &line.steps[step].times[model];
    whole_length(line, step, mean(&time.dist) * time.factor)
}

/// A mean in whole microseconds, of a hold not less than its minimum.
fn whole_length(line: &Line, step: usize, mean: f64) -> i64 {
    (mean.round_ties_even() as i64).max(line.steps[step].hold().map_or(0, |h| h.minimum.0))
}

/// One way to place the steps, and how closely to look at it.
pub(super) struct Bench<'a> {
    pub(super) line: &'a Line,
    pub(super) shop: &'a Shop,
    pub(super) samples: &'a Samples,
    pub(super) path: Vec<i64>,
    pub(super) closely: Closely,
    /// The share of units that shall keep the window, if that is asked for.
    chance: Option<f64>,
}

impl<'a> Bench<'a> {
    pub(super) fn new(
        line: &'a Line,
        shop: &'a Shop,
        samples: &'a Samples,
        closely: Closely,
        chance: Option<f64>,
    ) -> Bench<'a> {
        let path =
            remaining_paths(shop, |step, model| whole_length(line, step, samples.mean(line, step, model)));
        Bench { line, shop, samples, path, closely, chance }
    }

    /// `None` where the line states no pace.
    pub(super) fn load(&self, place: usize) -> Option<Load> {
        let mut load = Load {
            place: PlaceId::from_index(place),
            window: window(self.line, PlaceId::from_index(place))?,
            elapsed: Vec::new(),
            with_retests: Vec::new(),
            labour: Vec::new(),
            late: Vec::new(),
            exact: true,
        };
        let all = |_: usize| true;
        for model in 0..self.line.models.len() {
            let works = self.has_work(place, model);
            let once = if works { self.makespan(place, model, &all, &mut load.exact) } else { 0.0 };
            let extra = self.retests(place, model, &mut load.exact);
            load.elapsed.push(works.then_some(once));
            load.with_retests.push((works || extra > 0.0).then_some(once + extra));
            load.labour.push(self.labour(place, model));
            if let Some(kept) = self.chance {
                let late = || self.late(place, model, (once, load.window), kept);
                load.late.push(works.then(late));
            }
        }
        Some(load)
    }

    fn labour(&self, place: usize, model: usize) -> f64 {
        let nodes = self.shop.nodes_of(place).iter().filter(|n| n.step != u32::MAX && !n.dormant);
        let own = nodes.map(|n| (n.step as usize, &self.line.steps[n.step as usize]));
        let own = own.filter(|(_, s)| s.models[model]);
        own.map(|(s, step)| {
            let heads: u32 = step.needs[model].iter().map(|n| n.count).sum();
            let taken = self.line.share_with(step, model);
            f64::from(heads) * self.samples.mean(self.line, s, model) * taken
        })
        .sum()
    }

    /// Mean makespan of the steps of a place that `done_here` says are done, microseconds; of a feeder's parts, the
    /// mean over a lot.
    fn makespan(
        &self,
        place: usize,
        model: usize,
        done_here: &dyn Fn(usize) -> bool,
        exact: &mut bool,
    ) -> f64 {
        let first = self.makespan_of(place, model, done_here, exact);
        let once = |step: usize| self.line.steps[step].once_a_lot;
        let mut here = self.shop.nodes_of(place).iter().filter(|node| node.step != u32::MAX);
        let lot = self.line.feeder_at(PlaceId::from_index(place)).and_then(|feeder| feeder.lot);
        let Some(lot) = lot.filter(|_| here.any(|node| once(node.step as usize))) else { return first };
        let other = self.makespan_of(place, model, &|step| done_here(step) && !once(step), exact);
        (first + other * f64::from(lot - 1)) / f64::from(lot)
    }

    fn makespan_of(
        &self,
        place: usize,
        model: usize,
        done_here: &dyn Fn(usize) -> bool,
        exact: &mut bool,
    ) -> f64 {
        let nodes = self.shop.nodes_of(place);
        let applies = |k: usize| {
            nodes[k].step != u32::MAX
                && nodes[k].models >> model & 1 == 1
                && done_here(nodes[k].step as usize)
                && !self.moves_on(place, k)
        };
        let drawn = |k: usize| {
            applies(k)
                && !nodes[k].dormant
                && self.line.steps[nodes[k].step as usize].times[model].dist.as_constant().is_none()
        };
        let optional = (0..nodes.len()).any(|k| applies(k) && nodes[k].options & !FIRST_OF_LOT != 0);
        if !optional && self.is_plain_sum(place, model, &applies) {
            return (0..nodes.len())
                .filter(|k| applies(*k) && !nodes[*k].dormant)
                .map(|k| self.samples.mean(self.line, nodes[k].step as usize, model))
                .sum();
        }
        if self.closely == Closely::AtMeans {
            return self.at_means(place, model, &applies);
        }
        let all = if self.closely == Closely::Nearly { FEW_DRAWS } else { DRAWS };
        let draws = if optional || (0..nodes.len()).any(drawn) { all } else { 1 };
        *exact &= draws == 1;
        let mut sum = 0.0;
        self.draw_each(place, model, 0..draws, &applies, |time| sum += time as f64);
        sum / draws as f64
    }

    /// The makespan with every length at its mean, work of options at the share of units that have it.
    fn at_means(&self, place: usize, model: usize, applies: &dyn Fn(usize) -> bool) -> f64 {
        let nodes = self.shop.nodes_of(place);
        let share = |o: usize| match self.line.options[o].models[model] {
            true => self.line.options[o].rate,
            false => 0.0,
        };
        let lengths: Vec<i64> = (0..nodes.len())
            .map(|k| {
                if !applies(k) {
                    return 0;
                }
                let taken: f64 = (0..self.line.options.len())
                    .filter(|o| nodes[k].options >> o & 1 == 1)
                    .map(share)
                    .product();
                let step = nodes[k].step as usize;
                let time = &self.line.steps[step].times[model];
                let mean = self.samples.means[step][model] as f64 * (time.factor / time.own);
                (mean * taken).round_ties_even() as i64
            })
            .collect();
        let length = |local: usize, people: u32| self.shared(place, local, model, people, lengths[local]);
        Alone::new(self.shop, self.path.clone()).makespan(place, (model, u64::MAX), length) as f64
    }

    /// A length with more people than it needs at least, where it is shared among whoever is free.
    pub(super) fn shared(&self, place: usize, local: usize, model: usize, people: u32, length: i64) -> i64 {
        let node = &self.shop.nodes_of(place)[local];
        let needed = node.heads[model];
        let step = self.line.steps.get(node.step as usize);
        match step.filter(|_| people > needed).and_then(|step| step.shared.as_ref().zip(Some(step))) {
            // Exact to the microsecond that its rounded length is.
            Some((shared, step)) => {
                let factor = step.times[model].factor;
                (shared.by.time(length as f64 / factor, needed, people) * factor).round_ties_even() as i64
            }
            None => length,
        }
    }

    /// Never two steps at once: then the makespan is the sum of the times.
    pub(super) fn is_plain_sum(&self, place: usize, model: usize, applies: &dyn Fn(usize) -> bool) -> bool {
        let (nodes, walk) = (self.shop.nodes_of(place), self.shop.places[place].walk);
        let gang = &self.shop.gangs[self.shop.places[place].gang0 as usize];
        let alone = |k: usize| {
            matches!(nodes[k].kind, NodeKind::Work)
                && nodes[k].heads[model] as usize == gang.own()
                && gang.own() > 0
        };
        walk == 0 && (0..nodes.len()).filter(|k| applies(*k) && !nodes[*k].dormant).all(alone)
    }

    /// Expected further time at this place for further attempts, fixes and work sent back.
    fn retests(&self, place: usize, model: usize, exact: &mut bool) -> f64 {
        let mut extra = fails::let_through(self.line, place, model);
        for (t, test) in self.line.tests.iter().enumerate() {
            let fails = fails::expected_fails(self.line, t, model);
            if fails == 0.0 {
                continue;
            }
            let inside = |step: usize| test.steps.contains(&StepId::from_index(step));
            for outcome in &test.outcomes {
                let times = fails * outcome.share;
                let again = match &outcome.kind {
                    OutcomeKind::Scrapped => 0.0,
                    OutcomeKind::FixedInPlace(_)
                    | OutcomeKind::BackTo { .. }
                    | OutcomeKind::ToRepair { .. }
                    | OutcomeKind::Retest { .. } => 1.0,
                };
                if test.place.index() == place {
                    extra += times * again * self.makespan(place, model, &inside, exact);
                }
                match &outcome.kind {
                    OutcomeKind::FixedInPlace(fix) if test.place.index() == place => {
                        extra += times * mean_of_fix(fix, model)
                    }
                    OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => {
                        for visit in route.iter().filter(|v| v.place.index() == place) {
                            let redone = |step: usize| visit.redo.contains(&StepId::from_index(step));
                            extra += times * self.makespan(place, model, &redone, exact);
                        }
                    }
                    OutcomeKind::FixedInPlace(_) | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => {}
                }
            }
        }
        extra
    }
}
