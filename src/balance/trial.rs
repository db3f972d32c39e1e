//! Plans and what they are worth: loads of places for any placing of the steps, each worked out once.

use super::load::{Bench, Closely, Load, lost, window};
use super::plan::{Caps, NoPlan, Worth};
use super::rules::{Holding, groups, holdings, keeps_company, unable};
use super::samples::Samples;
use crate::line::{Line, PlaceId, StepId};
use crate::schedule::{MOST_NODES, Shop};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Loads that are kept at most; beyond that they are worked out anew.
const MOST_KEPT: usize = 200_000;

/// A place, the steps that stand there, and how closely it was looked at.
type Sight = (usize, Vec<u32>, Closely);

/// The line on trial.
pub struct Trial {
    /// Its steps stand as in the plan that is being looked at.
    line: Line,
    samples: Samples,
    caps: Caps,
    pub held: Vec<Option<Holding>>,
    /// Per step: the stations that could take it, in line order; its own always.
    pub may: Vec<Vec<PlaceId>>,
    /// Steps that move together.
    pub groups: Vec<Vec<StepId>>,
    known: BTreeMap<Sight, Rc<Load>>,
    /// Plans looked at.
    pub looks: u64,
}

impl Trial {
    /// # Errors
    /// No pace, nothing to do, or a line larger than the engine's widths.
    pub fn new(line: &Line, caps: Caps) -> Result<Trial, NoPlan> {
        let shop =
            Shop::new(line).map_err(|large| NoPlan::TooLarge { what: large.what, limit: large.limit })?;
        // Wherever its steps then stand, with a copy of each that may travel, no place is too large.
        let most = shop.places.iter().map(|place| place.nodes as usize + 2 * line.steps.len()).max();
        if most.is_some_and(|most| most > MOST_NODES) {
            return Err(NoPlan::TooLarge { what: "steps at one place", limit: MOST_NODES as u64 });
        }
        if (0..line.on_line).any(|p| window(line, PlaceId::from_index(p)).is_none()) {
            return Err(NoPlan::NoPace);
        }
        if line.steps.iter().all(|step| step.models.iter().all(|applies| !applies)) {
            return Err(NoPlan::NoWork);
        }
        let held = holdings(line);
        let may = (0..line.steps.len())
            .map(|s| match held[s] {
                Some(_) => vec![line.steps[s].place],
                None => (0..line.on_line)
                    .map(PlaceId::from_index)
                    .filter(|p| {
                        *p == line.steps[s].place || unable(line, StepId::from_index(s), *p).is_none()
                    })
                    .collect(),
            })
            .collect();
        Ok(Trial {
            samples: Samples::with_means(line),
            line: line.clone(),
            caps,
            groups: groups(line),
            held,
            may,
            known: BTreeMap::new(),
            looks: 0,
        })
    }

    /// Do followers stand at the same place or later, and is everything beside and apart as it must be?
    pub fn in_order(&self, at: &[PlaceId]) -> bool {
        keeps_company(&self.line, at)
            && self
                .line
                .steps
                .iter()
                .zip(at)
                .all(|(step, place)| step.after.iter().all(|p| at[p.index()] <= *place))
    }

    /// Loads of all places on the line with work, by place.
    pub fn loads(&mut self, at: &[PlaceId], closely: Closely) -> Vec<Rc<Load>> {
        self.looks += 1;
        let mut steps_at: Vec<Vec<u32>> = vec![Vec::new(); self.line.on_line];
        for (step, place) in at.iter().enumerate() {
            if place.index() < self.line.on_line {
                steps_at[place.index()].push(step as u32);
            }
        }
        let mut sights: Vec<Sight> = Vec::new();
        for (place, steps) in steps_at.into_iter().enumerate() {
            if !steps.is_empty() {
                sights.push((place, steps, closely));
            }
        }
        if self.known.len() + sights.len() > MOST_KEPT {
            self.known.clear();
        }
        if sights.iter().any(|sight| !self.known.contains_key(sight)) {
            self.line.place_steps(at);
            let shop = Shop::new(&self.line).expect("room for every step at every place was looked at");
            let bench = Bench::new(&self.line, &shop, &self.samples, closely);
            for sight in &sights {
                if !self.known.contains_key(sight) {
                    let load = bench.load(sight.0).expect("a pace is stated");
                    self.known.insert(sight.clone(), Rc::new(load));
                }
            }
        }
        sights.iter().map(|sight| Rc::clone(&self.known[sight])).collect()
    }

    pub fn worth(&mut self, at: &[PlaceId], closely: Closely) -> Worth {
        let loads = self.loads(at, closely);
        worth_of(&self.line, &loads, self.caps)
    }
}

/// Labour of a crew per unit over the time it has for one, for every crew that serves several bays or
/// places: it can be short of time where no single unit is late.
pub fn crew_shares(line: &Line, loads: &[Rc<Load>]) -> Vec<f64> {
    let share_of = |crew: &crate::line::Crew| -> f64 {
        let here = loads.iter().filter(|load| crew.places.contains(&load.place));
        here.map(|load| {
            let bays = f64::from(line.places[load.place.index()].bays);
            load.mean_labour(line) * bays / (f64::from(crew.size().max(1)) * load.window)
        })
        .sum()
    };
    let is_shared = |crew: &&crate::line::Crew| {
        let bays: u32 = crew.places.iter().map(|p| line.places[p.index()].bays).sum();
        !crew.per_bay && bays > 1
    };
    line.crews.iter().filter(is_shared).map(share_of).collect()
}

/// Of the places' loads; racks and repair bays don't count.
pub fn worth_of(line: &Line, loads: &[Rc<Load>], caps: Caps) -> Worth {
    let mut worth = Worth { over: 0.0, largest: 0.0, pace: 0.0, stations: 0, smoothness: 0.0, squares: 0.0 };
    let mut shares = Vec::new();
    for load in loads {
        let place = &line.places[load.place.index()];
        if !place.is_station() {
            continue;
        }
        let bays = f64::from(place.bays);
        let index = lost(line, load.place);
        let mix = load.mean_share_with_retests(line);
        worth.over += (mix - caps.mix).max(0.0);
        worth.pace = worth.pace.max((mix * load.window / caps.mix + index) / bays);
        for time in load.with_retests.iter().flatten() {
            worth.over += (time / load.window - caps.model).max(0.0);
            worth.pace = worth.pace.max((time / caps.model + index) / bays);
        }
        worth.largest = worth.largest.max(mix);
        worth.squares += mix * mix;
        worth.stations += 1;
        shares.push(mix);
    }
    worth.over += crew_shares(line, loads).into_iter().map(|s| (s - caps.mix).max(0.0)).sum::<f64>();
    worth.smoothness = shares.iter().map(|s| (worth.largest - s) * (worth.largest - s)).sum::<f64>().sqrt();
    worth
}
