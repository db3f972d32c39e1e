//! Tables of a balance: figures before and after, moves, tasks, loads, chances.

use super::{Cell, Kind, SHARE, Table, Writing};
use crate::report::balance::{Assigned, BalanceReport, Moved, Pair, StationLoad, change_words};

/// One figure of the whole line, before and after.
struct Measure {
    name: &'static str,
    unit: &'static str,
    pair: Pair,
}

pub fn balance_measures(report: &BalanceReport) -> Table {
    let all = [
        ("largest load, of the window", SHARE, "largest_load", report.largest_load),
        ("over the caps, all stations, of a window", SHARE, "over_caps", report.over_caps),
        ("line efficiency", SHARE, "line_efficiency", report.line_efficiency),
        ("balance delay", SHARE, "balance_delay", report.balance_delay),
        ("smoothness index", "windows", "smoothness", report.smoothness),
        ("people of the crews with work", "people", "people", report.people),
    ];
    let known: Vec<(String, Measure)> = all
        .into_iter()
        .map(|(name, unit, field, pair)| (format!("/{field}"), Measure { name, unit, pair }))
        .collect();
    let rows = known.iter().map(|(at, measure)| (at.clone(), measure)).collect();
    let figure = |value: f64, m: &Measure| Cell::Figure { value: Some(value), share: m.unit == SHARE };
    Writing::at("measures", "The line before and after", rows)
        .word("measure", |m: &Measure| m.name.to_string())
        .word("unit", |m| if m.unit == SHARE { String::new() } else { m.unit.to_string() })
        .column("before", "", Kind::Figure, "/before", move |m| figure(m.pair.before, m))
        .column("after", "", Kind::Figure, "/after", move |m| figure(m.pair.after, m))
        .done()
}

pub fn moves(report: &BalanceReport) -> Table {
    changes("moves", "In the order in which they should be done", "/moved", &report.moved)
}

pub fn other_moves(report: &BalanceReport) -> Table {
    changes("other-moves", "Other single moves from today", "/other_moves", &report.other_moves)
}

fn changes(name: &'static str, title: &'static str, at: &str, rows: &[Moved]) -> Table {
    Writing::of(name, title, at, rows)
        .word("what moves", |change: &Moved| change_words(change))
        .figure("over the caps before", SHARE, "/over_caps/before", |c| Some(c.over_caps.before))
        .figure("over the caps after", SHARE, "/over_caps/after", |c| Some(c.over_caps.after))
        .figure("largest load before", SHARE, "/largest_load/before", |c| Some(c.largest_load.before))
        .figure("largest load after", SHARE, "/largest_load/after", |c| Some(c.largest_load.after))
        .figure("shortest pace before", "min", "/pace_min/before", |c| Some(c.pace_min.before))
        .figure("shortest pace after", "min", "/pace_min/after", |c| Some(c.pace_min.after))
        .done()
}

pub fn assignment(report: &BalanceReport) -> Table {
    let mut table = Writing::of("tasks", "Who does what where", "/assignment", &report.assignment)
        .name("task", |row: &Assigned| (&row.task, &row.label))
        .word("station", |row| row.station.clone())
        .word("people", |row| if row.people.is_empty() { "nobody".to_string() } else { row.people.clone() })
        .figure("mean time", "min", "/mean_min", |row| Some(row.mean_min))
        .word("moved from", |row| if row.today == row.station { String::new() } else { row.today.clone() });
    if report.assignment.iter().any(|row| row.side.is_some()) {
        table = table
            .word("side", |row| row.side.clone().unwrap_or_default())
            .word("today on", |row| row.side_today.clone().unwrap_or_default());
    }
    table.done()
}

pub fn station_loads(report: &BalanceReport) -> Table {
    let models = report.loads.first().map_or(&[][..], |row| row.by_model.as_slice());
    let mut table = Writing::of("station-loads", "Loads, retests included", "/loads", &report.loads)
        .name("station", |row: &StationLoad| (&row.station, &row.label))
        .figure("window", "min", "/window_min", |row| Some(row.window_min))
        .figure("mean time", "min", "/elapsed_min", |row| Some(row.elapsed_min))
        .figure("labour", "person-min", "/labour_min", |row| Some(row.labour_min));
    if models.len() > 1 {
        for (m, model) in models.iter().enumerate() {
            let load = move |row: &StationLoad| row.by_model[m].load;
            table = table.figure(model.model.as_str(), SHARE, format!("/by_model/{m}/load"), load);
        }
    }
    table.done()
}

/// By model; none where no chance is asked for.
pub fn late(report: &BalanceReport) -> Table {
    let asked = |row: &StationLoad| !row.late.is_empty();
    let models = report.loads.iter().find(|row| asked(row)).map_or(&[][..], |row| row.late.as_slice());
    let title = "Units over the window, of 2,000 draws of one pass, and by the normal sum";
    let mut table = Writing::those("late", title, "/loads", &report.loads, asked)
        .name("station", |row: &StationLoad| (&row.station, &row.label));
    for (m, model) in models.iter().enumerate() {
        let over = move |row: &StationLoad| row.late[m].over;
        let normal = move |row: &StationLoad| row.late[m].over_normal;
        table = table.figure(model.model.as_str(), SHARE, format!("/late/{m}/over"), over).figure(
            format!("{}, normal", model.model),
            SHARE,
            format!("/late/{m}/over_normal"),
            normal,
        );
    }
    table.done()
}
