//! Stores of parts: how full they are, what went through them, and what was amiss with it.

use super::layout::{Grid, named};
use super::{cell, percent_cell};
use crate::report::record::Report;
use crate::report::rows::StoreRow;
use crate::report::wording::thousands;
use crate::units::minutes;

pub fn stores(report: &Report) -> Vec<String> {
    let headings = [
        "store",
        "places",
        "mean, pieces",
        "empty, % of time",
        "full, %",
        "used, pieces a run",
        "waits a run",
        "lots, all runs",
        "late",
    ];
    let mut grid = Grid::new(&headings);
    for row in &report.stores {
        grid.row(vec![
            named(&row.id, &row.label),
            row.places.to_string(),
            cell(&row.mean),
            percent_cell(&row.share_empty),
            percent_cell(&row.share_full),
            cell(&row.used),
            cell(&row.waits),
            row.lots.map_or_else(|| "-".to_string(), thousands),
            row.late_lots.map_or_else(|| "-".to_string(), thousands),
        ]);
    }
    let mut lines = grid.lines();
    lines.extend(report.stores.iter().flat_map(amiss));
    lines
}

/// Parts that were short, for another model, or not in their turn.
fn amiss(row: &StoreRow) -> Vec<String> {
    let name = named(&row.id, &row.label);
    let each = |min: Option<f64>, clock: &str| {
        min.map_or_else(String::new, |min| format!(", {} {clock} min each on average", minutes(min)))
    };
    let short = row
        .short
        .map(|n| format!("  {name}: {} times found short{}", thousands(n), each(row.missing_min, "clock")));
    let wrong = row.wrong.zip(row.out_of_turn).map(|(wrong, turns)| {
        let (wrong, turns) = (thousands(wrong), thousands(turns));
        let rekit = each(row.rekit_min, "net");
        format!("  {name}: {wrong} times for the wrong model, {turns} units overtaken{rekit}")
    });
    short.into_iter().chain(wrong).collect()
}
