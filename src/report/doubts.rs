//! What makes the figures of a run doubtful, said beside them.

use super::record::{Report, Warning};
use super::wording::{percent_of, thousands};
use super::working_hours;
use crate::line::Line;
use crate::stats::{GROUPS, Summary};
use crate::units::{count_of, decimals, join_and, plural};

/// Bands wider than this share of the mean are worth a word.
const WIDE: f64 = 0.015;
/// What they could be brought to.
const WISHED: f64 = 0.01;
/// Fewer timings than this are few.
const FEW_TIMINGS: u32 = 10;

pub fn doubts(line: &Line, summary: &Summary, report: &Report) -> Vec<Warning> {
    [
        broken_books(line, summary),
        interrupted(report),
        few_replications(report),
        wide_band(report),
        left_the_line(report),
        windows_missed(report),
        few_timings(line),
    ]
    .into_iter()
    .flatten()
    .chain(working_hours::doubts(line))
    .map(|text| Warning { code: None, text })
    .collect()
}

fn broken_books(line: &Line, summary: &Summary) -> Option<String> {
    let books = &summary.books;
    (!books.balance()).then(|| {
        let places: Vec<&str> =
            books.states_off.iter().map(|(p, _)| line.places[p.index()].name.as_str()).collect();
        let states = match places.as_slice() {
            [] => String::new(),
            places => format!(", and the states of {} do not fill their time", join_and(places)),
        };
        format!(
            "The books do not balance: units present and unit times differ by {} unit-microseconds{states}. \
             This is a fault of the program: trust no figure, and report it.",
            books.little_residual
        )
    })
}

fn interrupted(report: &Report) -> Option<String> {
    let n = report.replications as usize;
    report.interrupted.then(|| {
        format!("The run was stopped after {}; the figures rest on those.", count_of(n, "replication"))
    })
}

fn few_replications(report: &Report) -> Option<String> {
    let n = report.replications as usize;
    (n < GROUPS && n > 0).then(|| {
        let only = count_of(n, "replication");
        match n {
            1 => format!("Only {only}: no figure has a band."),
            _ => format!("Only {only}: percentiles and chances have no band, which takes {GROUPS}."),
        }
    })
}

/// The relative half-width of the count, and how many more replications bring it to 1 %.
fn wide_band(report: &Report) -> Option<String> {
    let measures = &report.line_measures;
    let estimate = match &measures.units_per_shift {
        Some(shifts) => shifts.estimate(),
        None => measures.units_per_hour?,
    };
    let (low, high) = estimate.low.zip(estimate.high)?;
    let relative = (high - low) / 2.0 / estimate.mean.abs();
    if !(relative > WIDE && relative.is_finite()) {
        return None;
    }
    let more = (f64::from(estimate.n) * ((relative / WISHED) * (relative / WISHED) - 1.0)).ceil();
    let more = more.min(1e12) as u64;
    let noun = plural(usize::try_from(more).unwrap_or(usize::MAX), "replication");
    Some(format!(
        "The band of the count is ± {} %; about {} more {noun} would bring it to ± 1 %.",
        decimals(100.0 * relative, 1),
        thousands(more)
    ))
}

fn left_the_line(report: &Report) -> Option<String> {
    let measures = &report.line_measures;
    let gone: Vec<String> = [(measures.scrapped, "scrapped"), (measures.set_aside, "set aside")]
        .iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, how)| format!("{} {how}", thousands(*n)))
        .collect();
    let all = measures.finished + measures.scrapped + measures.set_aside;
    let share = (measures.scrapped + measures.set_aside) as f64 / all.max(1) as f64;
    (!gone.is_empty()).then(|| {
        format!(
            "Not every unit came out good: {} ({} of those that left).",
            join_and(&gone),
            percent_of(share)
        )
    })
}

fn windows_missed(report: &Report) -> Option<String> {
    let missed: Vec<String> = report
        .windows
        .iter()
        .filter(|w| w.missed > 0)
        .map(|w| {
            format!("{} to {} {} of {} times", w.opens, w.closes, thousands(w.missed), thousands(w.judged))
        })
        .collect();
    (!missed.is_empty()).then(|| format!("Windows were missed and work redone: {}.", join_and(&missed)))
}

/// Steps whose times say that they rest on few timings: the shortest list first.
fn few_timings(line: &Line) -> Option<String> {
    let mut few: Vec<(u32, &str)> = line
        .steps
        .iter()
        .filter_map(|step| {
            let least = step.times.iter().filter_map(|t| t.dist.timings).min()?;
            (least < FEW_TIMINGS).then_some((least, step.name.as_str()))
        })
        .collect();
    few.sort();
    let named: Vec<String> =
        few.iter().take(3).map(|(n, name)| format!("{name} ({})", count_of(*n as usize, "timing"))).collect();
    let steps = count_of(few.len(), "step");
    let rest = if few.len() == 1 { "rests" } else { "rest" };
    (!few.is_empty()).then(|| {
        format!("{steps} {rest} on fewer than {FEW_TIMINGS} timings; measure first: {}.", join_and(&named))
    })
}
