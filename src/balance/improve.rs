//! From today's line to a better one by single moves and swaps; small questions are settled by
//! looking at every plan.
//!
//! Plans are looked at with mean times first; what looks best is then looked at exactly, and only
//! that decides (a schedule at mean times is shorter than the mean of schedules).

use super::load::Closely;
use super::plan::{Aim, Change, Goal, NoPlan, Plan, Stopped, Worth};
use super::trial::Trial;
use crate::line::{Line, PlaceId, StepId};

/// Changes that look best at mean times and are looked at exactly.
const EXACTLY: usize = 12;
/// Other changes that a plan tells of.
const TOLD: usize = 8;
/// Plans of a question that is settled by looking at all of them.
const FEW: f64 = 3_000.0;
/// What differs by less is alike: loads are means of 2,000 draws in 64-bit floats.
const ALIKE: f64 = 1e-9;

/// Looks for a plan. `stop` is asked now and then; true ends the search with the best so far.
///
/// # Errors
/// The line can't be balanced at all.
pub fn improve(line: &Line, goal: &Goal, stop: &dyn Fn() -> bool) -> Result<Plan, NoPlan> {
    let mut trial = Trial::new(line, goal.caps)?;
    let today: Vec<PlaceId> = line.steps.iter().map(|step| step.place).collect();
    let before = loads(&mut trial, &today);
    let worth_before = trial.worth(&today, Closely::Exactly);
    let mut search = Search { line, trial: &mut trial, goal, stop, today: &today };
    let mut bound = None;
    let found = match goal.aim {
        Aim::Moves => search.descend(today.clone(), Aim::Moves),
        Aim::Pace | Aim::Smooth | Aim::Stations => match search.all_plans() {
            Some(found) => found,
            None => search.plain(&mut bound).unwrap_or_else(|| search.seek()),
        },
    };
    let others = match goal.aim {
        Aim::Moves => search.others(&found.changes),
        Aim::Pace | Aim::Smooth | Aim::Stations => Vec::new(),
    };
    let after = loads(&mut trial, &found.at);
    let worth = trial.worth(&found.at, Closely::Exactly);
    let mut plan = Plan {
        aim: goal.aim,
        lower_bound: None,
        looks: trial.looks,
        at: found.at,
        before,
        after,
        worth_before,
        worth,
        changes: found.changes,
        others,
        stopped: found.stopped,
    };
    plan.lower_bound = match (goal.aim, plan.stopped) {
        _ if bound.is_some() => bound,
        (Aim::Stations, Stopped::Proof) => Some(worth.stations as f64),
        (Aim::Pace, Stopped::Proof) => Some(worth.pace),
        (Aim::Smooth | Aim::Moves, _) => None,
        (Aim::Stations | Aim::Pace, _) => Some(super::least::least(line, &trial, goal)),
    };
    Ok(plan)
}

fn loads(trial: &mut Trial, at: &[PlaceId]) -> Vec<super::load::Load> {
    trial.loads(at, Closely::Exactly).iter().map(|load| load.as_ref().clone()).collect()
}

/// A plan on the way.
struct Found {
    at: Vec<PlaceId>,
    changes: Vec<Change>,
    stopped: Stopped,
}

struct Search<'a> {
    line: &'a Line,
    trial: &'a mut Trial,
    goal: &'a Goal,
    stop: &'a dyn Fn() -> bool,
    today: &'a [PlaceId],
}

/// A change and the plan it leads to.
struct Candidate {
    moved: Vec<(StepId, PlaceId, PlaceId)>,
    at: Vec<PlaceId>,
    worth: Worth,
}

