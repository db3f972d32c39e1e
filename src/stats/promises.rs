//! Promises judged: kept, broken, or undecided and by how many replications.
//!
//! A promise is kept when the whole interval lies on its right side, broken when the whole interval
//! lies on the wrong side; without an interval nothing is decided. Never a coin-flip pass.

use super::bands::{Times, mean_of, ratio_of, times};
use super::precision::more_to_tell;
use super::quantiles::{Banded, GROUPS, percentile};
use super::{audit, count, flow, test_bays};
use crate::line::{Line, Measure, PromiseKind, Statistic, TestId};
use crate::simulate::{Observations, Replication};

/// Differences below this share of the limit are not worth more replications.
const SMALLEST_DIFFERENCE: f64 = 0.005;

#[derive(Clone, PartialEq, Debug)]
pub struct Judgement {
    pub verdict: Verdict,
    /// The figure judged, in the limit's unit; `None` where nothing was counted, and for the audit
    /// of holds.
    pub estimate: Option<Banded>,
    /// The limit; 0 holds short for the audit.
    pub limit: f64,
    pub at_least: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Verdict {
    Kept,
    Broken,
    /// More replications would tell: how many, where that can be said.
    Undecided {
        more: Option<u64>,
    },
}

/// Judges one promise on what was observed.
pub fn judge(line: &Line, observed: &Observations, promise: &PromiseKind) -> Judgement {
    let runs = &observed.replications;
    match promise {
        PromiseKind::CountOnShare { count, share } => {
            let chance = count::chance_of(runs, line.confidence, |units| f64::from(units) >= *count);
            decide(chance, *share, true, Rests::GroupsOfShares)
        }
        PromiseKind::Measure { measure, statistic, at_least, limit } => {
            let (estimate, rests) = figure(line, runs, *measure, *statistic);
            match statistic {
                Statistic::Max => decide_as_seen(estimate, *limit, *at_least),
                Statistic::Mean | Statistic::P05 | Statistic::P50 | Statistic::P90 | Statistic::P95 => {
                    decide(estimate, *limit, *at_least, rests)
                }
            }
        }
        PromiseKind::NoHoldShort => {
            let kept = audit::holds(line, observed).iter().all(audit::HoldFigures::kept);
            let verdict = if kept { Verdict::Kept } else { Verdict::Broken };
            Judgement { verdict, estimate: None, limit: 0.0, at_least: false }
        }
    }
}

/// What an interval rests on, and so how many replications it asks for.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Rests {
    /// One value per replication.
    Values,
    /// The percentile of this share among one value per replication.
    Order(f64),
    /// Twenty groups of replications.
    Groups,
    /// The same, of a share, whose band at 0 and 1 is the exact binomial bound.
    GroupsOfShares,
}

impl Rests {
    /// The fewest that give an interval.
    fn fewest(self, confidence: f64) -> u64 {
        match self {
            Rests::Values => 2,
            Rests::Groups | Rests::GroupsOfShares => GROUPS as u64,
            // All values on one side of the percentile with at most half of what is left.
            Rests::Order(p) => {
                let needed = libm::log(0.5 * (1.0 - confidence)) / libm::log(p.max(1.0 - p));
                needed.ceil().clamp(2.0, 1e12) as u64
            }
        }
    }

    fn rounded_up(self, more: u64) -> u64 {
        match self {
            Rests::Values | Rests::Order(_) => more,
            Rests::Groups | Rests::GroupsOfShares => more.div_ceil(GROUPS as u64) * GROUPS as u64,
        }
    }
}

fn decide(estimate: Option<Banded>, limit: f64, at_least: bool, rests: Rests) -> Judgement {
    let verdict = match estimate {
        None => Verdict::Undecided { more: None },
        Some(e) => {
            let right = if at_least { e.low.map(|l| l >= limit) } else { e.high.map(|h| h <= limit) };
            let wrong = if at_least { e.high.map(|h| h < limit) } else { e.low.map(|l| l > limit) };
            match (right, wrong) {
                (Some(true), _) => Verdict::Kept,
                (_, Some(true)) => Verdict::Broken,
                (_, _) => Verdict::Undecided { more: more(&e, limit, rests) },
            }
        }
    };
    Judgement { verdict, estimate, limit, at_least }
}

