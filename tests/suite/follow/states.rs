//! What state a bay must be in, worked out from what stands and runs there.

use super::Follower;
use super::unit::{Running, Unit, What};
use taktwright::line::PlaceId;
use taktwright::simulate::BayState;

impl Follower<'_> {
    /// At the end of an attended instant every bay is in a state that fits.
    pub fn judge_states(&mut self) {
        let mut wrong = Vec::new();
        for (p, now) in self.places.iter().enumerate() {
            let place = PlaceId::from_index(p);
            if !self.attended_at(place) {
                continue;
            }
            for (bay, unit) in now.bays.iter().enumerate() {
                let (state, fits) = (now.states[bay], self.states_of(place, bay as u16, *unit));
                if !fits.contains(&state) {
                    let wanted: Vec<&str> = fits.iter().map(|s| s.words()).collect();
                    let text =
                        format!("bay {bay} is called {} and is {}", state.words(), wanted.join(" or "));
                    wrong.push((*unit, place, text));
                }
            }
        }
        for (unit, place, text) in wrong {
            self.fault(unit, Some(place), text);
        }
    }

    fn states_of(&self, place: PlaceId, bay: u16, unit: Option<u64>) -> Vec<BayState> {
        let pushed = self.is_pushed(place);
        if self.is_halted(place) {
            return vec![BayState::Stopped];
        }
        let home = self.gang_at(place, bay).is_some_and(|gang| self.gang(gang).home);
        let Some(unit) = unit.and_then(|u| self.units.get(&u).map(|unit| (u, unit))) else {
            return match (home, pushed) {
                (true, _) => vec![BayState::OffShift],
                (false, true) => vec![BayState::Starved, BayState::WaitingForSignal],
                (false, false) => vec![BayState::Starved],
            };
        };
        let (number, unit) = unit;
        let goes_on = || unit.running.iter().filter(|r| r.paused.is_none());
        let stopped = |r: &Running| r.paused.is_some() && self.is_barred(unit, r.what, place);
        let moving = unit.arrives > self.now;
        if !moving
            && !unit.running.is_empty()
            && goes_on().next().is_none()
            && unit.running.iter().any(stopped)
        {
            return vec![BayState::Stopped];
        }
        let working = goes_on().any(|r| self.is_attended_work(r.what) && r.walkers.is_none());
        if goes_on().any(|r| !self.is_attended_work(r.what)) && !working {
            return vec![BayState::Holding];
        }
        if home {
            return vec![BayState::OffShift];
        }
        if moving {
            return vec![BayState::Moving];
        }
        if working {
            return vec![BayState::Working];
        }
        if goes_on().any(|r| r.walkers.is_some() && !r.early) || unit.running.iter().any(Running::is_unmanned)
        {
            return vec![BayState::ShortOfPeople];
        }
        if unit.is_done_at(self.line, place) || unit.asked == Some(super::unit::Asked::Leave) {
            return match pushed {
                true => vec![BayState::Blocked, BayState::WaitingForSignal],
                false => vec![BayState::Blocked],
            };
        }
        self.lacking(number, unit, place)
    }

    /// What the work left on a unit waits for.
    fn lacking(&self, number: u64, unit: &Unit, place: PlaceId) -> Vec<BayState> {
        let ready = self.ready_on(number, place);
        if ready.is_empty() {
            return vec![BayState::WaitingForStep];
        }
        let mut fits: Vec<BayState> =
            ready.iter().flat_map(|what| self.missing(number, unit, *what, place)).collect();
        if ready.iter().any(|what| self.may_wait_for_stretch(*what) || self.fits_not(number, *what)) {
            fits.extend([BayState::WaitingForStep, BayState::ShortOfPeople]);
        }
        fits
    }

    /// What is missing of equipment, room and people. The state names the first that was missing
    /// when the crew's work was last looked through, so any that is still missing will do.
    fn missing(&self, number: u64, unit: &Unit, what: What, place: PlaceId) -> Vec<BayState> {
        let mut missing = Vec::new();
        if self.is_barred(unit, what, place) {
            if let What::Step(step) = what
                && !self.has_parts(number, step)
            {
                missing.push(BayState::ShortOfParts);
            }
            missing.push(BayState::ShortOfEquipment);
            return missing;
        }
        if let What::Step(step) = what {
            if !self.has_parts(number, step) {
                missing.push(BayState::ShortOfParts);
            }
            if !self.has_equipment(unit, step) || self.lets_pass(number, what) {
                missing.push(BayState::ShortOfEquipment);
            }
            if !self.has_room(unit, step, place) {
                missing.push(BayState::ShortOfRoom);
            }
        }
        if missing.is_empty() || !self.has_people(number, what) {
            missing.push(BayState::ShortOfPeople);
        }
        missing
    }
}
