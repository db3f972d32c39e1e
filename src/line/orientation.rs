//! How a unit stands, which steps turn it so and which need it so.

use super::StepId;
use crate::diagnostic::Span;

/// One way in which a unit may stand. The checker has settled that every step finds the unit as it
/// needs it, so a run looks at none of this; whoever moves steps to other places must.
#[derive(Clone, PartialEq, Debug)]
pub struct Orientation {
    pub name: String,
    pub label: Option<String>,
    /// So a unit comes in.
    pub first: bool,
    /// It stands so from the end of these on, until another turns it; in file order.
    pub set_by: Vec<StepId>,
    /// In file order.
    pub needed_by: Vec<StepId>,
    pub span: Span,
}
