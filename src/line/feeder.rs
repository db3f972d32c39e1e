//! Feeders: short lines of their own whose parts main work takes from a store.

use super::{Line, PartId, PlaceId, Step};
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
    /// How long a truck is on its way to the store, on the clock; no time, if zero.
    pub way: Time,
    pub builds: Builds,
    /// So many parts in a row: of one model, where it builds ahead.
    pub lot: Option<u32>,
    /// Number of its hours: 0, where it has those of the line.
    pub hours: u16,
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

impl Line {
    /// Parts that come in the order of the units that take them: whoever is overtaken has them re-kitted. In lots they
    /// come model by model.
    pub fn comes_in_turn(&self, part: PartId) -> bool {
        let feeder = self.feeders.iter().find(|feeder| feeder.part == part);
        let in_turn = |feeder: &Feeder| feeder.builds != Builds::ToStock && feeder.lot.is_none();
        self.parts[part.index()].wrong.is_some() && feeder.is_some_and(in_turn)
    }

    /// Share of a model's units that have a step: those with all its options that come there, where it stands in a
    /// lane; of the parts of a feeder, the first one of each lot.
    pub fn share_with(&self, step: &Step, model: usize) -> f64 {
        let options = step.options.iter().map(|o| &self.options[o.index()]);
        let with: f64 = options.map(|o| if o.models[model] { o.rate } else { 0.0 }).product();
        let lot = self.feeder_at(step.place).and_then(|feeder| feeder.lot).filter(|_| step.once_a_lot);
        with * self.lane_share(step.place, model) / f64::from(lot.unwrap_or(1))
    }
}
