//! Places to wait: how full they are, over all and over the week.

use super::layout::{Grid, named};
use super::{cell, percent_cell};
use crate::report::record::Report;
use crate::report::rows::LevelRow;
use crate::units::decimals;

/// Slots and racks.
pub fn levels(report: &Report) -> Vec<String> {
    let mut grid =
        Grid::new(&["where", "places", "mean, units", "p95, units", "full, % of time", "empty, %"]);
    let mut add = |kind: &str, row: &LevelRow| {
        grid.row(vec![
            format!("{kind}{}", named(&row.id, &row.label)),
            row.places.to_string(),
            cell(&row.mean),
            cell(&row.p95),
            percent_cell(&row.share_full),
            percent_cell(&row.share_empty),
        ]);
    };
    report.buffers.iter().for_each(|row| add("slots before ", row));
    report.racks.iter().for_each(|row| add("rack ", row));
    grid.lines()
}

/// A row for each place that shows the week.
pub fn week(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["where", "places", "attended", "nights, days off", "fullest hour", "from"]);
    let units = |of: Option<f64>| of.map_or_else(|| "-".to_string(), |units| decimals(units, 1));
    for row in report.week.iter().flat_map(|week| &week.places) {
        grid.row(vec![
            named(&row.id, &row.label),
            row.places.to_string(),
            units(row.attended),
            units(row.unattended),
            units(row.fullest),
            row.fullest_from.clone().unwrap_or_else(|| "-".to_string()),
        ]);
    }
    grid.lines()
}
