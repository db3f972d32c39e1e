//! How units stand: a run knows nothing of it, so whatever starts must find it right by itself.

use super::Follower;
use super::unit::Unit;
use taktwright::line::{Line, StepId};

/// The way in which a new unit stands; `None` where no statement says it.
pub fn first(line: &Line) -> Option<usize> {
    line.orientations.iter().position(|orientation| orientation.first)
}

/// How a unit stands at the end of a step.
pub fn turned(line: &Line, unit: &Unit, step: StepId) -> Option<usize> {
    let made = line.orientations.iter().rposition(|orientation| orientation.set_by.contains(&step));
    made.or(unit.stands)
}

impl Follower<'_> {
    /// A step begins on a unit that stands as it must. Of units that stood in the line at the start nobody knows how they
    /// were turned before.
    pub fn check_standing(&mut self, number: u64, step: StepId) {
        let line = self.line;
        let needs = |o: &usize| line.orientations[*o].needed_by.contains(&step);
        let asks = (0..line.orientations.len()).any(|o| needs(&o));
        let Some(unit) = self.units.get(&number).filter(|unit| asks && !unit.from_start) else { return };
        if !unit.stands.is_some_and(|stands| needs(&stands)) {
            let stands = unit.stands.map_or("as it came in", |stands| &line.orientations[stands].name);
            let text = format!("{} starts on a unit that stands {stands}", line.steps[step.index()].name);
            self.fault(Some(number), None, text);
        }
    }
}
