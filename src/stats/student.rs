//! Mean and interval from one value per replication, by Student's t ("The probable error of a mean",
//! Biometrika 6 (1908)).

use serde::Serialize;

use crate::numbers::student;

/// A mean with its two-sided interval, in the unit of the values.
#[derive(Clone, Copy, PartialEq, Debug, Serialize)]
pub struct Estimate {
    pub mean: f64,
    pub low: f64,
    pub high: f64,
    /// Share of such intervals that hold the true mean, for values near enough to normal.
    pub confidence: f64,
    /// Values behind it.
    pub n: usize,
}

impl Estimate {
    /// From one value per replication. `None` for fewer than two values, for one that is not finite,
    /// or for a confidence outside (0, 1). Equal values give an interval of width 0: the spread is
    /// then truly 0 as far as anyone has seen.
    pub fn of(values: &[f64], confidence: f64) -> Option<Estimate> {
        let spread = Spread::of(values)?;
        let half = spread.half_width(confidence)?;
        let mean = spread.mean;
        Some(Estimate { mean, low: mean - half, high: mean + half, confidence, n: spread.n })
    }

    /// Of the differences `new - old`, replication by replication: the interval of a comparison under
    /// common random numbers. `None` where the two differ in number, and as [`Estimate::of`].
    pub fn of_differences(new: &[f64], old: &[f64], confidence: f64) -> Option<Estimate> {
        if new.len() != old.len() {
            return None;
        }
        let differences: Vec<f64> = new.iter().zip(old).map(|(n, o)| n - o).collect();
        Estimate::of(&differences, confidence)
    }

    pub fn half_width(&self) -> f64 {
        (self.high - self.low) / 2.0
    }

    pub fn contains(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

/// Mean and standard deviation of at least two finite values.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Spread {
    pub n: usize,
    pub mean: f64,
    /// Divisor n - 1.
    pub sd: f64,
}

impl Spread {
    /// Two passes: squares about the mean, less what rounding left of their sum (Chan, Golub &
    /// LeVeque, "Algorithms for computing the sample variance", American Statistician 37 (1983)).
    pub fn of(values: &[f64]) -> Option<Spread> {
        if values.len() < 2 || values.iter().any(|v| !v.is_finite()) {
            return None;
        }
        let n = values.len() as f64;
        // Differences from the first value, so that equal values give exactly their own mean.
        let mean = values[0] + values.iter().map(|v| v - values[0]).sum::<f64>() / n;
        let rest: f64 = values.iter().map(|v| v - mean).sum();
        let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
        let variance = ((squares - rest * rest / n) / (n - 1.0)).max(0.0);
        Some(Spread { n: values.len(), mean, sd: variance.sqrt() })
    }

