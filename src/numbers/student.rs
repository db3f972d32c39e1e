//! Student's t distribution.
//!
//! Cumulative function through the incomplete beta (Abramowitz & Stegun 26.7.1); quantile by guarded
//! Newton from the normal expansion 26.7.5, which alone is exact to the last digits from
//! 1e5 degrees of freedom on.

use std::f64::consts::PI;

use super::root::guarded_newton;
use super::stirling::remainder;
use super::{beta, normal};

/// From here on the normal expansion replaces the iteration.
const NEARLY_NORMAL: f64 = 1e5;

/// P(T <= t) with `df` degrees of freedom.
pub fn cdf(t: f64, df: f64) -> f64 {
    if t <= 0.0 { tail(-t, df) } else { 1.0 - tail(t, df) }
}

/// P(T > t).
pub fn tail(t: f64, df: f64) -> f64 {
    if t < 0.0 {
        return 1.0 - tail(-t, df);
    }
    if t == 0.0 {
        return if df > 0.0 { 0.5 } else { f64::NAN };
    }
    if t.is_infinite() {
        return if df > 0.0 { 0.0 } else { f64::NAN };
    }
    let (x, y) = shares(t, df);
    0.5 * beta::cdf_with_complement(0.5 * df, 0.5, x, y)
}

/// Density at `t`.
pub fn density(t: f64, df: f64) -> f64 {
    // gamma((df + 1)/2)/gamma(df/2) by Stirling, so that large df cancel nothing.
    let (n, h) = (0.5 * df + 0.5, 0.5 * df);
    let ratio = remainder(n) - remainder(h) + h * libm::log1p(0.5 / h) - 0.5;
    let power = -n * libm::log1p(t * t / df);
    libm::exp(ratio + power) / (2.0 * PI).sqrt()
}

/// The t with P(T <= t) = `p`.
pub fn quantile(p: f64, df: f64) -> f64 {
    if p < 0.5 { -upper_quantile(p, df) } else { upper_quantile(1.0 - p, df) }
}

/// The t with P(-t <= T <= t) = `confidence`: the multiplier of a two-sided interval.
pub fn two_sided(confidence: f64, df: f64) -> f64 {
    upper_quantile(0.5 * (1.0 - confidence), df)
}

/// The t with P(T > t) = `q`, for a small `q` known better than `1 - q`.
pub fn upper_quantile(q: f64, df: f64) -> f64 {
    match q {
        _ if !(df > 0.0 && (0.0..=1.0).contains(&q)) => f64::NAN,
        _ if q == 0.0 => f64::INFINITY,
        _ if q == 1.0 => f64::NEG_INFINITY,
        _ if q == 0.5 => 0.0,
        _ if q > 0.5 => -upper_quantile(1.0 - q, df),
        _ if df > NEARLY_NORMAL => expansion(normal::upper_quantile(q), df),
        _ if q > 0.25 => central(0.5 - q, df),
        _ => outer(q, df),
    }
}

/// df/(df + t^2) and its complement.
fn shares(t: f64, df: f64) -> (f64, f64) {
    let square = t * t / df;
    if square.is_infinite() {
        return (df / t / t, 1.0);
    }
    (1.0 / (1.0 + square), square / (1.0 + square))
}

/// Abramowitz & Stegun 26.7.5.
fn expansion(z: f64, df: f64) -> f64 {
    let w = z * z;
    let g1 = (w + 1.0) / 4.0;
    let g2 = ((5.0 * w + 16.0) * w + 3.0) / 96.0;
    let g3 = (((3.0 * w + 19.0) * w + 17.0) * w - 15.0) / 384.0;
    z * (1.0 + (g1 + (g2 + g3 / df) / df) / df)
}

/// Newton on t for P(0 < T <= t) = `inside`, at most 1/4.
fn central(inside: f64, df: f64) -> f64 {
    let f = |t: f64| {
        let (x, y) = shares(t, df);
        (0.5 * beta::cdf_with_complement(0.5, 0.5 * df, y, x) / inside - 1.0, density(t, df) / inside)
    };
    // One step from 0, where the density is greatest, falls short; the quartile is 1 at most.
    guarded_newton(f, inside / density(0.0, df), 0.0, 2.0)
}

