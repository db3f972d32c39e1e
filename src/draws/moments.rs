//! Exact moments of a distribution: closed forms, never samples. Microseconds, variance in their
//! square. Those of a normal are taken after the cut at 0.
//!
//! Each call works the constants out anew; keep a [`Sampler`] where you ask often.

use super::Sampler;
use crate::line::Dist;

/// Mean, microseconds.
pub fn mean(dist: &Dist) -> f64 {
    Sampler::new(dist).mean()
}

/// Variance, square microseconds. Of observed values: divisor n.
pub fn variance(dist: &Dist) -> f64 {
    Sampler::new(dist).variance()
}

/// Standard deviation, microseconds.
pub fn sd(dist: &Dist) -> f64 {
    variance(dist).sqrt()
}

/// P(X <= `x`).
pub fn cdf(dist: &Dist, x: f64) -> f64 {
    Sampler::new(dist).cdf(x)
}

/// Mass below 0 that the cut of a normal takes away; 0 for every other law.
pub fn cut_mass(dist: &Dist) -> f64 {
    Sampler::new(dist).cut_mass()
}
