//! Rows that judge: the bottleneck named, holds, windows, promises.

use super::shown_if;
use crate::line::{Line, Measure, PlaceId, PromiseKind};
use crate::report::record::Estimate;
use crate::report::rows::{BottleneckRow, HoldRow, Method, MethodRow, PromiseRow, Verdict, WindowRow};
use crate::stats::{self, Finding, Summary};
use crate::units::join_and;

/// Stations named one by one where several cannot be told apart.
const FEW: usize = 4;

pub fn bottleneck(line: &Line, summary: &Summary) -> BottleneckRow {
    let evidence = &summary.bottleneck;
    let gain_unit = match line.calendar {
        Some(_) => "units per shift for 5 % less attended work",
        None => "units per hour for 5 % less attended work",
    };
    let methods = evidence.findings.iter().map(|finding| MethodRow {
        method: method(finding.method),
        stations: finding.named.iter().map(|place| name(line, *place)).collect(),
        figure: finding.figure.as_ref().and_then(|e| shown_if(&Some(*e))),
        unit: match finding.method {
            stats::Method::UnitsGained => gain_unit,
            stats::Method::DelayCaused => "min per push",
            stats::Method::PushesLast => "share of pushes",
            stats::Method::TurningPoint => "",
            stats::Method::ActivePeriod => "min",
            stats::Method::HighestUse => "share of net time",
        }
        .to_string(),
    });
    BottleneckRow {
        station: evidence.verdict.as_ref().map(|v| name(line, v.place)),
        methods: methods.collect(),
        sentence: sentence(line, evidence),
    }
}

fn name(line: &Line, place: PlaceId) -> String {
    line.places[place.index()].name.clone()
}

fn method(method: stats::Method) -> Method {
    match method {
        stats::Method::UnitsGained => Method::UnitsGained,
        stats::Method::DelayCaused => Method::DelayCaused,
        stats::Method::PushesLast => Method::PushesLast,
        stats::Method::TurningPoint => Method::TurningPoint,
        stats::Method::ActivePeriod => Method::ActivePeriod,
        stats::Method::HighestUse => Method::HighestUse,
    }
}

/// `delay caused`, as the subject of a sentence.
fn words(method: stats::Method) -> &'static str {
    match method {
        stats::Method::UnitsGained => "units gained",
        stats::Method::DelayCaused => "delay caused",
        stats::Method::PushesLast => "pushes last",
        stats::Method::TurningPoint => "the turning point",
        stats::Method::ActivePeriod => "the active period",
        stats::Method::HighestUse => "the highest use",
    }
}

fn sentence(line: &Line, evidence: &stats::Bottleneck) -> String {
    let Some(verdict) = &evidence.verdict else {
        return "No station can be named: nothing was counted that tells one from another.".to_string();
    };
    let place = &line.places[verdict.place.index()];
    let who = match &place.label {
        Some(label) => format!("{} ({label})", place.name),
        None => place.name.clone(),
    };
    let reasons: Vec<&str> = verdict.for_it.iter().map(|m| words(*m)).collect();
    let equals = equals(line, evidence, verdict.place);
    let also = match equals.as_slice() {
        [] => String::new(),
        few if few.len() <= FEW => {
            format!("; within the bands, {} cannot be told from it", join_and(few))
        }
        many => format!("; within the bands, {} other stations cannot be told from it", many.len()),
    };
    let against = evidence.findings.iter().filter(|f| verdict.against.contains(&f.method));
    let others: Vec<String> =
        against.map(|f| format!("{} to {}", words(f.method), name(line, f.named[0]))).collect();
    let verb = if reasons.len() == 1 { "points" } else { "point" };
    let agreed = format!("{who} holds the line back: {} {verb} to it{also}.", join_and(&reasons));
    match others.as_slice() {
        [] => agreed,
        others => format!("{agreed} The methods disagree: {}.", points_to(others)),
    }
}

/// `the highest use points to A05`; several joined by commas with one verb each.
fn points_to(others: &[String]) -> String {
    let each: Vec<String> = others.iter().map(|o| o.replacen(" to ", " points to ", 1)).collect();
    join_and(&each)
}

/// Places that the most trusted method in favour cannot tell from the named one.
fn equals(line: &Line, evidence: &stats::Bottleneck, place: PlaceId) -> Vec<String> {
    let in_favour = |f: &&Finding| f.named.contains(&place) && f.method != stats::Method::TurningPoint;
    evidence.findings.iter().find(in_favour).map_or_else(Vec::new, |finding| {
        finding.named.iter().filter(|p| **p != place).map(|p| name(line, *p)).collect()
    })
}

pub fn holds(line: &Line, summary: &Summary) -> Vec<HoldRow> {
    summary
        .holds
        .iter()
        .map(|figures| {
            let step = &line.steps[figures.step.index()];
            HoldRow {
                id: step.name.clone(),
                label: step.label.clone(),
                station: name(line, step.place),
                safety: step.hold().is_some_and(|hold| hold.safety),
                minimum_min: figures.minimum.as_minutes(),
                shortest_min: figures.shortest.map(|t| t.as_minutes()),
                count: figures.count,
                restarts: figures.restarts,
                moved: figures.moved,
                cold_min: figures.cold.map(|time| time.as_minutes()),
                kept: figures.kept(),
            }
        })
        .collect()
}

pub fn windows(line: &Line, summary: &Summary) -> Vec<WindowRow> {
    line.windows
        .iter()
        .zip(&summary.windows)
        .map(|(window, figures)| WindowRow {
            opens: line.steps[window.opens.index()].name.clone(),
            closes: line.steps[window.closes.index()].name.clone(),
            limit_min: window.limit.as_minutes(),
            judged: figures.judged,
            missed: figures.missed,
            share_missed: shown_if(&figures.share_missed),
        })
        .collect()
}

pub fn promises(line: &Line, summary: &Summary) -> Vec<PromiseRow> {
    line.promises
        .iter()
        .zip(&summary.promises)
        .map(|(promise, judged)| promise_row(&promise.text, &promise.kind, judged))
        .collect()
}

/// One judged promise, of a line file or of a scenario.
pub fn promise_row(text: &str, kind: &PromiseKind, judged: &stats::Judgement) -> PromiseRow {
    let (verdict, more) = match judged.verdict {
        stats::Verdict::Kept => (Verdict::Kept, None),
        stats::Verdict::Broken => (Verdict::Broken, None),
        stats::Verdict::Undecided { more } => (Verdict::Undecided, more),
    };
    let estimate: Option<Estimate> = shown_if(&judged.estimate);
    PromiseRow {
        text: text.to_string(),
        verdict,
        estimate,
        limit: judged.limit,
        unit: unit_of(kind).to_string(),
        more_replications: more,
    }
}

fn unit_of(kind: &PromiseKind) -> &'static str {
    match kind {
        PromiseKind::CountOnShare { .. } => "share of shifts",
        PromiseKind::NoHoldShort => "holds under their minimum",
        PromiseKind::Measure { measure, .. } => match measure {
            Measure::UnitsPerShift => "units per shift",
            Measure::UnitsPerHour => "units per hour",
            Measure::MinutesBetweenUnits | Measure::Wait(_) | Measure::FlowTime => "min",
            Measure::WorkInProcess => "units",
            Measure::LabourPerUnit => "labour min per unit",
            Measure::FirstPassYield => "share of units",
            Measure::FirstPassAt(_) => "share of first verdicts",
        },
    }
}
