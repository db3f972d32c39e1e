//! Densities without cancellation: Stirling's remainder and the deviance of Loader, "Fast and accurate
//! computation of binomial probabilities" (2000). `a ln x - x - ln gamma(a)` loses seven digits at
//! a = 1e5; these forms lose none.

use std::f64::consts::PI;
use std::ops::RangeInclusive;

/// ln gamma(z) - [(z - 1/2) ln z - z + ln(2 pi)/2].
pub(super) fn remainder(z: f64) -> f64 {
    if z < 12.0 {
        return libm::lgamma(z) - (z - 0.5) * libm::log(z) + z - 0.5 * libm::log(2.0 * PI);
    }
    // Bernoulli numbers B(2k)/(2k (2k-1)); the first term left out is below 1e-18 at z = 12.
    let w = 1.0 / (z * z);
    let tail = 1.0 / 1680.0 - w * (1.0 / 1188.0 - w * (691.0 / 360_360.0 - w / 156.0));
    (1.0 / 12.0 - w * (1.0 / 360.0 - w * (1.0 / 1260.0 - w * tail))) / z
}

/// Where mu - ln(1 + mu) cancels and its series is short.
const NEAR: RangeInclusive<f64> = -0.4..=0.7;

/// mu - ln(1 + mu), never negative, exact near 0 where the two cancel.
pub(super) fn log1p_gap(mu: f64) -> f64 {
    if !NEAR.contains(&mu) {
        return mu - libm::log1p(mu);
    }
    // ln(1 + mu) = 2 atanh(v) with v = mu/(2 + mu), so the gap is mu v - 2 v^3 (1/3 + v^2/5 + ...).
    let v = mu / (2.0 + mu);
    let (v2, mut power, mut sum, mut k) = (v * v, 1.0, 0.0, 3.0);
    loop {
        let term = power / k;
        sum += term;
        if term < 1e-17 * sum {
            return v * (mu - 2.0 * v2 * sum);
        }
        power *= v2;
        k += 2.0;
    }
}

/// a ln(a/m) + m - a: how unlikely `a` is where `m` was expected.
pub(super) fn deviance(a: f64, m: f64) -> f64 {
    let mu = (m - a) / a;
    // Far from 0 nothing cancels, and a small m would drown in m - a.
    if NEAR.contains(&mu) { a * log1p_gap(mu) } else { a * libm::log(a / m) + (m - a) }
}
