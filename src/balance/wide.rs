//! Lines with many tasks: loads are evened out by single moves and swaps at the fullest stations.
//!
//! Two looks. First at labour alone, which costs nothing and brings every station near its share; then at
//! schedules at mean times of the two stations that change, each times what its exact load was over that at
//! means when last seen: in short rounds, after each of which that is seen anew. What counts is the fullest
//! station, and of others those that come near it. Where no change helps, the least bad one is made and not taken
//! back for a while (tabu search: Glover, ORSA J. Computing 1 (1989)). Everything is counted, nothing drawn.

use super::load::{Closely, Load, lost};
use super::order::Order;
use super::plan::{Goal, Stopped};
use super::trial::{Trial, crew_shares, pace_of};
use super::weights::Weights;
use crate::line::{Line, PlaceId};

/// Changes after which a group that was moved against the grain may move again.
const TABU: u64 = 40;
/// Changes without a better plan after which the search ends.
const PATIENCE: u64 = 3_000;
/// The same by labour alone, which is a guess anyway.
const SHORT_PATIENCE: u64 = 60;
/// The same where it is enough that nothing is over its caps.
const ENOUGH_PATIENCE: u64 = 300;
/// The same in one round, where loads are drawn: what exact loads are over those at means wants to be seen anew.
const ROUND: u64 = 150;
/// Rounds without a better plan after which loads are looked at more closely, and then no more.
const STALE: usize = 3;
/// Changes without a better plan after which others than the fullest place are relieved, too, and how many.
const STUCK: u64 = 50;
const OTHERS: usize = 4;
/// Over the mean of all stations with work, the fullest is as even by labour as it need be.
const EVEN: f64 = 1.03;
/// How full a place counts that is to be emptied and is not, beside its labour.
const TO_BE_EMPTIED: f64 = 3.0;
/// What is alike.
const ALIKE: f64 = 1e-9;

/// Up to two groups, and where they go.
pub type Going = Vec<(usize, PlaceId)>;

/// How loads are looked at.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Look {
    Labour,
    Means,
}

pub struct Wide<'a> {
    pub(super) line: &'a Line,
    pub(super) trial: &'a mut Trial,
    pub(super) goal: &'a Goal,
    pub(super) stop: &'a dyn Fn() -> bool,
    pub(super) order: Order,
    pub(super) weights: Weights,
    /// Per group and place: it may stand there. Closed places are nobody's.
    pub(super) may: Vec<Vec<bool>>,
    /// Places that are to be emptied.
    pub(super) closed: Vec<bool>,
    /// Per group: nothing holds it.
    pub(super) movable: Vec<bool>,
    pub(super) at: Vec<PlaceId>,
    pub(super) steps_at: Vec<Vec<u32>>,
    /// Per place: labour of one unit by model, as a share of what the people there have.
    pub(super) labour: Vec<Vec<f64>>,
    /// Per place: how full it is against its caps at the pace; 1 is as full as it may be.
    pub(super) full: Vec<f64>,
    /// Per place: exact load over that at means, as last seen.
    pub(super) ratio: Vec<f64>,
    /// How full the fullest place is that is looked at now.
    pub(super) fullest: f64,
    pub(super) tabu: Vec<u64>,
    pub(super) changes: u64,
}