    /// t x sd/sqrt(n); `None` for a confidence outside (0, 1).
    pub fn half_width(&self, confidence: f64) -> Option<f64> {
        let fits = confidence > 0.0 && confidence < 1.0;
        let n = self.n as f64;
        fits.then(|| student::two_sided(confidence, n - 1.0) * self.sd / n.sqrt())
    }
}

/// Half-width of the interval of the difference of two means whose values are independent of one
/// another: t(n + m - 2) x sqrt(sd1^2/n + sd2^2/m), the two-sample interval of the textbooks for equal
/// numbers (Law, *Simulation Modeling and Analysis*, two-sample-t). `None` as `Spread::of`.
pub fn half_width_apart(one: &[f64], other: &[f64], confidence: f64) -> Option<f64> {
    let (one, other) = (Spread::of(one)?, Spread::of(other)?);
    let fits = confidence > 0.0 && confidence < 1.0;
    let (n, m) = (one.n as f64, other.n as f64);
    let variance = one.sd * one.sd / n + other.sd * other.sd / m;
    fits.then(|| student::two_sided(confidence, n + m - 2.0) * variance.sqrt())
}

/// Confidence of each of `pairs` intervals that are to hold together with `confidence` (Bonferroni).
pub fn shared_confidence(confidence: f64, pairs: usize) -> f64 {
    1.0 - (1.0 - confidence) / pairs.max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_interval_of_a_known_sample_comes_out() {
        // By hand: mean 10, squares 2.5 in all, t(0.975, 3) = 3.1824 (NIST table).
        let spread = Spread::of(&[9.0, 9.5, 10.5, 11.0]).unwrap();
        assert_eq!(spread.mean, 10.0);
        assert!((spread.sd - (2.5_f64 / 3.0).sqrt()).abs() < 1e-15);
        let estimate = Estimate::of(&[9.0, 9.5, 10.5, 11.0], 0.95).unwrap();
        assert!((estimate.half_width() - 3.182_446_305_284_263 * spread.sd / 2.0).abs() < 1e-12);
        assert!(estimate.contains(10.0) && !estimate.contains(12.0));
        assert_eq!((estimate.n, estimate.confidence), (4, 0.95));
    }

    #[test]
    fn equal_values_give_width_zero_and_too_few_give_nothing() {
        let estimate = Estimate::of(&[0.1; 20], 0.95).unwrap();
        assert_eq!((estimate.mean, estimate.low, estimate.high), (0.1, 0.1, 0.1));
        assert_eq!(Estimate::of(&[3.0], 0.95), None);
        assert_eq!(Estimate::of(&[], 0.95), None);
        assert_eq!(Estimate::of(&[1.0, f64::NAN], 0.95), None);
        assert_eq!(Estimate::of(&[1.0, 2.0], 1.0), None);
        assert_eq!(Estimate::of(&[1.0, 2.0], f64::NAN), None);
    }

    #[test]
    fn large_values_with_a_small_spread_do_not_cancel() {
        let spread = Spread::of(&[1e12 + 1.0, 1e12 + 2.0, 1e12 + 3.0]).unwrap();
        assert_eq!((spread.mean, spread.sd), (1e12 + 2.0, 1.0));
    }

    #[test]
    fn a_common_bad_day_cancels_in_the_differences() {
        let old = [10.0, 14.0, 9.0, 12.0];
        let new = [11.0, 15.1, 9.9, 13.0];
        let paired = Estimate::of_differences(&new, &old, 0.95).unwrap();
        assert!((paired.mean - 1.0).abs() < 1e-12);
        assert!(paired.half_width() < Estimate::of(&new, 0.95).unwrap().half_width() / 10.0);
        assert_eq!(Estimate::of_differences(&new, &old[1..], 0.95), None);
    }

    #[test]
    fn several_intervals_share_one_confidence() {
        assert!((shared_confidence(0.95, 5) - 0.99).abs() < 1e-15);
        assert_eq!(shared_confidence(0.95, 0), shared_confidence(0.95, 1));
    }

    #[test]
    fn intervals_hold_the_true_mean_as_often_as_they_say() {
        // 2000 samples of 20 uniforms at 90 %: the share that holds 0.5 has standard error 0.0067.
        let stream = crate::draws::Stream::new(1, 0, crate::draws::Purpose::Resample, "coverage");
        let holds = (0..2000_u64).filter(|sample| {
            let values: Vec<f64> = (0..20).map(|i| stream.uniform(sample * 20 + i, 0)).collect();
            Estimate::of(&values, 0.9).unwrap().contains(0.5)
        });
        let share = holds.count() as f64 / 2000.0;
        assert!((share - 0.9).abs() < 4.0 * 0.0067, "{share}");
    }

    #[test]
    fn an_estimate_is_written_with_its_own_names() {
        let estimate = Estimate { mean: 1.0, low: 0.5, high: 1.5, confidence: 0.95, n: 20 };
        let text = serde_json::to_string(&estimate).unwrap();
        assert_eq!(text, r#"{"mean":1.0,"low":0.5,"high":1.5,"confidence":0.95,"n":20}"#);
    }
}
