//! How a figure gets its band: one value per replication, or twenty equal groups of whole
//! replications for what happens inside the runs.
//!
//! Owns the gathering of replications into groups and the rule for shares of 0 and 1. Refuses to
//! make a band from fewer replications than its rule needs: the figure then stands alone.

use crate::numbers::{Histogram, binomial, student};
use crate::simulate::Replication;

/// Groups for percentiles and shares of what happens inside runs (19 degrees of freedom).
pub const GROUPS: usize = 20;

/// A figure and, where it can be said, the interval in which the true value lies.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Estimate {
    pub mean: f64,
    /// Ends of the interval; `None` where the replications are too few for one.
    pub band: Option<(f64, f64)>,
    /// Of the interval, 0.5..1.
    pub confidence: f64,
    /// Replications behind the figure.
    pub n: u32,
}

impl Estimate {
    /// Distance from the figure to the further end of its band.
    pub fn half_width(&self) -> Option<f64> {
        self.band.map(|(low, high)| (high - self.mean).max(self.mean - low))
    }

    /// Do two bands have a value in common? Figures without a band overlap only when equal.
    pub fn overlaps(&self, other: &Estimate) -> bool {
        let (low, high) = self.band.unwrap_or((self.mean, self.mean));
        let (other_low, other_high) = other.band.unwrap_or((other.mean, other.mean));
        low <= other_high && other_low <= high
    }

    /// The same figure in another unit; `factor` > 0.
    pub fn times(&self, factor: f64) -> Estimate {
        Estimate {
            mean: self.mean * factor,
            band: self.band.map(|(low, high)| (low * factor, high * factor)),
            ..*self
        }
    }

    /// A share: the band cut to 0..1; where every replication shows 0 (or 1), the exact binomial
    /// bound on the number of replications, so that certainty is never claimed.
    fn as_share(self) -> Estimate {
        let n = u64::from(self.n);
        let band = match (self.mean, self.band) {
            (_, None) => None,
            (m, Some(_)) if m <= 0.0 => Some(binomial::exact_bounds(0, n, self.confidence)),
            (m, Some(_)) if m >= 1.0 => Some(binomial::exact_bounds(n, n, self.confidence)),
            (_, Some((low, high))) => Some((low.max(0.0), high.min(1.0))),
        };
        Estimate { band, ..self }
    }
}

/// Mean of one value per replication, with Student's interval (n - 1 degrees of freedom) from two
/// values up. `None` without values.
pub fn mean_of(values: &[f64], confidence: f64) -> Option<Estimate> {
    let n = values.len();
    if n == 0 {
        return None;
    }
    let (mean, error) = mean_and_error(values);
    let half = error.map(|e| e * student::two_sided(confidence, (n - 1) as f64));
    Some(Estimate { mean, band: half.map(|h| (mean - h, mean + h)), confidence, n: count(n) })
}

/// As `mean_of`, of shares of time.
pub fn share_of(values: &[f64], confidence: f64) -> Option<Estimate> {
    mean_of(values, confidence).map(Estimate::as_share)
}

/// The mean and its standard error (divisor n - 1); no error below two values.
fn mean_and_error(values: &[f64]) -> (f64, Option<f64>) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|x| (x - mean) * (x - mean)).sum();
    let error = (values.len() > 1).then(|| (squares / (n - 1.0) / n).sqrt());
    (mean, error)
}

/// Percentile `p` of one value per replication: the value of rank ceil(p n), with the interval between
/// two order statistics that covers it with at least the confidence, half of the rest on each side
/// (David & Nagaraja, Order Statistics, section 7.1). No interval where even the extremes do not reach.
pub fn percentile_of(values: &[f64], p: f64, confidence: f64) -> Option<Estimate> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    let rank = ((p * n as f64).ceil() as usize).max(1);
    let mean = *sorted.get(rank - 1)?;
    let each = 0.5 * (1.0 - confidence);
    // P(value of rank k lies above the percentile) = P(fewer than k values lie below it).
    let fewer_than = |k: usize| if k == 0 { 0.0 } else { binomial::cdf(k as u64 - 1, n as u64, p) };
    let low = (1..=n).rev().find(|k| fewer_than(*k) <= each);
    let high = (1..=n).find(|k| 1.0 - fewer_than(*k) <= each);
    let band = low.zip(high).map(|(l, h)| (sorted[l - 1], sorted[h - 1]));
    Some(Estimate { mean, band, confidence, n: count(n) })
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Counts of all replications, and of each of the twenty groups.
#[derive(Clone, Debug)]
pub struct Grouped<A> {
    pub all: A,
    /// Twenty, or none where there are fewer replications.
    groups: Vec<A>,
    n: u32,
    confidence: f64,
}

