//! Plans and what they are worth: loads of places for any placing of the steps, each worked out once.

use super::load::{Bench, Closely, Load, lost, window};
use super::people::people;
use super::plan::{Caps, NoPlan, Worth};
use super::rules::{Holding, groups, holdings, keeps_company, unable};
use super::samples::Samples;
use crate::line::{Line, PlaceId, StepId};
use crate::schedule::{MOST_NODES, Shop, Spare};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Loads that are kept at most; beyond that they are worked out anew.
const MOST_KEPT: usize = 200_000;

/// Stations of a wide line that bind most and are looked at for changes.
const MOST_BINDING: usize = 4;

/// The loads of a place by the steps that stand there, in file order.
type Known = BTreeMap<Vec<u32>, Rc<Load>>;

/// A plan and the loads of its places.
pub struct Seen {
    at: Vec<PlaceId>,
    steps: Vec<Vec<u32>>,
    loads: Vec<Option<Rc<Load>>>,
}

impl Seen {
    /// Of all places on the line with work, by place.
    pub fn loads(&self) -> Vec<Rc<Load>> {
        self.loads.iter().flatten().map(Rc::clone).collect()
    }
}

/// The line on trial.
pub struct Trial {
    /// The steps of the place that was looked at last stand there; others wherever they were looked at.
    pub(super) line: Line,
    /// Tasks that may take one of several sides take the one that the file has.
    pub(super) as_stated: bool,
    /// A station's pace counts for more than what it is over its caps.
    pub pace_first: bool,
    /// Some station had too many ways to take sides for all of them to be looked at.
    pub guessed: bool,
    samples: Samples,
    /// Per place: as it was looked at last.
    shops: Vec<Option<Shop>>,
    spare: Spare,
    pub(super) caps: Caps,
    pub held: Vec<Option<Holding>>,
    /// Per step: the stations that could take it, in line order; its own always.
    pub may: Vec<Vec<PlaceId>>,
    /// Steps that move together.
    pub groups: Vec<Vec<StepId>>,
    /// Per step: no factor of a station acts on it.
    guarded: Vec<bool>,
    /// Per place, by how closely it was looked at.
    known: Vec<[Known; 3]>,
    kept: usize,
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
            shops: vec![None; line.on_line],
            spare: Spare::of(line),
            line: line.clone(),
            as_stated: false,
            pace_first: false,
            guessed: false,
            caps,
            groups: groups(line),
            held,
            may,
            guarded: (0..line.steps.len()).map(|step| line.is_guarded(step)).collect(),
            known: vec![Default::default(); line.on_line],
            kept: 0,
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
        self.see(at, closely).loads()
    }

    /// The loads of a plan, for looking at changes of it.
    pub fn see(&mut self, at: &[PlaceId], closely: Closely) -> Seen {
        let steps = self.steps_at(at);
        let mut load = |(place, steps): (usize, &Vec<u32>)| {
            (!steps.is_empty()).then(|| self.load(PlaceId::from_index(place), steps, closely))
        };
        let loads = steps.iter().enumerate().map(&mut load).collect();
        Seen { at: at.to_vec(), steps, loads }
    }

    /// What a plan is worth with a change: only the places that the change touches are looked at anew.
    pub fn worth_with(
        &mut self,
        seen: &Seen,
        moved: &[(StepId, PlaceId, PlaceId)],
        closely: Closely,
    ) -> Worth {
        self.looks += 1;
        let mut touched: Vec<usize> =
            moved.iter().flat_map(|(step, _, to)| [seen.at[step.index()].index(), to.index()]).collect();
        touched.sort_unstable();
        touched.dedup();
        let mut loads = seen.loads.clone();
        for place in touched {
            let goes = |step: u32| moved.iter().any(|(s, ..)| s.index() == step as usize);
            let mut steps: Vec<u32> = seen.steps[place].iter().copied().filter(|s| !goes(*s)).collect();
            let come = moved.iter().filter(|(.., to)| to.index() == place);
            steps.extend(come.map(|(step, ..)| step.index() as u32));
            steps.sort_unstable();
            let load = |trial: &mut Trial| trial.load(PlaceId::from_index(place), &steps, closely);
            loads[place] = (!steps.is_empty()).then(|| load(self));
        }
        let loads: Vec<Rc<Load>> = loads.into_iter().flatten().collect();
        worth_of(&self.line, &loads, self.caps)
    }

    /// Per place: it is one of the few that bind most: that need the longest pace, or whose crew is over its cap.
    pub fn binding(&mut self, at: &[PlaceId], closely: Closely) -> Vec<bool> {
        let mut loads = self.see(at, closely).loads();
        let mut binding = vec![false; self.line.on_line];
        for (crew, share) in shared_crews(&self.line).zip(crew_shares(&self.line, &loads)) {
            if share > self.caps.mix {
                crew.places.iter().for_each(|p| binding[p.index()] = true);
            }
        }
        loads.retain(|load| self.line.places[load.place.index()].is_station());
        let full = |load: &Load| {
            load.mean_share_with_retests(&self.line).max(pace_of(&self.line, load, self.caps) / load.window)
        };
        loads.sort_by(|a, b| full(b).total_cmp(&full(a)).then(a.place.cmp(&b.place)));
        loads.iter().take(MOST_BINDING).for_each(|load| binding[load.place.index()] = true);
        binding
    }

    /// The steps of each place on the line, in file order.
    pub fn steps_at(&self, at: &[PlaceId]) -> Vec<Vec<u32>> {
        let mut steps_at: Vec<Vec<u32>> = vec![Vec::new(); self.line.on_line];
        for (step, place) in at.iter().enumerate() {
            if place.index() < self.line.on_line {
                steps_at[place.index()].push(step as u32);
            }
        }
        steps_at
    }

    /// The load of a place with these steps, in file order.
    pub fn load(&mut self, place: PlaceId, steps: &[u32], closely: Closely) -> Rc<Load> {
        let known = match closely {
            Closely::AtMeans => 0,
            Closely::Nearly => 1,
            Closely::Exactly => 2,
        };
        if let Some(load) = self.known[place.index()][known].get(steps) {
            return Rc::clone(load);
        }
        if self.kept >= MOST_KEPT {
            self.forget();
        }
        let own: Vec<usize> = steps.iter().map(|step| *step as usize).collect();
        self.put(place, &own);
        let load = Rc::new(self.on_best_sides(place, &own, closely).0);
        self.known[place.index()][known].insert(steps.to_vec(), Rc::clone(&load));
        self.kept += 1;
        load
    }

    /// These steps stand at the place.
    pub(super) fn put(&mut self, place: PlaceId, own: &[usize]) {
        own.iter().for_each(|step| self.line.place_step(*step, place, self.guarded[*step]));
    }

    /// The load of a place with these steps, which stand there, on the sides where they are.
    pub(super) fn load_as_it_is(&mut self, place: PlaceId, own: &[usize], closely: Closely) -> Load {
        let (line, p) = (&self.line, place.index());
        let shop = match &mut self.shops[p] {
            Some(shop) => shop.refill(line, p, own, &mut self.spare).map(|()| shop),
            none => Shop::of_place(line, p, own, &mut self.spare).map(|shop| none.insert(shop)),
        };
        let shop: &Shop = shop.expect("room for every step at every place was looked at");
        let bench = Bench::new(&self.line, shop, &self.samples, closely, self.caps.chance);
        bench.load(place.index()).expect("a pace is stated")
    }

    /// Nothing is known of any load any more.
    pub(super) fn forget(&mut self) {
        self.known.iter_mut().flatten().for_each(BTreeMap::clear);
        self.kept = 0;
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
            let offered = load.window * line.share_of_lane(load.place);
            load.mean_labour(line) * bays / (f64::from(crew.size().max(1)) * offered)
        })
        .sum()
    };
    shared_crews(line).map(share_of).collect()
}

