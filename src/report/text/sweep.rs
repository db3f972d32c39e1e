//! Points of a sweep, for whoever has to choose: the best, the fewest people, the rate curve.

use super::closing::closed;
use super::layout::{Grid, WIDTH, shortened, wrapped};
use super::{Dress, cell, percent_cell};
use crate::report::comparison::Difference;
use crate::report::record::Estimate;
use crate::report::rows::Verdict;
use crate::report::sweep::{FewestRow, PointRow, SweepReport};
use crate::report::wording::{banded, plus_minus, promise_detail, quoted};
use crate::units::{count_of, decimals, join_and, percent};

/// Characters that a point gets in a table.
const NAME: usize = 34;
/// Characters of a chart.
const CHART: usize = 24;
/// Shares of the shifts for which the table says what they make.
const SHARES: [f64; 3] = [0.5, 0.8, 0.9];
/// Columns of the rate curve, at most.
const CURVES: usize = 6;
/// Rows of the rate curve, at most.
const RATES: usize = 16;

pub fn page(report: &SweepReport, dress: &Dress) -> String {
    let axes: Vec<&str> = report.axes.iter().map(|axis| axis.words.as_str()).collect();
    let points = count_of(report.points.len(), "point");
    let confidence = percent(report.confidence);
    let mut lines = vec![
        dress.heading(&format!("{}: {}", report.line, join_and(&axes))),
        format!(
            "{points} on the same random days, {}; differences hold together with {confidence}",
            report.run
        ),
        String::new(),
    ];
    lines.extend(wrapped(&report.advice.sentence, WIDTH, ""));
    for row in &report.fewest {
        lines.extend(wrapped(&fewest(row, report), WIDTH, "  "));
    }
    lines.extend([String::new(), dress.heading(&format!("Good units, {}", report.unit()))]);
    match report.axes.len() {
        2 => lines.extend(crossed(report)),
        _ => lines.extend(chart(report)),
    }
    lines.extend([String::new(), dress.heading("What each point does and takes")]);
    lines.extend(table(report));
    lines.extend(curve(report, dress));
    let left_out = report.left_out.iter().map(|left| (left.point.as_str(), left.why.as_str()));
    closed(lines, left_out, &report.cautions, dress)
}

/// Who keeps a promise with the fewest people.
fn fewest(row: &FewestRow, report: &SweepReport) -> String {
    let names = |names: &[String]| join_and(&names.iter().map(|name| quoted(name)).collect::<Vec<_>>());
    let promise = quoted(&row.promise);
    let mut said = match (&row.point, row.people) {
        (Some(point), Some(people)) => {
            let people = count_of(people as usize, "person");
            let kept = report.point(point).and_then(|p| p.promises.iter().find(|p| p.text == row.promise));
            let detail = kept.map(promise_detail).filter(|detail| !detail.is_empty());
            let detail = detail.map_or_else(String::new, |detail| format!(" ({detail})"));
            format!("Fewest people that keep {promise}: {people}, at {}{detail}.", quoted(point))
        }
        _ => format!("No point is sure to keep {promise}."),
    };
    if !row.undecided.is_empty() {
        said.push_str(&format!(" Not decided: {}.", names(&row.undecided)));
    }
    said
}

/// One row for each point, its band drawn to scale.
fn chart(report: &SweepReport) -> Vec<String> {
    let name = report.axes.first().map_or("", |axis| axis.name.as_str());
    let scale = Scale::of(report);
    let title = scale.as_ref().map_or_else(String::new, Scale::words);
    let more = format!("more than {}", report.base.does.layout);
    let mut grid = Grid::new(&[name, "mean", &title, &more, "against the best"]).words(2).words(4);
    for point in &report.points {
        let drawn = match (&scale, point.count()) {
            (Some(scale), Some(count)) => scale.drawn(count),
            _ => String::new(),
        };
        grid.row(vec![
            point.said.join(", "),
            cell(&point.count().copied()),
            drawn,
            gained(point),
            standing(point, report),
        ]);
    }
    grid.lines()
}

