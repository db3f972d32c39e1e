//! Crews that drift, and holds that may move: what a unit may be pushed on with, and who goes along.

use super::Follower;
use super::unit::{Running, Unit, What};
use taktwright::line::{AtBreaks, Line, PlaceId, StepId};
use taktwright::simulate::Spot;
use taktwright::units::Time;

/// Only finished where it was begun: it opens or closes a window, minds the breaks, is kept apart from other work, or would find
/// less room in the next place.
fn stays(line: &Line, step: StepId, place: PlaceId) -> bool {
    let next = PlaceId::from_index(place.index() + 1);
    let own = &line.steps[step.index()];
    let narrower = line.room_caps.iter().any(|cap| {
        let counts = cap.zones.as_ref().is_none_or(|zones| own.zones.iter().any(|z| zones.contains(z)));
        counts && cap.people_at(next) < cap.people_at(place)
    });
    let in_window = line.windows.iter().any(|w| w.opens == step || w.closes == step);
    let apart = super::apart::is_kept_apart(line, step);
    own.hold().is_some_and(|hold| !hold.may_move)
        || own.at_breaks != AtBreaks::Rests
        || own.place != place
        || narrower
        || in_window
        || apart
}

impl Unit {
    /// Everything that is open on it at `place` runs on with the people who go along.
    pub fn is_carried_on(&self, line: &Line, place: PlaceId) -> bool {
        let running = |s: StepId| self.running.iter().any(|r| r.what == What::Step(s) && r.carried);
        let mut steps = (0..line.steps.len()).map(StepId::from_index);
        !self.running.is_empty()
            && self.asked.is_none()
            && steps.all(|s| {
                let open = self.place_of(line, s) == place && self.applies(line, s) && !self.done[s.index()];
                !open || running(s)
            })
    }

    /// Its people have come along with it to a place that is not the work's own; what was begun early is at home there.
    pub fn has_what_drifted(&self, line: &Line, place: PlaceId) -> bool {
        let abroad = |what: What| matches!(what, What::Step(step) if line.steps[step.index()].place != place);
        self.running.iter().any(|run| run.carried && abroad(run.what))
    }
}

impl Follower<'_> {
    /// Net time that a piece of work still takes, if it does not pause.
    fn left_of(&self, run: &Running) -> Option<Time> {
        run.paused.is_none().then(|| self.left_until(run))
    }

    /// Could the unit be pushed on with what is left on it?
    pub fn may_drift(&self, unit: &Unit, place: PlaceId) -> bool {
        let (line, drift) = (self.line, self.line.places[place.index()].drift);
        let holds = |step: StepId| line.steps[step.index()].hold().is_some_and(|hold| hold.may_move);
        let little = |run: &Running| match run.what {
            What::Step(step)
                if !stays(line, step, place)
                    && unit.travels[step.index()].is_none()
                    && !run.carried
                    && run.walkers.is_none() =>
            {
                let little = |left| !drift.is_zero() && left <= drift;
                self.left_of(run).is_some_and(|left| holds(step) || little(left))
            }
            What::Step(_) | What::Fix(_) => false,
        };
        let steps = (0..line.steps.len()).map(StepId::from_index);
        let mut open = steps
            .filter(|s| unit.place_of(line, *s) == place && unit.applies(line, *s) && !unit.done[s.index()]);
        let tests = line.tests.iter().zip(&unit.tests).all(|(test, now)| {
            let applies = test.steps.iter().any(|s| unit.applies(line, *s));
            test.place != place || now.passed || !applies
        });
        tests
            && !unit.running.is_empty()
            && unit.asked.is_none()
            && unit.route.is_empty()
            && unit.arrives <= self.now
            && open.all(|s| unit.is_running(What::Step(s)))
            && unit.running.iter().all(little)
    }

    /// A unit moves: with what it takes along, if anything.
    pub fn count_drift(&mut self, number: u64, from: Spot) {
        let (Some(unit), Spot::Bay(place, _)) = (self.units.get(&number), from) else { return };
        let own = unit.running.iter().filter(|run| !run.early);
        if let Some(left) = own.filter_map(|run| run.paused).max() {
            let sum = &mut self.totals.places[place.index()];
            sum.drifted += 1;
            sum.drifted_left += left.0;
        }
    }

    /// A unit is pushed on while a hold runs on it, which goes on.
    pub fn hold_moves(&mut self, number: u64, step: StepId, (place, bay): (PlaceId, u16)) {
        let own = &self.line.steps[step.index()];
        let stands = |unit: &&Unit| unit.bay() == Some((place, bay));
        let run = self.units.get(&number).filter(stands).and_then(|unit| {
            unit.running.iter().find(|run| run.what == What::Step(step) && run.paused.is_none())
        });
        if run.is_none_or(|run| run.carried)
            || own.hold().is_none_or(|hold| !hold.may_move)
            || own.place != place
        {
            self.fault(Some(number), Some(place), format!("{} moves on and may not", own.name));
        }
        self.totals.holds[step.index()].moved += 1;
        let now = self.now;
        if let Some(unit) = self.units.get_mut(&number) {
            unit.running.iter_mut().filter(|r| r.what == What::Step(step)).for_each(|r| r.carried = true);
            unit.done_at = Some(now);
        }
    }

    /// A unit is pushed on while a task runs on it.
    pub fn drifted(&mut self, number: u64, step: StepId, (place, bay): (PlaceId, u16), left: Time) {
        let name = &self.line.steps[step.index()].name;
        let Some(unit) = self.units.get(&number).filter(|u| u.bay() == Some((place, bay))) else {
            return self.fault(Some(number), Some(place), format!("drifts with {name} and is not there"));
        };
        let run = unit.running.iter().find(|r| r.what == What::Step(step));
        let Some(run) = run.cloned().filter(|r| r.paused.is_none() || r.early) else {
            return self.fault(Some(number), Some(place), format!("drifts with {name}, which does not run"));
        };
        // What was begun early may rest: its people are away.
        let wanted = run.paused.or(self.left_of(&run)).unwrap_or(Time::ZERO);
        if wanted != left {
            let text = format!("drifts with {left} of {name} left, and {wanted} is");
            self.fault(Some(number), Some(place), text);
        }
        if let Some((crew, gang)) = run.crew
            && let Some(gang) = self.gangs[crew.index()].get_mut(usize::from(gang))
        {
            gang.resting |= run.people;
        }
        let now = self.now;
        if let Some(unit) = self.units.get_mut(&number) {
            let runs = unit.running.iter_mut().filter(|r| r.what == What::Step(step));
            runs.for_each(|r| (r.paused, r.carried) = (Some(left), true));
            if !run.early {
                unit.done_at = Some(now);
            }
        }
    }
}
