//! Where the units go, from the top of a shift down to its good units.

use super::Dress;
use super::closing::closed;
use super::layout::{Grid, WIDTH, wrapped};
use crate::report::losses::{LossRow, LossesReport, units};
use crate::report::wording::banded;
use crate::units::{join_and, percent};

/// Characters of a bar.
const BAR: usize = 30;

pub fn page(report: &LossesReport, dress: &Dress) -> String {
    let mut lines =
        vec![dress.heading(&format!("{}, layout {}: where the units go", report.line, report.layout))];
    let bands = percent(report.confidence);
    let how = format!("{}; the same random days for every row; bands hold together with {bands}", report.run);
    lines.extend(wrapped(&how, WIDTH, ""));
    lines.push(String::new());
    lines.extend(wrapped(&report.sentence, WIDTH, ""));
    lines.extend([String::new(), dress.heading(&format!("From the top, {}", report.unit()))]);
    lines.extend(table(report));
    if !report.switched_off.is_empty() {
        let off: Vec<&str> = report.switched_off.iter().map(|cause| cause.words()).collect();
        let order =
            format!("Switched off one after another, each on top of those before: {}.", join_and(&off));
        lines.push(String::new());
        lines.extend(wrapped(&order, WIDTH, ""));
    }
    if !report.left_out.is_empty() {
        lines.extend([String::new(), dress.heading("Left out; counted with what was switched off next")]);
        for left in &report.left_out {
            lines.extend(wrapped(&format!("  {}: {}", left.cause.words(), left.why), WIDTH, "    "));
        }
    }
    closed(lines, std::iter::empty(), &report.cautions, dress)
}

fn table(report: &LossesReport) -> Vec<String> {
    let most = report.losses.iter().map(|row| row.left_thousandths).fold(report.start_thousandths, i64::max);
    let mut grid = Grid::new(&["", "lost", "band", "left", ""]).words(4);
    let filled = |left: i64| "▬".repeat(cells(left, most));
    grid.row(vec![
        report.start_words(),
        String::new(),
        String::new(),
        units(report.start_thousandths),
        filled(report.start_thousandths),
    ]);
    for row in &report.losses {
        grid.row(vec![
            row.cause.words().to_string(),
            units(row.lost_thousandths),
            row.lost.as_ref().map_or_else(|| "by the calendar".to_string(), banded),
            units(row.left_thousandths),
            format!("{}{}", filled(row.left_thousandths), taken(row, most)),
        ]);
    }
    let good = report.good.as_ref().map_or_else(|| "-".to_string(), banded);
    grid.row(vec![
        "good units".to_string(),
        String::new(),
        good,
        units(report.good_thousandths),
        String::new(),
    ]);
    grid.lines()
}

/// The piece that a row takes off the bar above it.
fn taken(row: &LossRow, most: i64) -> String {
    let above = cells(row.left_thousandths + row.lost_thousandths, most);
    "░".repeat(above.saturating_sub(cells(row.left_thousandths, most)))
}

fn cells(left: i64, most: i64) -> usize {
    let share = left.max(0) as f64 / most.max(1) as f64;
    (share * BAR as f64).round_ties_even() as usize
}
