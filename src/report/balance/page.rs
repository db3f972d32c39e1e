//! The answer as text.

use super::build::{AimKind, BalanceReport, ModelLate, Moved, Pair, StoppedBy};
use super::tasks::CheckedRule;
use crate::report::Dress;
use crate::report::text::closed;
use crate::report::text::layout::{Grid, WIDTH, load_bar, named, wrapped};
use crate::units::{count_of, decimals, join_and, minutes, percent};

/// Statements of a clash that are printed.
const MOST_CLASHING: usize = 12;

pub fn page(report: &BalanceReport, dress: &Dress) -> String {
    let mut lines = vec![dress.heading(&format!("{}, layout {}", report.line, report.layout))];
    lines.extend(wrapped(&report.sentence, WIDTH, ""));
    lines.extend(summary(report));
    section(&mut lines, dress, "What moves, in this order", moves(&report.moved));
    section(&mut lines, dress, "Other single moves from today", moves(&report.other_moves));
    section(&mut lines, dress, "Loads, % of the window, retests included", loads(report).lines());
    let chances = if report.chance.is_some() { chances(report).lines() } else { Vec::new() };
    section(
        &mut lines,
        dress,
        "Units over the window, % of 2,000 draws of one pass (by the normal sum)",
        chances,
    );
    section(
        &mut lines,
        dress,
        "What clashes",
        clash_words(report).iter().flat_map(|text| paragraph(text)).collect(),
    );
    let binding = report.binding.iter().flat_map(|text| paragraph(text));
    section(&mut lines, dress, "What binds", binding.collect());
    section(&mut lines, dress, "Tasks by station", tasks(report));
    let checked = report.checked.iter().flat_map(|row| paragraph(&checked_words(row)));
    section(&mut lines, dress, "Looked at once more", checked.collect());
    closed(lines, std::iter::empty(), &report.cautions, dress)
}

/// `kept: nothing comes before what it follows`
pub fn checked_words(row: &CheckedRule) -> String {
    format!("{}: {}", if row.kept { "kept" } else { "NOT KEPT" }, row.rule)
}

/// What the plan brings, to be said aloud.
pub fn sentence(report: &BalanceReport) -> String {
    let moved = report.assignment.iter().filter(|row| row.station != row.today).count();
    let pace = report.pace_min.map_or_else(
        || "at the pace of its signals".to_string(),
        |pace| format!("at a pace of {} min", decimals(pace, 4)),
    );
    let sides = report.assignment.iter().filter(|row| row.side != row.side_today).count();
    let with = match (moved, sides) {
        (0, 0) => "Nothing moves".to_string(),
        (n, 0) => format!("With {} moved", count_of(n, "task")),
        (n, sides) => format!("With {} moved and {sides} on another side", count_of(n, "task")),
    };
    let brings = match report.aim {
        AimKind::Stations => format!("the work is done at {} {pace}", count_of(report.stations, "station")),
        AimKind::People => {
            let people = count_of(report.people.after as usize, "person");
            format!("the work takes {people} {pace}, {} today", report.people.before)
        }
        AimKind::Pace => format!("the line can go every {} min", decimals(report.shortest_pace_min, 2)),
        AimKind::Smooth => {
            let index = &report.smoothness;
            format!("the smoothness index is {:.3} windows, {:.3} today", index.after, index.before)
        }
        AimKind::Moves => {
            let load = &report.largest_load;
            let (after, before) = (one_decimal(load.after), one_decimal(load.before));
            format!("the fullest station needs {after} of its window, {before} today")
        }
    };
    let caps = match report.feasible {
        true => "every station is within its caps",
        false => "some stations stay over their caps",
    };
    format!("{with}: {brings}; {caps}.")
}

fn section(lines: &mut Vec<String>, dress: &Dress, heading: &str, body: Vec<String>) {
    if !body.is_empty() {
        lines.push(String::new());
        lines.push(dress.heading(heading));
        lines.extend(body);
    }
}

/// Lines of a text, indented by two, its later ones by four.
fn paragraph(text: &str) -> Vec<String> {
    wrapped(text, WIDTH - 2, "  ").into_iter().map(|line| format!("  {line}")).collect()
}

