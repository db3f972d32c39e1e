//! The classical case: every load is a plain sum of whole numbers.
//!
//! Owns assigning tasks with precedence to stations of equal capacity: bounds, first answers, and a
//! search that proves what it can. Knows nothing of lines, people or clocks: times are integers, the
//! caller says when to stop. An answer depends on the tasks and on counts of steps only, so the same
//! question always has the same answer; whoever stops a search early is told that nothing was proven.
//!
//! The search is branch, bound and remember (Sewell & Jacobson, "A branch, bound, and remember
//! algorithm for the simple assembly line balancing problem", INFORMS J. on Computing 24, 2012) with
//! the cyclic best-first order of Morrison, Sewell & Jacobson, "An application of the branch, bound,
//! and remember algorithm to a new simple assembly line balancing dataset", EJOR 236 (2014), walked
//! from both ends of the line by turns. Terms as in Scholl, *Balancing and Sequencing of Assembly
//! Lines* (1999).

mod answer;
mod ends;
mod fill;
mod first;
mod memory;
mod pace;
mod rule;
mod search;
mod set;
mod tasks;
mod way;
mod weights;

pub use answer::{Answer, Budget, StoppedBy};
pub use pace::{PaceAnswer, shortest_pace};
pub use search::fewest_stations;
pub use tasks::{Tasks, TasksFault};
