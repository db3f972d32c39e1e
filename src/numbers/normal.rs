//! The standard normal distribution.
//!
//! Quantile: Wichura, "Algorithm AS 241: the percentage points of the normal distribution", Applied
//! Statistics 37 (1988), routine PPND16 (about 1e-16). The rest is `erfc`.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Density at `z`.
pub fn density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / (2.0 * PI).sqrt()
}

/// P(Z <= z).
pub fn cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// P(Z > z), exact far out where `1 - cdf` would be 0.
pub fn tail(z: f64) -> f64 {
    0.5 * libm::erfc(z * FRAC_1_SQRT_2)
}

/// The z with P(Z <= z) = `p`; infinite at 0 and 1.
#[inline]
pub fn quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180625 - q * q;
        return q * horner(&A, r) / horner(&B, r);
    }
    let small = if q < 0.0 { p } else { 1.0 - p };
    if q < 0.0 { -outer(small) } else { outer(small) }
}

/// The z with P(Z > z) = `q`, for a `q` known better than `1 - q`.
#[inline]
pub fn upper_quantile(q: f64) -> f64 {
    -quantile(q)
}

/// Distance from 0 at which `small` (below 0.075) lies beyond.
fn outer(small: f64) -> f64 {
    if small <= 0.0 {
        return if small == 0.0 { f64::INFINITY } else { f64::NAN };
    }
    let r = (-libm::log(small)).sqrt();
    if r <= 5.0 {
        let r = r - 1.6;
        horner(&C, r) / horner(&D, r)
    } else {
        let r = r - 5.0;
        horner(&E, r) / horner(&F, r)
    }
}

#[inline]
fn horner(coefficients: &[f64; 8], x: f64) -> f64 {
    let [c0, c1, c2, c3, c4, c5, c6, c7] = coefficients;
    ((((((c7 * x + c6) * x + c5) * x + c4) * x + c3) * x + c2) * x + c1) * x + c0
}

// Wichura's coefficients: numerator and denominator for |p - 1/2| <= 0.425 (A, B), for the tails to
// exp(-25) (C, D) and beyond (E, F).
const A: [f64; 8] = [
    3.387_132_872_796_366_5,
    133.141_667_891_784_38,
    1_971.590_950_306_551_3,
    13_731.693_765_509_46,
    45_921.953_931_549_87,
    67_265.770_927_008_7,
    33_430.575_583_588_13,
    2_509.080_928_730_122_7,
];
const B: [f64; 8] = [
    1.0,
    42.313_330_701_600_91,
    687.187_007_492_057_9,
    5_394.196_021_424_751,
    21_213.794_301_586_597,
    39_307.895_800_092_71,
    28_729.085_735_721_943,
    5_226.495_278_852_854,
];
const C: [f64; 8] = [
    1.423_437_110_749_683_5,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    0.241_780_725_177_450_6,
    0.022_723_844_989_269_184,
    7.745_450_142_783_414e-4,
];
const D: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    0.689_767_334_985_1,
    0.148_103_976_427_480_08,
    0.015_198_666_563_616_457,
    5.475_938_084_995_345e-4,
    1.050_750_071_644_416_9e-9,
];
const E: [f64; 8] = [
    6.657_904_643_501_103,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    0.296_560_571_828_504_87,
    0.026_532_189_526_576_124,
    1.242_660_947_388_078_4e-3,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];
const F: [f64; 8] = [
    1.0,
    0.599_832_206_555_888,
    0.136_929_880_922_735_8,
    0.014_875_361_290_850_615,
    7.868_691_311_456_133e-4,
    1.846_318_317_510_054_8e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_8e-15,
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numbers::assert_close;

    #[test]
    fn quantiles_agree_with_forty_digit_values() {
        // Source: roots of ncdf at 40 digits with mpmath 1.3, a general multi-precision library.
        for (p, z) in [
            (1e-300, -37.047_096_299_361_2),
            (1e-20, -9.262_340_089_798_408),
            (1e-6, -4.753_424_308_822_899),
            (0.01, -2.326_347_874_040_841),
            (0.07, -1.475_791_028_179_170_7),
            (0.2, -0.841_621_233_572_914_2),
            (0.4999, -2.506_628_300_880_075e-4),
            (0.925, 1.439_531_470_938_456_2),
            (0.975, 1.959_963_984_540_053_9),
            (0.9999, 3.719_016_485_455_708_4),
        ] {
            assert_close(quantile(p), z, 1e-15, &format!("p = {p}"));
        }
        assert_eq!(quantile(0.5), 0.0);
        assert_eq!((quantile(0.0), quantile(1.0)), (f64::NEG_INFINITY, f64::INFINITY));
        assert!(quantile(-0.1).is_nan() && quantile(1.1).is_nan() && quantile(f64::NAN).is_nan());
    }

    #[test]
    fn tails_keep_their_digits_far_out() {
        // Source: erfc at 40 digits with mpmath 1.3.
        for (z, q) in [
            (0.5, 0.308_537_538_725_986_9),
            (1.0, 0.158_655_253_931_457_05),
            (3.0, 0.001_349_898_031_630_094_5),
            (8.0, 6.220_960_574_271_784e-16),
            (20.0, 2.753_624_118_606_234e-89),
            (37.0, 5.725_571_222_524_577e-300),
        ] {
            assert_close(tail(z), q, 2e-13, &format!("z = {z}"));
            assert_close(cdf(-z), q, 2e-13, &format!("z = -{z}"));
            assert_close(upper_quantile(q), z, 1e-15, &format!("q = {q}"));
        }
    }

    #[test]
    fn density_is_the_slope_of_the_cumulative_function() {
        for z in [-3.0, -0.4, 0.0, 1.7] {
            let h = 1e-5;
            assert_close(density(z), (cdf(z + h) - cdf(z - h)) / (2.0 * h), 1e-8, "slope");
        }
    }
}
