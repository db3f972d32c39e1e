//! Pallets, moulds, cradles: what a unit stands on from one place to another.

use super::{Dist, PlaceId};
use crate::diagnostic::Span;

/// A unit takes one when it comes to the slots or a bay of the first place; none free, it waits. It is on its
/// way back from when the unit leaves the last place (or the line).
#[derive(Clone, PartialEq, Debug)]
pub struct Carriers {
    pub name: String,
    pub label: Option<String>,
    pub count: u32,
    pub first: PlaceId,
    pub last: PlaceId,
    /// Clock time of the way back; `None`: at once.
    pub back: Option<Dist>,
    pub draws_as: String,
    pub span: Span,
}

impl Carriers {
    pub fn carries_at(&self, place: PlaceId) -> bool {
        self.first <= place && place <= self.last
    }
}
