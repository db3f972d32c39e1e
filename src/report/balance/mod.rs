//! The answer of `balance`: which task where, the loads before and after, what moved, what binds.
//!
//! Published as `taktwright.balance/1`. The figures come with the plan; nothing is computed here but
//! shares of what the plan says.

mod build;
mod clash;
mod page;
mod words;

pub use build::{BalanceReport, Simulated, balance_report, balance_schema};
pub use clash::{ClashReport, ClashStatement};
pub use page::page;
pub use words::{reason_words, verdict_words};
