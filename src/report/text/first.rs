//! The first screen: what one can say aloud, who stops the line, what to doubt. At most 25 lines.

use super::layout::{WIDTH, block, named, wrapped};
use super::{Dress, FIRST_SCREEN};
use crate::report::bins::binned;
use crate::report::looks::main_states;
use crate::report::record::{Report, UnitsPerShift};
use crate::report::rows::{PlaceKind, StationRow, TestRow, Verdict};
use crate::report::wording::{
    banded_percent, percent_of, percent_plus_minus, plus_minus, promise_detail, run_line, sentence,
    thousands, title,
};
use crate::units::{count_of, decimals, join_and, minutes};

/// Columns of the small histogram, at most.
const BARS: usize = 14;

pub fn screen(report: &Report, dress: &Dress) -> Vec<String> {
    let mut lines = vec![dress.heading(&title(report)), run_line(report), String::new()];
    lines.extend(wrapped(&sentence(report), WIDTH, ""));
    if let Some(shifts) = &report.line_measures.units_per_shift {
        lines.extend(histogram(shifts));
    }
    lines.push(String::new());
    lines.extend(who_stops(report, dress));
    lines.extend(loads_line(report));
    lines.extend(retests_line(report));
    // What follows shares the lines that are left: two for doubts, half of the rest for promises, and
    // the tests take what the promises leave.
    let holds = holds_line(report);
    let left = FIRST_SCREEN.saturating_sub(lines.len() + holds.len());
    let for_doubts = report.warnings.len().min(2);
    let promises =
        capped(promise_lines(report, dress), (left - for_doubts.min(left)).div_ceil(2).max(1), "promise");
    let tests = capped(test_lines(report), left.saturating_sub(for_doubts + promises.len()).max(1), "test");
    let doubts = doubt_lines(report, left.saturating_sub(promises.len() + tests.len()));
    lines.extend(tests);
    lines.extend(holds);
    lines.extend(promises);
    lines.extend(doubts);
    lines
}

/// The first lines, and how many more there are.
fn capped(mut lines: Vec<String>, most: usize, noun: &str) -> Vec<String> {
    if lines.len() > most {
        let hidden = lines.len() + 1 - most;
        lines.truncate(most.saturating_sub(1));
        lines.push(entry("", &format!("and {} below", count_of(hidden, &format!("more {noun}")))));
    }
    lines
}

/// A word in the margin and what it says, cut to one line.
fn entry(margin: &str, text: &str) -> String {
    cut(&format!("{margin:<11}{text}"))
}

fn cut(line: &str) -> String {
    match line.chars().count() > WIDTH {
        true => line.chars().take(WIDTH - 1).chain(std::iter::once('…')).collect(),
        false => line.trim_end().to_string(),
    }
}

/// Three lines: blocks, counts under them, the count asked for pointed at.
fn histogram(shifts: &UnitsPerShift) -> Vec<String> {
    let bars = binned(&shifts.histogram, BARS);
    let greatest = bars.iter().map(|b| b.shifts).max().unwrap_or(0);
    let wide = bars.iter().map(|b| b.name.chars().count()).max().unwrap_or(1).max(2) + 1;
    let blocks: String = bars
        .iter()
        .map(|b| format!("{:>wide$}", block(b.shifts, greatest).to_string().repeat(wide - 1)))
        .collect();
    let names: String = bars.iter().map(|b| format!("{:>wide$}", b.name)).collect();
    let spread = match (&shifts.p05, &shifts.p95) {
        (Some(low), Some(high)) if shifts.p05 != shifts.p95 => {
            format!("   9 shifts of 10 lie from {} to {}", low.mean, high.mean)
        }
        (Some(all), _) => format!("   at least 9 shifts of 10 make {}", all.mean),
        (None, _) => String::new(),
    };
    let total: u64 = shifts.histogram.iter().map(|s| s.shifts).sum();
    let noun = if total == 1 { "shift" } else { "shifts" };
    let mut lines = vec![
        format!("{:<11}{blocks}   {} {noun}", "shifts", thousands(total)),
        format!("{:<11}{names}{spread}", "units"),
    ];
    if let Some((count, chance)) = shifts.count.zip(shifts.chance_of_count.as_ref()) {
        let at = bars.iter().position(|b| count <= f64::from(b.to));
        let says = format!("the count of {}: chance {}", decimals(count, 2), banded_percent(chance));
        lines.push(match at {
            Some(k) => format!("{:<11}{}↑ {says}", "", " ".repeat((k + 1) * wide - 1)),
            None => format!("{:<11}{}→ {says}", "", " ".repeat(bars.len() * wide)),
        });
    }
    lines
}

