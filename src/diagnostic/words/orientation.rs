//! A unit that may stand otherwise than a step needs it: T409.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::{join_and, join_or};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadOrientation, span, headline).marked(marker).help(cure)
}

/// `may find it keel-up`, `may find it as it comes in`
fn may_find(found: Option<&str>) -> String {
    match found {
        Some(name) => format!("may find the unit {name}"),
        None => "may find the unit as it comes in".to_string(),
    }
}

fn turn_first(setters: &[&str]) -> String {
    match setters {
        [] => "nothing turns it so: name the step that does (`orientation NAME after STEP`)".to_string(),
        setters => format!(
            "let it follow {} (by `after`), and nothing that turns the unit otherwise stand between",
            join_or(setters)
        ),
    }
}

pub fn may_stand_otherwise(
    span: Span,
    step: &str,
    needs: &[&str],
    found: Option<&str>,
    setters: &[&str],
) -> Diagnostic {
    let headline = format!("{step} needs the unit {} and {}", join_or(needs), may_find(found));
    bad(span, headline, "not sure to stand so", &turn_first(setters))
}

/// The same for a step that is done again; `who` is `after a fail of rough`.
pub fn redone_otherwise(
    span: Span,
    who: &str,
    step: &str,
    needs: &[&str],
    found: Option<&str>,
    setters: &[&str],
) -> Diagnostic {
    let headline = format!("{who} {step} needs the unit {} and {}", join_or(needs), may_find(found));
    let cure = match setters {
        [] => "leave it out of what is done again".to_string(),
        setters => format!("let {} be done again before it", join_or(setters)),
    };
    bad(span, headline, "not sure to stand so", &cure)
}

/// What is done again leaves the unit otherwise than it was.
pub fn not_turned_back(span: Span, who: &str, stands: Option<&str>, was: &[&str]) -> Diagnostic {
    let stands = stands.unwrap_or("as it comes in");
    let headline = format!("{who} the unit may be left {stands}");
    let cure = match was {
        [] => "let what turns it back be done again, too".to_string(),
        was => format!("it was {} before: let what turns it so be done again, too", join_or(was)),
    };
    bad(span, headline, "left otherwise", &cure)
}

/// Two orientations that no step sets.
pub fn two_first(span: Span, name: &str, first: &str, first_span: Span) -> Diagnostic {
    let names = join_and(&[first, name]);
    let cure = format!("say which step turns the unit so: `orientation {name} after STEP`");
    bad(span, format!("a unit can't come in both {names}"), "set by no step", &cure)
        .label(first_span, "set by no step either")
}
