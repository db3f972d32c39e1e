//! Places and segments: T404, T406.

use crate::diagnostic::{Code, Diagnostic, Span};

pub fn station_without_work(span: Span, station: &str) -> Diagnostic {
    Diagnostic::new(Code::Unreachable, span, format!("there is nothing to do at station {station}"))
        .marked("nothing happens here")
        .help("give it a task, or make it a `rack` if units only wait there")
}

pub fn repair_bay_unreached(span: Span, bay: &str) -> Diagnostic {
    Diagnostic::new(Code::Unreachable, span, format!("no test sends units to repair bay {bay}"))
        .marked("nothing happens here")
        .help(format!("a test sends units there: `on fail 20 % to {bay} takes 30 min by 1`"))
}

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadSegment, span, headline).marked(marker).help(cure)
}

/// A repair bay where a place on the line is asked for.
pub fn off_the_line(span: Span, place: &str) -> Diagnostic {
    bad(span, format!("{place} is a repair bay, off the line"), "off the line", "name a station or a rack")
}

pub fn against_the_line(span: Span, from: &str, to: &str) -> Diagnostic {
    let cure = format!("the line runs in the order of its statements: `{to} to {from}`");
    bad(span, format!("{from} to {to} runs against the line"), "runs backwards", &cure)
}

/// `after` of places in a circle.
pub fn behind_itself(span: Span, place: &str) -> Diagnostic {
    let headline = format!("{place} stands behind itself: the `after` of these places go round in a circle");
    bad(span, headline, "circle", "take one of them out")
}

pub fn behind_many(span: Span, place: &str) -> Diagnostic {
    bad(
        span,
        format!("{place} stands behind one other place, not several"),
        "more than one",
        "name one place",
    )
}

pub fn segments_overlap(span: Span, one: &str, other: &str, place: &str, first: Span) -> Diagnostic {
    let cure = "a place is in one segment; let one begin behind the other";
    bad(span, format!("segments {one} and {other} both hold {place}"), "overlaps", cure)
        .label(first, "the other")
}

pub fn slots_inside(span: Span, place: &str, segment: &str) -> Diagnostic {
    let headline = format!("{place} has slots inside segment {segment}, which is pushed as one");
    let cure = format!("end the segment before {place} and begin another one with it");
    bad(span, headline, "slots inside a push", &cure)
}

/// The crew can finish nothing in the next place.
pub fn nowhere_to_drift(span: Span, place: &str) -> Diagnostic {
    let headline = format!("the crew of {place} can't drift: {place} has no next place that it is pushed to");
    let cure = "only a station of a segment that is `pushed ...` can, and not the last one of it";
    bad(span, headline, "no way to go along", cure)
}

pub fn nothing_to_begin_early(span: Span, place: &str) -> Diagnostic {
    let headline = format!("the crew of {place} can't begin early: no unit comes to {place} at a signal");
    let cure = "only a station of a segment that is `pushed every ...` can, and not the first one of it";
    bad(span, headline, "no place behind", cure)
}

pub fn nobody_begins_early(span: Span, place: &str) -> Diagnostic {
    let headline = format!("{place} has no crew that could begin early");
    bad(span, headline, "nobody", "give it a crew, or a `team` that serves it")
}

pub fn drifts_too_far(span: Span, place: &str, drift: &str, every: &str) -> Diagnostic {
    let headline = format!("the crew of {place} drifts {drift}, and the segment is pushed every {every}");
    bad(span, headline, "a whole push", "say less than the time between two pushes")
}

pub fn grid_longer_than_shift(span: Span, segment: &str, every: &str, shift: &str, net: &str) -> Diagnostic {
    let headline = format!(
        "segment {segment} is pushed every {every} on the grid, and shift {shift} has {net} of net time"
    );
    bad(
        span,
        headline,
        "no signal falls in that shift",
        "the grid starts anew with every shift: push more often, or leave out `on the grid`",
    )
}

pub fn index_too_long(span: Span, segment: &str, index: &str, every: &str) -> Diagnostic {
    let headline = format!("the index of segment {segment} lasts {index}, a push falls every {every}");
    bad(
        span,
        headline,
        "no time left to work",
        "the index is part of the time between two pushes and must be shorter",
    )
}

pub fn length_and_bays(span: Span, length: Span) -> Diagnostic {
    let headline = "the bays of a station on a conveyor come from its length".to_string();
    bad(span, headline, "said twice", "leave one of them out").label(length, "the length")
}

/// A length that holds no whole number of units.
pub fn not_so_many_units(span: Span, place: &str, length: &str, apart: &str) -> Diagnostic {
    let headline = format!("{place} is {length} long, and the conveyor brings a unit every {apart}");
    bad(span, headline, "no whole number of units", "make it so many times the way between two units")
}

pub fn conveyor_and_pushed(span: Span, other: Span) -> Diagnostic {
    let headline =
        "a conveyor moves all the time: it has no push, no index and no move of its own".to_string();
    bad(span, headline, "not on a conveyor", "leave one of them out").label(other, "the conveyor")
}
