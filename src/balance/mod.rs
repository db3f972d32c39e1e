//! What the plan asks of each station: loads against their windows, and doubts about them.
//!
//! Owns the load of a model at a place (the mean schedule of one unit with the full crew) and the
//! doubts that follow. Assigning tasks to stations will stand here too. Knows nothing of runs.

mod load;

pub use load::{Load, WorkContent, doubts, loads, mean_length, work_content};
