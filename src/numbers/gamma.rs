//! The gamma distribution of scale 1, and chi-square through it.
//!
//! Regularised incomplete gamma by its series and by Legendre's continued fraction (Abramowitz &
//! Stegun 6.5.29, 6.5.31); for shapes over 1e5, where both need thousands of terms, by the uniform
//! expansion of Temme, "The asymptotic expansion of the incomplete gamma functions", SIAM J. Math.
//! Anal. 10 (1979), with the coefficients of DiDonato & Morris, ACM TOMS 12 (1986). Quantiles by
//! guarded Newton on ln x.

use std::f64::consts::PI;

use super::normal;
use super::root::guarded_newton;
use super::stirling::{deviance, log1p_gap, remainder};

/// Where the uniform expansion takes over.
const LARGE_SHAPE: f64 = 1e5;

/// P(X <= x) for X gamma with this shape and scale 1.
pub fn cdf(shape: f64, x: f64) -> f64 {
    both(shape, x).0
}

/// P(X > x).
pub fn tail(shape: f64, x: f64) -> f64 {
    both(shape, x).1
}

/// The x with P(X <= x) = `p`.
pub fn quantile(shape: f64, p: f64) -> f64 {
    match p {
        _ if !(shape > 0.0 && (0.0..=1.0).contains(&p)) => f64::NAN,
        _ if p == 0.0 => 0.0,
        _ if p == 1.0 => f64::INFINITY,
        _ if p <= 0.5 => solve(shape, Side::Lower(p)),
        _ => solve(shape, Side::Upper(1.0 - p)),
    }
}

/// The x with P(X > x) = `q`, for a small `q` known better than `1 - q`.
pub fn upper_quantile(shape: f64, q: f64) -> f64 {
    match q {
        _ if !(shape > 0.0 && (0.0..=1.0).contains(&q)) => f64::NAN,
        _ if q == 0.0 => f64::INFINITY,
        _ if q == 1.0 => 0.0,
        _ if q <= 0.5 => solve(shape, Side::Upper(q)),
        _ => solve(shape, Side::Lower(1.0 - q)),
    }
}

/// The x with P(chi-square of `df` degrees of freedom <= x) = `p`.
pub fn chi_square_quantile(df: f64, p: f64) -> f64 {
    2.0 * quantile(0.5 * df, p)
}

/// The tail that is asked for; always the smaller one, so that its logarithm is steep.
#[derive(Clone, Copy)]
enum Side {
    Lower(f64),
    Upper(f64),
}

/// (P, Q), each with its own relative accuracy where it is the smaller.
fn both(shape: f64, x: f64) -> (f64, f64) {
    if shape.is_nan() || shape <= 0.0 || x.is_nan() {
        return (f64::NAN, f64::NAN);
    }
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if x == f64::INFINITY {
        return (1.0, 0.0);
    }
    if shape > LARGE_SHAPE {
        return uniform_expansion(shape, x);
    }
    if x < shape + 1.0 {
        let p = series(shape, x).min(1.0);
        (p, 1.0 - p)
    } else {
        let q = continued_fraction(shape, x).min(1.0);
        (1.0 - q, q)
    }
}

/// x^shape e^-x / gamma(shape).
fn prefactor(shape: f64, x: f64) -> f64 {
    (shape / (2.0 * PI)).sqrt() * libm::exp(-deviance(shape, x) - remainder(shape))
}

fn series(shape: f64, x: f64) -> f64 {
    let (mut term, mut sum, mut n) = (1.0 / shape, 1.0 / shape, shape);
    while term > 1e-17 * sum {
        n += 1.0;
        term *= x / n;
        sum += term;
    }
    prefactor(shape, x) * sum
}

fn continued_fraction(shape: f64, x: f64) -> f64 {
    // Lentz's method; x >= shape + 1, so no denominator vanishes.
    let mut b = x + 1.0 - shape;
    let mut c = 1.0 / f64::MIN_POSITIVE;
    let mut d = 1.0 / b;
    let mut fraction = d;
    for i in 1..20_000 {
        let i = f64::from(i);
        let a = -i * (i - shape);
        b += 2.0;
        d = 1.0 / (a * d + b);
        c = b + a / c;
        let change = c * d;
        fraction *= change;
        if (change - 1.0).abs() < 1e-16 {
            break;
        }
    }
    prefactor(shape, x) * fraction
}

