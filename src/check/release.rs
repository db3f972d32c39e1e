//! When units enter the line: release and start.

use super::desk::Desk;
use super::names::Names;
use super::observed;
use super::sequence::known_model;
use super::table::unit_of_column;
use super::times;
use crate::diagnostic::words::tables::{self, RowFault};
use crate::diagnostic::words::{quantities, statements as words};
use crate::line::{ModelId, Release, StartState};
use crate::syntax::tree::{Head, Name, ReleaseKind, Statement, Word};
use crate::units::Time;

/// Saturated where the file has no `release` statement.
pub(super) fn release(
    statement: Option<&Statement>,
    has_takt: bool,
    names: &Names,
    desk: &mut Desk,
) -> Release {
    let Some(statement) = statement else { return Release::Saturated };
    let Head::Release(kind, span) = &statement.head else { return Release::Saturated };
    match kind {
        ReleaseKind::Saturated => Release::Saturated,
        ReleaseKind::ByTakt => {
            let broken = desk.is_broken(Word::Demand) || desk.is_broken(Word::Takt);
            if !has_takt && !broken {
                let fault = words::missing_clause(
                    *span,
                    "release by takt",
                    "a demand or a takt",
                    "demand 18 per shift",
                );
                desk.fault(fault);
            }
            Release::ByTakt
        }
        ReleaseKind::Every { gap, on_the_clock } => match times::dist(gap, "the time between releases", desk)
        {
            Some(gap) => {
                if gap.as_constant() == Some(0.0) {
                    let allowed = "longer than 0";
                    desk.fault(quantities::out_of_range(*span, "the time between releases", "0", allowed));
                }
                Release::Every { gap, on_the_clock: *on_the_clock }
            }
            None => Release::Saturated,
        },
        ReleaseKind::List(file) => Release::List(list(file, names, desk)),
    }
}

/// A file with a release time per row (`release_min`, `release_h`, `release_s`: net time since the
/// start) and perhaps a `model`.
fn list(file: &Name, names: &Names, desk: &mut Desk) -> Vec<(Time, Option<ModelId>)> {
    let Some(table) = desk.table(file) else { return Vec::new() };
    let timed = table.header.iter().position(|name| unit_of_column(name).is_some());
    let Some((column, size)) = timed.and_then(|at| Some((at, unit_of_column(&table.header[at])?))) else {
        desk.fault(tables::no_release_column(file.span, &file.text, &table.header));
        return Vec::new();
    };
    let models = table.column("model");
    let mut entries: Vec<(Time, Option<ModelId>)> = Vec::new();
    let mut bad = Vec::new();
    for (line, row) in &table.rows {
        let cell = table.cell(row, column);
        let at = match observed::time_of_cell(&table, cell, size) {
            // A time of at most 400 days always fits.
            Ok(micros) => Time::from_micros_f64(micros.as_f64()).unwrap_or(Time::ZERO),
            Err(fault) => {
                bad.push((*line, fault));
                continue;
            }
        };
        if entries.last().is_some_and(|(before, _)| *before > at) {
            bad.push((*line, RowFault::BeforeTheOneAbove(cell.to_string())));
            continue;
        }
        let model = match models.map(|column| table.cell(row, column)) {
            None | Some("") => None,
            Some(name) => match known_model(name, names) {
                Some(model) => Some(model),
                None => {
                    bad.push((*line, RowFault::NotAModel(name.to_string())));
                    continue;
                }
            },
        };
        entries.push((at, model));
    }
    let header = &table.header[column];
    if !bad.is_empty() {
        desk.fault(tables::bad_rows(file.span, &file.text, header, &bad));
    } else if entries.is_empty() {
        desk.fault(tables::no_values(file.span, &file.text, header));
    }
    entries
}

/// Empty where the file has no `start` statement.
pub(super) fn start(statement: Option<&Statement>) -> StartState {
    match statement.map(|statement| &statement.head) {
        Some(Head::Start { full: true, .. }) => StartState::Full,
        Some(_) | None => StartState::Empty,
    }
}
