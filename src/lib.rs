//! Taktwright: from a line file to a number one can stand behind.
//!
//! The modules stand in rank order; each imports only those above it:
//! text -> syntax tree -> checked line -> plan -> observations -> summary -> report.

pub mod diagnostic;
pub mod numbers;
pub mod units;

pub mod syntax;

pub mod line;

pub mod check;

pub mod draws;
pub mod schedule;

pub mod balance;

pub mod simulate;

pub mod stats;

pub mod report;

pub mod study;