fn who_stops(report: &Report, dress: &Dress) -> Vec<String> {
    let pushed = report.stations.iter().any(|s| s.last_to_finish.is_some());
    let heading = match pushed {
        true => "Who stops the line: share of pushes at which it was last, delay it caused, its time",
        false => "Who stops the line",
    };
    let mut lines = vec![dress.heading(heading)];
    lines.extend(wrapped(&report.bottleneck.sentence, WIDTH, ""));
    let mut ranked: Vec<&StationRow> =
        report.stations.iter().filter(|s| s.kind != PlaceKind::Repair).collect();
    let rank = |s: &StationRow| match pushed {
        true => s.delay_caused_min.map_or(0.0, |e| e.mean) + 1e-9 * s.last_to_finish.map_or(0.0, |e| e.mean),
        false => s.in_use.map_or(0.0, |e| e.mean),
    };
    ranked.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
    let top: Vec<&StationRow> = ranked.into_iter().filter(|s| rank(s) > 0.0).take(3).collect();
    let name = |s: &StationRow| named(&s.id, &s.label);
    let wide = top.iter().map(|s| name(s).chars().count()).max().unwrap_or(0);
    lines.extend(top.iter().map(|s| {
        let line = |states: usize| format!("  {:<wide$}  {}", name(s), station_says(s, states));
        // As many states as the width holds.
        let fits = (1..=4).rev().map(line).find(|text| text.chars().count() <= WIDTH);
        fits.unwrap_or_else(|| cut(&line(1)))
    }));
    lines
}

fn station_says(station: &StationRow, states: usize) -> String {
    let mut says = Vec::new();
    if let Some(last) = &station.last_to_finish {
        says.push(format!("last {} %", percent_plus_minus(last)));
    }
    match (&station.delay_caused_min_per_shift, &station.delay_caused_min) {
        (Some(delay), _) => says.push(format!("{} min a shift", plus_minus(delay))),
        (None, Some(delay)) => says.push(format!("{} min a push", plus_minus(delay))),
        (None, None) => {}
    }
    says.push(main_states(&station.shares, states));
    says.join("; ")
}

/// Models that need more than the window: `T at A10 takes 116 % of its window`.
fn loads_line(report: &Report) -> Option<String> {
    let mut over: Vec<(f64, String)> = report
        .stations
        .iter()
        // A feeder's store makes up for a part that takes longer than others.
        .filter(|s| s.feeder.is_none())
        .flat_map(|s| s.load_by_model.iter().map(move |m| (s, m)))
        .filter_map(|(s, m)| Some((m.load.filter(|load| *load > 1.0)?, s, m)))
        .map(|(load, s, m)| {
            (load, format!("{} at {} takes {} of its window", m.model, s.id, percent_of(load)))
        })
        .collect();
    over.sort_by(|a, b| b.0.total_cmp(&a.0));
    let shown: Vec<String> = over.iter().take(2).map(|(_, text)| text.clone()).collect();
    let more = match over.len() {
        0 => return None,
        n if n > 2 => format!(", and {} more over", n - 2),
        _ => String::new(),
    };
    Some(entry("too long", &format!("{}{more}", join_and(&shown))))
}

