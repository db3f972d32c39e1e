//! Shifts that are decided on the day, and breaks in turn.

use super::layout::Grid;
use super::percent_cell;
use crate::report::record::Report;
use crate::units::decimals;

/// Shifts that were longer or left out as units were finished.
pub fn decided_shifts(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["shift", "longer by, min", "with overtime, %", "worked, %"]);
    for row in &report.decided_shifts {
        grid.row(vec![
            row.shift.clone(),
            row.overtime_min.map_or_else(|| "-".to_string(), |min| decimals(min, 1)),
            percent_cell(&row.with_overtime),
            percent_cell(&row.worked),
        ]);
    }
    grid.lines()
}

/// How breaks go round while the line goes on.
pub fn breaks_in_turn(report: &Report) -> Vec<String> {
    let headings = [
        "shift",
        "from",
        "people",
        "at a time",
        "break, min",
        "turns",
        "all back after, min",
        "pause after, min",
    ];
    let mut grid = Grid::new(&headings).words(1);
    for row in &report.breaks_in_turn {
        grid.row(vec![
            row.shift.clone(),
            row.at.clone(),
            row.people.to_string(),
            row.at_a_time.to_string(),
            decimals(row.length_min, 1),
            row.turns.to_string(),
            decimals(row.takes_min, 1),
            decimals(row.room_min, 1),
        ]);
    }
    grid.lines()
}
