//! The numbers of stations: states, loads, pushes, and the evidence for the bottleneck.

use super::layout::{Grid, WIDTH, load_bar, named, wrapped};
use super::states::{bar, legend};
use super::{cell, indented, percent_cell};
use crate::report::looks::{Look, share};
use crate::report::record::{Estimate, Report};
use crate::report::rows::{Method, PlaceKind, StateShares, StationRow};
use crate::report::wording::{banded, banded_percent, thousands};
use crate::stats::BayState;
use crate::units::decimals;

pub fn stations(report: &Report) -> Vec<String> {
    let rows = &report.stations;
    let all_shares: Vec<&StateShares> = rows.iter().map(|s| &s.shares).collect();
    let looks: Vec<Look> = Look::ALL
        .into_iter()
        .filter(|look| all_shares.iter().any(|shares| share(shares, *look) >= 0.000_5))
        .collect();
    let mut headings = vec!["station"];
    headings.extend(looks.iter().map(|look| look.heading()));
    headings.push("each character 5 %");
    let mut grid = Grid::new(&headings).words(headings.len() - 1);
    for station in rows {
        let mut cells = vec![station_name(station)];
        cells.extend(looks.iter().map(|look| match share(&station.shares, *look) {
            0.0 => String::new(),
            s => format!("{:.1}", 100.0 * s),
        }));
        cells.push(bar(&station.shares));
        grid.row(cells);
    }
    let mut lines = grid.lines();
    lines.extend(wrapped(&legend(&all_shares), WIDTH - 2, "").into_iter().map(indented));
    if rows.iter().any(|s| s.kind == PlaceKind::Repair) {
        lines.push("  * off the line".to_string());
    }
    lines.extend(widest_band(rows));
    lines.extend(short_of(rows));
    let outside = holding_outside(rows).unwrap_or_default();
    lines.extend(wrapped(&outside, WIDTH - 2, "  ").into_iter().map(indented));
    lines.extend(overruns(report));
    lines
}

fn station_name(station: &StationRow) -> String {
    let name = named(&station.id, &station.label);
    match station.kind {
        PlaceKind::Station | PlaceKind::Rack => name,
        PlaceKind::Repair => format!("{name} *"),
    }
}

fn widest_band(rows: &[StationRow]) -> Option<String> {
    let halves = rows.iter().filter_map(|s| s.shares_plus_minus.as_ref());
    let widest = halves.flat_map(|h| BayState::ALL.map(|state| h.of(state))).reduce(f64::max)?;
    Some(format!("  Every share to ± {} % points or better.", decimals(100.0 * widest, 1)))
}

/// What stations are short of, where it is worth a line.
fn short_of(rows: &[StationRow]) -> Vec<String> {
    let kinds =
        [BayState::ShortOfParts, BayState::ShortOfPeople, BayState::ShortOfEquipment, BayState::ShortOfRoom];
    kinds
        .iter()
        .filter_map(|kind| {
            let mut short: Vec<&StationRow> = rows.iter().filter(|s| s.shares.of(*kind) >= 0.005).collect();
            short.sort_by(|a, b| b.shares.of(*kind).total_cmp(&a.shares.of(*kind)));
            let named: Vec<String> = short
                .iter()
                .take(5)
                .map(|s| format!("{} {:.1} %", s.id, 100.0 * s.shares.of(*kind)))
                .collect();
            (!named.is_empty()).then(|| format!("  {}: {}", kind.words(), named.join(", ")))
        })
        .collect()
}

fn holding_outside(rows: &[StationRow]) -> Option<String> {
    let named: Vec<String> = rows
        .iter()
        .filter_map(|s| {
            let e = s.holding_outside_min.filter(|e| e.mean > 0.0)?;
            Some(format!("{} {}", s.id, banded(&e)))
        })
        .collect();
    (!named.is_empty())
        .then(|| format!("holding outside net time, clock min per replication: {}", named.join(", ")))
}

/// Do retests and fixes change a load by as much as a table shows?
pub fn retests_show(once: f64, with_retests: f64) -> bool {
    with_retests - once >= 0.005
}

pub fn loads(report: &Report) -> Vec<String> {
    let Some(first) = report.stations.iter().find(|s| !s.load_by_model.is_empty()) else {
        return Vec::new();
    };
    let mut headings = vec!["station"];
    headings.extend(first.load_by_model.iter().map(|m| m.model.as_str()));
    headings.push("mix");
    let with_retests = |s: &StationRow| s.load.zip(s.load_with_retests);
    let again = report.stations.iter().filter_map(with_retests).any(|(once, all)| retests_show(once, all));
    if again {
        headings.push("with retests");
    }
    headings.push("of the mix; | is the window");
    let mut grid = Grid::new(&headings).words(headings.len() - 1);
    for station in report.stations.iter().filter(|s| !s.load_by_model.is_empty()) {
        let percent = |load: f64| format!("{:.0}", 100.0 * load);
        let mut cells = vec![named(&station.id, &station.label)];
        cells.extend(station.load_by_model.iter().map(|m| m.load.map_or_else(|| "-".to_string(), percent)));
        let mix = station.load.unwrap_or(0.0);
        cells.push(percent(mix));
        if again {
            cells.push(station.load_with_retests.map_or_else(|| "-".to_string(), percent));
        }
        cells.push(load_bar(mix));
        grid.row(cells);
    }
    grid.lines()
}

