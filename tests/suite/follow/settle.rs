//! The end of an instant: whatever could have been done then must have been done.

use super::Follower;
use super::people::{able, can_fill, skills_of};
use super::unit::What;
use taktwright::line::{CrewId, PlaceId};

impl Follower<'_> {
    /// Called before time passes on from an instant.
    pub fn settle(&mut self) {
        self.judge_who_came();
        self.judge_pushes();
        self.judge_suspects();
        self.judge_passed();
        self.judge_shared();
        self.judge_consequences();
        self.judge_moves();
        self.judge_stops();
        self.judge_waiting_work();
        self.judge_early();
        self.judge_stores();
        self.judge_feeders();
        self.judge_carriers();
        self.judge_gates();
        self.judge_states();
    }

    /// Work that could start and does not.
    fn judge_waiting_work(&mut self) {
        let mut left = Vec::new();
        for (p, now) in self.places.iter().enumerate() {
            let place = PlaceId::from_index(p);
            for (bay, number) in now.bays.iter().enumerate() {
                let Some(number) = number else { continue };
                for what in self.ready_on(*number, place) {
                    if self.could_start(*number, what, place, bay as u16) {
                        left.push((*number, place, format!("{} could start and does not", self.said(what))));
                    }
                }
            }
        }
        for (number, place, text) in left {
            self.fault(Some(number), Some(place), text);
        }
    }

    pub fn runs_at_any_time(&self, what: What) -> bool {
        match what {
            What::Fix(_) => false,
            What::Step(step) => self.line.steps[step.index()].hold().is_some_and(|hold| !hold.attended),
        }
    }

    /// People, equipment and room are free, no older unit has a claim on those people, somebody is
    /// there.
    fn could_start(&self, number: u64, what: What, place: PlaceId, bay: u16) -> bool {
        let Some(unit) = self.units.get(&number) else { return false };
        if !self.runs_at_any_time(what) && !self.attended_at(place) {
            return false;
        }
        if self.fits_not(number, what)
            || self.may_wait_for_stretch(what)
            || !self.has_all_but_people(number, what, place)
        {
            return false;
        }
        let needs = self.needs_of(unit, what);
        let Some(gang) = self.gang_at(place, bay) else { return needs.is_empty() };
        if self.gang(gang).home {
            return needs.is_empty() && self.runs_at_any_time(what);
        }
        if self.lets_pass(number, what) {
            return false;
        }
        if needs.is_empty() {
            return true;
        }
        self.has_people(number, what)
    }

    /// Are there people for it, less those that older units' work has a claim on?
    pub fn has_people(&self, number: u64, what: What) -> bool {
        let Some((place, bay)) = self.units.get(&number).and_then(|unit| unit.bay()) else { return false };
        let Some(gang) = self.gang_at(place, bay) else { return false };
        let needs = self.needs_of(&self.units[&number], what);
        let claimed = self.claims_before(number, what, gang);
        let free = self.free_of(gang) & !claimed;
        can_fill(&needs, &skills_of(self.line, gang.0), free)
            || self.has_help(number, what, gang, free, claimed)
    }

    /// The people that waiting work of units before this one could use, where it lacks only people.
    pub fn claims_before(&self, number: u64, what: What, gang: (CrewId, u16)) -> u128 {
        let own = &self.units[&number];
        let skills = skills_of(self.line, gang.0);
        let mut claimed = 0;
        for (other, place, _) in self.served_by(gang) {
            let unit = &self.units[&other];
            for waiting in self.ready_on(other, place) {
                // Of its own unit only a step that closes a window is ahead.
                if other == number && (waiting == what || !self.closes_window(unit, waiting)) {
                    continue;
                }
                let ahead = unit.entered <= own.entered
                    || unit.arrives <= own.arrives
                    || (unit.returning && !own.returning)
                    || (self.closes_window(unit, waiting) && !self.closes_window(own, what));
                let needs = self.needs_of(unit, waiting);
                let ahead = match (self.is_brought(unit, waiting), self.is_brought(own, what)) {
                    (true, false) => true,
                    (false, true) => self.closes_window(unit, waiting),
                    (true, true) | (false, false) => ahead,
                };
                // Whoever waits for another shift's people, or for a visitor's hours, claims nobody.
                let present = self.here(gang) & !self.outside_hours(gang.0);
                let today = self.needs_today(unit, waiting).is_some() && can_fill(&needs, &skills, present);
                if ahead && today && self.lacked_only_people(other, waiting, place) {
                    claimed |= able(&needs, &self.skills_with_help(gang.0));
                }
            }
        }
        claimed
    }
}
