//! Work that must not run while other work does: what an `exclude` statement says.

use super::{Expr, Name};

/// `exclude b01, b03 while b36, b37 run within 2 places`
#[derive(Clone, PartialEq, Debug)]
pub struct ExclusionSpec {
    pub apart: Apart,
    /// The steps after `while`.
    pub running: Vec<Name>,
    /// `within 2 places`: of units that near, too.
    pub within: Option<Expr>,
}

/// What waits.
#[derive(Clone, PartialEq, Debug)]
pub enum Apart {
    /// `work in under`: every task in one of these zones.
    Zones(Vec<Name>),
    /// `b01, b03`
    Steps(Vec<Name>),
}