/// The greatest value seen is judged as seen: it has no band, and more replications can only raise it.
fn decide_as_seen(estimate: Option<Banded>, limit: f64, at_least: bool) -> Judgement {
    let verdict = match estimate {
        None => Verdict::Undecided { more: None },
        Some(e) if at_least == (e.value >= limit) || e.value == limit => Verdict::Kept,
        Some(_) => Verdict::Broken,
    };
    let estimate = estimate.map(|e| Banded { low: None, high: None, ..e });
    Judgement { verdict, estimate, limit, at_least }
}

/// n0 x ((half-width / max(|difference|, D))^2 - 1), D = 0.5 % of the limit; the half of the band that
/// reaches over the limit counts. `None` when no number of replications would do.
fn more(e: &Banded, limit: f64, rests: Rests) -> Option<u64> {
    let half = if e.value >= limit { e.low.map(|l| e.value - l) } else { e.high.map(|h| h - e.value) };
    let Some(half) = half else {
        return rests.fewest(e.confidence).checked_sub(e.n as u64).filter(|more| *more > 0);
    };
    if rests == Rests::GroupsOfShares && (e.value <= 0.0 || e.value >= 1.0) {
        return more_of_the_same(e, limit);
    }
    let more = more_to_tell(e.n, half, e.value - limit, SMALLEST_DIFFERENCE * limit.abs())?;
    (more > 0).then(|| rests.rounded_up(more as u64))
}

/// Every replication showed the share 0 (or 1): the replications after which the exact binomial bound,
/// 1 - (alpha/2)^(1/n) (or its mirror), passes the limit if all go on so. `None` at the limit itself.
fn more_of_the_same(e: &Banded, limit: f64) -> Option<u64> {
    let seen = if e.value >= 1.0 { limit } else { 1.0 - limit };
    if !(seen > 0.0 && seen < 1.0) {
        return None;
    }
    let n = libm::log(0.5 * (1.0 - e.confidence)) / libm::log(seen);
    let more = n.ceil() - e.n as f64;
    (more < 1e12).then(|| (more.max(1.0)) as u64)
}

/// The figure that a promise names, in the unit of its limit.
fn figure(
    line: &Line,
    runs: &[Replication],
    measure: Measure,
    statistic: Statistic,
) -> (Option<Banded>, Rests) {
    match measure {
        Measure::UnitsPerShift => match share_of(statistic) {
            None => (mean_of(&count::shift_means(runs), line.confidence), Rests::Values),
            Some(p) => (count::shift_percentile(runs, line.confidence, p), Rests::Groups),
        },
        Measure::MinutesBetweenUnits => of_times(times(runs, line.confidence, |r| &r.intervals), statistic),
        Measure::Wait(TestId(t)) => {
            of_times(times(runs, line.confidence, |r| &r.tests[usize::from(t)].waits), statistic)
        }
        Measure::FlowTime => of_times(times(runs, line.confidence, |r| &r.flow), statistic),
        Measure::UnitsPerHour => of_runs(line, runs, statistic, |r| {
            (r.net.0 > 0).then(|| r.finished as f64 / (r.net.0 as f64 / super::HOUR))
        }),
        Measure::WorkInProcess => of_runs(line, runs, statistic, flow::work_in_process),
        Measure::LabourPerUnit => of_runs(line, runs, statistic, flow::labour),
        Measure::FirstPassYield => of_shares(line, runs, statistic, flow::first_passes),
        Measure::FirstPassAt(test) => {
            of_shares(line, runs, statistic, |r| test_bays::first_passes(&r.tests[test.index()]))
        }
    }
}

/// Hits of a number in each replication: the mean is the share of them all.
fn of_shares(
    line: &Line,
    runs: &[Replication],
    statistic: Statistic,
    hits_of: impl Fn(&Replication) -> (u64, u64),
) -> (Option<Banded>, Rests) {
    match share_of(statistic) {
        None => (ratio_of(runs, line.confidence, hits_of), Rests::GroupsOfShares),
        Some(_) => of_runs(line, runs, statistic, |r| {
            let (hits, of) = hits_of(r);
            (of > 0).then(|| hits as f64 / of as f64)
        }),
    }
}

/// `None` for the mean; the maximum is the percentile 1.
fn share_of(statistic: Statistic) -> Option<f64> {
    match statistic {
        Statistic::Mean => None,
        Statistic::P05 => Some(0.05),
        Statistic::P50 => Some(0.5),
        Statistic::P90 => Some(0.9),
        Statistic::P95 => Some(0.95),
        Statistic::Max => Some(1.0),
    }
}

