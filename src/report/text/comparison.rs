//! Layouts side by side, for whoever has to choose: what to take, what each does, what differs.

use super::closing::closed;
use super::layout::{Grid, WIDTH, shortened, wrapped};
use super::{Dress, cell, percent_cell};
use crate::report::comparison::{CompareReport, Difference, DifferenceRow, LayoutRow, weeks_differ};
use crate::report::wording::{banded, banded_percent, quoted};
use crate::units::{count_of, decimals, percent};

/// Characters that the name of a layout gets in a table.
const NAME: usize = 34;

pub fn page(comparison: &CompareReport, dress: &Dress) -> String {
    let layouts = count_of(comparison.layouts.len(), "layout");
    let confidence = percent(comparison.confidence);
    let mut lines = vec![
        dress.heading(&format!("{}, {layouts} on the same random days", comparison.line)),
        format!("{}; bands hold with {confidence}, those of one measure together", comparison.run),
        String::new(),
    ];
    lines.extend(wrapped(&comparison.advice.sentence, WIDTH, ""));
    lines.push(String::new());
    lines.push(dress.heading("What each layout does"));
    lines.extend(layouts_grid(&comparison.layouts));
    lines.push(String::new());
    lines.push(dress.heading(&format!(
        "Against {}; in % of it, and how many more replications would tell",
        quoted(&comparison.base)
    )));
    lines.extend(differences_grid(&comparison.differences));
    lines.extend(other_pairs(comparison, dress));
    lines.extend(what_pairing_saved(comparison));
    closed(lines, std::iter::empty(), &comparison.cautions, dress)
}

fn short(name: &str) -> String {
    shortened(name, NAME)
}

/// A column of the table of layouts.
type ColumnOf = (&'static str, fn(&LayoutRow) -> String);

fn layouts_grid(rows: &[LayoutRow]) -> Vec<String> {
    let columns = columns(rows);
    let headings: Vec<&str> =
        std::iter::once("layout").chain(columns.iter().map(|column| column.0)).collect();
    let mut grid = Grid::new(&headings);
    for row in rows {
        grid.row(
            std::iter::once(short(&row.layout)).chain(columns.iter().map(|column| column.1(row))).collect(),
        );
    }
    grid.lines()
}

/// What some layout has; units a week where weeks differ in their shifts.
fn columns(rows: &[LayoutRow]) -> Vec<ColumnOf> {
    let any = |has: fn(&LayoutRow) -> bool| rows.iter().any(has);
    let mut columns: Vec<ColumnOf> = match any(|row| row.units_per_shift.is_some()) {
        true => vec![("units a shift", |row| cell(&row.units_per_shift))],
        false => vec![("units an hour", |row| cell(&row.units_per_hour))],
    };
    if weeks_differ(rows.iter()) {
        columns.push(("a week", |row| row.units_per_week.map_or_else(dash, |units| decimals(units, 1))));
    }
    if any(|row| row.chance_of_count.is_some()) {
        columns.push(("makes the count, %", |row| percent_cell(&row.chance_of_count)));
    }
    columns.extend::<[ColumnOf; 4]>([
        ("flow, h", |row| cell(&row.flow_time_min.map(|flow| flow.times(1.0 / 60.0)))),
        ("units in process", |row| cell(&row.work_in_process)),
        ("people", |row| row.people.to_string()),
        ("places", |row| row.places.to_string()),
    ]);
    if any(|row| row.floor_m2.is_some()) {
        columns.push(("floor, m2", |row| row.floor_m2.map_or_else(dash, |floor| decimals(floor, 1))));
    }
    if any(|row| row.cost_per_unit.is_some()) {
        columns.push(("cost of a unit", |row| cell(&row.cost_per_unit)));
    }
    columns.push(("promises", promises));
    columns
}

fn dash() -> String {
    "-".to_string()
}

fn promises(row: &LayoutRow) -> String {
    let all = row.promises_kept + row.promises_broken + row.promises_undecided;
    match all {
        0 => "none".to_string(),
        _ => format!("{} of {all} kept", row.promises_kept),
    }
}

fn differences_grid(rows: &[DifferenceRow]) -> Vec<String> {
    let mut grid = Grid::new(&["layout", "measure", "verdict", "difference", "in %"]).words(1).words(2);
    let mut before = "";
    for row in rows {
        // A name once for all its measures.
        let name = if row.layout == before { String::new() } else { short(&row.layout) };
        before = &row.layout;
        grid.row(vec![name, row.measure.clone(), verdict(row), amount(row), share(row)]);
    }
    grid.lines()
}

fn verdict(row: &DifferenceRow) -> String {
    match (row.verdict, row.more) {
        (Difference::CannotTell, Some(more)) => format!("cannot tell ({more} more)"),
        (Difference::CannotTell, None) | (Difference::Better | Difference::Worse | Difference::Equal, _) => {
            row.verdict.words().to_string()
        }
    }
}

fn amount(row: &DifferenceRow) -> String {
    match &row.difference {
        None => "-".to_string(),
        Some(e) if row.unit == "of the units" => format!("{} of the units", banded_percent(e)),
        Some(e) => format!("{} {}", banded(e), row.unit),
    }
}

fn share(row: &DifferenceRow) -> String {
    row.share.map_or_else(|| "-".to_string(), |share| decimals(100.0 * share, 1))
}

/// Pairs without the base, where there are any.
fn other_pairs(comparison: &CompareReport, dress: &Dress) -> Vec<String> {
    let others: Vec<DifferenceRow> =
        comparison.pairs.iter().filter(|row| row.against != comparison.base).cloned().collect();
    if others.is_empty() {
        return Vec::new();
    }
    let heading = format!("The others among one another, {}", comparison.judged_on);
    let mut grid = Grid::new(&["layout", "against", "verdict", "difference", "in %"]).words(1).words(2);
    for row in &others {
        grid.row(vec![short(&row.layout), short(&row.against), verdict(row), amount(row), share(row)]);
    }
    let mut lines = vec![String::new(), dress.heading(&heading)];
    lines.extend(grid.lines());
    lines
}

/// How much wider the first difference would be on days of their own.
fn what_pairing_saved(comparison: &CompareReport) -> Vec<String> {
    let found = comparison.pairs.iter().find_map(|row| {
        let (paired, unpaired) = (row.difference.as_ref()?, row.half_width_unpaired?);
        let half = (paired.high? - paired.low?) / 2.0;
        (half > 0.0 && unpaired > half).then(|| unpaired / half)
    });
    let Some(times) = found else { return Vec::new() };
    let text = format!(
        "The same random days: on days of its own for each layout the first band would be {} times as wide, \
         and take {} times as many replications to be as narrow.",
        decimals(times, 1),
        decimals(times * times, 0)
    );
    let mut lines = vec![String::new()];
    lines.extend(wrapped(&text, WIDTH, ""));
    lines
}
