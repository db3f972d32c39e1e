//! (being built)
mod histogram;
pub use histogram::Histogram;
