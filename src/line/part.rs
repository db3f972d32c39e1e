//! Parts that tasks take from stores, and how they come there.

use super::Dist;
use crate::diagnostic::Span;

/// Parts of one kind in one store.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    pub name: String,
    pub label: Option<String>,
    /// Places of its store, 1 or more.
    pub places: u32,
    /// How many are there when the run begins; at most `places`.
    pub at_start: u32,
    pub lots: Lots,
    pub draws_as: String,
    pub span: Span,
}

/// Bought-in parts: so many together, again and again. What does not fit waits outside the store.
#[derive(Clone, PartialEq, Debug)]
pub struct Lots {
    pub size: u32,
    /// From one lot's due time to the next; the first is due one gap after the start.
    pub gap: Dist,
    /// Gaps in clock time, else in net time.
    pub on_the_clock: bool,
    pub late: Option<Lateness>,
}

/// A share of the lots comes late, by so much clock time; the due times of the others stay.
#[derive(Clone, PartialEq, Debug)]
pub struct Lateness {
    pub share: f64,
    pub by: Dist,
}
