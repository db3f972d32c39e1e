//! Promises judged: kept, broken, or undecided and by how many replications.
//!
//! A promise is kept when the whole interval lies on its right side, broken when the whole interval
//! lies on the wrong side; without an interval nothing is decided. Never a coin-flip pass.

use super::bands::{Estimate, GROUPS, Times, mean_of, percentile_of, times};
use super::{audit, count, flow};
use crate::line::{Line, Measure, PromiseKind, Statistic, TestId};
use crate::simulate::{Observations, Replication};

/// Differences below this share of the limit are not worth more replications.
const SMALLEST_DIFFERENCE: f64 = 0.005;

#[derive(Clone, PartialEq, Debug)]
pub struct Judgement {
    pub verdict: Verdict,
    /// The figure judged, in the limit's unit; `None` where nothing was counted, and for the audit
    /// of holds.
    pub estimate: Option<Estimate>,
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
            decide(chance, *share, true, Needs::GroupsOfShares)
        }
        PromiseKind::Measure { measure, statistic, at_least, limit } => {
            let (estimate, needs) = figure(line, runs, *measure, *statistic);
            match statistic {
                Statistic::Max => decide_as_seen(estimate, *limit, *at_least),
                Statistic::Mean | Statistic::P05 | Statistic::P50 | Statistic::P90 | Statistic::P95 => {
                    decide(estimate, *limit, *at_least, needs)
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

/// Replications that an interval asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Needs {
    Two,
    Groups,
    /// The same, of a share, whose band at 0 and 1 is the exact binomial bound.
    GroupsOfShares,
}

impl Needs {
    fn replications(self) -> u64 {
        match self {
            Needs::Two => 2,
            Needs::Groups | Needs::GroupsOfShares => GROUPS as u64,
        }
    }
}

fn decide(estimate: Option<Estimate>, limit: f64, at_least: bool, needs: Needs) -> Judgement {
    let verdict = match estimate {
        None => Verdict::Undecided { more: None },
        Some(e) => match e.band {
            None => Verdict::Undecided {
                more: needs.replications().checked_sub(u64::from(e.n)).filter(|n| *n > 0),
            },
            Some((low, _)) if at_least && low >= limit => Verdict::Kept,
            Some((_, high)) if at_least && high < limit => Verdict::Broken,
            Some((_, high)) if !at_least && high <= limit => Verdict::Kept,
            Some((low, _)) if !at_least && low > limit => Verdict::Broken,
            Some(band) => Verdict::Undecided { more: more(&e, band, limit, needs) },
        },
    };
    Judgement { verdict, estimate, limit, at_least }
}

/// The greatest value seen is judged as seen: it has no band, and more replications can only raise it.
fn decide_as_seen(estimate: Option<Estimate>, limit: f64, at_least: bool) -> Judgement {
    let verdict = match estimate {
        None => Verdict::Undecided { more: None },
        Some(e) if at_least == (e.mean >= limit) || e.mean == limit => Verdict::Kept,
        Some(_) => Verdict::Broken,
    };
    Judgement { verdict, estimate, limit, at_least }
}

/// n0 x ((half-width / max(|difference|, D))^2 - 1), D = 0.5 % of the limit; the half of the band
/// that reaches over the limit counts. Rounded up to whole groups where groups are needed. `None`
/// when no number of replications would do (a limit of 0 met exactly).
fn more(e: &Estimate, (low, high): (f64, f64), limit: f64, needs: Needs) -> Option<u64> {
    if needs == Needs::GroupsOfShares && (e.mean <= 0.0 || e.mean >= 1.0) {
        return more_of_the_same(e, limit);
    }
    let half = if e.mean >= limit { e.mean - low } else { high - e.mean };
    let difference = (e.mean - limit).abs().max(SMALLEST_DIFFERENCE * limit.abs());
    if difference <= 0.0 {
        return None;
    }
    let ratio = half / difference;
    let wanted = (f64::from(e.n) * (ratio * ratio - 1.0)).ceil().max(1.0);
    // Counts beyond any run are not worth a number.
    let wanted = (wanted < 1e12).then_some(wanted as u64)?;
    Some(match needs {
        Needs::Two => wanted,
        Needs::Groups | Needs::GroupsOfShares => wanted.div_ceil(GROUPS as u64) * GROUPS as u64,
    })
}

/// Every replication showed the share 0 (or 1): the replications after which the exact binomial bound,
/// 1 - (alpha/2)^(1/n) (or its mirror), passes the limit if all go on so. `None` at the limit itself.
fn more_of_the_same(e: &Estimate, limit: f64) -> Option<u64> {
    let seen = if e.mean >= 1.0 { limit } else { 1.0 - limit };
    if !(seen > 0.0 && seen < 1.0) {
        return None;
    }
    let n = libm::log(0.5 * (1.0 - e.confidence)) / libm::log(seen);
    let more = n.ceil() - f64::from(e.n);
    (more < 1e12).then(|| (more.max(1.0)) as u64)
}

/// The figure that a promise names, in the unit of its limit.
fn figure(
    line: &Line,
    runs: &[Replication],
    measure: Measure,
    statistic: Statistic,
) -> (Option<Estimate>, Needs) {
    match measure {
        Measure::UnitsPerShift => match percentile(statistic) {
            None => (mean_of(&count::shift_means(runs), line.confidence), Needs::Two),
            Some(p) => (count::shift_percentile(runs, line.confidence, p), Needs::Groups),
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
        Measure::FirstPassYield => match percentile(statistic) {
            None => (flow::first_pass(runs, line.confidence), Needs::GroupsOfShares),
            Some(_) => of_runs(line, runs, statistic, |r| {
                (r.finished > 0).then(|| r.finished_first_pass as f64 / r.finished as f64)
            }),
        },
    }
}

/// `None` for the mean; the maximum is the percentile 1.
fn percentile(statistic: Statistic) -> Option<f64> {
    match statistic {
        Statistic::Mean => None,
        Statistic::P05 => Some(0.05),
        Statistic::P50 => Some(0.5),
        Statistic::P90 => Some(0.9),
        Statistic::P95 => Some(0.95),
        Statistic::Max => Some(1.0),
    }
}

fn of_times(times: Times, statistic: Statistic) -> (Option<Estimate>, Needs) {
    let greatest = times.mean.zip(times.max).map(|(mean, max)| Estimate { mean: max, band: None, ..mean });
    match statistic {
        Statistic::Mean => (times.mean, Needs::Two),
        Statistic::P05 => (times.p05, Needs::Groups),
        Statistic::P50 => (times.p50, Needs::Groups),
        Statistic::P90 => (times.p90, Needs::Groups),
        Statistic::P95 => (times.p95, Needs::Groups),
        Statistic::Max => (greatest, Needs::Groups),
    }
}

fn of_runs(
    line: &Line,
    runs: &[Replication],
    statistic: Statistic,
    value: impl Fn(&Replication) -> Option<f64>,
) -> (Option<Estimate>, Needs) {
    let values = flow::each(runs, value);
    match percentile(statistic) {
        None => (mean_of(&values, line.confidence), Needs::Two),
        Some(p) => (percentile_of(&values, p, line.confidence), Needs::Groups),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn estimate(mean: f64, low: f64, high: f64) -> Option<Estimate> {
        Some(Estimate { mean, band: Some((low, high)), confidence: 0.95, n: 100 })
    }

    #[test]
    fn the_whole_interval_decides() {
        let verdict = |low, high, at_least| {
            decide(estimate((low + high) / 2.0, low, high), 18.0, at_least, Needs::Two).verdict
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
        let alone = Some(Estimate { mean: 20.0, band: None, confidence: 0.95, n: 7 });
        assert_eq!(decide(alone, 1.0, true, Needs::Groups).verdict, Verdict::Undecided { more: Some(13) });
        assert_eq!(decide(None, 1.0, true, Needs::Two).verdict, Verdict::Undecided { more: None });
    }

    #[test]
    fn a_share_never_missed_asks_for_the_replications_that_prove_it() {
        // 0.95^n <= 0.025 from n = 72 on: 71.92.
        let e = Estimate { mean: 1.0, band: Some((0.83, 1.0)), confidence: 0.95, n: 20 };
        assert_eq!(more_of_the_same(&e, 0.95), Some(52));
        assert_eq!(more_of_the_same(&e, 1.0), None, "certainty is not for sale");
        let never = Estimate { mean: 0.0, band: Some((0.0, 0.17)), ..e };
        assert_eq!(more_of_the_same(&never, 0.05), Some(52));
    }

    #[test]
    fn the_greatest_value_is_judged_as_seen() {
        let seen = |mean, at_least| {
            let e = Some(Estimate { mean, band: None, confidence: 0.95, n: 20 });
            decide_as_seen(e, 20.0, at_least).verdict
        };
        assert_eq!(seen(19.0, false), Verdict::Kept);
        assert_eq!(seen(20.0, false), Verdict::Kept);
        assert_eq!(seen(21.0, false), Verdict::Broken);
        assert_eq!(seen(19.0, true), Verdict::Broken);
    }
}
