//! Work that travels: what a unit may take along at a push, and what is left of it.

use super::Follower;
use super::people::{can_fill, skills_of};
use super::unit::{Unit, What};
use taktwright::line::{LateWork, Line, MoveRule, PlaceId, StepId};
use taktwright::units::Time;

/// Whether the crew of a place, all of it there, can do a step on units of every model.
pub fn can_be_done_at(line: &Line, step: StepId, place: PlaceId) -> bool {
    let skills = line.places[place.index()].crew.map_or_else(Vec::new, |crew| skills_of(line, crew));
    line.steps[step.index()].needs.iter().all(|needs| can_fill(needs, &skills, u128::MAX))
}

impl Unit {
    pub fn is_open_at(&self, line: &Line, step: StepId, place: PlaceId) -> bool {
        self.place_of(line, step) == place && self.applies(line, step) && !self.done[step.index()]
    }

    /// Everything that is not done at `place` has been said to travel.
    pub fn takes_the_rest_along(&self, line: &Line, place: PlaceId) -> bool {
        let open = (0..line.steps.len()).map(StepId::from_index).filter(|s| self.is_open_at(line, *s, place));
        self.running.is_empty()
            && self.asked.is_none()
            && open.clone().all(|s| self.travels[s.index()].is_some())
    }
}

impl Follower<'_> {
    /// Brought work, which ranks before everything but a step that closes a window.
    pub fn is_brought(&self, unit: &Unit, what: What) -> bool {
        matches!(what, What::Step(step) if unit.travels[step.index()].is_some())
    }

    /// Could the unit go on at a push with what is open on it?
    pub fn may_go_open(&self, unit: &Unit, place: PlaceId) -> bool {
        let line = self.line;
        let MoveRule::PushedEvery { late_work: LateWork::Travels { most }, .. } = line.rule_at(place) else {
            return false;
        };
        let last = line.places[place.index()].segment.is_some_and(|s| line.segments[s.index()].last == place);
        let open: Vec<StepId> = (0..line.steps.len())
            .map(StepId::from_index)
            .filter(|s| unit.is_open_at(line, *s, place))
            .collect();
        let tests = line.tests.iter().zip(&unit.tests).all(|(test, now)| {
            let applies = test.steps.iter().any(|s| unit.applies(line, *s));
            test.place != place || now.passed || !applies
        });
        let travels = |s: &StepId| line.steps[s.index()].travel.is_some_and(|t| t.to > place);
        // On its way back a unit goes nowhere but to its next stop.
        let along = unit.route.front().is_none_or(|stop| stop.index() == place.index() + 1);
        !last
            && along
            && tests
            && unit.asked.is_none()
            && unit.arrives <= self.now
            && !unit.has_what_drifted(line, place)
            && open.iter().all(travels)
            && most.is_none_or(|most| open.len() <= most as usize)
    }

    /// A unit takes a task along that is not done.
    pub fn taken_along(&mut self, number: u64, step: StepId, (place, bay): (PlaceId, u16), left: Time) {
        let line = self.line;
        let name = &line.steps[step.index()].name;
        let mut wrong = Vec::new();
        let Some(unit) = self.units.get(&number) else {
            return self.fault(Some(number), Some(place), format!("takes {name} along and is not there"));
        };
        if self.may_drift(unit, place) {
            wrong.push(format!("leaves {name} to others though its crew could go along"));
        }
        if unit.bay() != Some((place, bay)) || !unit.is_open_at(line, step, place) {
            wrong.push(format!("takes {name} along, which is not open there"));
        }
        let factor = line.steps[step.index()].travel.map_or(1.0, |travel| travel.factor);
        let run = unit.running.iter().position(|r| r.what == What::Step(step));
        let expected = match (run.map(|r| &unit.running[r]), unit.travels[step.index()]) {
            // What people are only on their way to has not begun.
            (Some(run), before) if run.walkers.is_some() => before.unwrap_or(Time::NEVER),
            (Some(run), before) => {
                let rest = run.paused.unwrap_or_else(|| self.left_until(run));
                let factor = if before.is_some() { 1.0 } else { factor };
                // Said for all its people, whoever has begun it.
                let named: u32 = self.asks_of(unit, What::Step(step)).iter().map(|n| n.count).sum();
                let share = if named == 0 { 1.0 } else { f64::from(run.heads) / f64::from(named) };
                Time((rest.0 as f64 * factor * share).round_ties_even().max(1.0) as i64)
            }
            (None, Some(before)) => before,
            (None, None) => Time::NEVER,
        };
        let by_more = run.map(|r| &unit.running[r]).filter(|run| run.walkers.is_none()).is_some_and(|run| {
            run.heads > self.asks_of(unit, What::Step(step)).iter().map(|n| n.count).sum::<u32>()
        });
        let fits = match run.map(|r| &unit.running[r]).filter(|_| by_more) {
            // What more share is said for the fewest.
            Some(run) => {
                let rest = run.paused.unwrap_or_else(|| self.left_until(run)).0 as f64;
                let rest = if unit.travels[step.index()].is_some() { rest } else { rest * factor };
                let (low, high) = self.share_of_time(unit, step, run.heads);
                (rest / high - 1.5..=(rest / low).max(1.0) + 1.5).contains(&(left.0 as f64))
            }
            None => expected == left,
        };
        if !fits {
            wrong.push(format!("takes {left} of {name} along, and {expected} is left"));
        }
        if run.is_some_and(|run| self.units[&number].running[run].walkers.is_some()) {
            self.parts_stay(number, step);
        }
        if let Some(unit) = self.units.get_mut(&number) {
            if let Some(run) = run {
                let run = unit.running.remove(run);
                if let Some((crew, gang)) = run.crew
                    && let Some(gang) = self.gangs[crew.index()].get_mut(usize::from(gang))
                {
                    gang.busy &= !run.people;
                    gang.resting &= !run.people;
                }
            }
            unit.travels[step.index()] = Some(left);
            // From now on it waits for what comes next.
            unit.done_at = Some(self.now);
        }
        for text in wrong {
            self.fault(Some(number), Some(place), text);
        }
        self.recount(number);
    }
}