/// The second setting across, the first one down.
fn crossed(report: &SweepReport) -> Vec<String> {
    let [down, across] = report.axes.as_slice() else { return Vec::new() };
    let said = |axis: usize, value: f64| {
        let found = report.points.iter().find(|point| point.settings[axis] == value);
        found.map_or_else(|| decimals(value, 6), |point| point.said[axis].clone())
    };
    let mut headings = vec![format!("{} \\ {}", down.name, across.name)];
    headings.extend(across.settings.iter().map(|value| said(1, *value)));
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let mut grid = Grid::new(&headings);
    for row in &down.settings {
        let mut cells = vec![said(0, *row)];
        for column in &across.settings {
            let point = report.points.iter().find(|point| point.settings == [*row, *column]);
            cells.push(point.map_or_else(|| "-".to_string(), |point| marked(point, report)));
        }
        grid.row(cells);
    }
    let mut lines = grid.lines();
    lines.push(
        "  * the highest mean; = the same within what is ignored; ? cannot be told from it".to_string(),
    );
    lines
}

fn marked(point: &PointRow, report: &SweepReport) -> String {
    let figure = point.count().map_or_else(|| "-".to_string(), plus_minus);
    let mark = match &point.against_most {
        None if Some(&point.does.layout) == report.advice.most.as_ref() => "*",
        None => " ",
        Some(row) => match row.verdict {
            Difference::Equal => "=",
            Difference::CannotTell => "?",
            Difference::Better | Difference::Worse => " ",
        },
    };
    format!("{figure} {mark}")
}

/// From the lowest end of any band to the highest.
struct Scale {
    low: f64,
    high: f64,
}

impl Scale {
    /// `None` where there is nothing to be drawn, or no difference.
    fn of(report: &SweepReport) -> Option<Scale> {
        let ends = report
            .points
            .iter()
            .filter_map(PointRow::count)
            .flat_map(|count| [count.low.unwrap_or(count.mean), count.high.unwrap_or(count.mean)]);
        let (low, high) =
            ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), end| (low.min(end), high.max(end)));
        (low < high).then_some(Scale { low, high })
    }

    fn words(&self) -> String {
        let [low, high] = [self.low, self.high].map(|end| decimals(end, 2));
        let gap = CHART.saturating_sub(low.chars().count() + high.chars().count()).max(1);
        format!("{low}{}{high}", " ".repeat(gap))
    }

    fn at(&self, value: f64) -> usize {
        let share = (value - self.low) / (self.high - self.low);
        (share.clamp(0.0, 1.0) * (CHART - 1) as f64).round_ties_even() as usize
    }

    /// `··──●──····`
    fn drawn(&self, count: &Estimate) -> String {
        let (from, to) =
            (self.at(count.low.unwrap_or(count.mean)), self.at(count.high.unwrap_or(count.mean)));
        let mean = self.at(count.mean);
        let sign = |cell: usize| match cell {
            cell if cell == mean => '●',
            cell if (from..=to).contains(&cell) => '─',
            _ => '·',
        };
        (0..CHART).map(sign).collect()
    }
}

fn gained(point: &PointRow) -> String {
    match &point.against_base {
        None => "as it stands".to_string(),
        Some(row) => row.difference.as_ref().map_or_else(|| "-".to_string(), banded),
    }
}

fn standing(point: &PointRow, report: &SweepReport) -> String {
    let Some(row) = &point.against_most else {
        let is_best = Some(&point.does.layout) == report.advice.most.as_ref();
        return if is_best { "the highest mean".to_string() } else { "-".to_string() };
    };
    match (row.verdict, row.more) {
        (Difference::Equal, _) => format!("the same within {}", percent(report.ignored)),
        (Difference::CannotTell, Some(more)) => format!("cannot tell ({more} more)"),
        (Difference::CannotTell, None) => "cannot tell".to_string(),
        (Difference::Worse, _) => "less".to_string(),
        (Difference::Better, _) => "more".to_string(),
    }
}

