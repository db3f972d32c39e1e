//! What the plan asks of each station, and which plan asks least.
//!
//! Owns the load of a model at a place (the mean schedule of one unit with the full crew), the doubts
//! that follow, and the assignment of tasks to stations: the classical case with proof (`classic`),
//! and real stations, whose loads are schedules, by search. Knows nothing of runs.

mod chance;
mod changes;
mod clash;
pub mod classic;
mod closing;
mod emptying;
mod every;
mod fails;
mod improve;
mod least;
mod load;
mod offers;
mod order;
mod people;
mod plain;
mod plan;
mod retests;
mod rules;
mod samples;
mod sides;
mod trial;
mod turns;
mod weights;
mod why;
mod wide;
mod window;

pub use chance::{Late, draws_allowed, shares_over};
pub use clash::{Clash, Said, clash};
pub use improve::improve;
pub use load::{Load, WorkContent, doubts, loads, mean_length, window, work_content};
pub use plan::{Aim, Caps, Change, Goal, NoPlan, Plan, Stopped, Worth};
pub use rules::{Holding, Reason, holdings, out_of_order, unable};
pub use why::{Verdict, why};
