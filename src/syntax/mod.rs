//! From text to a spanned tree: the pest grammar, recovery by statement, includes, the formatter.
//!
//! Owns how a line file reads; knows nothing of what it means. The way of a text: split into words and
//! signs (`tokens`), cut into statements (`reader`) and read one by one (`sentence`, over `grammar` and `build`); where
//! that stops, `fault` finds the sentence that says why.

mod build;
mod expected;
mod fault;
mod grammar;
pub mod limits;
mod load;
mod parse;
mod patch;
mod reader;
mod sentence;
mod tidy;
mod tokens;
pub mod tree;
pub mod words;

pub use load::{Loaded, load, path_inside};
pub use parse::{Parsed, parse, parse_promise};
pub use patch::{Edit, patched, place_tasks, side_tasks};
pub use tidy::tidy;
