//! Work that is kept apart: what must not start while something else runs.

use super::StepId;
use crate::diagnostic::Span;

/// `exclude work in under while b10 runs`: none of `apart` runs at once with any of `running`.
#[derive(Clone, PartialEq, Debug)]
pub struct Exclusion {
    /// Tasks, in file order; never empty.
    pub apart: Vec<StepId>,
    /// Tasks and holds, in file order; never empty. A hold never waits: it bars, and is not barred.
    pub running: Vec<StepId>,
    pub reach: Reach,
    pub span: Span,
}

/// Whose work is kept apart.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reach {
    /// Work on one unit.
    Unit,
    /// Work on any units whose places are at most so many places of the line apart; 0 is the same place.
    Places(u32),
}
