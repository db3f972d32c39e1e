//! Units that people move one at a time: whose turn it is, and that nobody is moved without them.

use super::Follower;
use super::moves::{MoveDue, place_of};
use taktwright::line::{PlaceId, SegmentId};
use taktwright::simulate::Spot;
use taktwright::units::Time;

impl Follower<'_> {
    /// The segment of a place the units of which people move one by one.
    fn moved_one_by_one(&self, place: PlaceId) -> Option<SegmentId> {
        let segment = self.line.places[place.index()].segment?;
        let stated = &self.line.segments[segment.index()];
        (!stated.movers.is_empty() && !stated.rule.is_pushed()).then_some(segment)
    }

    /// Enough people are there for a move into a place, as far as it takes any. Nothing is moved while crews go home.
    pub fn may_be_moved_into(&self, place: PlaceId) -> bool {
        let segment = self.moved_one_by_one(place);
        segment.is_none_or(|segment| !self.is_going_home() && self.has_movers(segment))
    }

    /// Some unit could go into the segment, if only there were people to move it.
    pub fn a_unit_is_to_be_moved(&self, segment: SegmentId) -> bool {
        let into = |place: &PlaceId| self.line.places[place.index()].segment == Some(segment);
        self.moves_due().iter().any(|due| due.into.iter().any(into))
    }

    /// A unit goes to a place: whoever moves it has been heard of, and nobody could go nearer to the end of the line. The
    /// segment, if people move it.
    pub fn check_movers_into(
        &mut self,
        number: u64,
        from: Spot,
        to: Spot,
        arrives: Time,
    ) -> Option<SegmentId> {
        let place = place_of(to);
        let pushed_out = matches!(from, Spot::Bay(at, _) if self.is_pushed(at));
        let segment = self.moved_one_by_one(place).filter(|_| arrives > self.now && !pushed_out)?;
        if !self.is_moved_now(segment) {
            self.fault(Some(number), Some(place), "comes without the people who move it");
        }
        self.judge_who_went(segment);
        let further = |into: &PlaceId| *into > place && self.moved_one_by_one(*into) == Some(segment);
        let first = |due: &MoveDue| due.number != number && due.into.iter().any(further);
        if let Some(other) = self.moves_due().into_iter().find(first).filter(|_| self.line.lanes.is_empty()) {
            let text = format!("is moved before unit {}, which could go further ahead", other.number);
            self.fault(Some(number), Some(place), text);
        }
        Some(segment)
    }
}
