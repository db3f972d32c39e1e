//! Exact binomial probabilities and bounds.

use super::beta;

/// P(at most `k` successes in `n` trials of probability `p`) = I(1 - p; n - k, k + 1)
/// (Abramowitz & Stegun 26.5.24).
pub fn cdf(k: u64, n: u64, p: f64) -> f64 {
    if k >= n {
        return 1.0;
    }
    beta::cdf_with_complement((n - k) as f64, k as f64 + 1.0, 1.0 - p, p)
}

/// Two-sided exact bounds on a probability after `hits` in `n` trials: Clopper & Pearson, "The use of
/// confidence or fiducial limits illustrated in the case of the binomial", Biometrika 26 (1934). The
/// interval is never of width 0; without trials it is all of [0, 1].
pub fn exact_bounds(hits: u64, n: u64, confidence: f64) -> (f64, f64) {
    let each = 0.5 * (1.0 - confidence);
    let (k, misses) = (hits as f64, n.saturating_sub(hits) as f64);
    let low = if hits == 0 { 0.0 } else { beta::quantile(k, misses + 1.0, each) };
    let high = if hits >= n { 1.0 } else { beta::upper_quantile(k + 1.0, misses, each) };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numbers::assert_close;
    use statrs::distribution::{Binomial, DiscreteCDF};

    #[test]
    fn cumulative_function_agrees_with_statrs_and_with_counting() {
        for (n, p) in [(1, 0.3), (20, 0.05), (20, 0.5), (400, 0.95)] {
            let oracle = Binomial::new(p, n).unwrap();
            for k in 0..n {
                assert!((cdf(k, n, p) - oracle.cdf(k)).abs() < 1e-11, "{k} of {n} at {p}");
            }
        }
        // Three tosses of a coin: 1, 3, 3, 1 of eight.
        for (k, eighths) in [(0, 1.0), (1, 4.0), (2, 7.0), (3, 8.0)] {
            assert_close(cdf(k, 3, 0.5), eighths / 8.0, 1e-15, "coin");
        }
    }

    #[test]
    fn exact_bounds_agree_with_the_printed_table() {
        // Source: Documenta Geigy, Scientific Tables, 7th ed. (1970), exact 95 % limits; from memory.
        for (hits, n, low, high) in
            [(0, 20, 0.0, 0.1684), (5, 10, 0.1871, 0.8129), (1, 10, 0.0025, 0.4450), (20, 20, 0.8316, 1.0)]
        {
            let (l, h) = exact_bounds(hits, n, 0.95);
            assert!((l - low).abs() < 5.1e-5 && (h - high).abs() < 5.1e-5, "{hits} of {n}: {l} to {h}");
        }
    }

    #[test]
    fn bounds_leave_the_stated_share_on_each_side() {
        // Definition of Clopper & Pearson: at the bounds, the observed count is just this unlikely.
        for (hits, n) in [(1, 2), (3, 40), (37, 40), (500, 1000)] {
            let (low, high) = exact_bounds(hits, n, 0.9);
            assert_close(1.0 - cdf(hits - 1, n, low), 0.05, 1e-10, "low");
            assert_close(cdf(hits, n, high), 0.05, 1e-10, "high");
        }
    }

    #[test]
    fn no_trials_bound_nothing_and_no_bound_has_width_zero() {
        assert_eq!(exact_bounds(0, 0, 0.95), (0.0, 1.0));
        let (low, high) = exact_bounds(20, 20, 0.95);
        assert_eq!(high, 1.0);
        assert_close(low, libm::pow(0.025, 0.05), 1e-13, "closed form at all hits");
    }
}
