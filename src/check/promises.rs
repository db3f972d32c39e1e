//! Promises and the confidence they are judged at.

use super::desk::Desk;
use super::names::Names;
use super::procedures::Tests;
use super::quantity::{self, said};
use super::table::Shelf;
use crate::diagnostic::words::{calendar, names as name_words, quantities};
use crate::diagnostic::{Diagnostic, FileId, MapSources, Span};
use crate::line::{Line, Measure, Promise, PromiseKind, Statistic, TestId};
use crate::syntax;
use crate::syntax::tree::{self, Expr, Head, Name, Statement};

/// Where nothing is said.
const CONFIDENCE: f64 = 0.95;

/// What promises look things up in.
pub(super) struct Known<'a> {
    /// Tests by name.
    pub test: &'a dyn Fn(&Name, &mut Desk) -> Option<TestId>,
    pub has_shifts: bool,
}

pub(super) fn confidence(statement: Option<&Statement>, desk: &mut Desk) -> f64 {
    let Some(Head::Value(expr)) = statement.map(|statement| &statement.head) else { return CONFIDENCE };
    let Some(found) = quantity::share(expr, "the confidence", desk) else { return CONFIDENCE };
    let found = found.as_f64();
    if found <= 0.5 || found > 0.9999 {
        let allowed = "above 50 % and at most 99.99 %";
        desk.fault(quantities::out_of_range(expr.span, "the confidence", &said(expr), allowed));
        return CONFIDENCE;
    }
    found
}

/// One promise, from the file or a scenario.
pub(super) fn promise(
    promise: &tree::Promise,
    span: Span,
    known: &Known,
    desk: &mut Desk,
) -> Option<Promise> {
    let kind = match promise {
        tree::Promise::NoHoldShort => PromiseKind::NoHoldShort,
        tree::Promise::CountOnShare { count, share } => {
            needs_shifts(span, known, desk);
            let count = number(count, "the count", desk);
            let share = quantity::share(share, "the share of shifts", desk);
            PromiseKind::CountOnShare { count: count?, share: share?.as_f64() }
        }
        tree::Promise::Measure { measure, at, statistic, at_least, limit } => {
            measured(*measure, at.as_ref(), *statistic, *at_least, limit, span, known, desk)?
        }
    };
    Some(Promise { text: text(promise), kind, span })
}

fn needs_shifts(span: Span, known: &Known, desk: &mut Desk) {
    if !known.has_shifts && !desk.is_broken(tree::Word::Shift) {
        desk.fault(calendar::no_calendar(span, "the promise counts units per shift"));
    }
}

#[expect(clippy::too_many_arguments, reason = "the parts of one sentence, as the tree holds them")]
fn measured(
    measure: tree::Measure,
    at: Option<&Name>,
    statistic: Option<(tree::Statistic, Span)>,
    at_least: bool,
    limit: &Expr,
    span: Span,
    known: &Known,
    desk: &mut Desk,
) -> Option<PromiseKind> {
    let minutes =
        |what: &str, desk: &mut Desk| quantity::time(limit, what, desk).map(|time| time.as_minutes());
    let (measure, limit) = match measure {
        tree::Measure::UnitsPerShift => {
            needs_shifts(span, known, desk);
            (Some(Measure::UnitsPerShift), number(limit, "the count", desk))
        }
        tree::Measure::UnitsPerHour => (Some(Measure::UnitsPerHour), number(limit, "the count", desk)),
        tree::Measure::MinutesBetweenUnits => {
            (Some(Measure::MinutesBetweenUnits), minutes("the time between units", desk))
        }
        tree::Measure::Wait => {
            let test = at.and_then(|name| (known.test)(name, desk));
            (test.map(Measure::Wait), minutes("the wait", desk))
        }
        tree::Measure::FlowTime => (Some(Measure::FlowTime), minutes("the flow time", desk)),
        tree::Measure::WorkInProcess => {
            (Some(Measure::WorkInProcess), number(limit, "the work in process", desk))
        }
        tree::Measure::LabourPerUnit => (Some(Measure::LabourPerUnit), minutes("the labour per unit", desk)),
        tree::Measure::FirstPassYield => {
            let measure = match at {
                None => Some(Measure::FirstPassYield),
                Some(name) => (known.test)(name, desk).map(Measure::FirstPassAt),
            };
            let share = quantity::share(limit, "the first pass yield", desk);
            (measure, share.map(|share| share.as_f64()))
        }
    };
    let statistic = match statistic.map(|(statistic, _)| statistic) {
        None | Some(tree::Statistic::Mean) => Statistic::Mean,
        Some(tree::Statistic::P05) => Statistic::P05,
        Some(tree::Statistic::P50) => Statistic::P50,
        Some(tree::Statistic::P90) => Statistic::P90,
        Some(tree::Statistic::P95) => Statistic::P95,
        Some(tree::Statistic::Max) => Statistic::Max,
    };
    Some(PromiseKind::Measure { measure: measure?, statistic, at_least, limit: limit? })
}