fn summary(report: &BalanceReport) -> Vec<String> {
    let row = |name: &str, text: String| format!("  {name:<17}{text}");
    let change = |pair: &Pair| format!("{} -> {}", percent(pair.before), percent(pair.after));
    let mut lines = Vec::new();
    lines.push(row("aim", aim(report).to_string()));
    if let Some(pace) = report.pace_min {
        let shortest = decimals(report.shortest_pace_min, 2);
        lines.push(row(
            "pace",
            format!("{} min; this plan keeps its caps down to {shortest} min", decimals(pace, 4)),
        ));
    }
    lines.push(row("stations", report.stations.to_string()));
    let people = format!("{} -> {} of the crews with work", report.people.before, report.people.after);
    lines.push(row("people", people));
    lines.push(row("largest load", format!("{} of the window", change(&report.largest_load))));
    lines.push(row("over the caps", format!("{} of a window, all stations", change(&report.over_caps))));
    lines.push(row("efficiency", format!("{} of the windows filled", change(&report.line_efficiency))));
    if let Some(kept) = report.chance {
        let text = format!("{} of the units of each model keep each window", percent(kept));
        lines.push(row("chance", format!("{text}, {}", if report.feasible { "kept" } else { "not kept" })));
    }
    let smooth = &report.smoothness;
    let index = format!("{:.3} -> {:.3} windows; 0 is even", smooth.before, smooth.after);
    lines.push(row("smoothness index", index));
    lines.push(row("answer", answer(report)));
    if let Some(simulated) = &report.simulated {
        lines.push(row("simulated", simulated.text.clone()));
    }
    if !report.feasible {
        lines.push(row("", "some stations stay over their caps".to_string()));
    }
    lines
}

/// What was looked for.
pub fn aim(report: &BalanceReport) -> &'static str {
    match report.aim {
        AimKind::Stations => "fewest stations at the pace",
        AimKind::Pace => "shortest pace for these stations",
        AimKind::People => "fewest people at the pace",
        AimKind::Smooth => "most even loads",
        AimKind::Moves => "most gain with fewest moves from today",
    }
}

/// How good the plan is known to be, and what no plan can beat.
pub fn answer(report: &BalanceReport) -> String {
    let bound = match (report.lower_bound, report.aim) {
        (Some(bound), AimKind::Pace) => format!("; no plan is under {} min", minutes(bound)),
        (Some(bound), AimKind::Stations) if bound > report.stations as f64 => {
            format!("; the work needs {} at this pace", count_of(bound as usize, "station"))
        }
        (Some(bound), AimKind::People) if bound > report.people.after => {
            format!("; the work needs {} at this pace", count_of(bound as usize, "person"))
        }
        (Some(bound), AimKind::People) => {
            format!("; no plan has fewer than {}", count_of(bound as usize, "person"))
        }
        (Some(bound), AimKind::Stations) => {
            format!("; no plan has fewer than {}", count_of(bound as usize, "station"))
        }
        (Some(_), AimKind::Smooth | AimKind::Moves) | (None, _) => String::new(),
    };
    let proven = match report.stopped_by {
        StoppedBy::Proof => "proven best",
        StoppedBy::Limit => "best found when the limit of time ended the search",
        StoppedBy::Looks => "best found when the number of plans to look at was used up",
        StoppedBy::NoBetterMove => "best found: no single move or swap makes it better",
    };
    format!("{proven}{bound}")
}

/// Statements that no plan keeps together, with their lines; the file is named where it is not always the same.
pub fn clash_words(report: &BalanceReport) -> Vec<String> {
    let Some(clash) = &report.clash else { return Vec::new() };
    let all = clash.statements.len();
    let pace = report.pace_min.map_or("the signals".to_string(), |pace| format!("{} min", decimals(pace, 4)));
    let head = match (all, clash.smallest) {
        (1, _) => format!("No plan keeps this at {pace}:"),
        (_, true) => format!("No plan keeps all of these {all} at {pace}; no smaller set clashes:"),
        (_, false) => format!("No plan keeps all of these {all} at {pace}; none of them can be left out:"),
    };
    let several = clash.statements.iter().any(|s| s.file != clash.statements[0].file);
    let mut said = vec![head];
    for statement in clash.statements.iter().take(MOST_CLASHING) {
        let place = match several {
            true => format!("{} line {}", statement.file, statement.line),
            false => format!("line {}", statement.line),
        };
        said.push(format!("{place}: {}", statement.text));
    }
    if all > MOST_CLASHING {
        said.push(format!("and {} more, which are in the JSON", all - MOST_CLASHING));
    }
    said
}

