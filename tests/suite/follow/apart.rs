//! Work that is kept apart: who must wait while somebody else works.

use super::Follower;
use super::lanes::begin_behind;
use super::moves::next_of;
use super::unit::{Unit, What};
use taktwright::line::{Exclusion, Line, PlaceId, Reach, StepId};

/// `work in` is about whoever is in the zones, as the file stands.
fn keeps_apart(line: &Line, exclusion: &Exclusion, step: StepId) -> bool {
    let inside = || line.steps[step.index()].zones.iter().any(|zone| exclusion.zones.contains(zone));
    exclusion.apart.contains(&step) && (exclusion.zones.is_empty() || inside())
}

/// Some work is kept apart from the step, or it from some.
pub fn is_kept_apart(line: &Line, step: StepId) -> bool {
    line.exclusions.iter().any(|e| keeps_apart(line, e, step) || e.running.contains(&step))
}

impl Follower<'_> {
    /// Must this step wait for what runs on its unit or near by? `before` leaves out what started now.
    pub fn must_keep_apart(&self, unit: &Unit, step: StepId, place: PlaceId, before: bool) -> bool {
        let line = self.line;
        if line.steps[step.index()].hold().is_some() {
            return false;
        }
        let walked = self.last_walk(place);
        line.exclusions.iter().any(|exclusion| {
            let mut others: Vec<StepId> = Vec::new();
            let is_apart = |step: &StepId| keeps_apart(line, exclusion, *step);
            if is_apart(&step) {
                others.extend(&exclusion.running);
            }
            if exclusion.running.contains(&step) {
                others.extend(exclusion.apart.iter().filter(|step| is_apart(step)));
            }
            let runs_on = |unit: &Unit| {
                let running = unit.running.iter().filter(|r| !before || r.started < walked);
                running.into_iter().any(|r| matches!(r.what, What::Step(s) if others.contains(&s)))
            };
            match exclusion.reach {
                Reach::Unit => runs_on(unit),
                Reach::Places(most) => self.units.values().any(|other| {
                    let near = other.bay().is_some_and(|(p, _)| self.is_near(p, place, most));
                    near && runs_on(other)
                }),
            }
        })
    }

    /// So many moves lead from the one to the other at most, whatever lane is taken.
    fn is_near(&self, one: PlaceId, other: PlaceId, most: u32) -> bool {
        if self.line.lanes.is_empty() {
            return one.index().abs_diff(other.index()) <= most as usize;
        }
        let mut at = vec![one.min(other)];
        (0..=most).any(|_| {
            let there = at.contains(&one.max(other));
            let on = |p: &PlaceId| match begin_behind(self.line, *p) {
                Some(group) => self.line.lanes[group].lanes.iter().map(|lane| lane.first).collect(),
                None => next_of(self.line, *p).into_iter().collect::<Vec<PlaceId>>(),
            };
            at = at.iter().flat_map(on).collect();
            there
        })
    }
}
