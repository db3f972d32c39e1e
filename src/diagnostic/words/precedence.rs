//! Order of work and of places: T401 to T406.

use crate::diagnostic::{Code, Diagnostic, Span};

pub fn cycle(span: Span, path: &[String], models: &str) -> Diagnostic {
    let arrows = path.join(" -> ");
    Diagnostic::new(Code::Cycle, span, format!("these follow one another in a circle for {models}: {arrows}"))
        .marked("part of the circle")
        .help("`->` reads \"comes before\"; take one `after` of the circle out")
}

pub fn downstream(
    span: Span,
    step: &str,
    place: &str,
    before: &str,
    before_place: &str,
    before_span: Span,
) -> Diagnostic {
    Diagnostic::new(
        Code::Downstream,
        span,
        format!("{step} at {place} follows {before}, which is done later on the line, at {before_place}"),
    )
    .marked(format!("done at {before_place}"))
    .label(before_span, format!("{before} stands at {before_place}"))
    .help(format!("move {step} to {before_place} or behind it, or {before} to {place} or before it"))
}

pub fn no_place(span: Span, step: &str) -> Diagnostic {
    Diagnostic::new(Code::NoPlace, span, format!("{step} has no place"))
        .marked("where?")
        .help("say where: `at A05`, or write it below its `station` or `rack`")
}

/// The place it stood at by default is gone in this layout.
pub fn place_removed(span: Span, step: &str, place: &str) -> Diagnostic {
    Diagnostic::new(Code::NoPlace, span, format!("{step} stood at {place}, which this layout removes"))
        .marked("has lost its place")
        .help(format!("in the layout, write `change task {step} at ...` or remove it"))
}

/// A place of a kind that does not fit.
pub fn wrong_place(span: Span, what: &str, why: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::NoPlace, span, format!("{what}: {why}")).marked("not this place").help(cure)
}

pub fn nothing_happens(span: Span, kind: &str, name: &str, why: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::Unreachable, span, format!("{why} {kind} {name}"))
        .marked("nothing happens here")
        .help(cure)
}

/// Steps that a test, window, redo or keep names and that don't fit together.
pub fn bad_range(span: Span, headline: &str, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadRange, span, headline).marked(marker).help(cure)
}

pub fn bad_segment(span: Span, headline: &str, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadSegment, span, headline).marked(marker).help(cure)
}
