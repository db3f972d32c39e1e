//! Taktwright: from a line file to a number one can stand behind.
//!
//! The modules stand in rank order; each imports only those above it:
//! text -> syntax tree -> checked line -> plan -> observations -> summary -> report.
//! `read` and `report_of` are that way on one screen.

pub mod diagnostic;
pub mod numbers;
pub mod units;

pub mod syntax;

pub mod line;

pub mod check;

pub mod draws;
pub mod schedule;

pub mod balance;

pub mod simulate;

pub mod stats;

pub mod report;

pub mod study;

use diagnostic::{Diagnostic, SourceMap, Sources, settle};
use line::Line;
use report::{Extras, Report};
use study::{Attendant, Outcome, RunChoices, StudyError};

/// A line file as far as it could be read: its layouts, the file as it stands first, and everything
/// that is wrong or doubtful.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Every file read, for showing places.
    pub map: SourceMap,
    /// Empty where a fault is an error.
    pub layouts: Vec<Line>,
    pub faults: Vec<Diagnostic>,
}

/// Text to checked line: reads the file at `path` with all its includes and checks every layout.
/// `sets` are other values for `let` names of the file.
pub fn read(path: &str, sources: &dyn Sources, sets: &[(String, String)]) -> Reading {
    let loaded = syntax::load(path, sources);
    let mut faults = loaded.faults.clone();
    let mut layouts = Vec::new();
    if loaded.is_whole() {
        let checked = check::check(&loaded.tree, sources, sets);
        faults.extend(checked.faults);
        layouts = checked.layouts;
    }
    if faults.iter().any(Diagnostic::is_error) {
        layouts.clear();
    }
    Reading { map: loaded.map, layouts, faults: settle(faults) }
}

/// Checked line to report: warm-up, replications, gains by station, figures with bands, promises
/// judged.
///
/// # Errors
/// The choices do not fit the line, or a run could not go on.
pub fn report_of(
    line: &Line,
    choices: &RunChoices,
    extras: Extras,
    attendant: &impl Attendant,
) -> Result<Report, StudyError> {
    report_and_run(line, choices, extras, attendant).map(|(report, _)| report)
}

/// As `report_of`, with the run behind it.
///
/// # Errors
/// As `report_of`.
pub fn report_and_run(
    line: &Line,
    choices: &RunChoices,
    extras: Extras,
    attendant: &impl Attendant,
) -> Result<(Report, Outcome), StudyError> {
    let outcome = study::run(line, choices, attendant)?;
    let summary = stats::summarise(line, &outcome.observations, &outcome.beside(line));
    Ok((report::build(line, &summary, &outcome.add_to(extras)), outcome))
}