fn uniform_expansion(shape: f64, x: f64) -> (f64, f64) {
    let mu = (x - shape) / shape;
    let gap = log1p_gap(mu);
    let eta = (2.0 * gap).sqrt().copysign(mu);
    let correction = (c0(eta) + c1(eta) / shape) * libm::exp(-shape * gap) / (2.0 * PI * shape).sqrt();
    let z = eta * shape.sqrt();
    ((normal::cdf(z) - correction).max(0.0), (normal::tail(z) + correction).max(0.0))
}

/// Temme's first coefficient, by its Taylor series: |eta| stays below 0.13 wherever the exponential
/// beside it is not 0.
fn c0(eta: f64) -> f64 {
    let tail = 3.527_336_860_670_194e-4 + eta * (-1.787_551_440_329_218e-4 + eta * 3.919_263_178_522_438e-5);
    -1.0 / 3.0 + eta * (1.0 / 12.0 + eta * (-2.0 / 135.0 + eta * (1.0 / 864.0 + eta * tail)))
}

fn c1(eta: f64) -> f64 {
    -1.0 / 540.0 + eta * (-1.0 / 288.0 + eta * (1.0 / 378.0 + eta * -9.902_263_374_485_597e-4))
}

/// Newton on u = ln x for ln P or ln Q.
fn solve(shape: f64, side: Side) -> f64 {
    let ln_x = guarded_newton(
        |u| {
            let x = libm::exp(u);
            let (p, q) = both(shape, x);
            let slope = prefactor(shape, x);
            match side {
                Side::Lower(target) if p > 0.0 => (libm::log(p / target), slope / p),
                Side::Upper(target) if q > 0.0 => (libm::log(target / q), slope / q),
                // Off the scale of floats: the bracket moves, Newton waits.
                Side::Lower(_) => (-1.0, 0.0),
                Side::Upper(_) => (1.0, 0.0),
            }
        },
        start(shape, side),
        -745.0,
        709.0,
    );
    libm::exp(ln_x)
}

