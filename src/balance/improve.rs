//! From today's line to a better one by single moves and swaps; small questions are settled by
//! looking at every plan.
//!
//! Plans are looked at with mean times first; what looks best is then looked at exactly, and only
//! that decides (a schedule at mean times is shorter than the mean of schedules).

use super::changes::{Moved, changes, gain};
use super::clash::clash;
use super::load::Closely;
use super::order::Order;
use super::plan::{Aim, Change, Goal, NoPlan, Plan, ROUNDING, Stopped, Worth};
use super::trial::{Trial, worth_of};
use crate::line::{Line, PlaceId};

/// Changes that look best at mean times and are looked at exactly.
const EXACTLY: usize = 12;
/// Other changes that a plan tells of.
const TOLD: usize = 8;
/// Groups of tasks that may move, above which a line is wide: its fullest stations are relieved one by one.
const WIDE: usize = 250;
/// What differs by less is alike: loads are means of 2,000 draws in 64-bit floats.
pub const ALIKE: f64 = 1e-9;

/// Looks for a plan. `stop` is asked now and then; true ends the search with the best so far.
///
/// # Errors
/// The line can't be balanced at all.
pub fn improve(line: &Line, goal: &Goal, stop: &dyn Fn() -> bool) -> Result<Plan, NoPlan> {
    let mut trial = Trial::new(line, goal.caps)?;
    trial.pace_first = goal.aim == Aim::Pace;
    let today: Vec<PlaceId> = line.steps.iter().map(|step| step.place).collect();
    let order = Order::new(line, trial.groups.clone());
    let mut search = Search { line, trial: &mut trial, goal, stop, today: &today, order };
    let mut bound = None;
    let found = match goal.aim {
        Aim::Moves => search.descend(today.clone(), Aim::Moves),
        Aim::Pace | Aim::People | Aim::Smooth | Aim::Stations => match search.all_plans() {
            Some(found) => found,
            None => search.plain(&mut bound).unwrap_or_else(|| search.seek()),
        },
    };
    let others = match goal.aim {
        Aim::Moves => search.others(&found.changes),
        Aim::Pace | Aim::People | Aim::Smooth | Aim::Stations => Vec::new(),
    };
    let (before, worth_before) = trial.with_sides_as_stated(|trial| known(trial, &today));
    let (after, worth) = known(&mut trial, &found.at);
    let mut plan = Plan {
        aim: goal.aim,
        lower_bound: None,
        looks: trial.looks,
        sides: trial.other_sides(&found.at),
        at: found.at,
        caps: goal.caps,
        before,
        after,
        worth_before,
        worth,
        changes: found.changes,
        others,
        stopped: found.stopped,
        clash: if worth.over > ROUNDING { clash(line, goal.caps) } else { None },
    };
    plan.lower_bound = match (goal.aim, plan.stopped) {
        _ if bound.is_some() => bound,
        (Aim::Stations, Stopped::Proof) => Some(worth.stations as f64),
        (Aim::People, Stopped::Proof) => Some(f64::from(worth.people)),
        (Aim::Pace, Stopped::Proof) => Some(worth.pace),
        (Aim::Smooth | Aim::Moves, _) => None,
        (Aim::Stations | Aim::People | Aim::Pace, _) => Some(super::least::least(line, &trial, goal)),
    };
    if plan.is_as_few_as_can_be() {
        plan.stopped = Stopped::Proof;
    }
    Ok(plan)
}

/// Loads of a plan and what it is worth, exactly.
fn known(trial: &mut Trial, at: &[PlaceId]) -> (Vec<super::load::Load>, Worth) {
    let loads = trial.loads(at, Closely::Exactly).iter().map(|load| load.as_ref().clone()).collect();
    (loads, trial.worth(at, Closely::Exactly))
}

/// A plan on the way.
pub struct Found {
    pub at: Vec<PlaceId>,
    pub changes: Vec<Change>,
    pub stopped: Stopped,
}

pub struct Search<'a> {
    pub line: &'a Line,
    pub trial: &'a mut Trial,
    pub goal: &'a Goal,
    pub stop: &'a dyn Fn() -> bool,
    pub today: &'a [PlaceId],
    order: Order,
}

/// A change and what the plan is worth with it.
struct Candidate {
    moved: Moved,
    worth: Worth,
}

