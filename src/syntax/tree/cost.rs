//! What time and floor cost: what a `cost` statement says.

use super::{Expr, Name};
use crate::diagnostic::Span;

/// `cost people 38 EUR per hour`
#[derive(Clone, PartialEq, Debug)]
pub struct CostSpec {
    pub of: CostOf,
    /// `None` where a cost is only named, to be removed.
    pub amount: Option<Expr>,
    /// `per year`, which no other amount knows.
    pub per_year: bool,
    /// What it is of and how much.
    pub span: Span,
}

/// What costs.
#[derive(Clone, PartialEq, Debug)]
pub enum CostOf {
    /// Everybody whose group has no cost of its own.
    People,
    /// A square metre of floor.
    Space,
    /// A group of people, or a bay of a place.
    Named(Name),
}
