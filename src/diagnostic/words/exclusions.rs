//! Work that is kept apart and could not meet anyway: T408.

use crate::diagnostic::{Code, Diagnostic, Span};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadExclusion, span, headline).marked(marker).help(cure)
}

/// A hold before `while`.
pub fn hold_waits(span: Span, hold: &str) -> Diagnostic {
    let cure =
        format!("a hold begins when its turn comes; name it after `while`: `exclude ... while {hold} runs`");
    bad(span, format!("{hold} is a hold, which can't be made to wait"), "a hold", &cure)
}

/// No task works in the zone.
pub fn nobody_there(span: Span, zone: &str) -> Diagnostic {
    let cure = format!("say which tasks work there: `task ... in {zone}`");
    bad(
        span,
        format!("no task works in {zone}, so there is nothing to keep apart"),
        "nobody works there",
        &cure,
    )
}

/// On one unit, and at places that it is never at together.
pub fn never_meet(span: Span, one: (&str, &str), other: (&str, &str)) -> Diagnostic {
    let headline =
        format!("on one unit {} at {} and {} at {} can never run at once", one.0, one.1, other.0, other.1);
    let cure = "where the work on other units near by is meant, say how near: `within 2 places`";
    bad(span, headline, "never meet", cure)
}

/// Further apart than `within` says.
pub fn too_far_apart(span: Span, one: (&str, &str), other: (&str, &str)) -> Diagnostic {
    let headline =
        format!("{} at {} and {} at {} are further apart than that", one.0, one.1, other.0, other.1);
    bad(span, headline, "never meet", "count the places of the line between them, racks included")
}
