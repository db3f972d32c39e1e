//! Why a study could not be made, in words with the cure.

use crate::diagnostic::words::run as words;
use crate::diagnostic::{Diagnostic, Span};
use crate::line::Line;
use crate::simulate::{RunError, RunErrorKind};
use std::fmt;

#[derive(Clone, PartialEq, Debug)]
pub enum StudyError {
    /// A replication could not go on: one of the line's faults, shown at the places concerned.
    Run(Box<Diagnostic>),
    /// Stopped by the user before there was anything to report.
    Interrupted,
    /// Shifts are asked of a line without a calendar.
    NoShifts,
    /// Fewer than two layouts can be run.
    NothingToChoose,
    /// The pilot does not settle in the first half of its run.
    NeverSettles { cut: String, run: String, longer: String },
}

impl StudyError {
    /// The run's own error as a diagnostic at the places it names.
    pub fn of_run(line: &Line, error: &RunError) -> StudyError {
        let place_of =
            |name: &str| line.places.iter().find(|place| place.name == name).map(|place| place.span);
        let anywhere = line.places.first().map_or_else(Span::default, |place| place.span);
        let run = words::Run { replication: error.replication, seed: error.seed, at: error.at };
        let fault = match &error.kind {
            RunErrorKind::LockUp { waiting } => {
                let parties: Vec<words::Party<'_>> = waiting
                    .iter()
                    .map(|(unit, place, wants)| words::Party {
                        unit: *unit,
                        place,
                        wants,
                        span: place_of(place),
                    })
                    .collect();
                words::lock_up(anywhere, &run, &parties)
            }
            RunErrorKind::NobodyStands { looked_at } => {
                let lanes = line.lanes.first().map_or(anywhere, |lanes| lanes.span);
                words::nobody_stands(lanes, &run, *looked_at)
            }
            RunErrorKind::NoLegalOrder { looked_at } => {
                words::no_legal_order(line.sequence.span, &run, *looked_at)
            }
            RunErrorKind::OverLimit { what, limit } => words::over_limit(anywhere, &run, what, *limit),
            RunErrorKind::NeverFits { step, takes, longest } => {
                let span = line.steps.iter().find(|other| other.name == *step).map_or(anywhere, |s| s.span);
                words::never_fits(span, step, &takes.to_string(), &longest.to_string())
            }
            RunErrorKind::NeverInTime { unit, closing, times } => {
                let window = line.windows.iter().find(|w| line.steps[w.closes.index()].name == *closing);
                let span = window.map_or(anywhere, |window| window.span);
                words::never_in_time(span, &run, (*unit, closing), *times)
            }
            RunErrorKind::Dried { finished, standing, full } => {
                words::dried(anywhere, &run, *finished, (standing, full))
            }
        };
        StudyError::Run(Box::new(fault))
    }
}

impl fmt::Display for StudyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StudyError::Run(fault) => f.write_str(&fault.headline),
            StudyError::Interrupted => f.write_str("interrupted before there was anything to report"),
            StudyError::NoShifts => f.write_str(
                "the line has no shifts to count: add a `shift` to the file, or ask for units or hours",
            ),
            StudyError::NothingToChoose => f.write_str(
                "fewer than two layouts can be run, so there is nothing to choose between: add a layout, or a `--vary`",
            ),
            StudyError::NeverSettles { cut, run, longer } => write!(
                f,
                "no warm-up found: the output settles only after {cut} of {run}, more than half; run longer \
                 ({longer}), state the warm-up (`--warm-up TIME`), or release less than the line can do"
            ),
        }
    }
}