/// A number of 0 or more.
fn number(expr: &Expr, what: &str, desk: &mut Desk) -> Option<f64> {
    let found = quantity::number(expr, what, desk)?.as_f64();
    if found < 0.0 {
        desk.fault(quantities::out_of_range(expr.span, what, &said(expr), "0 or more"));
        return None;
    }
    Some(found)
}

/// The promise as people write it, without the statement word.
fn text(promise: &tree::Promise) -> String {
    match promise {
        tree::Promise::NoHoldShort => "no hold under its minimum".to_string(),
        tree::Promise::CountOnShare { count, share } => {
            format!("at least {} units per shift on {} of shifts", said(count), said(share))
        }
        tree::Promise::Measure { measure, at, statistic, at_least, limit } => {
            let name = at.as_ref().map(|name| name.text.as_str()).unwrap_or_default();
            let measure = match measure {
                tree::Measure::UnitsPerShift => "units per shift".to_string(),
                tree::Measure::UnitsPerHour => "units per hour".to_string(),
                tree::Measure::MinutesBetweenUnits => "minutes between units".to_string(),
                tree::Measure::Wait => format!("wait at {name}"),
                tree::Measure::FlowTime => "flow time".to_string(),
                tree::Measure::WorkInProcess => "work in process".to_string(),
                tree::Measure::LabourPerUnit => "labour per unit".to_string(),
                tree::Measure::FirstPassYield if at.is_some() => format!("first pass yield at {name}"),
                tree::Measure::FirstPassYield => "first pass yield".to_string(),
            };
            let statistic = statistic.map_or("mean", |(statistic, _)| match statistic {
                tree::Statistic::Mean => "mean",
                tree::Statistic::P05 => "p05",
                tree::Statistic::P50 => "p50",
                tree::Statistic::P90 => "p90",
                tree::Statistic::P95 => "p95",
                tree::Statistic::Max => "max",
            });
            let bound = if *at_least { "at least" } else { "at most" };
            match statistic {
                "mean" => format!("mean {measure} {bound} {}", said(limit)),
                other => format!("{measure} {other} {bound} {}", said(limit)),
            }
        }
    }
}

/// The promises of a file.
pub(super) fn of_file(
    statements: &[&Statement],
    tests: &Tests,
    names: &Names,
    has_shifts: bool,
    desk: &mut Desk,
) -> Vec<Promise> {
    let test = |name: &Name, desk: &mut Desk| tests.named(name, names, desk);
    let known = Known { test: &test, has_shifts };
    statements
        .iter()
        .filter_map(|statement| {
            let Head::Promise(stated) = &statement.head else { return None };
            promise(stated, statement.span, &known, desk)
        })
        .collect()
}

/// Reads and checks one promise against a line, as scenario files and callers of the library state
/// it: `at least 18 units per shift on 80 % of shifts`. Places in its diagnostic are in `text`.
pub fn promise_from_text(text: &str, line: &Line) -> Result<Promise, Diagnostic> {
    let stated = syntax::parse_promise(FileId(0), text)?;
    // A promise reads no file.
    let sources = MapSources::default();
    let mut shelf = Shelf::new(&sources);
    let mut desk = Desk::new(&mut shelf, &[]);
    let test = |name: &Name, desk: &mut Desk| test_of_line(line, name, desk);
    let known = Known { test: &test, has_shifts: line.calendar.is_some() };
    let span = Span::new(FileId(0), 0, text.len());
    let found = promise(&stated, span, &known, &mut desk);
    match (desk.clear().into_iter().find(Diagnostic::is_error), found) {
        (Some(fault), _) => Err(fault),
        (None, Some(promise)) => Ok(promise),
        (None, None) => unreachable!("every rule for promises reports why it gives none"),
    }
}

fn test_of_line(line: &Line, name: &Name, desk: &mut Desk) -> Option<TestId> {
    let found = line.tests.iter().position(|test| test.name == name.text);
    if found.is_none() {
        let near = desk.near(&name.text, line.tests.iter().map(|test| test.name.as_str()));
        desk.fault(name_words::unknown(name.span, &name.text, "a test", &near, None));
    }
    found.map(TestId::from_index)
}
