//! Is there any place for everything, if only some of the statements hold? Labour and single steps against the
//! caps, whatever the schedule.

use super::facts::{Facts, ROUNDING, Said};

/// Placings looked at for one answer.
const MOST_NODES: u64 = 20_000;
/// Steps up to which placings are looked at one by one; of more only windows and sums.
const FEW: usize = 80;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fits {
    Yes,
    /// By proof.
    No,
    /// Not settled within the looks allowed.
    Unknown,
}

/// The statements that hold, sorted out by what they do.
struct Held<'a> {
    facts: &'a Facts,
    works: Vec<bool>,
    /// Per step: its stations.
    may: Vec<Vec<bool>>,
    /// (first, later), and steps together and apart.
    after: Vec<(usize, usize)>,
    beside: Vec<(usize, usize)>,
    apart: Vec<(usize, usize)>,
}

impl Facts {
    /// Whether all can be placed with these statements alone.
    pub fn fits(&self, holds: &[bool]) -> Fits {
        let Some(held) = Held::of(self, holds) else { return Fits::No };
        if held.is_too_much() {
            return Fits::No;
        }
        if self.order.len() > FEW { Fits::Unknown } else { Placing::new(&held).search() }
    }
}

impl<'a> Held<'a> {
    /// `None` where some step has no station left.
    fn of(facts: &'a Facts, holds: &[bool]) -> Option<Held<'a>> {
        let n = facts.today.len();
        let everywhere = facts.is_station.clone();
        let own = |s: usize| match facts.fixed[s] {
            Some(place) => (0..everywhere.len()).map(|p| p == place).collect(),
            None => everywhere.clone(),
        };
        let mut held = Held {
            facts,
            works: vec![false; n],
            may: (0..n).map(own).collect(),
            after: Vec::new(),
            beside: Vec::new(),
            apart: Vec::new(),
        };
        for (k, said) in facts.said.iter().enumerate().filter(|(k, _)| holds[*k]) {
            match said {
                Said::After(later, first) => held.after.push((first.index(), later.index())),
                Said::Beside(one, other) => held.beside.push((one.index(), other.index())),
                Said::Apart(one, other) => held.apart.push((one.index(), other.index())),
                Said::Takes(step)
                | Said::Stays(step, _)
                | Said::Travels(step)
                | Said::Range(step)
                | Said::Reach(step)
                | Said::Skill(step)
                | Said::People(step)
                | Said::Room(step) => {
                    let s = step.index();
                    held.works[s] |= matches!(said, Said::Takes(_));
                    if let Some(leaves) = &facts.leaves[k] {
                        held.may[s].iter_mut().zip(leaves).for_each(|(may, left)| *may &= left);
                    }
                }
            }
        }
        held.narrow().then_some(held)
    }

    /// Takes away stations that the order of work and company rule out; false where a step has none left.
    fn narrow(&mut self) -> bool {
        let mut changed = true;
        while changed {
            changed = false;
            for (first, later) in self.after.clone() {
                let Some(earliest) = self.may[first].iter().position(|may| *may) else { return false };
                let Some(latest) = self.may[later].iter().rposition(|may| *may) else { return false };
                changed |= forbid(&mut self.may[later], 0, earliest);
                let end = self.may[first].len();
                changed |= forbid(&mut self.may[first], latest + 1, end);
            }
            for (one, other) in self.beside.clone() {
                for p in 0..self.may[one].len() {
                    let both = self.may[one][p] && self.may[other][p];
                    changed |= self.may[one][p] != both || self.may[other][p] != both;
                    (self.may[one][p], self.may[other][p]) = (both, both);
                }
            }
        }
        self.facts.order.iter().all(|s| self.may[*s].contains(&true))
    }

    /// Work that has to stand in some stretch of the line takes more than the stretch offers.
    fn is_too_much(&self) -> bool {
        let places = self.facts.is_station.len();
        // Work by the first and the last place where it may stand: the least share of a place that it takes times
        // the size of that place.
        let sizes = &self.facts.size;
        for k in 0..=self.facts.models {
            let mut work = vec![vec![0.0; places]; places];
            for &s in self.facts.order.iter().filter(|s| self.works[**s]) {
                let may = &self.may[s];
                let least = (0..places)
                    .filter(|p| may[*p])
                    .map(|p| self.facts.load[s][p][k] * sizes[p])
                    .fold(f64::INFINITY, f64::min);
                if let (Some(a), Some(b)) = (may.iter().position(|m| *m), may.iter().rposition(|m| *m)) {
                    work[a][b] += least;
                }
            }
            for a in 0..places {
                // Work inside a..=b, counted up as b grows: of every first place from a on.
                let mut inside = 0.0;
                let mut offered = 0.0;
                for b in a..places {
                    inside += (a..=b).map(|first| work[first][b]).sum::<f64>();
                    offered += if self.facts.is_station[b] { sizes[b] } else { 0.0 };
                    if inside > offered * (1.0 + ROUNDING) + ROUNDING {
                        return true;
                    }
                }
            }
        }
        false
    }
}

/// Closes a stretch of places; true if any was open.
fn forbid(may: &mut [bool], from: usize, to: usize) -> bool {
    let stretch = &mut may[from.min(to)..to];
    let any = stretch.contains(&true);
    stretch.fill(false);
    any
}

/// A placing on its way, step after step in the order of work.
struct Placing<'a> {
    held: &'a Held<'a>,
    at: Vec<Option<usize>>,
    /// Per place: shares by model and over the mix.
    full: Vec<Vec<f64>>,
    nodes: u64,
}

