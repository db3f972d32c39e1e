//! Work that is kept apart: what must not start while something else runs.

use super::{Step, StepId, ZoneId};
use crate::diagnostic::Span;

/// `exclude work in under while b10 runs`: none of `apart` runs at once with any of `running`.
#[derive(Clone, PartialEq, Debug)]
pub struct Exclusion {
    /// Tasks, in file order; never empty. Where `zones` says it, those that may be in one of them.
    pub apart: Vec<StepId>,
    /// `work in`: whichever of these tasks is in one of the zones. Empty where the tasks are named.
    pub zones: Vec<ZoneId>,
    /// Tasks and holds, in file order; never empty. A hold never waits: it bars, and is not barred.
    pub running: Vec<StepId>,
    pub reach: Reach,
    pub span: Span,
}

impl Exclusion {
    /// Whether a task is kept apart, in the zone that it takes now.
    pub fn keeps_apart(&self, id: StepId, step: &Step) -> bool {
        let in_them = || step.zones.iter().any(|zone| self.zones.contains(zone));
        self.apart.binary_search(&id).is_ok() && (self.zones.is_empty() || in_them())
    }
}

/// Whose work is kept apart.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reach {
    /// Work on one unit.
    Unit,
    /// Work on any units whose places are at most so many places of the line apart; 0 is the same place.
    Places(u32),
}
