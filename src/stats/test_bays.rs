//! Tests as queues: arrivals, attempts, waits, and beside them what a formula would have said.
//!
//! Owns the choice of the formula and the reasons to give none. The formula is an estimate under
//! assumptions that a line seldom keeps; it stands beside the simulated wait as a check of size.

use super::bands::{Times, mean_of, ratio_of, share_of, times, variation};
use super::flow::each;
use super::quantiles::Banded;
use super::queues::{Traffic, allen_cunneen, kingman};
use super::{MINUTE, own_shifts_in};
use crate::line::{Finder, Line, Place, TestId, WrongVerdicts};
use crate::numbers::Histogram;
use crate::simulate::{Observations, Replication, TestCounts};
use crate::units::Time;

/// Verdicts that are wrong.
#[derive(Clone, PartialEq, Debug)]
pub struct WrongFigures {
    /// Of the fails, those that were none.
    pub alarms: Option<Banded>,
    /// Of the passes, those that were none.
    pub escaped: Option<Banded>,
    /// Units in which it found what another test had let through, all replications.
    pub found: u64,
}

#[derive(Clone, PartialEq, Debug)]
pub struct TestFigures {
    pub test: TestId,
    /// Visits to a bay, per replication and per shift's worth of net time.
    pub arrivals: Option<Banded>,
    pub arrivals_per_shift: Option<Banded>,
    /// Share of first verdicts that passed.
    pub first_pass: Option<Banded>,
    /// Verdicts per unit that came for its first.
    pub attempts: Option<Banded>,
    /// What its verdicts say wrongly; `None` where the file says nothing of it.
    pub wrong: Option<WrongFigures>,
    /// Clock minutes from done upstream (or ready to return) to entry of the bay.
    pub wait: Times,
    /// Share of all waiting that was spent blocked in an upstream bay.
    pub blocked_upstream: Option<Banded>,
    /// Units waiting, averaged over clock time.
    pub queue: Option<Banded>,
    /// Share of visits that waited at all.
    pub chance_of_wait: Option<Banded>,
    /// Bays occupied, averaged over clock time.
    pub busy_bays: Option<Banded>,
    /// Clock minutes a visit holds a bay.
    pub service: Times,
    pub closed_form: Result<ClosedForm, NoClosedForm>,
}

/// What the formula says, in minutes.
#[derive(Clone, PartialEq, Debug)]
pub struct ClosedForm {
    pub wait: f64,
    pub model: QueueModel,
    /// Load: share of the bays' time that the visits need.
    pub load: f64,
    /// Squared coefficients of variation of arrivals and of service, as observed.
    pub ca2: f64,
    pub ce2: f64,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum QueueModel {
    /// One bay: (ca2 + ce2)/2 x u/(1 - u) x t (Kingman 1961).
    Kingman,
    /// More bays: (ca2 + ce2)/2 x P(wait of M/M/c)/(c - load) x t (Allen-Cunneen).
    AllenCunneen,
}

/// Why no formula stands beside a wait.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum NoClosedForm {
    /// Units arrive by the push, not one by one.
    Pushed,
    /// The bays need all the time there is (load given); a formula has no steady wait to give.
    Overloaded(f64),
    /// Share of visits that attended time stopped in.
    Breaks(f64),
    /// Share of the time in which the waiting places were full.
    PlacesFull(f64),
    TooFewVisits(u64),
}

/// Above these shares the formula's assumptions are too far off.
const BREAKS_LIMIT: f64 = 0.10;
const FULL_LIMIT: f64 = 0.01;

pub fn tests(line: &Line, observed: &Observations) -> Vec<TestFigures> {
    (0..line.tests.len()).map(|t| test(line, &observed.replications, t)).collect()
}

/// First verdicts that passed, of all first verdicts.
pub(super) fn first_passes(counts: &TestCounts) -> (u64, u64) {
    (counts.first_passes, counts.first_attempts)
}

