//! Crews that begin early: on which unit, from when on, with what, and that they do.

use super::Follower;
use super::unit::{Unit, What};
use taktwright::line::{AtBreaks, CrewId, Line, MoveRule, PlaceId, StepId};
use taktwright::units::Time;

fn before(place: PlaceId) -> Option<PlaceId> {
    place.index().checked_sub(1).map(PlaceId::from_index)
}

/// A task that may be begun in the place behind its own, as far as the line is concerned.
fn may_be_early(line: &Line, step: StepId) -> bool {
    let own = &line.steps[step.index()];
    let Some(behind) = before(own.place) else { return false };
    let narrower = line.room_caps.iter().any(|cap| {
        let counts = cap.zones.as_ref().is_none_or(|zones| own.zones.iter().any(|z| zones.contains(z)));
        counts && cap.people_at(behind) < cap.people_at(own.place)
    });
    let in_window = line.windows.iter().any(|w| w.opens == step || w.closes == step);
    let apart = super::apart::is_kept_apart(line, step);
    let keeps = line.keeps.iter().any(|keep| keep.from == step || keep.to == step);
    let tested = line.tests.iter().any(|test| test.steps.contains(&step));
    let mends = own.times.iter().any(|time| time.dist.faults().is_some());
    let fetched = own.equipment.iter().any(|(e, _)| {
        let equipment = &line.equipment[e.index()];
        let there = equipment.serves.is_empty() || equipment.serves.contains(&behind);
        equipment.moving > Time::ZERO || !equipment.first.is_empty() || !there
    });
    let after_one_that_waits =
        own.after.iter().any(|p| line.steps[p.index()].place == own.place && !may_be_early(line, *p));
    line.places[own.place.index()].early > Time::ZERO
        && own.hold().is_none()
        && own.at_breaks == AtBreaks::Rests
        && own.uses.is_empty()
        && !(narrower || in_window || apart || keeps || tested || mends || fetched || after_one_that_waits)
}

impl Follower<'_> {
    /// Something is done on a unit by the crew of the place that it comes to next.
    pub fn is_early(&self, unit: &Unit, what: What) -> bool {
        match (what, unit.bay()) {
            (What::Step(step), Some((place, _))) => {
                before(self.line.steps[step.index()].place) == Some(place)
                    && unit.again[step.index()].is_none()
                    && self.line.places[place.index() + 1].early > Time::ZERO
            }
            (What::Step(_) | What::Fix(_), _) => false,
        }
    }

    /// Whose people do something on a unit that stands in a bay.
    pub fn gang_for(&self, unit: &Unit, what: What) -> Option<(CrewId, u16)> {
        let (place, bay) = unit.bay()?;
        match self.is_early(unit, what) {
            // Of several gangs that of the bay which the unit will take.
            true => {
                let next = PlaceId::from_index(place.index() + 1);
                let segment = self.line.places[next.index()].segment?;
                self.gang_at(next, self.due_bay(segment, next)?)
            }
            false => self.gang_at(place, bay),
        }
    }

    /// Could it be begun early on this unit now, if there are people?
    pub fn may_begin_early(&self, number: u64, step: StepId) -> bool {
        let Some(unit) = self.units.get(&number) else { return false };
        let Some((place, bay)) = unit.bay().filter(|_| self.is_early(unit, What::Step(step))) else {
            return false;
        };
        let Some(segment) = self.line.places[place.index()].segment else { return false };
        let next = PlaceId::from_index(place.index() + 1);
        let signal = match self.line.segments[segment.index()].rule {
            MoveRule::PushedEvery { .. } => self.signal(segment),
            MoveRule::PushedWhenReady { .. } | MoveRule::WhenReady { .. } => None,
        };
        let open = signal.is_some_and(|signal| {
            self.net >= signal - self.line.places[next.index()].early
                && self.segments[segment.index()].ends <= self.now
        });
        open && self.line.places[next.index()].segment == Some(segment)
            && self.due_bay(segment, place) == Some(bay)
            && unit.arrives <= self.now
            && unit.asked.is_none()
            && unit.route.is_empty()
            && unit.is_done_at(self.line, place)
            && may_be_early(self.line, step)
            && unit.applies(self.line, step)
            && !unit.done[step.index()]
            && !unit.is_running(What::Step(step))
            && unit.may_follow(self.line, step)
            && !self.asks_of(unit, What::Step(step)).is_empty()
            && !self.is_going_home()
    }

    /// The end of an instant: crews that could begin early and don't.
    pub fn judge_early(&mut self) {
        if !self.days.attended(self.now) || self.line.places.iter().all(|place| place.early.is_zero()) {
            return;
        }
        let mut left = Vec::new();
        for (number, unit) in &self.units {
            let Some((place, _)) = unit.bay() else { continue };
            for step in (0..self.line.steps.len()).map(StepId::from_index) {
                if self.may_begin_early(*number, step)
                    && self.has_all_but_people(*number, What::Step(step), place)
                    && self.has_people_early(*number, step)
                {
                    let name = &self.line.steps[step.index()].name;
                    left.push((*number, place, format!("{name} could be begun early and is not")));
                }
            }
        }
        for (number, place, text) in left {
            self.fault(Some(number), Some(place), text);
        }
    }

    /// People of the crew are free for whom none of its own work waits.
    fn has_people_early(&self, number: u64, step: StepId) -> bool {
        let unit = &self.units[&number];
        let needs = self.needs_of(unit, What::Step(step));
        let Some(gang) = self.gang_for(unit, What::Step(step)) else { return needs.is_empty() };
        if self.gang(gang).home || self.needs_today(unit, What::Step(step)).is_none() {
            return false;
        }
        let skills = super::people::skills_of(self.line, gang.0);
        let mut claimed = 0;
        for (other, place, _) in self.served_by(gang) {
            for waiting in self.ready_on(other, place) {
                let needs = self.needs_of(&self.units[&other], waiting);
                if self.has_all_but_people(other, waiting, place) {
                    claimed |= super::people::able(&needs, &skills);
                }
            }
        }
        super::people::can_fill(&needs, &skills, self.free_of(gang) & !claimed)
    }

    /// A unit moves on: with what the crew of the next place has begun, if anything.
    pub fn count_early(&mut self, number: u64) {
        let net = self.net;
        let Some(unit) = self.units.get_mut(&number) else { return };
        // Who was on the way to begin early turns back.
        for walk in unit.running.extract_if(.., |run| run.early && run.walkers.is_some()) {
            if let Some((crew, gang)) = walk.crew
                && let Some(gang) = self.gangs[crew.index()].get_mut(usize::from(gang))
            {
                gang.busy &= !walk.people;
                gang.resting &= !walk.people;
            }
        }
        unit.running.iter_mut().for_each(|run| run.early = false);
        let since = unit.early_since.take();
        let place = unit.bay().map(|(place, _)| place.index() + 1);
        if let (Some(since), Some(place)) = (since, place) {
            self.totals.places[place].early += 1;
            self.totals.places[place].early_by += (net - since).0;
        }
    }
}