/// ln x to begin with: Wilson & Hilferty (1931), or the leading term x^a / gamma(a + 1) far below.
fn start(shape: f64, side: Side) -> f64 {
    let z = match side {
        Side::Lower(p) => normal::quantile(p),
        Side::Upper(q) => normal::upper_quantile(q),
    };
    let ninth = 1.0 / (9.0 * shape);
    let cube_root = 1.0 - ninth + z * ninth.sqrt();
    let guess = if cube_root > 0.2 {
        libm::log(shape) + 3.0 * libm::log(cube_root)
    } else {
        let ln_p = match side {
            Side::Lower(p) => libm::log(p),
            Side::Upper(q) => libm::log1p(-q),
        };
        (ln_p + libm::lgamma(shape + 1.0)) / shape
    };
    guess.clamp(-744.0, 708.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numbers::assert_close;
    use statrs::distribution::{ContinuousCDF, Gamma};

    #[test]
    fn both_tails_agree_with_forty_digit_values() {
        // Source: incomplete gamma at 40 digits with mpmath 1.3; the large shapes test the expansion.
        for (shape, x, p, q) in [
            (0.3, 0.01, 0.279_240_996_359_014_86, 0.720_759_003_640_985_1),
            (0.3, 2.0, 0.977_974_019_172_853, 0.022_025_980_827_147_014),
            (0.001, 1e-5, 0.989_123_044_695_782_7, 0.010_876_955_304_217_33),
            (0.01, 20.0, 0.999_999_999_998_980_3, 1.019_712_405_164_315e-12),
            (1.0, 1.0, 0.632_120_558_828_557_7, 0.367_879_441_171_442_33),
            (2.5, 2.0, 0.450_584_048_647_219_8, 0.549_415_951_352_780_2),
            (4.0, 12.0, 0.997_708_208_792_208_6, 0.002_291_791_207_791_422_4),
            (12.0, 60.0, 0.999_999_999_999_990_3, 9.702_880_449_662_406e-15),
            (30.0, 20.0, 0.021_818_217_525_557_39, 0.978_181_782_474_442_6),
            (30.0, 50.0, 0.999_083_171_138_544, 9.168_288_614_560_799e-4),
            (1000.0, 1000.0, 0.504_205_244_180_215_5, 0.495_794_755_819_784_5),
            (1000.0, 1100.0, 0.998_940_676_746_07, 0.001_059_323_253_929_977_4),
            (5e4, 49_500.0, 0.012_478_315_638_082_8, 0.987_521_684_361_917_2),
            (2e5, 2e5, 0.500_297_354_027_618_5, 0.499_702_645_972_381_46),
            (2e5, 201_000.0, 0.987_228_728_290_627_8, 0.012_771_271_709_372_22),
            (1e6, 996_000.0, 3.100_711_821_108_297e-5, 0.999_968_992_881_788_9),
        ] {
            // Rounding of the deviance grows with the square root of the shape.
            let within = if shape > 1e4 { 1e-12 } else { 1e-13 };
            assert_close(cdf(shape, x), p, within, &format!("P({shape}, {x})"));
            assert_close(tail(shape, x), q, within, &format!("Q({shape}, {x})"));
        }
    }

    #[test]
    fn quantiles_agree_with_thirty_digit_values() {
        // Source: bisection of the incomplete gamma at 30 digits with mpmath 1.3.
        for (shape, p, x) in [
            (0.3, 1e-4, 3.236_440_226_603_638e-14),
            (0.3, 0.5, 0.073_131_135_866_951_9),
            (0.5, 0.001, 7.853_985_746_312_45e-7),
            (1.0, 0.9, std::f64::consts::LN_10),
            (4.0, 0.05, 1.366_318_396_749_831),
            (4.0, 0.9999, 15.913_814_000_631_293),
            (30.0, 0.5, 29.667_333_138_221_23),
            (1000.0, 0.01, 927.908_159_796_642_5),
        ] {
            assert_close(quantile(shape, p), x, 2e-14, &format!("shape {shape}, p {p}"));
        }
    }

    #[test]
    fn chi_square_agrees_with_the_printed_table() {
        // Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, critical values.
        for (df, p, printed) in [
            (1.0, 0.95, 3.841),
            (5.0, 0.99, 15.086),
            (10.0, 0.05, 3.940),
            (10.0, 0.95, 18.307),
            (30.0, 0.975, 46.979),
            (100.0, 0.95, 124.342),
        ] {
            let x = chi_square_quantile(df, p);
            assert!((x - printed).abs() <= 0.000_51, "df {df}, p {p}: {x}");
        }
    }

    #[test]
    fn quantile_and_tail_undo_each_other_over_ten_decades_of_shape() {
        for shape in [1e-3, 0.05, 0.7, 1.0, 3.3, 80.0, 9e3, 9.9e4, 1.1e5, 1e7, 1e9] {
            for q in [1e-200, 1e-12, 0.001, 0.2, 0.5] {
                let x = upper_quantile(shape, q);
                // x is good to a few roundings; each moves the tail by x density/tail roundings.
                // Below shape 0.01 the upper tail is a difference from 1.
                let within = 1e-12 + 3e-15 * prefactor(shape, x) / q;
                assert_close(tail(shape, x), q, within, &format!("shape {shape}, q {q}"));
            }
            for p in [1e-12, 0.01, 0.4] {
                let x = quantile(shape, p);
                if x > 1e-300 {
                    let within = 1e-12 + 3e-15 * prefactor(shape, x) / p;
                    assert_close(cdf(shape, x), p, within, &format!("shape {shape}, p {p}"));
                }
            }
        }
    }

    #[test]
    fn cumulative_function_agrees_with_statrs() {
        for shape in [0.3, 1.0, 4.0, 25.0, 400.0] {
            let oracle = Gamma::new(shape, 1.0).unwrap();
            for step in 1..40 {
                let x = shape * f64::from(step) / 13.0;
                assert_close(cdf(shape, x), oracle.cdf(x), 1e-11, &format!("shape {shape}, x {x}"));
            }
        }
    }

    #[test]
    fn ends_and_nonsense_are_answered() {
        assert_eq!((cdf(2.0, 0.0), cdf(2.0, -1.0), cdf(2.0, f64::INFINITY)), (0.0, 0.0, 1.0));
        assert_eq!((quantile(2.0, 0.0), quantile(2.0, 1.0)), (0.0, f64::INFINITY));
        assert_eq!((upper_quantile(2.0, 1.0), upper_quantile(2.0, 0.0)), (0.0, f64::INFINITY));
        assert!(cdf(-1.0, 1.0).is_nan() && quantile(0.0, 0.5).is_nan() && quantile(1.0, 1.5).is_nan());
    }
}
