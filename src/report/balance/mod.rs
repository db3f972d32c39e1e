//! The answer of `balance`: which task where, the loads before and after, what moved, what binds.
//!
//! Published as `taktwright.balance/1`. The figures come with the plan; nothing is computed here but
//! shares of what the plan says.

mod build;
mod clash;
mod dot;
mod page;
mod tasks;
mod words;

pub use build::{BalanceReport, Moved, Pair, Simulated, StationLoad, balance_report, balance_schema};
pub use clash::{ClashReport, ClashStatement};
pub use dot::graph;
pub use page::{aim, answer, change_words, checked_words, clash_words, page};
pub use tasks::{Assigned, OrderRow};
pub use words::{reason_words, verdict_words};
