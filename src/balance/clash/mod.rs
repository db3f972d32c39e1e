//! Why there is no plan: a smallest set of statements that no plan keeps at the stated pace.
//!
//! Statements are taken out one by one and the rest is asked again. What is asked is less than a plan: labour and
//! single steps against the caps, whatever the schedule. So where it says no, there is none; where it doesn't,
//! nothing is claimed.

mod facts;
mod fits;
mod smallest;

pub use facts::Said;
pub use smallest::{Clash, clash};
