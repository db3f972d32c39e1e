//! A quicker way through lines that need none of the heavy machinery: the same counts, bit for bit.
//!
//! Where every place is ready when its unit is, nobody is short and nobody goes home, a station of one
//! bay needs no event at all: when a unit enters, is done and leaves follows from the units before it
//! (`head`, `tail`). Only places where units overtake or return, and what stands between them, keep a
//! small queue of events (`bays`). The
//! order of one instant is not worked out here: where it could matter (two ends at one microsecond, a
//! step of no length) the replication is given up and the general run makes it. A property test holds
//! the two together.

mod bays;
mod end;
mod flow;
mod head;
mod kinds;
mod marks;
mod moves;
mod station;
mod tail;
mod verdicts;
mod window;

use super::compiled::Compiled;
use super::observations::Replication;
use super::settings::Settings;

/// The parts of a line that may run this way, in the order of the line; repair places last.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    parts: Vec<kinds::Part>,
    /// Parts of the line itself; repair places follow.
    on_line: usize,
}

impl Plan {
    /// `None`: something on the line needs the general run.
    pub fn of(compiled: &Compiled, settings: &Settings) -> Option<Plan> {
        kinds::plan(compiled, settings)
    }

    /// The part that is this place alone.
    fn part_of(&self, place: crate::line::PlaceId) -> usize {
        let at = self.parts.iter().position(|part| match part {
            kinds::Part::Bays(plan) => plan.place == place.index(),
            kinds::Part::Head { .. } | kinds::Part::Tail { .. } => false,
        });
        at.expect("tests and repair places are parts of their own")
    }

    /// One replication; `None` where the order of one instant might matter.
    pub fn replicate(&self, compiled: &Compiled, settings: &Settings, number: u32) -> Option<Replication> {
        flow::Flow::new(self, compiled, settings, number).go()
    }
}
