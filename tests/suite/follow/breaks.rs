//! When work and holds end: over breaks and through them, in the warm and in the cold; what must fit before a
//! break.

use super::Follower;
use super::attendance::Attendance;
use super::unit::{Running, What};
use taktwright::line::{AtBreaks, StepId, Warmth};
use taktwright::units::Time;

impl Follower<'_> {
    /// When something that still takes `left` ends, if it begins or goes on now.
    pub fn due(&self, what: What, left: Time) -> Time {
        let days = self.days_for(what);
        let What::Step(step) = what else { return days.end_of_work(self.now, left) };
        let step = &self.line.steps[step.index()];
        match step.hold() {
            Some(hold) => match &hold.warm {
                Some(warm) => self.warm_end((warm, hold.attended.then_some(days)), self.now, left),
                None if hold.attended => days.end_of_work(self.now, left),
                None => self.now + left,
            },
            None if step.at_breaks == AtBreaks::Through => self.now + left,
            None => days.end_of_work(self.now, left),
        }
    }

    /// What work that is due then still takes; people on the way to it walk in attended time.
    pub fn left_until(&self, run: &Running) -> Time {
        let ends = run.ends;
        match run.what {
            What::Step(step)
                if run.walkers.is_none() && self.line.steps[step.index()].at_breaks == AtBreaks::Through =>
            {
                ends - self.now
            }
            What::Step(_) | What::Fix(_) => {
                let days = self.days_for(run.what);
                days.net(ends) - days.net(self.now)
            }
        }
    }

    /// From the degrees that the file states, an hour or part of one at a time: the temperature of a file
    /// changes on whole minutes.
    /// `days`: what counts must be attended, too.
    pub fn warm_end(&self, (warm, days): (&Warmth, Option<&Attendance>), since: Time, length: Time) -> Time {
        let shop = &self.line.temperatures[warm.of].week;
        let first = self.line.calendar.as_ref().map_or(0, |c| i64::from(c.first_weekday));
        let (mut at, mut left) = (since, length);
        while left > Time::ZERO {
            let of_week = Time((at.0 + first * Time::DAY.0).rem_euclid(Time::WEEK.0));
            let degrees = shop.iter().rfind(|(from, _)| *from <= of_week).expect("the first one is at 0").1;
            let minute = Time::from_minutes(of_week.0 / Time::MINUTE.0 + 1);
            let step = minute - of_week;
            let counts = days.map_or(step, |days| days.net(at + step) - days.net(at));
            match degrees >= warm.least {
                true if left <= counts => {
                    return days.map_or(at + left, |days| days.end_of_work(at, left));
                }
                true => left -= counts,
                false if warm.again => left = length,
                false => {}
            }
            at += step;
        }
        at
    }

    /// Whether it is begun only if it fits, and does not, the walk to it included.
    pub fn fits_not(&self, number: u64, what: What) -> bool {
        let place = self.units.get(&number).and_then(|unit| unit.bay()).map(|(place, _)| place);
        let walk = place.map_or(Time::ZERO, |place| self.line.places[place.index()].walk);
        self.is_too_long(number, what, walk)
    }

    /// The same after `walk`.
    pub fn is_too_long(&self, number: u64, what: What, walk: Time) -> bool {
        let (What::Step(id), Some(unit)) = (what, self.units.get(&number)) else { return false };
        let step = &self.line.steps[id.index()];
        let time = &step.times[unit.model.index()];
        let mean = taktwright::draws::moments::mean(&time.dist) * time.factor;
        let needed = Time(mean.round_ties_even() as i64);
        self.must_fit(id)
            && self.days_for(what).stretch_left(self.now).is_some_and(|left| left < needed + walk)
    }

    pub fn must_fit(&self, step: StepId) -> bool {
        self.line.steps[step.index()].at_breaks == AtBreaks::OnlyIfItFits
    }
}
