//! Parts that tasks take from stores, and how they come there.

use super::Dist;
use crate::diagnostic::Span;
use crate::units::Time;

/// Parts of one kind in one store.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    pub name: String,
    pub label: Option<String>,
    /// Places of its store, 1 or more.
    pub places: u32,
    /// How many are there when the run begins; at most `places`.
    pub at_start: u32,
    pub origin: Origin,
    /// Short for a share of the starts that take it: what is missing arrives so much clock time later.
    pub short: Option<Amiss>,
    /// Built for another model for a share of the starts that take it: put right in so much net time, as are
    /// those of units that others have overtaken.
    pub wrong: Option<Amiss>,
    pub draws_as: String,
    pub span: Span,
}

/// How parts come into a store.
#[derive(Clone, PartialEq, Debug)]
pub enum Origin {
    Bought(Lots),
    /// A feeder makes them (`Line::feeders`).
    Made,
}

impl Origin {
    pub fn lots(&self) -> Option<&Lots> {
        match self {
            Origin::Bought(lots) => Some(lots),
            Origin::Made => None,
        }
    }
}

/// Bought-in parts: so many together, again and again. What does not fit waits outside the store.
#[derive(Clone, PartialEq, Debug)]
pub struct Lots {
    pub size: u32,
    pub when: LotsWhen,
    pub late: Option<Lateness>,
}

/// When lots fall due.
#[derive(Clone, PartialEq, Debug)]
pub enum LotsWhen {
    /// One gap after another, in clock time or in net time; the first lot one gap after the start.
    Every { gap: Dist, on_the_clock: bool },
    /// At these offsets from Monday 00:00, week by week (sorted, below one week, never empty).
    Days(Vec<Time>),
    /// Ordered as soon as what is there and on its way, less what is waited for, is no more than so many; each lot
    /// comes so much clock time later.
    AtLevel { level: u32, lead: Dist },
}

/// What is not as it should be for a share of the units, and how long that takes to put right.
#[derive(Clone, PartialEq, Debug)]
pub struct Amiss {
    pub share: f64,
    pub time: Dist,
}

/// A share of the lots comes late, by so much clock time; the due times of the others stay.
#[derive(Clone, PartialEq, Debug)]
pub struct Lateness {
    pub share: f64,
    pub by: Dist,
}
