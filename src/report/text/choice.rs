//! The best of many layouts, for whoever has to choose: what to take, what that rests on, who was dropped.

use super::closing::closed;
use super::layout::{Grid, WIDTH, shortened, wrapped};
use super::{Dress, cell};
use crate::report::choice::{ChoiceReport, ChoiceRow};
use crate::report::wording::quoted;
use crate::units::{count_of, decimals, percent};

/// Characters that the name of a layout gets in a table.
const NAME: usize = 34;

pub fn page(report: &ChoiceReport, dress: &Dress) -> String {
    let layouts = count_of(report.layouts.len(), "layout");
    let mut lines = vec![
        dress.heading(&format!("{}, the best of {layouts} on the same random days", report.line)),
        format!(
            "{}; taken with at least {} where it leads by {}",
            report.run,
            percent(report.confidence),
            report.lead()
        ),
        String::new(),
    ];
    lines.extend(wrapped(&report.sentence, WIDTH, ""));
    lines.extend([String::new(), dress.heading("The race, each layout by the replications that it had")]);
    lines.extend(race(report));
    lines.extend([String::new(), dress.heading("What the probability rests on")]);
    lines.extend(report.rests_on.iter().flat_map(|text| wrapped(&format!("  {text}"), WIDTH, "  ")));
    let left_out = report.left_out.iter().map(|left| (left.point.as_str(), left.why.as_str()));
    closed(lines, left_out, &report.cautions, dress)
}

fn race(report: &ChoiceReport) -> Vec<String> {
    let headings = ["layout", report.unit(), "behind", "people", "places", "replications", "dropped"];
    let mut grid = Grid::new(&headings).words(6);
    for row in &report.layouts {
        grid.row(vec![
            shortened(&row.does.layout, NAME),
            cell(&row.does.units_per_shift.or(row.does.units_per_hour)),
            row.behind.map_or_else(|| "-".to_string(), |behind| decimals(behind, 2)),
            row.does.people.to_string(),
            row.does.places.to_string(),
            row.replications.to_string(),
            dropped(report, row),
        ]);
    }
    grid.lines()
}

fn dropped(report: &ChoiceReport, row: &ChoiceRow) -> String {
    match (row.dropped_after, &row.dropped_by) {
        (Some(after), Some(by)) => format!("after {after}, by {}", quoted(&shortened(by, NAME))),
        (Some(after), None) => format!("after {after}"),
        (None, _) if report.chosen.as_ref() == Some(&row.does.layout) => "taken".to_string(),
        (None, _) if report.alike.contains(&row.does.layout) => "alike".to_string(),
        (None, _) => "still in the race".to_string(),
    }
}
