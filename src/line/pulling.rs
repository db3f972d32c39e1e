//! Units that are pulled off the line when they are not done at the signal, and the work that is gone on with there.

use super::{Line, PlaceId, Step};

impl Line {
    /// Some station pulls units off the line.
    pub fn pulls_off(&self) -> bool {
        self.places.iter().any(|place| place.pulls_to.is_some())
    }

    /// Units may be pulled off the line to a place.
    pub fn is_pulled_to(&self, place: PlaceId) -> bool {
        self.places.iter().any(|from| from.pulls_to == Some(place))
    }

    /// A step may be open on a unit that is pulled off to a place, and is gone on with there.
    pub fn goes_on_off_line(&self, step: &Step, to: PlaceId) -> bool {
        let last = step.travel.map_or(step.place, |travel| travel.to);
        let mut stands = self.places[step.place.index()..=last.index().max(step.place.index())].iter();
        step.off_line.contains(&to) && stands.any(|place| place.pulls_to == Some(to))
    }

    /// A step may be gone on with elsewhere than at its own place: it travels, or its unit is pulled off with it.
    pub fn may_be_brought(&self, step: &Step) -> bool {
        step.travel.is_some() || step.off_line.iter().any(|to| self.goes_on_off_line(step, *to))
    }
}
