//! Feeders: short lines of their own whose parts main work takes from a store.

use super::{PartId, PlaceId};
use crate::diagnostic::Span;
use crate::units::Time;

/// A short line beside the main one. Its stations and racks stand in a row and move when ready; what
/// leaves the last of them goes into the store of its part.
#[derive(Clone, PartialEq, Debug)]
pub struct Feeder {
    pub name: String,
    /// Its places, from the first to the last one.
    pub first: PlaceId,
    pub last: PlaceId,
    /// What it makes.
    pub part: PartId,
    /// So many go to the store together, at most if they go at times.
    pub truck: u32,
    /// Net time from one departure of the truck to the next, whatever is on it; without it, it goes full.
    pub every: Option<Time>,
    pub builds: Builds,
    pub span: Span,
}

/// What it begins its next part for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Builds {
    /// Whenever its first place is free.
    ToStock,
    /// One for each unit of the line, in the order in which they enter: its order comes so many units
    /// before the unit itself.
    Ahead(u32),
}

impl Feeder {
    pub fn has(&self, place: PlaceId) -> bool {
        self.first <= place && place <= self.last
    }
}
