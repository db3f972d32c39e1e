//! People who stand in where a crew is short.

use super::PlaceId;
use crate::diagnostic::Span;

/// `floaters 3 can plumb or tile, covering A01 to A17`: people of no crew. One of them takes the seat of
/// an absent person if they can all that the group of that person can.
#[derive(Clone, PartialEq, Debug)]
pub struct Floaters {
    pub label: Option<String>,
    pub count: u32,
    /// Bit k = skill k; every one of them can all of it.
    pub skills: u64,
    /// Where they stand in; `None`: wherever there is a crew.
    pub covering: Option<Vec<PlaceId>>,
    pub span: Span,
}
