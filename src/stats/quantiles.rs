//! Percentiles and shares with intervals that do not take what happens inside one run for independent.
//!
//! Three cases. A percentile of one value per replication: order statistics, free of any law
//! (David & Nagaraja, Order Statistics, 3rd ed. (2003), section 7.1). A percentile or share over what
//! happens inside runs (waits, intervals, shifts): value from all data, interval from 20 equal groups of
//! whole replications by Student's t with 19 degrees of freedom. A share of 0 or 1 there: exact binomial
//! bound on the number of replications.

use std::ops::Range;

use serde::Serialize;

use super::student::Spread;
use crate::numbers::{Histogram, binomial};

/// Groups that an interval over happenings inside runs rests on.
pub const GROUPS: usize = 20;

/// A value with an interval whose ends may be unknown.
#[derive(Clone, Copy, PartialEq, Debug, Serialize)]
pub struct Banded {
    pub value: f64,
    /// `None`: the data bound the value on this side by nothing.
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub confidence: f64,
    /// Replications behind it.
    pub n: usize,
}

/// The `p` percentile (0 < p < 1) of one value per replication: the value of rank ceil(p n), and as
/// interval the closest order statistics outside which the true percentile lies with at most half of
/// 1 - confidence each. With too few values for that (p = 95 % needs 72 for an upper end at 95 %) the
/// end is `None`. `None` without values, for values that are no numbers, or for p or confidence
/// outside (0, 1).
pub fn percentile(values: &[f64], p: f64, confidence: f64) -> Option<Banded> {
    let inside = |x: f64| x > 0.0 && x < 1.0;
    if values.is_empty() || values.iter().any(|v| v.is_nan()) || !inside(p) || !inside(confidence) {
        return None;
    }
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len() as u64;
    let each = 0.5 * (1.0 - confidence);
    // k = how many of n lie below the true percentile is binomial(n, p). The r-th smallest lies above it
    // where k < r, and below it where k >= r.
    let low_rank = last_rank(n, |r| binomial::cdf(r - 1, n, p) <= each);
    let high_rank =
        last_rank(n, |r| 1.0 - binomial::cdf(n - r, n, p) <= each).map(|from_top| n + 1 - from_top);
    let at = |rank: u64| sorted[rank as usize - 1];
    let rank = ((p * n as f64).ceil() as u64).clamp(1, n);
    Some(Banded {
        value: at(rank),
        low: low_rank.map(at),
        high: high_rank.map(at),
        confidence,
        n: sorted.len(),
    })
}

