//! Gates, lanes, carriers, moves and the yard, behind the first screen.

use super::layout::{Grid, named};
use super::{cell, percent_cell};
use crate::report::record::Report;
use crate::report::wording::{chosen_by, thousands};
use crate::units::decimals;

pub fn gates(report: &Report) -> Vec<String> {
    let mut headings =
        vec!["gate", "at", "units", "faults a unit", "without, %", "go on to", "faults a unit"];
    // Where tests let through what a gate finds.
    let some_escape = report.gates.iter().any(|row| row.let_through_per_unit.is_some());
    headings.extend(some_escape.then_some("let through by tests"));
    let mut grid = Grid::new(&headings);
    for row in &report.gates {
        let mut cells = vec![
            named(&row.id, &row.label),
            row.station.clone(),
            thousands(row.units),
            cell(&row.found_per_unit),
            percent_cell(&row.clear),
            row.goes_on_to.clone().unwrap_or_else(|| "-".to_string()),
            cell(&row.went_on_per_unit),
        ];
        cells.extend(some_escape.then(|| cell(&row.let_through_per_unit)));
        grid.row(cells);
    }
    grid.lines()
}

pub fn lanes(report: &Report) -> Vec<String> {
    let headings = ["lanes", "chosen by", "lane", "from", "to", "units", "of its group, %"];
    let mut grid = Grid::new(&headings);
    for row in &report.lanes {
        grid.row(vec![
            named(&row.lanes, &row.lanes_label),
            chosen_by(row.chosen_by).to_string(),
            named(&row.id, &row.label),
            row.first.clone(),
            row.last.clone(),
            thousands(row.units),
            percent_cell(&row.share),
        ]);
    }
    grid.lines()
}

pub fn carriers(report: &Report) -> Vec<String> {
    let headings = ["carriers", "from", "to", "how many", "under a unit", "on the way back", "none free, %"];
    let mut grid = Grid::new(&headings);
    for row in &report.carriers {
        grid.row(vec![
            named(&row.id, &row.label),
            row.from.clone(),
            row.to.clone(),
            row.count.to_string(),
            cell(&row.with_units),
            cell(&row.on_the_way_back),
            percent_cell(&row.share_none_free),
        ]);
    }
    grid.lines()
}

pub fn moved_one_by_one(report: &Report) -> Vec<String> {
    let headings =
        ["segment", "from", "to", "min a move", "moves", "moves a shift", "waited for people, min a move"];
    let mut grid = Grid::new(&headings);
    for row in &report.moved_one_by_one {
        grid.row(vec![
            row.segment.clone(),
            row.first.clone(),
            row.last.clone(),
            decimals(row.moving_min, 2),
            thousands(row.moves),
            cell(&row.moves_per_shift),
            cell(&row.waited_for_people_min),
        ]);
    }
    grid.lines()
}

pub fn yard(report: &Report) -> Vec<String> {
    let headings =
        ["yard", "places", "mean, units", "full, %", "lorries", "not filled", "units on a lorry", "at most"];
    let mut grid = Grid::new(&headings);
    for row in &report.yard {
        grid.row(vec![
            named(&row.id, &row.label),
            row.places.to_string(),
            cell(&row.mean),
            percent_cell(&row.share_full),
            thousands(row.lorries),
            thousands(row.part_loads),
            cell(&row.taken_per_lorry),
            row.load.to_string(),
        ]);
    }
    grid.lines()
}
