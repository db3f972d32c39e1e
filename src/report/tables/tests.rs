//! Tables of tests: yields, waits, and the formula beside them.

use super::{SHARE, Table, Writing};
use crate::report::record::Report;

pub fn tests(report: &Report) -> Table {
    Writing::of("tests", "Tests", "/tests", &report.tests)
        .name("test", |t| (&t.id, &t.label))
        .word("at", |t| t.station.clone())
        .count("bays", "", "/bays", |t| Some(u64::from(t.bays)))
        .estimate("visits a shift", "visits", "/arrivals_per_shift", |t| t.arrivals_per_shift)
        .estimate("first pass", SHARE, "/first_pass_yield", |t| t.first_pass_yield)
        .estimate("attempts a unit", "", "/attempts_per_unit", |t| t.attempts_per_unit)
        .estimate("bays occupied", "bays", "/busy_bays", |t| t.busy_bays)
        .estimate("bay held, a visit", "clock min", "/service_min", |t| t.service_min)
        .done()
}

/// Verdicts that are wrong, where the file says so of some test.
pub fn wrong_verdicts(report: &Report) -> Table {
    Writing::those("wrong_verdicts", "Wrong verdicts", "/tests", &report.tests, |t| {
        t.wrong_verdicts.is_some()
    })
    .name("test", |t| (&t.id, &t.label))
    .estimate("of the fails, false alarms", SHARE, "/wrong_verdicts/false_alarms", |t| {
        t.wrong_verdicts.as_ref()?.false_alarms
    })
    .estimate("of the passes, faulty", SHARE, "/wrong_verdicts/let_through", |t| {
        t.wrong_verdicts.as_ref()?.let_through
    })
    .count("found here, let through before, all runs", "units", "/wrong_verdicts/found_later", |t| {
        Some(t.wrong_verdicts.as_ref()?.found_later)
    })
    .done()
}

/// Waits before tests, simulated; the formula's mean stands beside the simulated one.
pub fn waits(report: &Report) -> Table {
    Writing::of("waits", "Waits before tests", "/tests", &report.tests)
        .name("test", |t| (&t.id, &t.label))
        .estimate("mean", "clock min", "/wait_min/mean", |t| t.wait_min.mean)
        .figure("formula's mean", "clock min", "/closed_form/wait_min", |t| {
            Some(t.closed_form.as_ref()?.wait_min)
        })
        .estimate("p50", "clock min", "/wait_min/p50", |t| t.wait_min.p50)
        .estimate("p90", "clock min", "/wait_min/p90", |t| t.wait_min.p90)
        .estimate("p95", "clock min", "/wait_min/p95", |t| t.wait_min.p95)
        .figure("longest", "clock min", "/wait_min/max", |t| t.wait_min.max)
        .estimate("visits that wait", SHARE, "/chance_of_wait", |t| t.chance_of_wait)
        .estimate("queue", "units", "/queue_length", |t| t.queue_length)
        .estimate("of the wait, blocked upstream", SHARE, "/blocked_upstream", |t| t.blocked_upstream)
        .done()
}

/// Which formula stands beside the waits, or why none does.
pub fn formulas(report: &Report) -> Table {
    Writing::of("formulas", "Formulas beside the waits", "/tests", &report.tests)
        .name("test", |t| (&t.id, &t.label))
        .word("formula", |t| t.closed_form.as_ref().map_or("none".to_string(), |f| f.model.clone()))
        .figure("load", SHARE, "/closed_form/load", |t| Some(t.closed_form.as_ref()?.load))
        .word("assumes, or why none stands here", |t| match &t.closed_form {
            Some(form) => form.assumptions.clone(),
            None => t.no_closed_form.clone().unwrap_or_default(),
        })
        .done()
}