/// The largest rank in 1..=n for which `holds`, true up to some rank and false beyond.
fn last_rank(n: u64, holds: impl Fn(u64) -> bool) -> Option<u64> {
    let (mut yes, mut no) = (0, n + 1);
    while no - yes > 1 {
        let middle = yes + (no - yes) / 2;
        if holds(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    (yes > 0).then_some(yes)
}

/// The replications of each of the 20 equal groups; what is left over (fewer than 20) belongs to none
/// and only counts in the value from all data. `None` for fewer than 20 replications.
pub fn groups(replications: usize) -> Option<Vec<Range<usize>>> {
    let size = replications / GROUPS;
    (size > 0).then(|| (0..GROUPS).map(|g| g * size..(g + 1) * size).collect())
}

/// A value over all replications with its interval from 20 groups: `value_of` gives the value over a range
/// of whole replications, `None` where nothing happened in them. Without a value in every group the
/// ends are unknown; `None` without any value at all.
pub fn grouped(
    replications: usize,
    confidence: f64,
    value_of: impl Fn(Range<usize>) -> Option<f64>,
) -> Option<Banded> {
    let value = value_of(0..replications)?;
    let half = groups(replications)
        .and_then(|groups| groups.into_iter().map(&value_of).collect::<Option<Vec<f64>>>())
        .and_then(|values| Spread::of(&values)?.half_width(confidence));
    let (low, high) = (half.map(|h| value - h), half.map(|h| value + h));
    Some(Banded { value, low, high, confidence, n: replications })
}

/// The `p` percentile of everything recorded, one record per replication, in the unit recorded.
/// The ends stay between the least and the greatest value recorded.
pub fn grouped_percentile(records: &[Histogram], p: f64, confidence: f64) -> Option<Banded> {
    let merged = |range: Range<usize>| {
        let mut all = Histogram::new();
        records[range].iter().for_each(|record| all.merge(record));
        all
    };
    let all = merged(0..records.len());
    let (least, greatest) = (all.min()? as f64, all.max()? as f64);
    let banded = grouped(records.len(), confidence, |range| merged(range).quantile(p).map(|q| q as f64))?;
    Some(Banded {
        low: banded.low.map(|low| low.max(least)),
        high: banded.high.map(|high| high.min(greatest)),
        ..banded
    })
}

/// How often something happened in one replication, out of how many chances.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub struct Hits {
    pub hits: u64,
    pub chances: u64,
}

/// The share of hits over all replications, with its interval inside [0, 1]. At a share of 0 or 1 the
/// groups show no spread, which proves nothing: the exact binomial bound is taken instead, on the
/// number of replications with a chance, as if each were one trial.
pub fn grouped_share(counts: &[Hits], confidence: f64) -> Option<Banded> {
    let share_of = |range: Range<usize>| {
        let (mut hits, mut chances) = (0, 0);
        for count in &counts[range] {
            hits += count.hits;
            chances += count.chances;
        }
        (chances > 0).then(|| hits as f64 / chances as f64)
    };
    let banded = grouped(counts.len(), confidence, share_of)?;
    let trials = counts.iter().filter(|count| count.chances > 0).count() as u64;
    let (low, high) = if banded.value == 0.0 {
        let (low, high) = binomial::exact_bounds(0, trials, confidence);
        (Some(low), Some(high))
    } else if banded.value == 1.0 {
        let (low, high) = binomial::exact_bounds(trials, trials, confidence);
        (Some(low), Some(high))
    } else {
        (banded.low.map(|low| low.max(0.0)), banded.high.map(|high| high.min(1.0)))
    };
    Some(Banded { low, high, ..banded })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::{Purpose, Stream};
    use crate::numbers::student;

    #[test]
    fn the_median_takes_the_ranks_of_the_printed_table() {
        // Source: table of ranks for the confidence limits of the median at 95 % (Conover, Practical
        // Nonparametric Statistics; from memory): n = 20 ranks 6 and 15, n = 10 ranks 2 and 9.
        let values: Vec<f64> = (1..=20).rev().map(f64::from).collect();
        let median = percentile(&values, 0.5, 0.95).unwrap();
        assert_eq!((median.value, median.low, median.high), (10.0, Some(6.0), Some(15.0)));
        let median = percentile(&values[10..], 0.5, 0.95).unwrap();
        assert_eq!((median.value, median.low, median.high), (5.0, Some(2.0), Some(9.0)));
    }

    #[test]
    fn an_end_that_the_data_cannot_give_is_missing() {
        // P(all n below the 95 % point) = 0.95^n, at most 0.025 from n = 72 on.
        let values: Vec<f64> = (1..=72).map(f64::from).collect();
        assert_eq!(percentile(&values, 0.95, 0.95).unwrap().high, Some(72.0));
        let high = percentile(&values[..71], 0.95, 0.95).unwrap();
        assert_eq!((high.value, high.high), (68.0, None));
        assert!(high.low.is_some());
        let low = percentile(&values[..20], 0.05, 0.95).unwrap();
        assert_eq!((low.value, low.low), (1.0, None));
        assert_eq!(percentile(&[], 0.5, 0.95), None);
        assert_eq!(percentile(&[f64::NAN], 0.5, 0.95), None);
        assert_eq!(percentile(&[1.0], 1.0, 0.95), None);
    }

    #[test]
    fn order_statistics_hold_the_true_percentile_as_often_as_they_say() {
        // 2000 samples of 40 uniforms, p 80 % at 90 %: at least 0.9 less 4 standard errors of 0.0067,
        // and not wastefully more, for ranks are whole numbers.
        let stream = Stream::new(2, 0, Purpose::Resample, "ranks");
        let holds = (0..2000_u64).filter(|sample| {
            let values: Vec<f64> = (0..40).map(|i| stream.uniform(sample * 40 + i, 0)).collect();
            let band = percentile(&values, 0.8, 0.9).unwrap();
            band.low.is_some_and(|low| low <= 0.8) && band.high.is_some_and(|high| high >= 0.8)
        });
        let share = holds.count() as f64 / 2000.0;
        assert!((0.873..=0.96).contains(&share), "{share}");
    }

    #[test]
    fn groups_are_equal_and_leave_the_rest_out() {
        assert_eq!(groups(19), None);
        let groups = groups(59).unwrap();
        assert_eq!((groups.len(), &groups[0], &groups[19]), (20, &(0..2), &(38..40)));
    }

    #[test]
    fn a_percentile_over_runs_rests_on_its_twenty_groups() {
        // Replication r records the values 100 r .. 100 r + 99; group g of two: median 200 g + 99.
        let records: Vec<Histogram> = (0..40)
            .map(|r| {
                let mut record = Histogram::new();
                (0..100).for_each(|i| record.record(100 * r + i));
                record
            })
            .collect();
        let band = grouped_percentile(&records, 0.5, 0.95).unwrap();
        // Rank 2000 of 0..3999; bins above 2048 are two wide, 1999 is exact.
        assert_eq!((band.value, band.n), (1999.0, 40));
        let medians: Vec<f64> = (0..20).map(|g| f64::from(200 * g + 99)).collect();
        let sd = Spread::of(&medians).unwrap().sd;
        let half = student::two_sided(0.95, 19.0) * sd / 20_f64.sqrt();
        assert!((band.high.unwrap() - band.value - half).abs() < 1.0, "{band:?}");
        assert!((band.value - band.low.unwrap() - half).abs() < 1.0);
    }

    #[test]
    fn too_few_replications_or_an_empty_group_leave_the_ends_open() {
        let mut one = Histogram::new();
        one.record(5);
        let band = grouped_percentile(&vec![one.clone(); 19], 0.5, 0.95).unwrap();
        assert_eq!((band.value, band.low, band.high), (5.0, None, None));
        let mut records = vec![one; 20];
        assert_eq!(grouped_percentile(&records, 0.5, 0.95).unwrap().high, Some(5.0));
        records[7] = Histogram::new();
        assert_eq!(grouped_percentile(&records, 0.5, 0.95).unwrap().high, None);
        assert_eq!(grouped_percentile(&vec![Histogram::new(); 20], 0.5, 0.95), None);
    }

    #[test]
    fn a_share_of_nothing_or_everything_never_has_width_zero() {
        let never = vec![Hits { hits: 0, chances: 50 }; 20];
        let band = grouped_share(&never, 0.95).unwrap();
        // 1 - 0.025^(1/20) = 0.1684 (Clopper & Pearson 1934), on 20 replications and not on 1000 chances.
        assert_eq!((band.value, band.low), (0.0, Some(0.0)));
        assert!((band.high.unwrap() - 0.1684).abs() < 5e-5);
        let always = vec![Hits { hits: 50, chances: 50 }; 20];
        let band = grouped_share(&always, 0.95).unwrap();
        assert_eq!((band.value, band.high), (1.0, Some(1.0)));
        assert!((band.low.unwrap() - 0.8316).abs() < 5e-5);
        assert_eq!(grouped_share(&[Hits::default(); 20], 0.95), None);
    }

    #[test]
    fn a_share_between_keeps_inside_its_bounds() {
        let mut counts = vec![Hits { hits: 0, chances: 10 }; 40];
        counts[3].hits = 1;
        let band = grouped_share(&counts, 0.95).unwrap();
        assert_eq!((band.value, band.low), (1.0 / 400.0, Some(0.0)));
        assert!(band.high.unwrap() > band.value && band.high.unwrap() < 0.02);
    }
}