impl Search<'_> {
    /// Best change after best change, until none gains enough.
    fn descend(&mut self, from: Vec<PlaceId>, aim: Aim) -> Found {
        let mut found = Found { at: from, changes: Vec::new(), stopped: Stopped::NoBetterMove };
        let mut now = self.trial.worth(&found.at, Closely::Exactly);
        loop {
            let ranked = match self.ranked(&found.at, aim, EXACTLY) {
                Ok(ranked) => ranked,
                Err(stopped) => {
                    found.stopped = stopped;
                    return found;
                }
            };
            let best = ranked.into_iter().next().filter(|c| gain(aim, &now, c) >= self.goal.least_gain);
            let Some(best) = best else { return found };
            found.changes.push(Change { moved: best.moved, before: now, after: best.worth });
            found.at = best.at;
            now = best.worth;
        }
    }

    /// The changes of a plan that gain, looked at exactly, the best first.
    fn ranked(&mut self, at: &[PlaceId], aim: Aim, most: usize) -> Result<Vec<Candidate>, Stopped> {
        let now = self.trial.worth(at, Closely::AtMeans);
        let mut candidates = Vec::new();
        for change in changes(self.trial, at) {
            if self.trial.looks >= self.goal.most_looks {
                return Err(Stopped::Looks);
            }
            if self.trial.looks.is_multiple_of(64) && (self.stop)() {
                return Err(Stopped::Limit);
            }
            let mut next = at.to_vec();
            change.iter().for_each(|(step, _, to)| next[step.index()] = *to);
            let worth = self.trial.worth(&next, Closely::AtMeans);
            candidates.push(Candidate { moved: change, at: next, worth });
        }
        let by_gain = |now: &Worth, list: &mut Vec<Candidate>| {
            // Stable: among equals the first in the file.
            list.sort_by(|a, b| gain(aim, now, b).total_cmp(&gain(aim, now, a)));
        };
        by_gain(&now, &mut candidates);
        candidates.truncate(most);
        let now = self.trial.worth(at, Closely::Exactly);
        for candidate in &mut candidates {
            if (self.stop)() {
                return Err(Stopped::Limit);
            }
            candidate.worth = self.trial.worth(&candidate.at, Closely::Exactly);
        }
        by_gain(&now, &mut candidates);
        Ok(candidates)
    }

    /// Single changes from today's line that gain and are not the first made.
    fn others(&mut self, made: &[Change]) -> Vec<Change> {
        let today = self.today.to_vec();
        let before = self.trial.worth(&today, Closely::Exactly);
        let ranked = self.ranked(&today, Aim::Moves, EXACTLY + TOLD).unwrap_or_default();
        ranked
            .into_iter()
            .filter(|c| gain(Aim::Moves, &before, c) >= self.goal.least_gain)
            .filter(|c| made.first().is_none_or(|first| first.moved != c.moved))
            .take(TOLD)
            .map(|c| Change { moved: c.moved, before, after: c.worth })
            .collect()
    }

    /// The classical case with its bound; `None` where the line is none, or the answer breaks another
    /// cap, or there are not stations enough (then the bound stands, and the search shows what is over).
    fn plain(&mut self, bound: &mut Option<f64>) -> Option<Found> {
        let settled = super::plain::settle(self.line, self.trial, self.goal, self.stop)?;
        *bound = Some(settled.bound);
        let at = settled.at?;
        let worth = self.trial.worth(&at, Closely::Exactly);
        let kept = match self.goal.aim {
            Aim::Stations => worth.over <= 1e-6,
            // Rounding times to whole microseconds may leave as many as there are steps.
            Aim::Pace => worth.pace <= settled.bound + at.len() as f64 || settled.stopped != Stopped::Proof,
            Aim::Smooth | Aim::Moves => false,
        };
        kept.then_some(Found { at, changes: Vec::new(), stopped: settled.stopped })
    }

    /// Every plan, where there are few; `None` where there are many.
    fn all_plans(&mut self) -> Option<Found> {
        let plans: f64 = self.trial.may.iter().map(|may| may.len() as f64).product();
        if plans > FEW {
            return None;
        }
        let order: Vec<usize> =
            crate::line::Precedence::of_line(self.line).order().iter().map(|s| s.index()).collect();
        let mut best = (self.today.to_vec(), self.trial.worth(self.today, Closely::Exactly));
        let mut at = self.today.to_vec();
        if !self.every(&order, 0, &mut at, &mut best) {
            return Some(Found { at: best.0, changes: Vec::new(), stopped: Stopped::Limit });
        }
        Some(Found { at: best.0, changes: Vec::new(), stopped: Stopped::Proof })
    }

    fn every(
        &mut self,
        order: &[usize],
        from: usize,
        at: &mut Vec<PlaceId>,
        best: &mut (Vec<PlaceId>, Worth),
    ) -> bool {
        let Some(&step) = order.get(from) else {
            if (self.stop)() {
                return false;
            }
            if !self.trial.in_order(at) {
                return true;
            }
            let worth = self.trial.worth(at, Closely::Exactly);
            if is_better(self.goal.aim, (&worth, at), (&best.1, &best.0), self.today) {
                *best = (at.clone(), worth);
            }
            return true;
        };
        let earliest = self.line.steps[step].after.iter().map(|p| at[p.index()]).max();
        let own = at[step];
        for place in self.trial.may[step].clone() {
            if earliest.is_none_or(|e| place >= e) {
                at[step] = place;
                if !self.every(order, from + 1, at, best) {
                    return false;
                }
            }
        }
        at[step] = own;
        true
    }

    /// Where there are many plans: single changes from today's line, and for fewest stations first
    /// one station after the other emptied as far as that goes.
    fn seek(&mut self) -> Found {
        let aim = self.goal.aim;
        let mut at = self.today.to_vec();
        let mut stopped = None;
        if aim == Aim::Stations {
            // What is over its caps first; then empty the station with least work.
            let eased = self.descend(at, Aim::Moves);
            stopped = (eased.stopped != Stopped::NoBetterMove).then_some(eased.stopped);
            at = eased.at;
            while let Some(fewer) = self.emptied(&at) {
                at = fewer;
            }
        }
        let mut found = self.descend(at, aim);
        if let Some(stopped) = stopped {
            found.stopped = stopped;
        }
        found.changes.clear();
        found
    }

    /// A plan with one station less that is over its caps no more than this one.
    fn emptied(&mut self, at: &[PlaceId]) -> Option<Vec<PlaceId>> {
        let now = self.trial.worth(at, Closely::Exactly);
        let mut loads: Vec<(f64, PlaceId)> = self
            .trial
            .loads(at, Closely::AtMeans)
            .iter()
            .map(|load| (load.mean_share(self.line), load.place))
            .filter(|(_, place)| self.line.places[place.index()].is_station())
            .collect();
        loads.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        for (_, place) in loads {
            if (self.stop)() || self.trial.looks >= self.goal.most_looks {
                return None;
            }
            let Some(trial) = self.without(at, place) else { continue };
            // Nobody may be over because a station is gone: what is over is first put right.
            let eased = self.descend_from(trial, place);
            let worth = self.trial.worth(&eased, Closely::Exactly);
            if worth.over <= now.over + ALIKE && worth.stations < now.stations {
                return Some(eased);
            }
        }
        None
    }

    /// All work of a place put elsewhere, each task where it does least harm.
    fn without(&mut self, at: &[PlaceId], place: PlaceId) -> Option<Vec<PlaceId>> {
        let mut trial = at.to_vec();
        let steps: Vec<usize> = (0..at.len()).filter(|s| at[*s] == place).collect();
        // To the left in the order of work, to the right from its end: either keeps the order.
        for step in steps {
            let mut best: Option<(f64, PlaceId)> = None;
            for to in self.trial.may[step].clone() {
                if to == place {
                    continue;
                }
                let was = std::mem::replace(&mut trial[step], to);
                if self.fits_around(&trial, step, place) {
                    let worth = self.trial.worth(&trial, Closely::AtMeans);
                    let bad = worth.over * 100.0 + worth.squares;
                    if best.is_none_or(|(least, _)| bad < least - ALIKE) {
                        best = Some((bad, to));
                    }
                }
                trial[step] = was;
            }
            trial[step] = best?.1;
        }
        self.trial.in_order(&trial).then_some(trial)
    }

    /// Is a step in order with all that does not stand at the place being emptied?
    fn fits_around(&self, at: &[PlaceId], step: usize, emptied: PlaceId) -> bool {
        let line = self.line;
        let before = line.steps[step].after.iter().all(|p| {
            let p = at[p.index()];
            p == emptied || p <= at[step]
        });
        let id = StepId::from_index(step);
        before
            && (0..at.len())
                .filter(|k| line.steps[*k].after.contains(&id))
                .all(|k| at[k] == emptied || at[k] >= at[step])
    }

    /// Lowers what is over the caps without using `closed`.
    fn descend_from(&mut self, from: Vec<PlaceId>, closed: PlaceId) -> Vec<PlaceId> {
        let may: Vec<Vec<PlaceId>> = self.trial.may.clone();
        self.trial.may.iter_mut().for_each(|list| list.retain(|p| *p != closed));
        let found = self.descend(from, Aim::Moves);
        self.trial.may = may;
        found.at
    }
}

