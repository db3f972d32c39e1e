//! Work that travels with its unit, and holds that move with theirs: T407.

use crate::diagnostic::{Code, Diagnostic, Span};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadTravel, span, headline).marked(marker).help(cure)
}

/// The last place is not a later one of a segment in which late work travels.
pub fn nowhere_to_travel(span: Span, step: &str, place: &str, to: &str) -> Diagnostic {
    let headline = format!("{step} is done at {place} and can't travel to {to}");
    let cure = "name a later place of the same segment, which is `pushed every ...`";
    bad(span, headline, "no way there with open work", cure)
}

/// `why`: `is part of test q1`, `lies in the window from a to b`.
pub fn may_not_travel(span: Span, step: &str, why: &str) -> Diagnostic {
    let cure = "leave out `may travel`: the line holds for it";
    bad(span, format!("{step} {why} and may not travel"), "must be done at its own place", cure)
}

/// It stands where no push takes its unit to a next place.
pub fn hold_moves_nowhere(span: Span, hold: &str, place: &str) -> Diagnostic {
    let headline =
        format!("hold {hold} may move, and no push takes its unit on from {place} to a place of the segment");
    let cure = "only in a segment that is `pushed ...`, and not at its last place: leave out `may move`";
    bad(span, headline, "nowhere to go on", cure)
}

/// `why`: `is part of test q1`, `takes equipment`.
pub fn hold_stays(span: Span, hold: &str, why: &str) -> Diagnostic {
    let cure = "leave out `may move`: the line holds for it";
    bad(span, format!("hold {hold} {why} and may not move"), "must end where it began", cure)
}

/// A station pulls units off to a place on the line.
pub fn pulled_onto_the_line(span: Span, station: &str, to: &str) -> Diagnostic {
    let headline = format!("{station} pulls units off to {to}, which is on the line");
    bad(span, headline, "not off the line", "name a `repair` place")
}

pub fn no_signal_to_pull_off(span: Span, station: &str) -> Diagnostic {
    let headline = format!("{station} pulls units off, and no signal pushes its units on");
    bad(
        span,
        headline,
        "nothing to be late for",
        "only in a segment that is `pushed every ...`: leave out `pull off`",
    )
}

pub fn nothing_to_pull_off(span: Span, station: &str, to: &str) -> Diagnostic {
    let headline =
        format!("{station} pulls units off to {to}, and nothing of its work can be gone on with there");
    let cure = format!("give {to} a crew that can do a task of {station}, or leave out `pull off`");
    bad(span, headline, "the line holds for all of it", &cure)
}

pub fn nothing_travels(span: Span, segment: &str) -> Diagnostic {
    let headline = format!("late work travels in segment {segment}, and no task in it may travel");
    bad(span, headline, "nothing to travel", "say `may travel to ...` of a task, or leave out `late work`")
}