impl<'a> Placing<'a> {
    fn new(held: &'a Held<'a>) -> Placing<'a> {
        let facts = held.facts;
        Placing {
            held,
            at: vec![None; facts.today.len()],
            full: vec![vec![0.0; facts.models + 1]; facts.is_station.len()],
            nodes: 0,
        }
    }

    fn search(mut self) -> Fits {
        self.place(0)
    }

    fn place(&mut self, from: usize) -> Fits {
        let Some(&step) = self.held.facts.order.get(from) else { return Fits::Yes };
        let mut answer = Fits::No;
        for place in (0..self.full.len()).filter(|p| self.held.may[step][*p]) {
            self.nodes += 1;
            if self.nodes > MOST_NODES {
                return Fits::Unknown;
            }
            if !self.keeps_company(step, place) {
                continue;
            }
            let before = self.full[place].clone();
            if self.held.works[step] {
                let load = &self.held.facts.load[step][place];
                self.full[place].iter_mut().zip(load).for_each(|(full, share)| *full += share);
            }
            self.at[step] = Some(place);
            let fits = self.full[place].iter().all(|share| *share <= 1.0 + ROUNDING) && self.crews_can();
            let found = if fits { self.place(from + 1) } else { Fits::No };
            self.at[step] = None;
            self.full[place] = before;
            match found {
                Fits::Yes => return Fits::Yes,
                Fits::Unknown => answer = Fits::Unknown,
                Fits::No => {}
            }
        }
        answer
    }

    fn keeps_company(&self, step: usize, place: usize) -> bool {
        let stands = |s: usize| self.at[s];
        let other = |(a, b): (usize, usize)| if a == step { Some(b) } else { (b == step).then_some(a) };
        let held = self.held;
        held.after.iter().all(|(a, b)| {
            (*b != step || stands(*a).is_none_or(|p| p <= place))
                && (*a != step || stands(*b).is_none_or(|p| p >= place))
        }) && held.beside.iter().filter_map(|pair| other(*pair)).all(|s| stands(s).is_none_or(|p| p == place))
            && held.apart.iter().filter_map(|pair| other(*pair)).all(|s| stands(s) != Some(place))
    }

    fn crews_can(&self) -> bool {
        self.held.facts.crews.iter().all(|bays| {
            let mix = self.held.facts.models;
            let share: f64 = bays.iter().zip(&self.full).map(|(bays, full)| bays * full[mix]).sum();
            share <= 1.0 + ROUNDING
        })
    }
}
