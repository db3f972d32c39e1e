//! The yard behind the line.

use crate::diagnostic::Span;
use crate::units::Time;

/// Finished units stand there until a lorry takes them; when it is full, none leaves the line.
#[derive(Clone, PartialEq, Debug)]
pub struct Yard {
    pub name: String,
    pub label: Option<String>,
    pub places: u32,
    /// A lorry takes so many at most, whatever stands there.
    pub load: u32,
    /// When they come: offsets from Monday 00:00, sorted, below one week, never empty.
    pub lorries: Vec<Time>,
    pub span: Span,
}
