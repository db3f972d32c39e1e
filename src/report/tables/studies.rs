//! Tables of studies: layouts side by side, points of a sweep, levers, losses, cycles.

use super::{SHARE, Table, Writing};
use crate::report::choice::{ChoiceReport, ChoiceRow};
use crate::report::comparison::{CompareReport, DifferenceRow, LayoutRow, weeks_differ};
use crate::report::cycles::{CyclesReport, MadeOf, ModelShare, StepShare};
use crate::report::levers::LeversReport;
use crate::report::losses::{LossRow, LossesReport};
use crate::report::sweep::{PointRow, SweepReport};

pub fn layouts(report: &CompareReport) -> Table {
    does(Writing::of("layouts", "What each layout does and takes", "/layouts", &report.layouts), "", |row| {
        row
    })
    .done()
}

pub fn points(report: &SweepReport) -> Table {
    let writing = Writing::of("points", "What each point does and takes", "/points", &report.points);
    does(writing, "/does", |point: &PointRow| &point.does)
        .word("against the best", |point| {
            point.against_most.as_ref().map_or_else(String::new, |row| row.verdict.words().to_string())
        })
        .done()
}

pub fn choice(report: &ChoiceReport) -> Table {
    let writing =
        Writing::of("choice", "What each layout does by its replications", "/layouts", &report.layouts);
    does(writing, "/does", |row: &ChoiceRow| &row.does)
        .figure("behind", "units", "/behind", |row| row.behind)
        .count("replications", "", "/replications", |row| Some(u64::from(row.replications)))
        .count("dropped after", "replications", "/dropped_after", |row| row.dropped_after.map(u64::from))
        .word("dropped by", |row| row.dropped_by.clone().unwrap_or_default())
        .done()
}

/// What a layout does, of records that hold one at `at`.
fn does<'a, T>(
    writing: Writing<'a, T>,
    at: &str,
    of: impl Fn(&'a T) -> &'a LayoutRow + Copy,
) -> Writing<'a, T> {
    let hourly = writing.records.iter().all(|record| of(record).units_per_shift.is_none());
    let counts = writing.records.iter().any(|record| of(record).chance_of_count.is_some());
    let rows: Vec<&LayoutRow> = writing.records.iter().map(|record| of(record)).collect();
    let weeks = weeks_differ(rows.iter().copied());
    let (floor, cost) =
        (rows.iter().any(|row| row.floor_m2.is_some()), rows.iter().any(|row| row.cost_per_unit.is_some()));
    let field = |name: &str| format!("{at}/{name}");
    let mut table = writing.word("layout", move |record| of(record).layout.clone());
    table = match hourly {
        true => table.estimate("good units an hour", "units", &field("units_per_hour"), move |record| {
            of(record).units_per_hour
        }),
        false => table.estimate("good units a shift", "units", &field("units_per_shift"), move |record| {
            of(record).units_per_shift
        }),
    };
    if weeks {
        table = table.figure("good units a week", "units", field("units_per_week"), move |record| {
            of(record).units_per_week
        });
    }
    if counts {
        table = table.estimate("makes the count", SHARE, &field("chance_of_count"), move |record| {
            of(record).chance_of_count
        });
    }
    table = table
        .estimate("flow time", "min", &field("flow_time_min"), move |record| of(record).flow_time_min)
        .estimate("in process", "units", &field("work_in_process"), move |record| of(record).work_in_process)
        .count("people", "", &field("people"), move |record| Some(u64::from(of(record).people)))
        .count("places", "", &field("places"), move |record| Some(u64::from(of(record).places)));
    if floor {
        table = table.figure("floor", "m2", field("floor_m2"), move |record| of(record).floor_m2);
    }
    if cost {
        table = table.estimate("cost of a good unit", "money", &field("cost_per_unit"), move |record| {
            of(record).cost_per_unit
        });
    }
    table.count("promises kept", "", &field("promises_kept"), move |record| {
        Some(u64::from(of(record).promises_kept))
    })
}

pub fn differences(report: &CompareReport) -> Table {
    difference_rows("differences", "Against the first layout", "/differences", &report.differences)
}

