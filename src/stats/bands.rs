//! How the figures of a run get their bands: gathering replications, by value or in groups.
//!
//! Thin over the numerics beside it: Student for one value per replication, twenty equal groups of
//! whole replications for what happens inside the runs.

use super::quantiles::{Banded, Hits, grouped_share, groups};
use super::student::{Estimate, Spread};
use crate::numbers::{Histogram, binomial};
use crate::simulate::Replication;

impl Banded {
    /// A figure that stands alone.
    fn alone(value: f64, confidence: f64, n: usize) -> Banded {
        Banded { value, low: None, high: None, confidence, n }
    }

    /// Distance from the figure to the further end; `None` unless both ends are known.
    pub fn half_width(&self) -> Option<f64> {
        let (low, high) = self.low.zip(self.high)?;
        Some((high - self.value).max(self.value - low))
    }

    /// Do two bands have a value in common? Figures without a band overlap only when equal.
    pub fn overlaps(&self, other: &Banded) -> bool {
        let ends = |b: &Banded| (b.low.unwrap_or(b.value), b.high.unwrap_or(b.value));
        let ((low, high), (other_low, other_high)) = (ends(self), ends(other));
        low <= other_high && other_low <= high
    }
}

/// Mean of one value per replication, with Student's interval from two values up. `None` without
/// values.
pub fn mean_of(values: &[f64], confidence: f64) -> Option<Banded> {
    match (Estimate::of(values, confidence), values) {
        (Some(Estimate { mean, low, high, confidence, n }), _) => {
            Some(Banded { value: mean, low: Some(low), high: Some(high), confidence, n })
        }
        (None, [only]) => Some(Banded::alone(*only, confidence, 1)),
        (None, _) => None,
    }
}

/// As `mean_of`, of shares of time: the band inside 0..1; where every replication shows 0 (or 1), the
/// exact binomial bound on the number of replications, so that certainty is never claimed.
pub fn share_of(values: &[f64], confidence: f64) -> Option<Banded> {
    mean_of(values, confidence).map(never_certain)
}

fn never_certain(share: Banded) -> Banded {
    let n = share.n as u64;
    let exact = |hits: u64| {
        let (low, high) = binomial::exact_bounds(hits, n, share.confidence);
        Banded { low: Some(low), high: Some(high), ..share }
    };
    match share.value {
        _ if share.low.is_none() => share,
        s if s <= 0.0 => exact(0),
        s if s >= 1.0 => exact(n),
        _ => Banded { low: share.low.map(|l| l.max(0.0)), high: share.high.map(|h| h.min(1.0)), ..share },
    }
}

/// Share of happenings: (hits, chances) of every replication.
pub fn ratio_of(
    replications: &[Replication],
    confidence: f64,
    count: impl Fn(&Replication) -> (u64, u64),
) -> Option<Banded> {
    let hits = |r: &Replication| {
        let (hits, chances) = count(r);
        Hits { hits, chances }
    };
    grouped_share(&replications.iter().map(hits).collect::<Vec<Hits>>(), confidence)
}

/// Counts of all replications, and of each of the twenty groups.
#[derive(Clone, Debug)]
pub struct Grouped<A> {
    pub all: A,
    /// Twenty, or none where there are fewer replications.
    groups: Vec<A>,
    n: usize,
    confidence: f64,
}

impl<A: Default> Grouped<A> {
    /// Adds up `replications`, all of them and by groups.
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
        let ranges = groups(replications.len()).unwrap_or_default();
        Grouped {
            all: sum(replications),
            groups: ranges.into_iter().map(|range| sum(&replications[range])).collect(),
            n: replications.len(),
            confidence,
        }
    }

    /// The value from all data, the interval about it from the spread of the groups. No interval where
    /// a group has nothing to show.
    pub fn estimate(&self, statistic: impl Fn(&A) -> Option<f64>) -> Option<Banded> {
        let alone = Banded::alone(statistic(&self.all)?, self.confidence, self.n);
        let of_groups: Option<Vec<f64>> = self.groups.iter().map(&statistic).collect();
        let half = of_groups.and_then(|values| Spread::of(&values)?.half_width(self.confidence));
        Some(Banded { low: half.map(|h| alone.value - h), high: half.map(|h| alone.value + h), ..alone })
    }

    /// As `estimate`, of a share.
    pub fn share(&self, statistic: impl Fn(&A) -> Option<f64>) -> Option<Banded> {
        self.estimate(statistic).map(never_certain)
    }

    /// As `estimate`, of a figure that lies between two others.
    pub fn estimate_within(
        &self,
        (least, greatest): (f64, f64),
        statistic: impl Fn(&A) -> Option<f64>,
    ) -> Option<Banded> {
        let e = self.estimate(statistic)?;
        Some(Banded { low: e.low.map(|l| l.max(least)), high: e.high.map(|h| h.min(greatest)), ..e })
    }
}

/// What a record of times shows, in minutes.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Times {
    /// Mean of the means of the replications that have values.
    pub mean: Option<Banded>,
    /// Standard deviation over mean, no unit.
    pub cv: Option<Banded>,
    pub p05: Option<Banded>,
    pub p50: Option<Banded>,
    pub p90: Option<Banded>,
    pub p95: Option<Banded>,
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
    let in_minutes = |micros: i64| micros as f64 / MICROS_PER_MINUTE;
    let ends = (pooled.all.min().map_or(0.0, in_minutes), pooled.all.max().map_or(0.0, in_minutes));
    let percentile = |p: f64| pooled.estimate_within(ends, |h| h.quantile(p).map(in_minutes));
    Times {
        mean: mean_of(&means, confidence),
        cv: pooled.estimate(variation),
        p05: percentile(0.05),
        p50: percentile(0.5),
        p90: percentile(0.9),
        p95: percentile(0.95),
        max: pooled.all.max().map(in_minutes),
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
        close(e.value, 17.5);
        close(e.low.unwrap(), 17.5 - 3.182446 * 0.645497);
        close(e.high.unwrap(), 17.5 + 3.182446 * 0.645497);
        assert_eq!(e.n, 4);
    }

    #[test]
    fn one_value_has_no_band_and_none_no_figure() {
        assert_eq!(mean_of(&[3.0], 0.95).unwrap().low, None);
        assert_eq!(mean_of(&[], 0.95), None);
        assert_eq!(mean_of(&[3.0, 3.0], 0.95).unwrap().half_width(), Some(0.0));
    }

    #[test]
    fn a_share_that_never_happened_is_bounded_by_the_number_of_replications() {
        // Clopper & Pearson at no hits: high = 1 - (alpha/2)^(1/n).
        let e = share_of(&[0.0; 20], 0.95).unwrap();
        assert_eq!(e.low, Some(0.0));
        close(e.high.unwrap(), 1.0 - libm::pow(0.025, 0.05));
        assert_eq!(share_of(&[1.0; 20], 0.95).unwrap().high, Some(1.0));
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
        assert_eq!(p50.half_width(), Some(0.0));
        let few = times(&runs[..19], 0.95, |r| &r.intervals);
        assert_eq!(few.p50.unwrap().low, None, "nineteen replications make no twenty groups");
        assert!(few.mean.unwrap().low.is_some());
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
        close(p50.half_width().unwrap(), 2.093024 * 1.322876);
    }
}
