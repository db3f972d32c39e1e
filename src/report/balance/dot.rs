//! The order of work as text in the DOT language, for programs that draw or read graphs.
//!
//! DOT is an open language for graphs: <https://graphviz.org/doc/info/lang.html>. Names and labels stand in quotes,
//! so nothing of the file's can become a statement of the graph.

use super::build::BalanceReport;
use super::tasks::OrderRow;
use std::fmt::Write as _;

/// A directed graph: a node for each step, in a cluster for each station as planned; an edge from what is followed.
/// `today` is where a step stands in the file; what moves is bold, a hold is round.
pub fn graph(report: &BalanceReport) -> String {
    let name = quoted(&format!("{}, layout {}", report.line, report.layout));
    let mut text = format!("digraph {name} {{\n  rankdir=LR;\n  node [shape=box];\n");
    let mut places: Vec<&str> = Vec::new();
    for row in &report.order {
        if !places.contains(&row.station.as_str()) {
            places.push(&row.station);
        }
    }
    for place in places {
        let _ = writeln!(text, "  subgraph {} {{", quoted(&format!("cluster_{place}")));
        let _ = writeln!(text, "    label={};", quoted(&place_words(report, place)));
        for row in report.order.iter().filter(|row| row.station == place) {
            let _ = writeln!(text, "    {};", node(row));
        }
        text.push_str("  }\n");
    }
    for row in &report.order {
        for before in &row.after {
            let _ = writeln!(text, "  {} -> {};", quoted(before), quoted(&row.task));
        }
    }
    text.push_str("}\n");
    text
}

fn place_words(report: &BalanceReport, place: &str) -> String {
    let label = report.loads.iter().find(|load| load.station == place).and_then(|load| load.label.as_ref());
    label.map_or_else(|| place.to_string(), |label| format!("{place} {label}"))
}

fn node(row: &OrderRow) -> String {
    let label = match &row.label {
        Some(label) => format!("{} {label}", row.task),
        None => row.task.clone(),
    };
    let moved = row.station != row.today;
    let label = if moved { format!("{label}\n{} to {}", row.today, row.station) } else { label };
    let mut text = format!("{} [label={}, today={}", quoted(&row.task), quoted(&label), quoted(&row.today));
    if row.hold {
        text.push_str(", shape=ellipse");
    }
    if moved {
        text.push_str(", style=bold");
    }
    text.push(']');
    text
}

/// In quotes, as the language wants it: a quote and a stroke are escaped, a break is `\n`, other controls are blanks.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            '\n' => quoted.push_str("\\n"),
            c if c.is_control() => quoted.push(' '),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}
