//! The order of work as a picture: steps by rank from top to bottom, with their stations, moved ones marked.

use super::writer::Page;
use crate::report::balance::{BalanceReport, OrderRow};
use crate::report::text::layout::shortened;
use crate::units::{count_of, decimals, join_and};

/// Steps that are drawn, at most: beyond, a drawing is too dense to be read.
const MOST_DRAWN: usize = 400;
/// Letters of a name that are drawn; the whole name stands in the title of the step.
const LETTERS: usize = 14;
/// A step's box, and the room around it.
const WIDE: f64 = 112.0;
const HIGH: f64 = 36.0;
const BESIDE: f64 = 12.0;
const BELOW: f64 = 30.0;
const NOTE: &str = "From top to bottom, each step below all that it follows. In a box stands the step and its station; \
    a thick frame moves, from today's station to the planned one; round boxes are holds.";

pub fn picture(page: &mut Page, report: &BalanceReport) {
    let rows = &report.order;
    if rows.is_empty() {
        return;
    }
    page.element("section", &[("id", "order"), ("aria-labelledby", "order-h")], |page| {
        page.leaf("h2", &[("id", "order-h")], "The order of work");
        if rows.len() > MOST_DRAWN {
            let says = format!(
                "{} are too many to be drawn; `--format dot` has them all.",
                count_of(rows.len(), "step")
            );
            page.leaf("p", &[("class", "note")], &says);
            return;
        }
        page.leaf("p", &[("class", "note")], NOTE);
        let attributes = [
            ("class", "box"),
            ("role", "region"),
            ("aria-label", "The order of work, drawn"),
            ("tabindex", "0"),
        ];
        page.element("div", &attributes, |page| drawing(page, rows));
    });
}

/// Where each step stands: its corner, by row of the report.
struct Drawn {
    corners: Vec<(f64, f64)>,
    /// Per row: the rows of what it follows.
    before: Vec<Vec<usize>>,
    size: (f64, f64),
}

fn drawing(page: &mut Page, rows: &[OrderRow]) {
    let drawn = placed(rows);
    let (wide, high) = (decimals(drawn.size.0, 0), decimals(drawn.size.1, 0));
    let view = format!("0 0 {wide} {high}");
    let attributes = [
        ("class", "graph"),
        ("viewBox", view.as_str()),
        ("width", &wide),
        ("height", &high),
        ("role", "img"),
    ];
    page.element("svg", &attributes, |page| {
        let moved = rows.iter().filter(|row| row.station != row.today).count();
        let says = format!("{} in their order, {moved} of them moved", count_of(rows.len(), "step"));
        page.leaf("title", &[], &says);
        for (k, before) in drawn.before.iter().enumerate() {
            before.iter().for_each(|from| arc(page, drawn.corners[*from], drawn.corners[k]));
        }
        rows.iter().zip(&drawn.corners).for_each(|(row, corner)| step(page, row, *corner));
    });
}

/// Steps of one rank side by side, each near the middle of what it follows, so that few lines cross.
fn placed(rows: &[OrderRow]) -> Drawn {
    let row_of = |name: &String| rows.iter().position(|row| row.task == *name);
    let before: Vec<Vec<usize>> =
        rows.iter().map(|row| row.after.iter().filter_map(row_of).collect()).collect();
    let ranks = rows.iter().map(|row| row.rank + 1).max().unwrap_or(0);
    let mut levels: Vec<Vec<usize>> = vec![Vec::new(); ranks];
    rows.iter().enumerate().for_each(|(k, row)| levels[row.rank].push(k));
    let most = levels.iter().map(Vec::len).max().unwrap_or(0) as f64;
    let wide = most * (WIDE + BESIDE) + BESIDE;
    let mut corners = vec![(0.0, 0.0); rows.len()];
    for (rank, level) in levels.iter().enumerate() {
        let wish = |k: usize| match before[k].len() {
            0 => wide / 2.0,
            n => before[k].iter().map(|b| corners[*b].0).sum::<f64>() / n as f64,
        };
        let mut level: Vec<(f64, usize)> = level.iter().map(|k| (wish(*k), *k)).collect();
        // Among those that wish for the same, the first of the report.
        level.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let from = (wide - level.len() as f64 * (WIDE + BESIDE)) / 2.0 + BESIDE / 2.0;
        for (column, (_, k)) in level.into_iter().enumerate() {
            corners[k] = (from + column as f64 * (WIDE + BESIDE), BESIDE + rank as f64 * (HIGH + BELOW));
        }
    }
    Drawn { corners, before, size: (wide, ranks as f64 * (HIGH + BELOW) - BELOW + 2.0 * BESIDE) }
}

fn arc(page: &mut Page, from: (f64, f64), to: (f64, f64)) {
    let (x1, y1, x2, y2) = (from.0 + WIDE / 2.0, from.1 + HIGH, to.0 + WIDE / 2.0, to.1);
    let [x1, y1, x2, y2, c1, c2] =
        [x1, y1, x2, y2, y1 + BELOW / 2.0, y2 - BELOW / 2.0].map(|at| decimals(at, 1));
    let path = format!("M{x1} {y1} C{x1} {c1} {x2} {c2} {x2} {y2}");
    page.element("path", &[("class", "arc"), ("d", &path)], |_| {});
}

fn step(page: &mut Page, row: &OrderRow, (x, y): (f64, f64)) {
    let moved = row.station != row.today;
    let class = match (moved, row.hold) {
        (true, _) => "step moved",
        (false, true) => "step rests",
        (false, false) => "step",
    };
    page.element("g", &[("class", class)], |page| {
        page.leaf("title", &[], &in_words(row, moved));
        let round = if row.hold { HIGH / 2.0 } else { 2.0 };
        let [left, top, wide, high, round] = [x, y, WIDE, HIGH, round].map(|at| decimals(at, 1));
        let attributes =
            [("x", left.as_str()), ("y", &top), ("width", &wide), ("height", &high), ("rx", &round)];
        page.element("rect", &attributes, |_| {});
        let place = if moved { format!("{} to {}", row.today, row.station) } else { row.station.clone() };
        line(page, (x, y + 15.0), "name", &row.task);
        line(page, (x, y + 30.0), "at", &place);
    });
}

fn line(page: &mut Page, (x, y): (f64, f64), class: &str, text: &str) {
    let (x, y) = (decimals(x + WIDE / 2.0, 1), decimals(y, 1));
    let attributes = [("x", x.as_str()), ("y", &y), ("text-anchor", "middle"), ("class", class)];
    page.leaf("text", &attributes, &shortened(text, LETTERS));
}

fn in_words(row: &OrderRow, moved: bool) -> String {
    let label = row.label.as_ref().map_or_else(String::new, |label| format!(" {label}"));
    let place = match moved {
        true => format!("moves from {} to {}", row.today, row.station),
        false => format!("at {}", row.station),
    };
    let after = if row.after.is_empty() { "nothing".to_string() } else { join_and(&row.after) };
    format!("{}{label}: {place}; follows {after}", row.task)
}