/// Places that only retests and fixes bring near their window: `A16 takes 95 % of its window with
/// retests, 83 % without`.
fn retests_line(report: &Report) -> Option<String> {
    let with_both = |s: &StationRow| Some((s.load?, s.load_with_retests?));
    let near = report.stations.iter().filter_map(|s| with_both(s).map(|(once, all)| (s, once, all)));
    let mut near: Vec<_> = near.filter(|(_, once, all)| *all > 0.9 && all - once > 0.05).collect();
    near.sort_by(|a, b| b.2.total_cmp(&a.2));
    let (station, once, all) = near.first()?;
    let (once, all) = (percent_of(*once), percent_of(*all));
    Some(entry("retests", &format!("{} takes {all} of its window with them, {once} without", station.id)))
}

/// The longest waits first.
fn test_lines(report: &Report) -> Vec<String> {
    let mut tests: Vec<&TestRow> = report.tests.iter().collect();
    let wait = |test: &TestRow| test.wait_min.mean.map_or(-1.0, |e| e.mean);
    tests.sort_by(|a, b| wait(b).total_cmp(&wait(a)));
    let margin = |k| if k == 0 { "tests" } else { "" };
    tests.iter().enumerate().map(|(k, test)| entry(margin(k), &test_says(test))).collect()
}

fn test_says(test: &TestRow) -> String {
    let name = test.label.as_deref().unwrap_or(&test.id);
    let mut says = Vec::new();
    if let Some(first) = &test.first_pass_yield {
        says.push(format!("first pass {} %", percent_plus_minus(first)));
    }
    match (&test.wait_min.mean, &test.wait_min.p95) {
        (Some(mean), Some(p95)) => {
            says.push(format!("wait {} min, 95 % within {}", plus_minus(mean), minutes(p95.mean)));
        }
        _ => says.push("no unit came".to_string()),
    }
    if let Some(form) = &test.closed_form {
        says.push(format!("formula {}", minutes(form.wait_min)));
    }
    format!("{name}: {}", says.join("; "))
}

fn holds_line(report: &Report) -> Vec<String> {
    if report.holds.is_empty() {
        return Vec::new();
    }
    let ended: u64 = report.holds.iter().map(|h| h.count).sum();
    let restarts: u64 = report.holds.iter().map(|h| h.restarts).sum();
    let short: Vec<String> = report.holds.iter().filter(|h| !h.kept).map(|h| h.id.clone()).collect();
    let restarted = match restarts {
        0 => String::new(),
        n => format!("; {} restarted in full", thousands(n)),
    };
    let says = match short.as_slice() {
        [] => format!(
            "{} audited, {} times: none under its minimum{restarted}",
            count_of(report.holds.len(), "hold"),
            thousands(ended)
        ),
        short => format!("{} UNDER ITS MINIMUM: a fault of the program, use no figure", join_and(short)),
    };
    vec![entry("holds", &says)]
}

/// Broken ones first, then the undecided, then the kept.
fn promise_lines(report: &Report, dress: &Dress) -> Vec<String> {
    let order = [Verdict::Broken, Verdict::Undecided, Verdict::Kept];
    let ranked = order.iter().flat_map(|v| report.promises.iter().filter(move |p| p.verdict == *v));
    ranked
        .map(|promise| {
            let detail = promise_detail(promise);
            let sep = if detail.is_empty() { "" } else { ": " };
            let line = entry(promise.verdict.word(), &format!("{}{sep}{detail}", promise.text));
            let word = promise.verdict.word();
            line.replacen(word, &dress.verdict(promise.verdict, word), 1)
        })
        .collect()
}

/// As many doubts as there is room for, and how many more.
fn doubt_lines(report: &Report, room: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for (k, doubt) in report.warnings.iter().enumerate() {
        let margin = if k == 0 { "doubts" } else { "" };
        let left = report.warnings.len() - k;
        if lines.len() + 1 >= room && left > 1 || lines.len() >= room {
            let n = count_of(left, if k == 0 { "doubt" } else { "more doubt" });
            let says = entry(margin, &format!("{}{n} below", if k == 0 { "" } else { "and " }));
            if lines.len() < room || k == 0 {
                lines.push(says);
            }
            break;
        }
        lines.push(entry(margin, &doubt.text));
    }
    lines
}