fn moves(moved: &[Moved]) -> Vec<String> {
    let mut lines = Vec::new();
    for (k, change) in moved.iter().enumerate() {
        let tasks = change_words(change);
        let figures = [
            ("over the caps", &change.over_caps, percent as fn(f64) -> String, ""),
            ("largest load", &change.largest_load, one_decimal, ""),
            ("shortest pace", &change.pace_min, |min| decimals(min, 2), " min"),
        ];
        // What a change leaves as it is goes without saying.
        let gains = figures.into_iter().filter_map(|(name, pair, shown, unit)| {
            let (before, after) = (shown(pair.before), shown(pair.after));
            (before != after).then(|| format!("{name} {before} -> {after}{unit}"))
        });
        let gains: Vec<String> = gains.collect();
        lines.extend(paragraph(&format!("{}. {}: {}", k + 1, tasks, gains.join(", "))));
    }
    lines
}

/// `a31 Set tub from A10 to A09`, and what comes back for it.
pub fn change_words(change: &Moved) -> String {
    let each = change.tasks.iter();
    join_and(
        &each
            .map(|t| format!("{} from {} to {}", named(&t.task, &t.label), t.from, t.to))
            .collect::<Vec<_>>(),
    )
}

fn one_decimal(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn loads(report: &BalanceReport) -> Grid {
    let models: Vec<&str> = match report.loads.first() {
        Some(row) if row.by_model.len() > 1 => row.by_model.iter().map(|m| m.model.as_str()).collect(),
        Some(_) | None => Vec::new(),
    };
    let headings: Vec<&str> = ["station", "window, min", "before", "after"]
        .into_iter()
        .chain(models.iter().copied())
        .chain(["after; | is the window"])
        .collect();
    let mut grid = Grid::new(&headings).words(headings.len() - 1);
    let whole = |share: Option<f64>| share.map_or("-".to_string(), |s| format!("{:.0}", s * 100.0));
    for load in &report.loads {
        let mut cells = vec![
            named(&load.station, &load.label),
            minutes(load.window_min),
            whole(load.share_before),
            whole(load.share),
        ];
        cells.extend(load.by_model.iter().filter(|_| !models.is_empty()).map(|m| whole(m.load)));
        cells.push(load_bar(load.share.unwrap_or(0.0)));
        grid.row(cells);
    }
    grid
}

fn chances(report: &BalanceReport) -> Grid {
    let models = report.loads.first().map_or(&[][..], |row| row.late.as_slice());
    let headings: Vec<&str> =
        std::iter::once("station").chain(models.iter().map(|late| late.model.as_str())).collect();
    let mut grid = Grid::new(&headings);
    for load in &report.loads {
        let shown = |late: &ModelLate| match (late.over, late.over_normal) {
            (Some(over), Some(normal)) => format!("{:.1} ({:.1})", over * 100.0, normal * 100.0),
            (Some(over), None) => format!("{:.1}", over * 100.0),
            (None, _) => "-".to_string(),
        };
        let cells = std::iter::once(named(&load.station, &load.label)).chain(load.late.iter().map(shown));
        grid.row(cells.collect());
    }
    grid
}

fn tasks(report: &BalanceReport) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for load in &report.loads {
        let here = report.assignment.iter().filter(|row| row.station == load.station);
        let tasks: Vec<String> = here
            .map(|row| {
                let from = (row.today != row.station).then(|| format!("from {}", row.today));
                let side = row.side.as_ref().filter(|_| row.side != row.side_today);
                let side = side.map(|side| format!("in {side}"));
                let notes: Vec<String> = from.into_iter().chain(side).collect();
                match notes.is_empty() {
                    true => row.task.clone(),
                    false => format!("{} ({})", row.task, notes.join(", ")),
                }
            })
            .collect();
        let tasks = if tasks.is_empty() { "-".to_string() } else { tasks.join(", ") };
        lines.extend(paragraph(&format!("{}: {tasks}", load.station)));
    }
    lines
}
