//! From numbers per replication to statements: intervals, percentiles, warm-up, stopping, queues.
//!
//! Owns pure numerics. Every interval rests on one value per replication; what happens inside a run is
//! never taken for independent. Refuses to sample and to know how a run was made.

pub mod mser;
pub mod precision;
pub mod quantiles;
pub mod queues;
pub mod student;

pub use student::Estimate;
