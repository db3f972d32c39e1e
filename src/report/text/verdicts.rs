//! The judged parts behind the first screen: holds, windows, promises, doubts, cautions.

use super::layout::{Grid, WIDTH, named, wrapped};
use super::{Dress, indented, percent_cell};
use crate::report::record::Report;
use crate::report::rows::HoldRow;
use crate::report::wording::{promise_detail, thousands};
use crate::units::decimals;

pub fn holds(report: &Report) -> Vec<String> {
    let mut grid =
        Grid::new(&["hold", "at", "minimum, min", "shortest, min", "ended", "restarted", "verdict"])
            .words(1)
            .words(6);
    for hold in &report.holds {
        grid.row(vec![
            named(&hold.id, &hold.label),
            hold.station.clone(),
            decimals(hold.minimum_min, 3),
            hold.shortest_min.map_or_else(|| "-".to_string(), |m| decimals(m, 3)),
            thousands(hold.count),
            thousands(hold.restarts),
            hold_verdict(hold),
        ]);
    }
    let mut lines = grid.lines();
    let moved = report.holds.iter().filter_map(|hold| Some((&hold.id, hold.moved?)));
    let moved: Vec<String> = moved.map(|(id, moved)| format!("{id} {}", thousands(moved))).collect();
    if !moved.is_empty() {
        let text = format!("went on while their units were pushed, in all: {}", moved.join("; "));
        lines.extend(wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented));
    }
    let cold = report.holds.iter().filter_map(|hold| Some((&hold.id, hold.cold_min?)));
    let cold: Vec<String> = cold.map(|(id, cold)| format!("{id} {} min", decimals(cold, 1))).collect();
    if !cold.is_empty() {
        let text = format!("longer for the cold, each on average: {}", cold.join("; "));
        lines.extend(wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented));
    }
    lines
}

fn hold_verdict(hold: &HoldRow) -> String {
    let kept = match (hold.kept, hold.shortest_min) {
        (true, Some(_)) => "kept",
        (true, None) => "none ended",
        (false, _) => "SHORT",
    };
    if hold.safety { format!("{kept}, safety") } else { kept.to_string() }
}

pub fn windows(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["window", "within, min", "judged", "missed", "missed, %"]);
    for w in &report.windows {
        grid.row(vec![
            format!("{} to {}", w.opens, w.closes),
            decimals(w.limit_min, 2),
            thousands(w.judged),
            thousands(w.missed),
            percent_cell(&w.share_missed),
        ]);
    }
    grid.lines()
}

pub fn promises(report: &Report, dress: &Dress) -> Vec<String> {
    report
        .promises
        .iter()
        .flat_map(|p| {
            let detail = promise_detail(p);
            let sep = if detail.is_empty() { "" } else { ": " };
            let word = p.verdict.word();
            let mut lines = wrapped(&format!("{word} {}{sep}{detail}", p.text), WIDTH - 2, "  ");
            if let Some(first) = lines.first_mut() {
                *first = first.replacen(word, &dress.verdict(p.verdict, word), 1);
            }
            lines.into_iter().map(indented)
        })
        .collect()
}

fn bullet(code: Option<&str>, text: &str) -> Vec<String> {
    let text = match code {
        Some(code) => format!("{code}: {text}"),
        None => text.to_string(),
    };
    wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented).collect()
}

/// Doubts of the file with their codes, then those of the run.
pub fn doubts(report: &Report) -> Vec<String> {
    report.warnings.iter().flat_map(|w| bullet(w.code.as_deref(), &w.text)).collect()
}

pub fn cautions(report: &Report) -> Vec<String> {
    let texts = report.cautions.iter().flat_map(|c| wrapped(&c.text, WIDTH - 2, ""));
    texts.map(indented).collect()
}