/// Newton on u = ln t for -ln P(T > t).
fn outer(q: f64, df: f64) -> f64 {
    let f = |u: f64| {
        let t = libm::exp(u);
        let beyond = tail(t, df);
        if beyond > 0.0 { (libm::log(q / beyond), t * density(t, df) / beyond) } else { (1.0, 0.0) }
    };
    let guess = expansion(normal::upper_quantile(q), df.max(3.0));
    libm::exp(guarded_newton(f, libm::log(guess), -2.0, 709.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numbers::assert_close;
    use statrs::distribution::{ContinuousCDF, StudentsT};

    #[test]
    fn upper_quantiles_agree_with_thirty_digit_values() {
        // Source: bisection of the incomplete beta at 30 digits with mpmath 1.3.
        for (df, q, t) in [
            (1.0, 0.025, 12.706_204_736_174_704),
            (1.0, 1e-6, 318_309.886_182_743_5),
            (2.0, 0.3, 0.617_213_399_848_367_7),
            (2.5, 1e-9, 3_489.583_395_369_981_7),
            (3.0, 0.4999, 2.720_699_091_104_733_6e-4),
            (4.0, 0.05, 2.131_846_786_326_650_3),
            (19.0, 0.025, 2.093_024_054_408_309_7),
            (19.0, 0.005, 2.860_934_606_464_979),
            (199.0, 0.025, 1.971_956_544_251_753_8),
            (999.0, 0.0005, 3.300_292_440_398_735_5),
            (1e4, 0.025, 1.960_201_239_890_626_2),
            (1e5, 0.001, 3.090_313_809_427_237_6),
            (1e6, 0.025, 1.959_966_356_814_107),
        ] {
            // 0.5 - 0.4999 has lost four digits before we see it.
            let within = if q > 0.49 { 1e-11 } else { 1e-12 };
            assert_close(upper_quantile(q, df), t, within, &format!("df {df}, q {q}"));
        }
    }

    #[test]
    fn two_sided_multipliers_agree_with_the_printed_table() {
        // Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, critical values.
        for (df, confidence, printed) in [
            (1.0, 0.95, 12.706),
            (2.0, 0.95, 4.303),
            (10.0, 0.95, 2.228),
            (19.0, 0.95, 2.093),
            (19.0, 0.99, 2.861),
            (30.0, 0.95, 2.042),
            (100.0, 0.90, 1.660),
        ] {
            let t = two_sided(confidence, df);
            assert!((t - printed).abs() <= 0.000_51, "df {df}: {t}");
        }
    }

    #[test]
    fn cumulative_function_agrees_with_statrs_and_is_symmetric() {
        for df in [1.0, 2.0, 7.0, 19.0, 60.0] {
            let oracle = StudentsT::new(0.0, 1.0, df).unwrap();
            for step in -20..=20 {
                let t = f64::from(step) / 4.0;
                assert_close(cdf(t, df), oracle.cdf(t), 1e-11, &format!("df {df}, t {t}"));
                assert_close(tail(t, df), cdf(-t, df), 1e-14, "symmetry");
            }
        }
    }

    #[test]
    fn the_expansion_meets_the_iteration_where_it_takes_over() {
        for q in [1e-8, 0.001, 0.025, 0.2, 0.4] {
            let (below, above) = (upper_quantile(q, NEARLY_NORMAL), upper_quantile(q, NEARLY_NORMAL + 1e-6));
            assert_close(below, above, 1e-12, &format!("q {q}"));
        }
    }

    #[test]
    fn ends_and_nonsense_are_answered() {
        assert_eq!((upper_quantile(0.5, 3.0), quantile(0.5, 3.0)), (0.0, 0.0));
        assert_eq!((quantile(0.0, 3.0), quantile(1.0, 3.0)), (f64::NEG_INFINITY, f64::INFINITY));
        assert_eq!((tail(0.0, 3.0), tail(f64::INFINITY, 3.0)), (0.5, 0.0));
        assert!(quantile(0.3, 0.0).is_nan() && quantile(1.3, 5.0).is_nan() && tail(f64::NAN, 5.0).is_nan());
    }
}
