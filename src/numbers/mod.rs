//! Numerics that know nothing of lines: special functions, quadrature, exact histograms.
//!
//! Owns the normal, gamma, beta, Student and binomial functions behind moments, intervals and
//! verdicts, all on `libm`, so that every platform gives the same bits. Refuses randomness (that is
//! `draws`) and the choice of an interval (that is `stats`). Arguments out of range give NaN, as in
//! IEEE 754; whoever reads a file has refused them before.
//!
//! Where a tail matters, the small tail itself is the argument (`upper_quantile(1e-12)`): `1 - 1e-12`
//! has already lost four digits.

pub mod beta;
pub mod binomial;
pub mod gamma;
mod histogram;
pub mod normal;
mod quadrature;
mod root;
mod stirling;
pub mod student;

pub use histogram::{Histogram, RELATIVE_BIN_WIDTH};
pub use quadrature::{Integral, integrate, integrate_to_infinity};
pub use root::bisect;

/// Fails unless `value` is within `relative` of `expected`.
#[cfg(test)]
#[track_caller]
pub(crate) fn assert_close(value: f64, expected: f64, relative: f64, what: &str) {
    let error = if expected == 0.0 { value.abs() } else { (value / expected - 1.0).abs() };
    assert!(error <= relative, "{what}: {value:e} for {expected:e}, off by {error:e}");
}