impl<A: Default> Grouped<A> {
    /// Adds up `replications`; groups are runs of whole replications in their order, all of the same
    /// size, so up to nineteen of the last ones count in `all` only.
    pub fn gather(
        replications: &[Replication],
        confidence: f64,
        add: impl Fn(&mut A, &Replication),
    ) -> Grouped<A> {
        let sum = |part: &[Replication]| {
            let mut sum = A::default();
            part.iter().for_each(|r| add(&mut sum, r));
            sum
        };
        let size = replications.len() / GROUPS;
        let groups = match size {
            0 => Vec::new(),
            size => replications.chunks_exact(size).take(GROUPS).map(sum).collect(),
        };
        Grouped { all: sum(replications), groups, n: count(replications.len()), confidence }
    }

    /// The point value from all data; the interval, about it, from the spread of the groups. No
    /// interval where a group has nothing to show.
    pub fn estimate(&self, statistic: impl Fn(&A) -> Option<f64>) -> Option<Estimate> {
        let mean = statistic(&self.all)?;
        let of_groups: Option<Vec<f64>> = self.groups.iter().map(&statistic).collect();
        let band = of_groups.filter(|values| values.len() == GROUPS).and_then(|values| {
            let (_, error) = mean_and_error(&values);
            let half = error? * student::two_sided(self.confidence, (GROUPS - 1) as f64);
            Some((mean - half, mean + half))
        });
        Some(Estimate { mean, band, confidence: self.confidence, n: self.n })
    }

    /// As `estimate`, of a share.
    pub fn share(&self, statistic: impl Fn(&A) -> Option<f64>) -> Option<Estimate> {
        self.estimate(statistic).map(Estimate::as_share)
    }
}

impl Grouped<(u64, u64)> {
    /// Share of the second count that the first is.
    pub fn ratio(&self) -> Option<Estimate> {
        self.share(|(hits, of)| (*of > 0).then(|| *hits as f64 / *of as f64))
    }
}

/// What a record of times shows, in minutes.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Times {
    /// Mean of the means of the replications that have values.
    pub mean: Option<Estimate>,
    /// Standard deviation over mean, no unit.
    pub cv: Option<Estimate>,
    pub p05: Option<Estimate>,
    pub p50: Option<Estimate>,
    pub p90: Option<Estimate>,
    pub p95: Option<Estimate>,
    /// The longest seen in any replication.
    pub max: Option<f64>,
    /// Values in all replications.
    pub count: u64,
}

const MICROS_PER_MINUTE: f64 = 60e6;

/// The statistics of one record kept by every replication.
pub fn times(
    replications: &[Replication],
    confidence: f64,
    record: impl Fn(&Replication) -> &Histogram,
) -> Times {
    let means: Vec<f64> =
        replications.iter().filter_map(|r| record(r).mean()).map(|m| m / MICROS_PER_MINUTE).collect();
    let pooled: Grouped<Histogram> =
        Grouped::gather(replications, confidence, |sum: &mut Histogram, r| sum.merge(record(r)));
    let percentile =
        |p: f64| pooled.estimate(|h| h.quantile(p).map(|micros| micros as f64 / MICROS_PER_MINUTE));
    Times {
        mean: mean_of(&means, confidence),
        cv: pooled.estimate(variation),
        p05: percentile(0.05),
        p50: percentile(0.5),
        p90: percentile(0.9),
        p95: percentile(0.95),
        max: pooled.all.max().map(|micros| micros as f64 / MICROS_PER_MINUTE),
        count: pooled.all.count(),
    }
}