fn test(line: &Line, runs: &[Replication], t: usize) -> TestFigures {
    let confidence = line.confidence;
    let hours = line.hours_at(line.tests[t].place);
    let mean = |value: &dyn Fn(&Replication) -> Option<f64>| mean_of(&each(runs, value), confidence);
    let over_clock =
        |integral: i128, r: &Replication| (r.clock > Time::ZERO).then(|| integral as f64 / r.clock.0 as f64);
    let ratio = |hits: fn(&TestCounts) -> u64, of: fn(&TestCounts) -> u64| {
        ratio_of(runs, confidence, |r| (hits(&r.tests[t]), of(&r.tests[t])))
    };
    TestFigures {
        test: TestId::from_index(t),
        arrivals: mean(&|r| Some(r.tests[t].arrivals as f64)),
        arrivals_per_shift: mean(&|r| Some(r.tests[t].arrivals as f64 / own_shifts_in(line, hours, r)?)),
        first_pass: ratio_of(runs, confidence, |r| first_passes(&r.tests[t])),
        attempts: mean(&|r| {
            let counts = &r.tests[t];
            (counts.first_attempts > 0).then(|| counts.attempts as f64 / counts.first_attempts as f64)
        }),
        wrong: judges_wrongly(line, t).then(|| WrongFigures {
            alarms: ratio(|c| c.alarms, |c| c.attempts - c.passed),
            escaped: ratio(|c| c.escaped, |c| c.passed),
            found: runs.iter().map(|r| r.tests[t].found).sum(),
        }),
        wait: times(runs, confidence, |r| &r.tests[t].waits),
        blocked_upstream: share_of(&each(runs, |r| blocked_share(&r.tests[t])), confidence),
        queue: mean(&|r| over_clock(r.tests[t].queue, r)),
        chance_of_wait: ratio(|c| c.waited, |c| c.waits.count()),
        busy_bays: mean(&|r| over_clock(r.tests[t].busy, r)),
        service: times(runs, confidence, |r| &r.tests[t].service),
        closed_form: closed_form(line, runs, t),
    }
}

/// It gives false alarms, lets faults through, or finds what another one let through.
fn judges_wrongly(line: &Line, t: usize) -> bool {
    let finds = || line.let_through_to(Finder::Test(TestId::from_index(t))).next().is_some();
    line.tests[t].wrong != WrongVerdicts::default() || finds()
}

fn blocked_share(counts: &TestCounts) -> Option<f64> {
    let waited = counts.waits.sum();
    (waited > 0).then(|| counts.wait_blocked.0 as f64 / waited as f64)
}

/// What all replications saw at one test.
#[derive(Default)]
struct Pooled {
    clock: i128,
    arrivals: u64,
    over_breaks: u64,
    full: i128,
    service: Histogram,
    gaps: Histogram,
}

fn closed_form(line: &Line, runs: &[Replication], t: usize) -> Result<ClosedForm, NoClosedForm> {
    let place = &line.places[line.tests[t].place.index()];
    if line.rule_at(line.tests[t].place).is_pushed() {
        return Err(NoClosedForm::Pushed);
    }
    let mut seen = Pooled::default();
    for r in runs {
        let counts = &r.tests[t];
        seen.clock += i128::from(r.clock.0);
        seen.arrivals += counts.arrivals;
        seen.over_breaks += counts.visits_over_breaks;
        seen.full += i128::from(counts.full.0);
        seen.service.merge(&counts.service);
        seen.gaps.merge(&counts.gaps);
    }
    estimate(place, &seen)
}

fn estimate(place: &Place, seen: &Pooled) -> Result<ClosedForm, NoClosedForm> {
    let too_few = NoClosedForm::TooFewVisits(seen.arrivals);
    let (Some(mean_service), Some(ca), Some(ce)) =
        (seen.service.mean(), variation(&seen.gaps), variation(&seen.service))
    else {
        return Err(too_few);
    };
    if seen.clock <= 0 || seen.arrivals == 0 {
        return Err(too_few);
    }
    let traffic = Traffic {
        arrivals: seen.arrivals as f64 / (seen.clock as f64 / MINUTE),
        service_mean: mean_service / MINUTE,
        arrival_scv: ca * ca,
        service_scv: ce * ce,
        bays: place.bays,
    };
    let load = traffic.load();
    let breaks = seen.over_breaks as f64 / seen.arrivals as f64;
    let full = seen.full as f64 / seen.clock as f64;
    if load >= 1.0 {
        return Err(NoClosedForm::Overloaded(load));
    }
    if breaks > BREAKS_LIMIT {
        return Err(NoClosedForm::Breaks(breaks));
    }
    if full > FULL_LIMIT {
        return Err(NoClosedForm::PlacesFull(full));
    }
    let (model, wait) = match place.bays {
        1 => (QueueModel::Kingman, kingman(&traffic)),
        _ => (QueueModel::AllenCunneen, allen_cunneen(&traffic)),
    };
    let wait = wait.ok_or(too_few)?;
    Ok(ClosedForm { wait, model, load, ca2: traffic.arrival_scv, ce2: traffic.service_scv })
}
