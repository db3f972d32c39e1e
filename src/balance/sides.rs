//! Tasks that may take one of several sides of the unit (`in left or right`): each takes the one that suits its
//! station best.
//!
//! A side matters at the task's own station alone, so a station's steps settle their sides among themselves, and a
//! plan need not say more than where each task stands. Among sides that are alike the file's stays.

use super::improve::ALIKE;
use super::load::{Closely, Load};
use super::trial::{Trial, over_of, pace_of};
use crate::line::{PlaceId, StepId, ZoneId};

/// Ways to take sides at one station that are all looked at; of more, one task after the other changes its side for as
/// long as that helps.
const ALL: usize = 32;

/// A station's load with its steps on some sides.
struct Sided {
    load: Load,
    /// Of each step with a choice, the side by its number.
    taken: Vec<usize>,
}

impl Trial {
    /// The load of a place with these steps, which stand there, on the sides that suit it best, and those sides.
    pub(super) fn on_best_sides(
        &mut self,
        place: PlaceId,
        own: &[usize],
        closely: Closely,
    ) -> (Load, Vec<(StepId, ZoneId)>) {
        let free: Vec<usize> =
            own.iter().copied().filter(|step| !self.line.steps[*step].sides.is_empty()).collect();
        let mut best = self.sided((place, own, closely), &free, vec![0; free.len()]);
        if !self.as_stated && !free.is_empty() {
            let ways = free.iter().map(|step| self.line.steps[*step].sides.len());
            let ways = ways.fold(1_usize, |all, sides| all.saturating_mul(sides));
            match ways <= ALL {
                true => (1..ways).for_each(|way| {
                    let taken = self.way(&free, way);
                    self.take_if_better((place, own, closely), &free, taken, &mut best);
                }),
                false => self.one_after_the_other((place, own, closely), &free, &mut best),
            }
        }
        let taken = free.iter().zip(&best.taken);
        let sides = taken.map(|(s, side)| (StepId::from_index(*s), self.line.steps[*s].sides[*side]));
        (best.load, sides.collect())
    }

    /// The sides of a way by its number: the first step's change fastest.
    fn way(&self, free: &[usize], mut way: usize) -> Vec<usize> {
        let mut taken = Vec::with_capacity(free.len());
        for step in free {
            let sides = self.line.steps[*step].sides.len();
            taken.push(way % sides);
            way /= sides;
        }
        taken
    }

    fn one_after_the_other(&mut self, at: (PlaceId, &[usize], Closely), free: &[usize], best: &mut Sided) {
        self.guessed = true;
        let mut goes_on = true;
        while goes_on {
            goes_on = false;
            for k in 0..free.len() {
                for side in 0..self.line.steps[free[k]].sides.len() {
                    if side != best.taken[k] {
                        let mut taken = best.taken.clone();
                        taken[k] = side;
                        goes_on |= self.take_if_better(at, free, taken, best);
                    }
                }
            }
        }
    }

    fn take_if_better(
        &mut self,
        at: (PlaceId, &[usize], Closely),
        free: &[usize],
        taken: Vec<usize>,
        best: &mut Sided,
    ) -> bool {
        let other = self.sided(at, free, taken);
        let is_better = self.suits_better(&other.load, &best.load);
        if is_better {
            *best = other;
        }
        is_better
    }

    fn sided(
        &mut self,
        (place, own, closely): (PlaceId, &[usize], Closely),
        free: &[usize],
        taken: Vec<usize>,
    ) -> Sided {
        for (step, side) in free.iter().zip(&taken) {
            let step = &mut self.line.steps[*step];
            step.zones = vec![step.sides[*side]];
        }
        Sided { load: self.load_as_it_is(place, own, closely), taken }
    }

    /// What the aim asks of one station first: little over its caps, or a short pace; then a low load.
    fn suits_better(&self, one: &Load, other: &Load) -> bool {
        let figures = |load: &Load| {
            let window = load.window;
            let (over, pace) =
                (over_of(&self.line, load, self.caps), pace_of(&self.line, load, self.caps) / window);
            let mix = load.mean_share_with_retests(&self.line);
            if self.pace_first { [pace, over, mix] } else { [over, pace, mix] }
        };
        let pairs = figures(one).into_iter().zip(figures(other));
        pairs.into_iter().find(|(a, b)| (a - b).abs() > ALIKE).is_some_and(|(a, b)| a < b)
    }

    /// What comes of looking at tasks on the sides that the file has.
    pub(super) fn with_sides_as_stated<T>(&mut self, look: impl FnOnce(&mut Trial) -> T) -> T {
        if self.line.steps.iter().all(|step| step.sides.is_empty()) {
            return look(self);
        }
        self.forget();
        self.as_stated = true;
        let found = look(self);
        self.as_stated = false;
        self.forget();
        found
    }

    /// The tasks of a plan that take another side than the file has.
    pub(super) fn other_sides(&mut self, at: &[PlaceId]) -> Vec<(StepId, ZoneId)> {
        let mut found = Vec::new();
        for (place, steps) in self.steps_at(at).into_iter().enumerate() {
            let own: Vec<usize> = steps.iter().map(|step| *step as usize).collect();
            if own.iter().all(|step| self.line.steps[*step].sides.is_empty()) {
                continue;
            }
            let place = PlaceId::from_index(place);
            self.put(place, &own);
            let (_, sides) = self.on_best_sides(place, &own, Closely::Exactly);
            found.extend(sides.into_iter().filter(|(s, side)| self.line.steps[s.index()].sides[0] != *side));
        }
        found
    }
}
