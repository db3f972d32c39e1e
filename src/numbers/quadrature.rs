//! Integrals of smooth functions by adaptive Gauss-Kronrod quadrature.
//!
//! Pair of 7 and 15 points (Kronrod 1965; nodes as in QUADPACK, Piessens et al. 1983). The interval
//! with the largest estimated error is halved until the sum of the estimates is small enough.

/// A value and how far off it may be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Integral {
    pub value: f64,
    /// Estimate of the absolute error, usually far too large.
    pub error: f64,
}

/// Halvings before the answer is returned with whatever error is left.
const MOST_PARTS: usize = 400;

/// Integral of `f` from `low` to `high`, aimed at `relative` error. Read `error` before you trust the
/// value where `f` has a corner.
pub fn integrate(f: impl Fn(f64) -> f64, low: f64, high: f64, relative: f64) -> Integral {
    let mut parts = vec![Part::new(&f, low, high)];
    loop {
        let value: f64 = parts.iter().map(|p| p.value).sum();
        let error: f64 = parts.iter().map(|p| p.error).sum();
        let done = error <= relative * value.abs() || error <= f64::MIN_POSITIVE || !error.is_finite();
        if done || parts.len() >= MOST_PARTS {
            return Integral { value, error };
        }
        let mut worst = 0;
        for (i, part) in parts.iter().enumerate() {
            if part.error > parts[worst].error {
                worst = i;
            }
        }
        let Part { low, high, .. } = parts[worst];
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            return Integral { value, error };
        }
        parts[worst] = Part::new(&f, low, middle);
        parts.insert(worst + 1, Part::new(&f, middle, high));
    }
}

/// Integral of `f` from `low` to infinity, by x = low + scale t/(1 - t); `scale` is the order of
/// magnitude over which `f` falls off.
pub fn integrate_to_infinity(f: impl Fn(f64) -> f64, low: f64, scale: f64, relative: f64) -> Integral {
    let stretched = |t: f64| {
        let rest = 1.0 - t;
        f(low + scale * t / rest) * scale / (rest * rest)
    };
    integrate(stretched, 0.0, 1.0, relative)
}

struct Part {
    low: f64,
    high: f64,
    value: f64,
    error: f64,
}

impl Part {
    fn new(f: &impl Fn(f64) -> f64, low: f64, high: f64) -> Part {
        let (half, middle) = ((high - low) / 2.0, low + (high - low) / 2.0);
        let at_middle = f(middle);
        let (mut kronrod, mut gauss) = (KRONROD[7] * at_middle, GAUSS[3] * at_middle);
        for i in 0..7 {
            let pair = f(middle - half * NODES[i]) + f(middle + half * NODES[i]);
            kronrod += KRONROD[i] * pair;
            if i % 2 == 1 {
                gauss += GAUSS[i / 2] * pair;
            }
        }
        Part { low, high, value: kronrod * half, error: ((kronrod - gauss) * half).abs() }
    }
}

const NODES: [f64; 7] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_4,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
];
/// Weights of the 15 points; the last belongs to the middle.
const KRONROD: [f64; 8] = [
    0.022_935_322_010_529_224,
    0.063_092_092_629_978_55,
    0.104_790_010_322_250_18,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_9,
    0.209_482_141_084_727_82,
];
/// Weights of the 7 points among them; the last belongs to the middle.
const GAUSS: [f64; 4] =
    [0.129_484_966_168_869_7, 0.279_705_391_489_276_64, 0.381_830_050_505_118_9, 0.417_959_183_673_469_4];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_panel_is_exact_for_polynomials_up_to_degree_22() {
        // Property of the pair: 3n + 1 = 22 for n = 7 (Kronrod 1965); degree 24 must miss.
        let power = |x: f64, n: usize| (0..n).fold(1.0, |product, _| product * x);
        for degree in 0..=22 {
            let panel = Part::new(&|x| power(x, degree), 0.0, 1.0);
            let exact = 1.0 / (degree as f64 + 1.0);
            assert!((panel.value / exact - 1.0).abs() < 3e-15, "degree {degree}: {}", panel.value);
        }
        let panel = Part::new(&|x| power(x, 24), -1.0, 1.0);
        assert!((panel.value - 2.0 / 25.0).abs() > 1e-12);
        assert!((panel.error) > 1e-9, "the seven points alone are exact only to degree 13");
    }

    #[test]
    fn integrals_known_in_closed_form_come_out() {
        let wave = integrate(libm::sin, 0.0, std::f64::consts::PI, 1e-14);
        assert!((wave.value - 2.0).abs() < 1e-14 && wave.error < 1e-13);
        // A peak that one panel cannot see: width 0.001 in the middle of [0, 1].
        let peak = integrate(|x| libm::exp(-0.5 * (x - 0.5) * (x - 0.5) / 1e-6), 0.0, 1.0, 1e-13);
        let exact = 1e-3 * (2.0 * std::f64::consts::PI).sqrt();
        assert!((peak.value / exact - 1.0).abs() < 1e-12, "{peak:?}");
        let tail = integrate_to_infinity(|x| x * libm::exp(-x / 7.0), 0.0, 7.0, 1e-13);
        assert!((tail.value / 49.0 - 1.0).abs() < 1e-12, "{tail:?}");
    }

    #[test]
    fn what_cannot_be_integrated_says_so_by_its_error() {
        let pole = integrate(|x| 1.0 / x, 0.0, 1.0, 1e-10);
        assert!(pole.error > 1e-3 * pole.value, "{pole:?}");
        assert!(integrate(|_| f64::NAN, 0.0, 1.0, 1e-10).value.is_nan());
    }
}
