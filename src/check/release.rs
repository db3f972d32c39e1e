//! When units enter the line: release and start.

use super::desk::Desk;
use super::exact::Exact;
use super::names::Names;
use super::quantity;
use super::sequence::known_model;
use super::table::{rows_spelt_out, unit_of_column};
use super::times;
use crate::diagnostic::words::{quantities, statements as words};
use crate::line::{ModelId, Release, StartState};
use crate::syntax::tree::{Head, Name, ReleaseKind, Statement, Word};
use crate::units::{Time, count_of};

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
        let rows = [
            format!("its columns are {}", table.header.join(", ")),
            "name the column of the times `release_min`, `release_h` or `release_s`".to_string(),
        ];
        desk.fault(quantities::bad_column(file.span, &file.text, "no column holds release times", &rows));
        return Vec::new();
    };
    let models = table.column("model");
    let mut entries: Vec<(Time, Option<ModelId>)> = Vec::new();
    let mut bad = Vec::new();
    for (line, row) in &table.rows {
        let cell = table.cell(row, column);
        let at = table
            .number(cell)
            .and_then(|number| number.times(size))
            .filter(|micros| *micros <= Exact::whole(quantity::LONGEST.0))
            .and_then(|micros| Time::from_micros_f64(micros.as_f64()));
        let Some(at) = at else {
            bad.push((*line, format!("`{cell}` is not a time from 0 to 400 days")));
            continue;
        };
        if entries.last().is_some_and(|(before, _)| *before > at) {
            bad.push((*line, format!("`{cell}` comes before the release above it")));
            continue;
        }
        let model = match models.map(|column| table.cell(row, column)) {
            None | Some("") => None,
            Some(name) => match known_model(name, names) {
                Some(model) => Some(model),
                None => {
                    bad.push((*line, format!("`{name}` is not a model")));
                    continue;
                }
            },
        };
        entries.push((at, model));
    }
    if !bad.is_empty() {
        let problem = format!("{} can't be read as releases", count_of(bad.len(), "row"));
        desk.fault(quantities::bad_column(file.span, &file.text, &problem, &rows_spelt_out(&bad)));
    } else if entries.is_empty() {
        desk.fault(quantities::bad_column(file.span, &file.text, "it lists no releases", &[]));
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
