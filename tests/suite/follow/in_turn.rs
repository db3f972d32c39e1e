//! Places where units that return go in turn with those that come along the line: who has waited longest goes first,
//! of several that began to wait at one instant the one that returns.

use super::Follower;
use super::unit::Unit;
use taktwright::line::PlaceId;

impl Follower<'_> {
    fn goes_in_turn(&self, place: PlaceId) -> bool {
        !self.line.places[place.index()].returns_first && !self.is_pushed(place)
    }

    /// The first of those that wait to return to a place.
    fn first_return(&self, place: PlaceId) -> Option<u64> {
        let waits = |number: &&u64| self.units[*number].on_line.is_some();
        self.places[place.index()].outside.iter().find(waits).copied()
    }

    /// May a unit that comes along the line take a bay, for all that wait to return to it?
    pub fn goes_before_returns(&self, unit: &Unit, place: PlaceId) -> bool {
        let longer = |other: u64| self.goes_in_turn(place) && unit.done_at < self.units[&other].done_at;
        self.first_return(place).is_none_or(longer)
    }

    /// A unit that comes along the line takes a bay.
    pub fn check_turn_of_new(&self, number: u64, place: PlaceId, wrong: &mut Vec<String>) {
        let Some(waiting) = self.first_return(place).filter(|_| self.goes_in_turn(place)) else { return };
        if !self.goes_before_returns(&self.units[&number], place) {
            wrong.push(format!("takes a bay before unit {waiting}, which returns and has waited longer"));
        }
    }

    /// A unit that returns takes a bay.
    pub fn check_turn_of_return(&self, number: u64, place: PlaceId, wrong: &mut Vec<String>) {
        if !self.goes_in_turn(place) {
            return;
        }
        let own = self.units[&number].done_at;
        let slots = &self.places[place.index()].slots;
        let longer = match slots.front() {
            Some(head) => {
                let unit = &self.units[head];
                (unit.arrives <= self.now && unit.done_at < own).then_some(*head)
            }
            None => self.waits_along_the_line(place).find(|other| self.units[other].done_at < own),
        };
        if let Some(longer) = longer {
            wrong.push(format!("returns before unit {longer}, which has waited longer"));
        }
    }

    /// Units that are done, may leave where they stand, and could come into a bay of a place.
    fn waits_along_the_line(&self, place: PlaceId) -> impl Iterator<Item = u64> {
        let line = self.line;
        let from = (0..line.on_line).map(PlaceId::from_index);
        let from = from.filter(move |at| !self.is_pushed(*at) && !self.is_halted(*at));
        from.flat_map(move |at| {
            let comes = move |number: &&u64| {
                let unit = &self.units[*number];
                unit.route.is_empty()
                    && unit.asked.is_none()
                    && unit.arrives <= self.now
                    && unit.is_done_at(line, at)
                    && !self.is_behind_another(unit, at, true)
                    && self.ways_on(unit, at).contains(&place)
                    && self.has_carriers(Some(unit), place)
            };
            self.places[at.index()].bays.iter().flatten().filter(comes).copied()
        })
    }
}
