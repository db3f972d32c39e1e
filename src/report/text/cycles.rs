//! What the time of a station goes into, and two of its cycles drawn.

use super::Dress;
use super::closing::closed;
use super::layout::{Grid, WIDTH, named, wrapped};
use crate::report::cycles::{Cycle, CycleBar, CyclesReport, HeldBy, ModelShare};
use crate::report::wording::{banded, banded_percent, percent_of};
use crate::units::{count_of, decimals, percent};

/// Characters of a bar.
const BAR: usize = 50;
/// Rows of the table of steps.
const STEPS: usize = 12;

pub fn page(report: &CyclesReport, dress: &Dress) -> String {
    let station = report
        .label
        .as_ref()
        .map_or_else(|| report.station.clone(), |label| format!("{} {label}", report.station));
    let title = format!("{}, layout {}: the cycles of {station}", report.line, report.layout);
    let mut lines = vec![dress.heading(&title)];
    let bands = percent(report.confidence);
    lines.extend(wrapped(&format!("{}; bands hold with {bands}", report.run), WIDTH, ""));
    lines.push(String::new());
    lines.extend(wrapped(&report.sentence, WIDTH, ""));
    lines.extend([String::new(), dress.heading("Cycles, min of net time")]);
    lines.extend(wrapped(&figures(report), WIDTH, "  "));
    if !report.models.is_empty() {
        let share = |row: &ModelShare| {
            let (all, slowest) = (percent_of(row.share), percent_of(row.share_of_slowest));
            format!("{} {all}, of the slowest tenth {slowest}", row.model)
        };
        let models: Vec<String> = report.models.iter().map(share).collect();
        lines.extend(wrapped(&format!("  models: {}", models.join("; ")), WIDTH, "  "));
    }
    lines.extend([String::new(), dress.heading("What a cycle goes to, min")]);
    lines.extend(made_of(report));
    lines.extend([String::new(), dress.heading("Which steps held the unit, min a cycle")]);
    lines.extend(steps(report));
    for (title, cycle) in [("A typical cycle", &report.typical), ("A bad cycle", &report.bad)] {
        if let Some(cycle) = cycle {
            lines.push(String::new());
            lines.extend(drawn(title, cycle, dress));
        }
    }
    closed(lines, std::iter::empty(), &report.cautions, dress)
}

fn figures(report: &CyclesReport) -> String {
    let minutes = |x: f64| decimals(x, 2);
    let mean = report.length_min.as_ref().map_or_else(|| "-".to_string(), banded);
    let window = match (report.window_min, &report.over_window) {
        (Some(window), Some(over)) => {
            format!("; window {}, over it {}", minutes(window), banded_percent(over))
        }
        (Some(window), None) => format!("; window {}", minutes(window)),
        (None, _) => String::new(),
    };
    format!(
        "  mean {mean}, half of them up to {}, 95 % up to {}; {} watched{window}",
        minutes(report.p50_min),
        minutes(report.p95_min),
        count_of(usize::try_from(report.cycles).unwrap_or(usize::MAX), "cycle"),
    )
}

fn made_of(report: &CyclesReport) -> Vec<String> {
    let mut grid = Grid::new(&["what held the unit", "a cycle", "of the slowest tenth"]);
    for part in &report.made_of {
        let minutes = [part.mean_min, part.slowest_min].map(|x| decimals(x, 2));
        grid.row([vec![part.held_by.words().to_string()], minutes.to_vec()].concat());
    }
    grid.lines()
}

fn steps(report: &CyclesReport) -> Vec<String> {
    let heads = ["step", "its own time", "slowest tenth", "what it waited for", "slowest tenth"];
    let mut grid = Grid::new(&heads);
    for row in report.steps.iter().take(STEPS) {
        let minutes = [row.own_min, row.own_slowest_min, row.waits_min, row.waits_slowest_min];
        grid.row([vec![named(&row.id, &row.label)], minutes.map(|x| decimals(x, 2)).to_vec()].concat());
    }
    let mut lines = grid.lines();
    if report.steps.len() > STEPS {
        lines.push(format!("  and {} more", report.steps.len() - STEPS));
    }
    lines
}

fn drawn(title: &str, cycle: &Cycle, dress: &Dress) -> Vec<String> {
    let mut lines = vec![dress.heading(&format!("{title}: {}", cycle.words()))];
    let legend = HeldBy::ALL.iter().filter(|held_by| cycle.shows(**held_by));
    let legend: Vec<String> = legend.map(|h| format!("{} {}", mark(*h), h.words())).collect();
    lines.extend(wrapped(&format!("  {}", legend.join(", ")), WIDTH, "  "));
    let mut grid = Grid::new(&["", "", "from", "to", ""]).words(1).words(4);
    let held = cycle.path.iter().map(|piece| (piece.from_min, piece.to_min, piece.held_by));
    grid.row(vec![
        "what held it".to_string(),
        bar(held, cycle.length_min),
        "0.0".to_string(),
        decimals(cycle.length_min, 1),
        String::new(),
    ]);
    for row in &cycle.bars {
        let pieces = row.pieces.iter().map(|piece| (piece.from_min, piece.to_min, piece.held_by));
        let (from, to) = row.span();
        grid.row(vec![
            named(&row.step, &row.label),
            bar(pieces, cycle.length_min),
            decimals(from, 1),
            decimals(to, 1),
            says(row),
        ]);
    }
    lines.extend(grid.lines());
    lines
}

/// Who is at it, and what it waited for.
fn says(row: &CycleBar) -> String {
    let mut parts = Vec::new();
    if row.people > 0 {
        parts.push(count_of(row.people as usize, "person"));
    }
    parts.extend(row.waits());
    parts.join("; ")
}

fn bar(pieces: impl Iterator<Item = (f64, f64, HeldBy)>, length: f64) -> String {
    let mut cells = vec![' '; BAR];
    let cell = |at: f64| ((at / length.max(1e-9)) * BAR as f64).round_ties_even().max(0.0) as usize;
    for (from, to, held_by) in pieces {
        let (from, to) = (cell(from).min(BAR), cell(to).min(BAR));
        cells[from..to].fill(mark(held_by));
    }
    cells.into_iter().collect()
}

fn mark(held_by: HeldBy) -> char {
    match held_by {
        HeldBy::Work => '▬',
        HeldBy::Fix => '≈',
        HeldBy::Hold => '=',
        HeldBy::People => 'p',
        HeldBy::PeopleOnTheWay => 'w',
        HeldBy::Parts => 'm',
        HeldBy::Equipment => 'e',
        HeldBy::Room => 'r',
        HeldBy::TimeAhead => 't',
        HeldBy::Stopped => 'x',
        HeldBy::OffShift => 'o',
        HeldBy::EarlierStep => '.',
    }
}
