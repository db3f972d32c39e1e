//! Gates: faults that a unit has when it comes there, and where they are mended.

use super::{PlaceId, StepId};
use crate::diagnostic::Span;

/// What a gate finds in a unit: a Poisson number of faults. They are mended one after another, here or,
/// as far as they may go on, at a later place.
#[derive(Clone, PartialEq, Debug)]
pub struct Gate {
    pub name: String,
    pub label: Option<String>,
    pub place: PlaceId,
    /// Mends here. A unit without faults to mend here does not have it.
    pub step: StepId,
    /// Faults found per unit, on average.
    pub finds: f64,
    pub goes_on: Option<GoesOn>,
    pub span: Span,
}

/// What is left for later.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct GoesOn {
    /// Faults of one unit at most; the others are mended at the gate.
    pub most: u32,
    pub to: PlaceId,
    /// Mends there.
    pub step: StepId,
}

impl Gate {
    /// Of so many faults found: how many are mended here, and how many go on.
    pub fn split(&self, found: u32) -> (u32, u32) {
        let on = self.goes_on.map_or(0, |on| found.min(on.most));
        (found - on, on)
    }
}