/// Every single move and every swap of a plan that keeps the order of work, moves first, by file.
fn changes(trial: &Trial, at: &[PlaceId]) -> Vec<Vec<(StepId, PlaceId, PlaceId)>> {
    let groups: Vec<&Vec<StepId>> =
        trial.groups.iter().filter(|group| group.iter().all(|s| trial.held[s.index()].is_none())).collect();
    let place = |group: &[StepId]| at[group[0].index()];
    let may = |group: &[StepId], to: &PlaceId| group.iter().all(|s| trial.may[s.index()].contains(to));
    let put = |next: &mut [PlaceId], group: &[StepId], to: PlaceId| {
        group.iter().for_each(|s| next[s.index()] = to);
    };
    let moved = |group: &[StepId], to: PlaceId| -> Vec<(StepId, PlaceId, PlaceId)> {
        group.iter().map(|s| (*s, at[s.index()], to)).collect()
    };
    let mut found = Vec::new();
    let mut next = at.to_vec();
    for group in &groups {
        let here = place(group);
        for &to in trial.may[group[0].index()].iter().filter(|p| **p != here && may(group, p)) {
            put(&mut next, group, to);
            if trial.in_order(&next) {
                found.push(moved(group, to));
            }
        }
        put(&mut next, group, here);
    }
    for (k, one) in groups.iter().enumerate() {
        for other in &groups[k + 1..] {
            let (a, b) = (place(one), place(other));
            if a == b || !may(one, &b) || !may(other, &a) {
                continue;
            }
            put(&mut next, one, b);
            put(&mut next, other, a);
            if trial.in_order(&next) {
                found.push(moved(one, b).into_iter().chain(moved(other, a)).collect());
            }
            put(&mut next, one, a);
            put(&mut next, other, b);
        }
    }
    found
}