impl<'a> Wide<'a> {
    pub fn new(
        line: &'a Line,
        trial: &'a mut Trial,
        goal: &'a Goal,
        stop: &'a dyn Fn() -> bool,
        at: Vec<PlaceId>,
    ) -> Wide<'a> {
        let order = Order::new(line, trial.groups.clone());
        let weights = Weights::new(line, &order);
        let steps_at = trial.steps_at(&at);
        let groups = order.groups.len();
        let mut wide = Wide {
            line,
            trial,
            goal,
            stop,
            order,
            weights,
            may: Vec::new(),
            closed: vec![false; line.on_line],
            movable: Vec::new(),
            at,
            steps_at,
            labour: Vec::new(),
            full: vec![0.0; line.on_line],
            ratio: vec![1.0; line.on_line],
            fullest: 1.0,
            tabu: vec![0; groups],
            changes: 0,
        };
        let can = |group: &Vec<crate::line::StepId>, p: usize| {
            let place = PlaceId::from_index(p);
            group.iter().all(|s| wide.trial.may[s.index()].contains(&place))
        };
        let groups = &wide.order.groups;
        wide.may = groups.iter().map(|g| (0..line.on_line).map(|p| can(g, p)).collect()).collect();
        wide.movable =
            groups.iter().map(|g| g.iter().all(|s| wide.trial.held[s.index()].is_none())).collect();
        wide.labour = (0..line.on_line).map(|p| wide.weights.of_place(&wide.steps_at[p], p)).collect();
        wide
    }

    /// Nothing may stand at these places any more.
    pub fn close(&mut self, places: &[PlaceId]) {
        for p in places {
            self.closed[p.index()] = true;
            self.may.iter_mut().for_each(|may| may[p.index()] = false);
        }
    }

    /// Evens out the loads; ends as soon as nothing is over its caps if `enough`. The best plan found, and why it
    /// is the last.
    pub fn even_out(mut self, enough: bool) -> (Vec<PlaceId>, Stopped) {
        let first = self.settle(Look::Labour, enough);
        let mut best = (self.at.clone(), self.look_again(Closely::Nearly));
        if let Err(why) = first {
            return (best.0, why);
        }
        let (mut closely, mut stale) = (Closely::Nearly, 0);
        loop {
            let before = self.ratio.clone();
            let ended = self.settle(Look::Means, enough);
            let largest = self.look_again(closely);
            stale = if largest < best.1 - 1e-4 { 0 } else { stale + 1 };
            if largest < best.1 {
                best = (self.at.clone(), largest);
            }
            if let Err(why) = ended {
                return (best.0, why);
            }
            let is_enough = enough && best.1 <= 1.0 + ALIKE;
            // From the same plan with the same figures it would go the same way again.
            if !is_enough && stale < STALE && before != self.ratio {
                continue;
            }
            if closely == Closely::Exactly {
                return (best.0, Stopped::NoBetterMove);
            }
            // Roughly so far: what was found is looked at exactly, and that decides.
            (closely, stale) = (Closely::Exactly, 0);
            self.go_back_to(best.0.clone(), Look::Means);
            best.1 = self.look_again(closely);
            let goes_on = before != self.ratio && !(enough && best.1 <= 1.0 + ALIKE);
            if !goes_on {
                return (best.0, Stopped::NoBetterMove);
            }
        }
    }

    /// How full the fullest place is; what its load is over that at means is noted.
    fn look_again(&mut self, closely: Closely) -> f64 {
        let mut largest: f64 = 0.0;
        for p in 0..self.line.on_line {
            let place = PlaceId::from_index(p);
            if self.steps_at[p].is_empty() || !self.line.places[p].is_station() {
                continue;
            }
            if self.closed[p] {
                largest = TO_BE_EMPTIED;
                continue;
            }
            let exact = self.trial.load(place, &self.steps_at[p], closely);
            let means = self.trial.load(place, &self.steps_at[p], Closely::AtMeans);
            let (exact, means) = (self.fullness(&exact), self.fullness(&means));
            self.ratio[p] = if means > 0.0 { exact / means } else { 1.0 };
            largest = largest.max(exact);
        }
        largest.max(self.fullest_crew())
    }

    /// The largest share of a crew that serves several bays or places, against its cap.
    fn fullest_crew(&mut self) -> f64 {
        let loads = self.trial.loads(&self.at, Closely::AtMeans);
        let shares = crew_shares(self.line, &loads);
        shares.into_iter().fold(0.0, f64::max) / self.goal.caps.mix
    }

    /// The share of its pace that a place needs to keep its caps.
    fn fullness(&self, load: &Load) -> f64 {
        let bays = f64::from(self.line.places[load.place.index()].bays);
        pace_of(self.line, load, self.goal.caps) * bays
            / (load.window * self.line.share_of_lane(load.place) + lost(self.line, load.place))
    }

    /// How full a place with these steps is.
    fn look(&mut self, place: usize, steps: &[u32], look: Look) -> f64 {
        if steps.is_empty() || !self.line.places[place].is_station() {
            return 0.0;
        }
        let by_labour = || {
            let shares = self.weights.of_place(steps, place);
            self.by_labour(|m| shares[m])
        };
        if self.closed[place] {
            return TO_BE_EMPTIED + by_labour();
        }
        match look {
            Look::Labour => by_labour(),
            Look::Means => {
                let load = self.trial.load(PlaceId::from_index(place), steps, Closely::AtMeans);
                self.fullness(&load) * self.ratio[place]
            }
        }
    }

    pub(super) fn by_labour(&self, share: impl Fn(usize) -> f64) -> f64 {
        let (mut mix, mut most) = (0.0, 0.0_f64);
        for (m, model) in self.line.models.iter().enumerate() {
            let share = share(m);
            mix += model.share * share;
            most = most.max(share / self.goal.caps.model);
        }
        most.max(mix / self.goal.caps.mix)
    }

    /// Change after change at the fullest place, until nothing helps for long.
    fn settle(&mut self, look: Look, enough: bool) -> Result<(), Stopped> {
        for p in 0..self.line.on_line {
            let steps = self.steps_at[p].clone();
            self.full[p] = self.look(p, &steps, look);
        }
        let mut best = (self.at.clone(), self.measure());
        let mut last_better = self.changes;
        self.tabu.fill(0);
        let patience = match look {
            Look::Labour => SHORT_PATIENCE,
            Look::Means if enough => ENOUGH_PATIENCE,
            Look::Means if self.ratio.iter().any(|ratio| (ratio - 1.0).abs() > ALIKE) => ROUND,
            Look::Means => PATIENCE,
        };
        let mut why = Ok(());
        while self.changes - last_better < patience {
            if self.trial.looks >= self.goal.most_looks {
                why = Err(Stopped::Looks);
                break;
            }
            if (self.stop)() {
                why = Err(Stopped::Limit);
                break;
            }
            // Labour is a guess: evener than this it says nothing more.
            let is_even = look == Look::Labour && best.1.0 <= EVEN * mean(&self.full);
            if is_even || (enough && best.1.0 <= 1.0) {
                break;
            }
            self.changes += 1;
            let most = if self.changes - last_better > STUCK { OTHERS } else { 1 };
            if !self.relieve(look, most) {
                break;
            }
            let measure = self.measure();
            if measure.0 < best.1.0 - ALIKE || (measure.0 < best.1.0 + ALIKE && measure.1 < best.1.1 - ALIKE)
            {
                best = (self.at.clone(), measure);
                last_better = self.changes;
            }
        }
        self.go_back_to(best.0, look);
        why
    }

    /// The fullest place, then how uneven all are.
    fn measure(&self) -> (f64, f64) {
        let largest = self.full.iter().copied().fold(0.0, f64::max);
        (largest, self.full.iter().map(|full| full * full).sum())
    }

    fn go_back_to(&mut self, at: Vec<PlaceId>, look: Look) {
        self.steps_at = self.trial.steps_at(&at);
        self.at = at;
        for p in 0..self.line.on_line {
            self.labour[p] = self.weights.of_place(&self.steps_at[p], p);
            let steps = self.steps_at[p].clone();
            self.full[p] = self.look(p, &steps, look);
        }
    }

    /// The best change at the fullest place from which something may go, or at one of `most`; where none helps, the
    /// least bad one at the fullest.
    fn relieve(&mut self, look: Look, most: usize) -> bool {
        let full = |p: &usize| self.full[*p] > 0.0 && self.can_give(*p);
        let mut places: Vec<usize> = (0..self.line.on_line).filter(full).collect();
        places.sort_by(|a, b| self.full[*b].total_cmp(&self.full[*a]).then(a.cmp(b)));
        let mut least_bad: Option<(f64, Going)> = None;
        let mut looked = 0;
        for place in places {
            self.fullest = self.full[place];
            let candidates = self.candidates(place, look);
            if candidates.is_empty() && self.closed[place] {
                // Nothing of it can go anywhere now: it is easier to do without another one.
                return false;
            }
            looked += usize::from(!candidates.is_empty());
            for candidate in candidates {
                let gain = match look {
                    Look::Labour => candidate.worth,
                    Look::Means => self.gain(&candidate.going, look),
                };
                if gain > ALIKE {
                    self.go(&candidate.going, look);
                    return true;
                }
                if looked == 1 && least_bad.as_ref().is_none_or(|(least, _)| gain > *least) {
                    least_bad = Some((gain, candidate.going));
                }
            }
            if looked >= most {
                break;
            }
        }
        let Some((_, going)) = least_bad else { return false };
        for (group, _) in &going {
            self.tabu[*group] = self.changes + TABU;
        }
        self.go(&going, look);
        true
    }

    /// Grows so steeply that the fullest place decides and what is 2 % below it hardly counts: the 256th power of the
    /// share of the fullest place. With a lower one a station of three would count less than three of one person each,
    /// and be left fuller than they.
    pub(super) fn steep(&self, full: f64) -> f64 {
        // As full as this is as bad as can be told.
        (0..8).fold((full / self.fullest).min(8.0), |power, _| power * power)
    }

    /// Something at the place could go elsewhere.
    fn can_give(&self, place: usize) -> bool {
        self.steps_at[place].iter().any(|s| self.trial.held[*s as usize].is_none())
    }

    /// What a change takes off the sum of all, looked at closely.
    fn gain(&mut self, going: &[(usize, PlaceId)], look: Look) -> f64 {
        self.trial.looks += 1;
        let mut gain = 0.0;
        for (place, steps) in self.changed(going) {
            let then = self.look(place, &steps, look);
            gain += self.steep(self.full[place]) - self.steep(then);
        }
        gain
    }

    /// The places that a change touches, with their steps afterwards.
    fn changed(&self, going: &[(usize, PlaceId)]) -> Vec<(usize, Vec<u32>)> {
        let mut found: Vec<(usize, Vec<u32>)> = Vec::new();
        let mut touched: Vec<usize> =
            going.iter().flat_map(|(g, to)| [self.order.place(&self.at, *g).index(), to.index()]).collect();
        touched.sort_unstable();
        touched.dedup();
        for place in touched {
            let goes = |s: &u32| going.iter().any(|(g, _)| self.order.group_of[*s as usize] == *g);
            let mut steps: Vec<u32> = self.steps_at[place].iter().copied().filter(|s| !goes(s)).collect();
            for (group, _) in going.iter().filter(|(_, to)| to.index() == place) {
                steps.extend(self.order.groups[*group].iter().map(|s| s.index() as u32));
            }
            steps.sort_unstable();
            found.push((place, steps));
        }
        found
    }

    fn go(&mut self, going: &[(usize, PlaceId)], look: Look) {
        for (place, steps) in self.changed(going) {
            self.labour[place] = self.weights.of_place(&steps, place);
            self.full[place] = self.look(place, &steps, look);
            self.steps_at[place] = steps;
        }
        for (group, to) in going {
            self.order.groups[*group].iter().for_each(|s| self.at[s.index()] = *to);
        }
    }
}

/// Of the places with work.
fn mean(full: &[f64]) -> f64 {
    let working = full.iter().filter(|full| **full > 0.0);
    working.clone().sum::<f64>() / working.count().max(1) as f64
}
