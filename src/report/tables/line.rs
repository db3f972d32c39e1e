//! Tables of the whole line: measures, times, shifts, models.

use super::{Cell, Kind, SHARE, Table, Writing};
use crate::report::record::{Estimate, HomeTime, Report, ShiftsAt};

/// One measure of the line; its unit stands in the row.
struct Measure {
    name: &'static str,
    unit: &'static str,
    of: Estimate,
}

pub fn measures(report: &Report) -> Table {
    let m = &report.line_measures;
    let shifts = m.units_per_shift.as_ref();
    let all = [
        ("good units per hour of net time", "units", "units_per_hour", m.units_per_hour),
        ("good units per shift", "units", "units_per_shift", shifts.map(|s| s.estimate())),
        (
            "chance of the count",
            SHARE,
            "units_per_shift/chance_of_count",
            shifts.and_then(|s| s.chance_of_count),
        ),
        ("work in process", "units", "work_in_process", m.work_in_process),
        ("first-pass yield of good units", SHARE, "first_pass_yield", m.first_pass_yield),
        ("rolled yield, product over the tests", SHARE, "rolled_yield", m.rolled_yield),
        ("labour at work, per good unit", "person-min", "labour_min_per_unit", m.labour_min_per_unit),
        ("labour attended, per good unit", "person-min", "attended_min_per_unit", m.attended_min_per_unit),
    ];
    let known: Vec<(String, Measure)> = all
        .into_iter()
        .filter_map(|(name, unit, field, of)| {
            Some((format!("/line_measures/{field}"), Measure { name, unit, of: of? }))
        })
        .collect();
    let rows = known.iter().map(|(at, measure)| (at.clone(), measure)).collect();
    Writing::at("line", "The line", rows)
        .word("measure", |m: &Measure| m.name.to_string())
        .word("unit", |m| m.unit.to_string())
        .column("figure", "", Kind::Estimate, "", |m| Cell::Estimate {
            of: Some(m.of),
            share: m.unit == SHARE,
        })
        .done()
}

/// Mean, spread and percentiles of one time of the line.
#[derive(Default)]
struct Spread {
    name: &'static str,
    mean: Option<Estimate>,
    cv: Option<Estimate>,
    p05: Option<Estimate>,
    p50: Option<Estimate>,
    p90: Option<Estimate>,
    p95: Option<Estimate>,
}

pub fn times(report: &Report) -> Table {
    let m = &report.line_measures;
    let i = &m.minutes_between_units;
    let between = Spread {
        name: "between good units, net time",
        mean: i.mean,
        cv: i.cv,
        p05: i.p05,
        p50: i.p50,
        p95: i.p95,
        p90: None,
    };
    let flow = |name, f: &crate::report::record::FlowTime| Spread {
        name,
        mean: f.mean,
        p50: f.p50,
        p90: f.p90,
        p95: f.p95,
        ..Spread::default()
    };
    let all = [
        ("/line_measures/minutes_between_units", between),
        ("/line_measures/flow_time_min", flow("from line-on to finish, clock time", &m.flow_time_min)),
        (
            "/line_measures/flow_time_from_release_min",
            flow("from release to finish, clock time", &m.flow_time_from_release_min),
        ),
    ];
    let known = all.iter().filter(|(_, spread)| spread.mean.is_some());
    Writing::at("times", "Times of the line", known.map(|(at, s)| ((*at).to_string(), s)).collect())
        .word("time", |s: &Spread| s.name.to_string())
        .estimate("mean", "min", "/mean", |s| s.mean)
        .estimate("coefficient of variation", "", "/cv", |s| s.cv)
        .estimate("p05", "min", "/p05", |s| s.p05)
        .estimate("p50", "min", "/p50", |s| s.p50)
        .estimate("p90", "min", "/p90", |s| s.p90)
        .estimate("p95", "min", "/p95", |s| s.p95)
        .done()
}

/// When the crews go home on shifts that make the count.
pub fn home(report: &Report) -> Table {
    let home = report.line_measures.home_after_min.as_ref();
    let rows = home.map(|home| ("/line_measures/home_after_min".to_string(), home)).into_iter().collect();
    Writing::at("home", "Home after the count, from the shift's start", rows)
        .word("time", |_: &HomeTime| "home".to_string())
        .estimate("mean", "min", "/mean", |h| h.mean)
        .estimate("p50", "min", "/p50", |h| h.p50)
        .estimate("p95", "min", "/p95", |h| h.p95)
        .done()
}

pub fn shifts(report: &Report) -> Table {
    let shifts = report.line_measures.units_per_shift.as_ref();
    let counts: &[ShiftsAt] = shifts.map_or(&[], |shifts| &shifts.histogram);
    Writing::of("shifts", "Shifts by their count", "/line_measures/units_per_shift/histogram", counts)
        .count("good units", "units", "/units", |s| Some(u64::from(s.units)))
        .count("shifts", "shifts", "/shifts", |s| Some(s.shifts))
        .done()
}

pub fn models(report: &Report) -> Table {
    Writing::of("models", "Models", "/line_measures/models", &report.line_measures.models)
        .name("model", |m| (&m.id, &m.label))
        .figure("ordered", SHARE, "/share", |m| Some(m.share))
        .figure("finished", SHARE, "/share_finished", |m| m.share_finished)
        .done()
}