fn of_times(times: Times, statistic: Statistic) -> (Option<Banded>, Rests) {
    let greatest =
        times.mean.zip(times.max).map(|(mean, max)| Banded { value: max, low: None, high: None, ..mean });
    match statistic {
        Statistic::Mean => (times.mean, Rests::Values),
        Statistic::P05 => (times.p05, Rests::Groups),
        Statistic::P50 => (times.p50, Rests::Groups),
        Statistic::P90 => (times.p90, Rests::Groups),
        Statistic::P95 => (times.p95, Rests::Groups),
        Statistic::Max => (greatest, Rests::Groups),
    }
}

fn greatest(values: &[f64], confidence: f64) -> Option<Banded> {
    let value = values.iter().copied().max_by(f64::total_cmp)?;
    Some(Banded { value, low: None, high: None, confidence, n: values.len() })
}

fn of_runs(
    line: &Line,
    runs: &[Replication],
    statistic: Statistic,
    value: impl Fn(&Replication) -> Option<f64>,
) -> (Option<Banded>, Rests) {
    let values = flow::each(runs, value);
    match share_of(statistic) {
        None => (mean_of(&values, line.confidence), Rests::Values),
        Some(1.0) => (greatest(&values, line.confidence), Rests::Order(1.0)),
        Some(p) => (percentile(&values, p, line.confidence), Rests::Order(p)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn estimate(mean: f64, low: f64, high: f64) -> Option<Banded> {
        Some(Banded { value: mean, low: Some(low), high: Some(high), confidence: 0.95, n: 100 })
    }

    #[test]
    fn the_whole_interval_decides() {
        let verdict = |low, high, at_least| {
            decide(estimate((low + high) / 2.0, low, high), 18.0, at_least, Rests::Values).verdict
        };
        assert_eq!(verdict(18.0, 18.4, true), Verdict::Kept);
        assert_eq!(verdict(17.0, 17.99, true), Verdict::Broken);
        assert_eq!(verdict(17.0, 18.0, false), Verdict::Kept);
        assert_eq!(verdict(18.1, 18.5, false), Verdict::Broken);
        // Half 0.5, difference 0.25: 100 x (4 - 1).
        assert_eq!(verdict(17.25, 18.25, true), Verdict::Undecided { more: Some(300) });
        // Difference 0.01, below D = 0.09: 100 x ((0.5/0.09)^2 - 1) = 2986.4.
        assert_eq!(verdict(17.49, 18.49, true), Verdict::Undecided { more: Some(2987) });
    }

    #[test]
    fn a_figure_without_a_band_decides_nothing_and_asks_for_the_replications_it_lacks() {
        let alone = Some(Banded { value: 20.0, low: None, high: None, confidence: 0.95, n: 7 });
        assert_eq!(decide(alone, 1.0, true, Rests::Groups).verdict, Verdict::Undecided { more: Some(13) });
        assert_eq!(decide(None, 1.0, true, Rests::Values).verdict, Verdict::Undecided { more: None });
    }

    #[test]
    fn a_share_never_missed_asks_for_the_replications_that_prove_it() {
        // 0.95^n <= 0.025 from n = 72 on: 71.92.
        let e = Banded { value: 1.0, low: Some(0.83), high: Some(1.0), confidence: 0.95, n: 20 };
        assert_eq!(more_of_the_same(&e, 0.95), Some(52));
        assert_eq!(more_of_the_same(&e, 1.0), None, "certainty is not for sale");
        let never = Banded { value: 0.0, low: Some(0.0), high: Some(0.17), ..e };
        assert_eq!(more_of_the_same(&never, 0.05), Some(52));
    }

    #[test]
    fn the_greatest_value_is_judged_as_seen() {
        let seen = |mean, at_least| {
            let e = Some(Banded { value: mean, low: None, high: None, confidence: 0.95, n: 20 });
            decide_as_seen(e, 20.0, at_least).verdict
        };
        assert_eq!(seen(19.0, false), Verdict::Kept);
        assert_eq!(seen(20.0, false), Verdict::Kept);
        assert_eq!(seen(21.0, false), Verdict::Broken);
        assert_eq!(seen(19.0, true), Verdict::Broken);
    }
}
