//! Holds and what is fixed by safety: T701 to T703.

use crate::diagnostic::{Code, Diagnostic, Span};

/// `who` says what would lower it: a layout, a setting.
pub fn under_safety_minimum(
    span: Span,
    hold: &str,
    minimum: &str,
    tried: &str,
    who: &str,
    stated: Span,
) -> Diagnostic {
    Diagnostic::new(
        Code::UnderSafetyMinimum,
        span,
        format!("{who} would cut hold {hold} to {tried}; {minimum} is its safety minimum"),
    )
    .marked("under the safety minimum")
    .label(stated, format!("at least {minimum}, safety"))
    .help("a safety minimum can be raised, never lowered; change it in the statement itself if the rule behind it has changed")
}

/// A safety hold or test is dropped, weakened or sent elsewhere.
pub fn safety_touched(span: Span, kind: &str, name: &str, doing: &str, stated: Span) -> Diagnostic {
    Diagnostic::new(Code::SafetyTouched, span, format!("{kind} {name} is marked `safety`: {doing}"))
        .marked("safety")
        .label(stated, "stated here")
        .help("what is fixed by safety or quality stays in every layout; change the statement itself if the rule behind it has changed")
}

pub fn hold_without_length(span: Span, hold: &str) -> Diagnostic {
    Diagnostic::new(Code::HoldWithoutLength, span, format!("hold {hold} has no length"))
        .marked("how long?")
        .help("state its minimum: `at least 120 min`")
        .help("and perhaps what it takes beyond that: `takes 120/130/150 min`")
}
