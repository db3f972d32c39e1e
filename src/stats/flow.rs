//! Time between units, flow time, work in process, yields, labour: the measures of the whole line
//! besides its count.

use super::MINUTE;
use super::bands::{Grouped, Times, mean_of, ratio_of, times};
use super::quantiles::Banded;
use crate::line::{Crew, Line};
use crate::simulate::{CrewCounts, Observations, Replication};
use crate::units::Time;

#[derive(Clone, PartialEq, Debug)]
pub struct Flow {
    /// Net minutes from one finished unit to the next.
    pub between_units: Times,
    /// Clock minutes from line-on to finish.
    pub flow_time: Times,
    /// Clock minutes from release to finish.
    pub from_release: Times,
    /// Units present, averaged over clock time.
    pub work_in_process: Option<Banded>,
    /// Share of finished units that passed every test at the first attempt.
    pub first_pass: Option<Banded>,
    /// Product of the first-pass yields of all tests; `None` where one of them gave no verdict.
    pub rolled: Option<Banded>,
    /// Person-minutes at work per finished unit.
    pub labour: Option<Banded>,
    /// Person-minutes of net time of everybody in a crew, at work or not, per finished unit.
    pub attended: Option<Banded>,
}

pub fn flow(line: &Line, observed: &Observations) -> Flow {
    let runs = &observed.replications;
    let confidence = line.confidence;
    Flow {
        between_units: times(runs, confidence, |r| &r.intervals),
        flow_time: times(runs, confidence, |r| &r.flow),
        from_release: times(runs, confidence, |r| &r.flow_from_release),
        work_in_process: mean_of(&each(runs, work_in_process), confidence),
        first_pass: ratio_of(runs, confidence, first_passes),
        rolled: rolled(line, runs),
        labour: mean_of(&each(runs, labour), confidence),
        attended: mean_of(&each(runs, |r| attended(line, r)), confidence),
    }
}

/// The value of every replication that has one.
pub(super) fn each(runs: &[Replication], value: impl Fn(&Replication) -> Option<f64>) -> Vec<f64> {
    runs.iter().filter_map(value).collect()
}

/// Units present on average: the integral of units present over the clock time counted.
pub(super) fn work_in_process(r: &Replication) -> Option<f64> {
    (r.clock > Time::ZERO).then(|| r.presence as f64 / r.clock.0 as f64)
}

/// Person-minutes at work (and at moving units) per finished unit, of crews and of those who help them.
pub fn labour(r: &Replication) -> Option<f64> {
    let busy: i128 = r.crews.iter().map(|c| i128::from(c.busy + c.moving)).sum();
    let helped = r.helping.iter().map(|counts| i128::from(counts.busy));
    let busy = busy + helped.sum::<i128>();
    (r.finished > 0).then(|| busy as f64 / MINUTE / r.finished as f64)
}

fn attended(line: &Line, r: &Replication) -> Option<f64> {
    let of_crew = |(crew, counts): (&Crew, &CrewCounts)| {
        let heads = i128::from(super::people::heads(line, crew));
        heads * i128::from(r.net_of(line.hours_of_crew(crew)).0) - i128::from(counts.not_on_shift)
    };
    let attended: i128 = line.crews.iter().zip(&r.crews).map(of_crew).sum();
    (r.finished > 0).then(|| attended as f64 / MINUTE / r.finished as f64)
}

/// Finished units without a failed test, of all that finished (ISO 22400-2: good parts at the first pass over
/// parts inspected); `None` without a test on the line is left to the caller.
pub(super) fn first_passes(r: &Replication) -> (u64, u64) {
    (r.finished_first_pass, r.finished)
}

fn rolled(line: &Line, runs: &[Replication]) -> Option<Banded> {
    // What a feeder's tests let pass is another matter: parts, not units.
    let of_units: Vec<bool> = line.tests.iter().map(|t| line.feeder_at(t.place).is_none()).collect();
    if !of_units.contains(&true) {
        return None;
    }
    // Per test: first passes and first attempts.
    let gathered: Grouped<Vec<(u64, u64)>> = Grouped::gather(runs, line.confidence, |sum: &mut Vec<_>, r| {
        sum.resize(r.tests.len(), (0, 0));
        for (total, test) in sum.iter_mut().zip(&r.tests) {
            total.0 += test.first_passes;
            total.1 += test.first_attempts;
        }
    });
    gathered.share(|tests| {
        tests
            .iter()
            .zip(&of_units)
            .filter(|(_, of_units)| **of_units)
            .map(|(test, _)| test)
            .map(|(passes, attempts)| (*attempts > 0).then(|| *passes as f64 / *attempts as f64))
            .try_fold(1.0, |product, yield_of_test| Some(product * yield_of_test?))
    })
}