/// Crews that serve several bays or places, by number.
fn shared_crews(line: &Line) -> impl Iterator<Item = &crate::line::Crew> {
    line.crews.iter().filter(|crew| {
        let bays: u32 = crew.places.iter().map(|p| line.places[p.index()].bays).sum();
        !crew.per_bay && bays > 1
    })
}

/// The shortest pace at which a place keeps its caps, microseconds.
pub fn pace_of(line: &Line, load: &Load, caps: Caps) -> f64 {
    let bays = f64::from(line.places[load.place.index()].bays);
    let index = lost(line, load.place);
    let mix = load.mean_share_with_retests(line);
    let models = load.with_retests.iter().flatten().map(|time| (time / caps.model + index) / bays);
    let late = load.late.iter().flatten().map(|late| (late.time + index) / bays);
    // In a lane only a share of the units comes.
    let of_those = models.chain(late).fold((mix * load.window / caps.mix + index) / bays, f64::max);
    of_those * line.share_of_lane(load.place)
}

/// What a place is over its caps, in windows.
pub fn over_of(line: &Line, load: &Load, caps: Caps) -> f64 {
    let mut over = (load.mean_share_with_retests(line) - caps.mix).max(0.0);
    for time in load.with_retests.iter().flatten() {
        over += (time / load.window - caps.model).max(0.0);
    }
    for late in load.late.iter().flatten() {
        over += (late.time / load.window - 1.0).max(0.0);
    }
    over
}

/// Of the places' loads; racks and repair bays don't count.
pub fn worth_of(line: &Line, loads: &[Rc<Load>], caps: Caps) -> Worth {
    let mut worth =
        Worth { over: 0.0, largest: 0.0, pace: 0.0, stations: 0, people: 0, smoothness: 0.0, squares: 0.0 };
    let mut shares = Vec::new();
    for load in loads {
        let place = &line.places[load.place.index()];
        if !place.is_station() {
            continue;
        }
        let mix = load.mean_share_with_retests(line);
        worth.over += over_of(line, load, caps);
        worth.pace = worth.pace.max(pace_of(line, load, caps));
        worth.largest = worth.largest.max(mix);
        worth.squares += mix * mix;
        worth.stations += 1;
        shares.push(mix);
    }
    worth.people = people(line, |place| loads.iter().any(|load| load.place == place));
    worth.over += crew_shares(line, loads).into_iter().map(|s| (s - caps.mix).max(0.0)).sum::<f64>();
    worth.smoothness = shares.iter().map(|s| (worth.largest - s) * (worth.largest - s)).sum::<f64>().sqrt();
    worth
}