impl Search<'_> {
    /// More tasks than all changes of which can be looked at again and again.
    fn is_wide(&self) -> bool {
        self.order.groups.len() > WIDE
    }

    /// Best change after best change, until none gains enough.
    pub(super) fn descend(&mut self, from: Vec<PlaceId>, aim: Aim) -> Found {
        let mut found = Found { at: from, changes: Vec::new(), stopped: Stopped::NoBetterMove };
        let mut now = self.trial.worth(&found.at, Closely::Exactly);
        loop {
            let best = match self.best_change(&found.at, aim, &now) {
                Ok(Some(best)) => best,
                Ok(None) => return found,
                Err(stopped) => {
                    found.stopped = stopped;
                    return found;
                }
            };
            best.moved.iter().for_each(|(step, _, to)| found.at[step.index()] = *to);
            found.changes.push(Change { moved: best.moved, before: now, after: best.worth });
            now = best.worth;
        }
    }

    /// The change that gains most, if it gains enough. On a wide line swaps are looked at where no single move does.
    fn best_change(&mut self, at: &[PlaceId], aim: Aim, now: &Worth) -> Result<Option<Candidate>, Stopped> {
        let rounds: &[(bool, usize)] =
            if self.is_wide() { &[(false, 2), (true, 4)] } else { &[(true, EXACTLY)] };
        let least = self.goal.least_gain;
        for (swaps, most) in rounds {
            let ranked = self.ranked(at, aim, *most, *swaps)?;
            let best = ranked.into_iter().next();
            if let Some(best) = best.filter(|c| gain(aim, now, (&c.moved, &c.worth)) >= least) {
                return Ok(Some(best));
            }
        }
        Ok(None)
    }

    /// The changes of a plan that gain, looked at exactly, the best first.
    fn ranked(
        &mut self,
        at: &[PlaceId],
        aim: Aim,
        most: usize,
        swaps: bool,
    ) -> Result<Vec<Candidate>, Stopped> {
        let seen = self.trial.see(at, Closely::AtMeans);
        let now = worth_of(self.line, &seen.loads(), self.goal.caps);
        let mut candidates = Vec::new();
        for moved in changes(self.trial, &self.order, at, swaps) {
            if self.trial.looks >= self.goal.most_looks {
                return Err(Stopped::Looks);
            }
            if self.trial.looks.is_multiple_of(64) && (self.stop)() {
                return Err(Stopped::Limit);
            }
            let worth = self.trial.worth_with(&seen, &moved, Closely::AtMeans);
            candidates.push(Candidate { moved, worth });
        }
        let worth = |now: &Worth, c: &Candidate| gain(aim, now, (&c.moved, &c.worth));
        let by_gain = |now: &Worth, list: &mut Vec<Candidate>| {
            // Stable: among equals the first in the file.
            list.sort_by(|a, b| worth(now, b).total_cmp(&worth(now, a)));
        };
        by_gain(&now, &mut candidates);
        candidates.truncate(most);
        let seen = self.trial.see(at, Closely::Exactly);
        let now = worth_of(self.line, &seen.loads(), self.goal.caps);
        for candidate in &mut candidates {
            if (self.stop)() {
                return Err(Stopped::Limit);
            }
            candidate.worth = self.trial.worth_with(&seen, &candidate.moved, Closely::Exactly);
        }
        by_gain(&now, &mut candidates);
        Ok(candidates)
    }

    /// Single changes from today's line that gain and are not the first made.
    fn others(&mut self, made: &[Change]) -> Vec<Change> {
        let today = self.today.to_vec();
        let before = self.trial.worth(&today, Closely::Exactly);
        let wide = self.is_wide();
        let most = if wide { TOLD } else { EXACTLY + TOLD };
        let ranked = self.ranked(&today, Aim::Moves, most, !wide).unwrap_or_default();
        ranked
            .into_iter()
            .filter(|c| gain(Aim::Moves, &before, (&c.moved, &c.worth)) >= self.goal.least_gain)
            .filter(|c| made.first().is_none_or(|first| first.moved != c.moved))
            .take(TOLD)
            .map(|c| Change { moved: c.moved, before, after: c.worth })
            .collect()
    }

    /// The classical case with its bound; `None` where the line is none, or the answer breaks another
    /// cap, or there are not stations enough (then the bound stands, and the search shows what is over).
    fn plain(&mut self, bound: &mut Option<f64>) -> Option<Found> {
        // Its loads are means, and say nothing of bad days.
        if self.goal.caps.chance.is_some() {
            return None;
        }
        let settled = super::plain::settle(self.line, self.trial, self.goal, self.stop)?;
        *bound = Some(settled.bound);
        let at = settled.at?;
        let worth = self.trial.worth(&at, Closely::Exactly);
        let kept = match self.goal.aim {
            Aim::Stations | Aim::People => worth.over <= ROUNDING,
            // Rounding times to whole microseconds may leave as many as there are steps.
            Aim::Pace => worth.pace <= settled.bound + at.len() as f64 || settled.stopped != Stopped::Proof,
            Aim::Smooth | Aim::Moves => false,
        };
        kept.then_some(Found { at, changes: Vec::new(), stopped: settled.stopped })
    }

    /// Where there are many plans: single changes from today's line, and for fewest stations or people first
    /// one station, or one crew's, after the other emptied as far as that goes.
    fn seek(&mut self) -> Found {
        let aim = self.goal.aim;
        if self.is_wide() {
            return self.seek_wide();
        }
        let mut at = self.today.to_vec();
        let mut stopped = None;
        if matches!(aim, Aim::Stations | Aim::People) {
            // What is over its caps first; then empty where there is least work.
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
}
