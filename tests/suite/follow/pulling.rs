//! Units that are pulled off the line: who may be, at which push, and where they come back.

use super::Follower;
use super::unit::Unit;
use taktwright::line::{PlaceId, SegmentId, StepId};
use taktwright::simulate::Spot;

impl Follower<'_> {
    /// Positions of a segment whose units leave the line with its next push: not done, and with nothing open that is not
    /// gone on with off the line, where a place is free for each of them.
    pub fn who_is_pulled_off(&self, segment: SegmentId, fronts: &[Option<u64>]) -> Vec<usize> {
        let first = self.line.segments[segment.index()].first.index();
        let mut found: Vec<usize> = Vec::new();
        for (position, number) in fronts.iter().enumerate() {
            let place = PlaceId::from_index(first + position);
            let Some(to) = self.line.places[place.index()].pulls_to else { continue };
            let Some(unit) = number.and_then(|number| self.units.get(&number)) else { continue };
            let goes_on = self.may_go_open(unit, place) || self.may_drift(unit, place);
            if unit.is_done_at(self.line, place) || goes_on || !self.goes_on_at(unit, place, to) {
                continue;
            }
            let same = |other: &&usize| self.line.places[first + **other].pulls_to == Some(to);
            let coming = found.iter().filter(same).count();
            let off = &self.places[to.index()];
            let free = off.bays.iter().filter(|bay| bay.is_none()).count();
            if !self.is_halted(to) && off.outside.len() + coming < free {
                found.push(position);
            }
        }
        found
    }

    fn goes_on_at(&self, unit: &Unit, place: PlaceId, to: PlaceId) -> bool {
        let line = self.line;
        let steps = (0..line.steps.len()).map(StepId::from_index);
        let open = |s: &StepId| unit.is_open_at(line, *s, place);
        let unjudged = line.tests.iter().zip(&unit.tests).any(|(test, now)| {
            test.place == place && !now.passed && test.steps.iter().any(|s| unit.applies(line, *s))
        });
        unit.route.is_empty()
            && unit.asked.is_none()
            && unit.arrives <= self.now
            && !unit.has_what_drifted(line, place)
            && !unjudged
            && steps.filter(open).all(|s| line.steps[s.index()].off_line.contains(&to))
    }

    /// The unit leaves its station for a place off the line, and will come back behind the station.
    pub fn pulled_off(&mut self, number: u64, from: PlaceId, to: PlaceId) {
        self.totals.places[from.index()].pulled_off += 1;
        let next = self.next_on_line(from);
        if let Some(unit) = self.units.get_mut(&number) {
            unit.off = Some(from);
            unit.route = [Some(to), next].into_iter().flatten().collect();
        }
    }

    /// Whether a move out of a bay takes the unit off the line.
    pub fn is_pull(&self, unit: &Unit, from: PlaceId, to: Spot) -> bool {
        let Spot::Outside(to) = to else { return false };
        unit.asked.is_none() && unit.route.is_empty() && self.line.places[from.index()].pulls_to == Some(to)
    }
}