/// Pairs on the count without the base, where there are any.
pub fn other_pairs(report: &CompareReport) -> Table {
    let base = &report.base;
    let writing = Writing::those("pairs", "The others among one another", "/pairs", &report.pairs, |row| {
        row.against != *base
    });
    columns_of_differences(writing)
}

fn difference_rows(name: &'static str, title: &'static str, at: &str, rows: &[DifferenceRow]) -> Table {
    columns_of_differences(Writing::of(name, title, at, rows))
}

fn columns_of_differences(writing: Writing<'_, DifferenceRow>) -> Table {
    writing
        .word("layout", |row| row.layout.clone())
        .word("against", |row| row.against.clone())
        .word("measure", |row| row.measure.clone())
        .word("verdict", |row| row.verdict.words().to_string())
        .estimate("difference", "", "/difference", |row| row.difference)
        .word("unit", |row| row.unit.clone())
        .figure("of its mean", SHARE, "/share", |row| row.share)
        .count("more replications would tell", "", "/more", |row| row.more.map(u64::from))
        .done()
}

pub fn levers(report: &LeversReport) -> Table {
    let costs = report.money.is_some();
    let mut table = Writing::of("levers", "One more of each thing, ranked", "/levers", &report.levers)
        .word("lever", |row| row.lever.clone())
        .count("rank", "", "/rank", |row| Some(u64::from(row.rank)))
        .word("verdict", |row| row.verdict.words().to_string())
        .estimate("gained", "units", "/gained", |row| row.gained)
        .figure("of the mean", SHARE, "/share", |row| row.share)
        .count("more replications would tell", "", "/more", |row| row.more.map(u64::from));
    if costs {
        table = table.figure("cost a year", "", "/cost_per_year", |row| row.cost_per_year).estimate(
            "cost a unit gained",
            "",
            "/cost_per_unit_gained",
            |row| row.cost_per_unit_gained,
        );
    }
    if report.levers.iter().any(|row| row.once.is_some()) {
        table = table
            .figure("costs once", "", "/once", |row| row.once)
            .estimate("paid back after", report.periods(), "/payback", |row| row.payback)
            .word("never pays", |row| if row.never_pays { "never".to_string() } else { String::new() });
    }
    table.done()
}

pub fn losses(report: &LossesReport) -> Table {
    Writing::of("losses", "What is lost, from the top", "/losses", &report.losses)
        .word("cause", |row: &LossRow| row.cause.words().to_string())
        .figure("lost", "1/1000 units", "/lost_thousandths", |row| Some(row.lost_thousandths as f64))
        .estimate("with its band", "units", "/lost", |row| row.lost)
        .figure("left", "1/1000 units", "/left_thousandths", |row| Some(row.left_thousandths as f64))
        .done()
}

pub fn held_by(report: &CyclesReport) -> Table {
    Writing::of("made-of", "What a cycle goes to", "/made_of", &report.made_of)
        .word("what held the unit", |part: &MadeOf| part.held_by.words().to_string())
        .figure("a cycle", "min", "/mean_min", |part| Some(part.mean_min))
        .figure("of the slowest tenth", "min", "/slowest_min", |part| Some(part.slowest_min))
        .done()
}

pub fn cycles_by_model(report: &CyclesReport) -> Table {
    Writing::of("models", "Whose cycles they are", "/models", &report.models)
        .word("model", |row: &ModelShare| row.model.clone())
        .figure("of all cycles", SHARE, "/share", |row| Some(row.share))
        .figure("of the slowest tenth", SHARE, "/share_of_slowest", |row| Some(row.share_of_slowest))
        .done()
}

pub fn held_by_step(report: &CyclesReport) -> Table {
    Writing::of("steps", "Which steps held it", "/steps", &report.steps)
        .name("step", |row: &StepShare| (&row.id, &row.label))
        .figure("its own time", "min", "/own_min", |row| Some(row.own_min))
        .figure("in the slowest tenth", "min", "/own_slowest_min", |row| Some(row.own_slowest_min))
        .figure("what it waited for", "min", "/waits_min", |row| Some(row.waits_min))
        .figure("waits of the slowest tenth", "min", "/waits_slowest_min", |row| Some(row.waits_slowest_min))
        .done()
}
