//! What the file says that a plan has to keep, statement by statement, and what it comes to in figures.

use crate::balance::load::mean_length;
use crate::balance::plan::Caps;
use crate::balance::rules::{Holding, Reason, hindrances, holdings};
use crate::balance::window::room_per_unit;
use crate::line::{Line, PlaceId, Precedence, StepId};

/// What shares may be over their caps by rounding.
pub const ROUNDING: f64 = 1e-6;

/// One thing that the file says.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Said {
    /// How long a step takes, and with how many people.
    Takes(StepId),
    /// It stays where it is.
    Stays(StepId, Holding),
    /// It may travel, and no further.
    Travels(StepId),
    /// It may stand at some stations alone.
    Range(StepId),
    /// Its equipment is not everywhere.
    Reach(StepId),
    /// Its skills are not everywhere.
    Skill(StepId),
    /// Its people are too many for some crews.
    People(StepId),
    /// Its people have no room everywhere.
    Room(StepId),
    /// The first stands beside the second.
    Beside(StepId, StepId),
    /// The first is kept apart from the second.
    Apart(StepId, StepId),
    /// The first follows the second.
    After(StepId, StepId),
}

/// The question in flat figures.
pub struct Facts {
    pub said: Vec<Said>,
    /// Steps on the line in the order of work.
    pub order: Vec<usize>,
    /// Per place: it is a station of the line.
    pub is_station: Vec<bool>,
    /// Per step: off the stations, so it stands where it stands.
    pub fixed: Vec<Option<usize>>,
    /// Where each step stands today.
    pub today: Vec<usize>,
    /// Per statement: the stations that it leaves, where it is about one step.
    pub leaves: Vec<Option<Vec<bool>>>,
    /// Per step and place: the share of its room that it takes, over the mix and by model; the last is the mix.
    pub load: Vec<Vec<Vec<f64>>>,
    /// Per place: people x window, beside the largest of the line.
    pub size: Vec<f64>,
    /// Crews that serve several bays or places: per place, what one share of its room takes of the crew's time.
    pub crews: Vec<Vec<f64>>,
    pub models: usize,
}

/// Is it of one kind?
type IsKind = fn(&Reason) -> bool;

impl Facts {
    /// `None` where no pace is stated.
    pub fn new(line: &Line, caps: Caps) -> Option<Facts> {
        let places = line.on_line;
        let is_station: Vec<bool> = (0..places).map(|p| line.places[p].is_station()).collect();
        let windows: Option<Vec<f64>> =
            (0..places).map(|p| room_per_unit(line, PlaceId::from_index(p))).collect();
        let windows = windows?;
        let on_line = |s: usize| line.steps[s].place.index() < places;
        let order: Vec<usize> =
            Precedence::of_line(line).order().iter().map(|s| s.index()).filter(|s| on_line(*s)).collect();
        let fixed = (0..line.steps.len()).map(|s| {
            let place = line.steps[s].place.index();
            (place >= places || !is_station[place]).then_some(place)
        });
        let mut facts = Facts {
            said: Vec::new(),
            order,
            fixed: fixed.collect(),
            today: line.steps.iter().map(|s| s.place.index()).collect(),
            leaves: Vec::new(),
            load: (0..line.steps.len()).map(|s| loads(line, s, &windows, &is_station, caps)).collect(),
            size: sizes(line, &windows, &is_station),
            crews: crews(line),
            is_station,
            models: line.models.len(),
        };
        let alone: Vec<Vec<f64>> =
            (0..line.steps.len()).map(|s| alone(line, s, &windows, &facts.is_station, caps)).collect();
        facts.collect(line, &alone);
        Some(facts)
    }

    fn add(&mut self, said: Said, leaves: Option<Vec<bool>>) {
        self.said.push(said);
        self.leaves.push(leaves);
    }

    fn collect(&mut self, line: &Line, alone: &[Vec<f64>]) {
        let held = holdings(line);
        let is_on_line: Vec<bool> = (0..line.steps.len()).map(|s| self.order.contains(&s)).collect();
        for s in 0..line.steps.len() {
            if !is_on_line[s] || self.fixed[s].is_some() {
                continue;
            }
            let id = StepId::from_index(s);
            let only = |place: usize| (0..line.on_line).map(|p| p == place).collect();
            let long: Vec<bool> = alone[s].iter().map(|share| *share <= 1.0 + ROUNDING).collect();
            let short = long.iter().all(|fits| *fits);
            if !short || self.load[s].iter().flatten().any(|share| *share > 0.0) {
                self.add(Said::Takes(id), (!short).then_some(long));
            }
            match &held[s] {
                Some(Holding::Beside { .. }) | None => self.add_hindrances(line, id),
                Some(holding) => self.add(Said::Stays(id, holding.clone()), Some(only(self.today[s]))),
            }
        }
        for (s, step) in line.steps.iter().enumerate().filter(|(s, _)| is_on_line[*s]) {
            let id = StepId::from_index(s);
            for other in step.beside.iter().filter(|o| is_on_line[o.index()]) {
                self.add(Said::Beside(id, *other), None);
            }
            for other in step.apart.iter().filter(|o| is_on_line[o.index()]) {
                self.add(Said::Apart(id, *other), None);
            }
            for other in step.after.iter().filter(|o| is_on_line[o.index()]) {
                if self.fixed[s].is_none() || self.fixed[other.index()].is_none() {
                    self.add(Said::After(id, *other), None);
                }
            }
        }
    }