/// Coefficient of variation of a record; `None` below two values or at mean 0.
pub fn variation(record: &Histogram) -> Option<f64> {
    let mean = record.mean().filter(|m| *m > 0.0)?;
    Some(record.variance()?.sqrt() / mean)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(value: f64, expected: f64) {
        assert!((value - expected).abs() < 5e-7 * expected.abs().max(1.0), "{value} for {expected}");
    }

    #[test]
    fn a_mean_of_four_has_students_band_with_three_degrees_of_freedom() {
        // 16, 17, 18, 19: mean 17.5, s = 1.290994, error 0.645497; t(0.975, 3) = 3.182446 (any table).
        let e = mean_of(&[16.0, 17.0, 18.0, 19.0], 0.95).unwrap();
        let (low, high) = e.band.unwrap();
        close(e.mean, 17.5);
        close(low, 17.5 - 3.182446 * 0.645497);
        close(high, 17.5 + 3.182446 * 0.645497);
        assert_eq!(e.n, 4);
    }

    #[test]
    fn one_value_has_no_band_and_none_no_figure() {
        assert_eq!(mean_of(&[3.0], 0.95).unwrap().band, None);
        assert_eq!(mean_of(&[], 0.95), None);
        assert_eq!(mean_of(&[3.0, 3.0], 0.95).unwrap().band, Some((3.0, 3.0)));
    }

    #[test]
    fn a_share_that_never_happened_is_bounded_by_the_number_of_replications() {
        // Clopper & Pearson at no hits: high = 1 - (alpha/2)^(1/n).
        let e = share_of(&[0.0; 20], 0.95).unwrap();
        let (low, high) = e.band.unwrap();
        assert_eq!(low, 0.0);
        close(high, 1.0 - libm::pow(0.025, 0.05));
        assert_eq!(share_of(&[1.0; 20], 0.95).unwrap().band.unwrap().1, 1.0);
    }

    #[test]
    fn a_percentile_over_replications_lies_between_order_statistics() {
        // 20 values, median: ranks 6 and 15 cover it with 95.9 % (Conover, Practical Nonparametric
        // Statistics, table A3: P(Bin(20, 1/2) <= 5) = 0.0207).
        let values: Vec<f64> = (1..=20).map(f64::from).collect();
        let e = percentile_of(&values, 0.5, 0.95).unwrap();
        assert_eq!((e.mean, e.band), (10.0, Some((6.0, 15.0))));
        assert_eq!(percentile_of(&values[..4], 0.95, 0.95).unwrap().band, None);
        assert_eq!(percentile_of(&[], 0.5, 0.95), None);
    }

    #[test]
    fn twenty_groups_of_whole_replications_carry_a_percentile() {
        let replication = |k: i64| {
            let mut r = Replication::default();
            (0..10).for_each(|i| r.intervals.record(60_000_000 * (20 + k % 2 + i % 2)));
            r
        };
        let runs: Vec<Replication> = (0..43).map(replication).collect();
        let t = times(&runs, 0.95, |r| &r.intervals);
        // Groups of two neighbours hold one even and one odd replication: all the same, no width.
        let p50 = t.p50.unwrap();
        assert_eq!(p50.n, 43);
        assert_eq!(p50.band, Some((p50.mean, p50.mean)));
        let few = times(&runs[..19], 0.95, |r| &r.intervals);
        assert_eq!(few.p50.unwrap().band, None, "nineteen replications make no twenty groups");
        assert!(few.mean.unwrap().band.is_some());
    }

    #[test]
    fn groups_that_differ_widen_the_band() {
        let runs: Vec<Replication> = (0..20)
            .map(|k| {
                let mut r = Replication::default();
                r.flow.record(60_000_000 * (10 + k));
                r
            })
            .collect();
        // Group values 10..29: s = 5.916080, error 1.322876, t(0.975, 19) = 2.093024 (any table).
        let p50 = times(&runs, 0.95, |r| &r.flow).p50.unwrap();
        close(p50.mean - p50.band.unwrap().0, 2.093024 * 1.322876);
    }
}
