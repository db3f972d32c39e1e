//! From text to a spanned tree: the pest grammar, recovery by statement, includes, the formatter.
//!
//! Owns how a line file reads; knows nothing of what it means.

pub mod tree;