    /// What keeps a step that may move away from some stations, kind by kind.
    fn add_hindrances(&mut self, line: &Line, step: StepId) {
        let why: Vec<Vec<Reason>> =
            (0..line.on_line).map(|p| hindrances(line, step, PlaceId::from_index(p))).collect();
        let kinds: [(Said, IsKind); 6] = [
            (Said::Range(step), |r| matches!(r, Reason::OutsideRange)),
            (Said::Travels(step), |r| matches!(r, Reason::BeyondTravel)),
            (Said::Reach(step), |r| matches!(r, Reason::OutOfReach { .. })),
            (Said::Skill(step), |r| matches!(r, Reason::NoSkill { .. })),
            (Said::People(step), |r| {
                matches!(r, Reason::NoCrew | Reason::TooFewPeople { .. } | Reason::NotAtOnce)
            }),
            (Said::Room(step), |r| matches!(r, Reason::NoRoom { .. })),
        ];
        for (said, is_kind) in kinds {
            let leaves: Vec<bool> = why.iter().map(|reasons| !reasons.iter().any(is_kind)).collect();
            if (0..line.on_line).any(|p| self.is_station[p] && !leaves[p]) {
                self.add(said, Some(leaves));
            }
        }
    }
}

/// Mean time of a step at a place by model, times the share of units that have it, microseconds.
fn times(line: &Line, s: usize, place: usize) -> Vec<f64> {
    let step = &line.steps[s];
    let factor = if line.is_guarded(s) { 1.0 } else { line.places[place].times };
    let of = |m: usize| {
        let time = &step.times[m];
        if !step.models[m] || time.factor <= 0.0 {
            return 0.0;
        }
        mean_length(line, s, m) as f64 * (time.own / time.factor) * factor * line.share_with(step, m)
    };
    (0..line.models.len()).map(of).collect()
}

/// By model and at the end over the mix: shares of what the caps allow.
fn against_caps(line: &Line, mut shares: Vec<f64>, caps: Caps) -> Vec<f64> {
    let mix: f64 = line.models.iter().zip(&shares).map(|(model, share)| model.share * share).sum();
    shares.iter_mut().for_each(|share| *share /= caps.model);
    shares.push(mix / caps.mix);
    shares
}

/// Per place: the share of its room that a step takes at least: people x time over people x window x cap. A step
/// without people takes nothing that others could not have meanwhile.
fn loads(line: &Line, s: usize, windows: &[f64], is_station: &[bool], caps: Caps) -> Vec<Vec<f64>> {
    let step = &line.steps[s];
    let at = |p: usize| -> Vec<f64> {
        let people = line.places[p].crew.map_or(0, |crew| line.crews[crew.index()].size());
        if !is_station[p] || people == 0 || step.hold().is_some() {
            return vec![0.0; line.models.len() + 1];
        }
        let heads = |m: usize| f64::from(step.needs[m].iter().map(|need| need.count).sum::<u32>());
        let room = f64::from(people) * windows[p];
        let shares = times(line, s, p).iter().enumerate().map(|(m, time)| time * heads(m) / room).collect();
        against_caps(line, shares, caps)
    };
    (0..line.on_line).map(at).collect()
}

/// Per place: the share of its window that a step takes if it is alone there. A hold may run through the night.
fn alone(line: &Line, s: usize, windows: &[f64], is_station: &[bool], caps: Caps) -> Vec<f64> {
    let at = |p: usize| {
        if !is_station[p] || line.steps[s].hold().is_some() {
            return 0.0;
        }
        let shares = times(line, s, p).iter().map(|time| time / windows[p]).collect();
        against_caps(line, shares, caps).into_iter().fold(0.0, f64::max)
    };
    (0..line.on_line).map(at).collect()
}

/// People x window of each station, beside the largest.
fn sizes(line: &Line, windows: &[f64], is_station: &[bool]) -> Vec<f64> {
    let people = |p: usize| line.places[p].crew.map_or(0, |crew| line.crews[crew.index()].size());
    let room: Vec<f64> = (0..line.on_line)
        .map(|p| if is_station[p] { f64::from(people(p)) * windows[p] } else { 0.0 })
        .collect();
    let largest = room.iter().copied().fold(1.0, f64::max);
    room.into_iter().map(|room| room / largest).collect()
}

/// Crews with several bays or places: what a full place takes of their time, once for each bay.
fn crews(line: &Line) -> Vec<Vec<f64>> {
    let several = line.crews.iter().filter(|crew| {
        let bays: u32 = crew.places.iter().map(|p| line.places[p.index()].bays).sum();
        !crew.per_bay && bays > 1
    });
    several
        .map(|crew| {
            let at = |p: usize| match crew.places.iter().any(|place| place.index() == p) {
                true => f64::from(line.places[p].bays),
                false => 0.0,
            };
            (0..line.on_line).map(at).collect()
        })
        .collect()
}
