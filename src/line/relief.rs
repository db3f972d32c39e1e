//! People who let the crews take their breaks in turn.

use crate::diagnostic::Span;

/// They sit in for so many people at a time while those have their break; the line goes on.
#[derive(Clone, PartialEq, Debug)]
pub struct Relief {
    pub label: Option<String>,
    pub count: u32,
    /// Bits of the skills that all of them have.
    pub skills: u64,
    pub span: Span,
}