/// What a change gains for an aim, in windows, per task moved.
fn gain(aim: Aim, now: &Worth, change: &Candidate) -> f64 {
    let then = &change.worth;
    let over = now.over - then.over;
    let squares = now.squares - then.squares;
    let gained = match aim {
        Aim::Moves => over + (now.largest - then.largest) + 1e-3 * squares,
        Aim::Pace => (now.pace - then.pace) / now.pace + 1e-3 * squares,
        Aim::Smooth => 1e3 * over + (now.smoothness - then.smoothness),
        Aim::Stations => {
            1e3 * over + 10.0 * (now.stations as f64 - then.stations as f64) + (now.largest - then.largest)
        }
    };
    gained / change.moved.len() as f64
}

/// The order of goals: what is over the caps, the aim's own figure, the largest load, tasks moved,
/// the earliest places in the file.
fn is_better(aim: Aim, one: (&Worth, &[PlaceId]), other: (&Worth, &[PlaceId]), today: &[PlaceId]) -> bool {
    let moved = |at: &[PlaceId]| at.iter().zip(today).filter(|(a, b)| a != b).count() as f64;
    let figures = |(worth, at): (&Worth, &[PlaceId])| match aim {
        Aim::Stations => [worth.over, worth.stations as f64, worth.largest, moved(at)],
        Aim::Pace => [worth.pace, worth.largest, worth.over, moved(at)],
        Aim::Smooth => [worth.over, worth.smoothness, worth.largest, moved(at)],
        Aim::Moves => [worth.over, worth.largest, worth.squares, moved(at)],
    };
    for (a, b) in figures(one).into_iter().zip(figures(other)) {
        if (a - b).abs() > ALIKE * b.abs().max(1.0) {
            return a < b;
        }
    }
    one.1 < other.1
}