fn table(report: &SweepReport) -> Vec<String> {
    let has = |wanted: &dyn Fn(&PointRow) -> bool| report.points.iter().any(wanted);
    let counts = has(&|point| point.does.chance_of_count.is_some());
    let shifts = has(&|point| !point.curve.is_empty());
    let promises = has(&|point| !point.promises.is_empty());
    let shares: Vec<String> = SHARES.iter().map(|share| format!("made on {}", percent(*share))).collect();
    let mut headings = vec!["point"];
    if shifts {
        headings.extend(shares.iter().map(String::as_str));
    }
    if counts {
        headings.push("makes the count, %");
    }
    headings.extend(["flow, h", "units in process", "people", "places"]);
    if promises {
        headings.push("promises kept");
    }
    let mut grid = Grid::new(&headings);
    let stands = has(&|point| point.as_it_stands);
    let base = (!stands).then_some(&report.base);
    for point in base.into_iter().chain(&report.points) {
        let mut cells = vec![shortened(&point.does.layout, NAME)];
        if shifts {
            let made = |share: &f64| point.made_on(*share).map_or_else(|| "-".to_string(), |n| n.to_string());
            cells.extend(SHARES.iter().map(made));
        }
        if counts {
            cells.push(percent_cell(&point.does.chance_of_count));
        }
        let hours = point.does.flow_time_min.map(|flow| decimals(flow.mean / 60.0, 2));
        cells.push(hours.unwrap_or_else(|| "-".to_string()));
        cells.push(cell(&point.does.work_in_process));
        cells.extend([point.does.people.to_string(), point.does.places.to_string()]);
        if promises {
            let kept = point.promises.iter().filter(|promise| promise.verdict == Verdict::Kept).count();
            cells.push(format!("{kept} of {}", point.promises.len()));
        }
        grid.row(cells);
    }
    grid.lines()
}

/// How often a shift makes at least so many: the line as it stands, and the points, or the best of them
/// where there are many.
fn curve(report: &SweepReport, dress: &Dress) -> Vec<String> {
    let best = |point: &&PointRow| Some(&point.does.layout) == report.advice.most.as_ref();
    let few = report.points.len() < CURVES;
    let chosen = report.points.iter().filter(|point| !point.as_it_stands && (few || best(point)));
    let shown: Vec<&PointRow> = std::iter::once(&report.base).chain(chosen).collect();
    let rates: Vec<u32> = {
        let ends = |point: &&PointRow| point.curve.iter().map(|at| at.units).collect::<Vec<_>>();
        let all: std::collections::BTreeSet<u32> = shown.iter().flat_map(ends).collect();
        all.into_iter().collect()
    };
    if rates.is_empty() {
        return Vec::new();
    }
    let step = rates.len().div_ceil(RATES);
    let names: Vec<String> = shown.iter().map(|point| shortened(&point.does.layout, NAME)).collect();
    let mut headings = vec!["units or more"];
    headings.extend(names.iter().map(String::as_str));
    let mut grid = Grid::new(&headings);
    for units in rates.iter().step_by(step) {
        let mut cells = vec![units.to_string()];
        cells.extend(shown.iter().map(|point| format!("{:.1}", 100.0 * chance(point, *units))));
        grid.row(cells);
    }
    let mut lines = vec![String::new(), dress.heading("The rate curve: shifts that make so many, in %")];
    lines.extend(grid.lines());
    lines
}

/// Counts that no shift made are reached by all below the least, by none above the greatest.
fn chance(point: &PointRow, units: u32) -> f64 {
    point.curve.iter().find(|at| at.units >= units).map_or(0.0, |at| at.chance)
}