pub fn pushes(report: &Report) -> Vec<String> {
    let mut lines = Vec::new();
    for push in &report.pushes {
        let name = if push.segment.is_empty() { "line" } else { &push.segment };
        let rule = match push.every_min {
            Some(every) => format!("every {} min", decimals(every, 2)),
            None => "when all are ready".to_string(),
        };
        let on_time =
            push.on_time.as_ref().map_or_else(String::new, |e| format!(", on time {}", banded_percent(e)));
        let delay = push
            .delay_min
            .as_ref()
            .map_or_else(String::new, |e| format!(", delay {} min per push", banded(e)));
        let travels = match (&push.tasks_taken_along, &push.done_elsewhere_min) {
            (Some(tasks), Some(min)) => {
                format!(
                    ", {} tasks a push taken along, {} min a push done elsewhere",
                    banded(tasks),
                    banded(min)
                )
            }
            (Some(_), None) | (None, _) => String::new(),
        };
        let waited = push
            .waited_for_people_min
            .as_ref()
            .map_or_else(String::new, |e| format!(", {} min a push waited for people", banded(e)));
        let text = format!(
            "{name}, {} to {}, pushed {rule}, index {} min: {} pushes{on_time}{delay}{travels}{waited}",
            push.first,
            push.last,
            decimals(push.index_min, 2),
            thousands(push.pushes)
        );
        lines.extend(wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented));
    }
    let mut grid = Grid::new(&[
        "station",
        "last, % of pushes",
        "delay caused, min a push",
        "min a shift",
        "held for return",
    ]);
    for s in report.stations.iter().filter(|s| s.last_to_finish.is_some()) {
        grid.row(vec![
            named(&s.id, &s.label),
            percent_cell(&s.last_to_finish),
            cell(&s.delay_caused_min),
            cell(&s.delay_caused_min_per_shift),
            if s.held_for_return == 0 { "-".to_string() } else { thousands(s.held_for_return) },
        ]);
    }
    lines.extend(grid.lines());
    lines.extend(drifts(report));
    lines
}

/// Where people work on into breaks.
fn overruns(report: &Report) -> Vec<String> {
    of_some(report, "worked on into breaks, person-min a shift", |s| {
        s.overrun_min.as_ref().map(|min| format!("{} {}", s.id, banded(min)))
    })
}

/// The stations of which there is something to say, after one word for all of it.
fn of_some(report: &Report, what: &str, said: impl Fn(&StationRow) -> Option<String>) -> Vec<String> {
    let named: Vec<String> = report.stations.iter().filter_map(said).collect();
    if named.is_empty() {
        return Vec::new();
    }
    let text = format!("{what}: {}", named.join("; "));
    wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented).collect()
}

/// Whose units are pulled off or pushed on with work left, and who is begun in the place behind.
fn drifts(report: &Report) -> Vec<String> {
    let minutes = |what: &str, of: fn(&StationRow) -> Option<(&Estimate, &Estimate)>| {
        of_some(report, what, |s| {
            let (share, minutes) = of(s)?;
            Some(format!("{} {}, {} min a push", s.id, banded_percent(share), banded(minutes)))
        })
    };
    let mut lines = of_some(report, "pulled off the line, of pushes", |s| {
        s.pulled_off.as_ref().map(|share| format!("{} {}", s.id, banded_percent(share)))
    });
    lines.extend(minutes("pushed on with work left, of pushes", |s| {
        s.drifts.as_ref().zip(s.drift_min.as_ref())
    }));
    lines.extend(minutes("begun in the place behind, of pushes", |s| {
        s.begun_early.as_ref().zip(s.begun_early_min.as_ref())
    }));
    lines
}

pub fn evidence(report: &Report) -> Vec<String> {
    let mut lines: Vec<String> =
        wrapped(&report.bottleneck.sentence, WIDTH - 2, "").into_iter().map(indented).collect();
    let mut grid = Grid::new(&["method", "names", "figure", "unit"]).words(1).words(3);
    for row in &report.bottleneck.methods {
        let method = row.method.words();
        let share = row.unit.starts_with("share");
        let figure = if share { percent_cell(&row.figure) } else { cell(&row.figure) };
        let unit = if share { row.unit.replacen("share", "%", 1) } else { row.unit.clone() };
        // A turning point is one per stretch of stations; elsewhere the others are equal to the first.
        let join = if row.method == Method::TurningPoint { ", " } else { " = " };
        grid.row(vec![method.to_string(), row.stations.join(join), figure, unit]);
    }
    lines.extend(grid.lines());
    lines
}
