//! Steps that a test, window, redo or keep names and that don't fit together: T405.

use crate::diagnostic::{Code, Diagnostic, Span};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadRange, span, headline).marked(marker).help(cure)
}

pub fn shared_step(span: Span, step: &str, other: &str) -> Diagnostic {
    let cure = "a step belongs to one test; name the steps of each with `of`";
    bad(span, format!("{step} belongs to test {other} already"), "shares a step", cure)
}

pub fn against_the_file(span: Span, from: &str, to: &str) -> Diagnostic {
    let cure = format!("write `{to} to {from}`");
    bad(span, format!("{from} to {to} runs against the order of the file"), "runs backwards", &cure)
}

/// A test without a time of its own where a step is asked for.
pub fn not_a_step(span: Span, test: &str) -> Diagnostic {
    let headline = format!("{test} is a test without a time of its own, not a step");
    bad(span, headline, "not a step", "name its tasks and holds")
}

/// Equipment kept from a hold, for which nobody fetches it or lets others go first.
pub fn kept_from_a_hold(span: Span, equipment: &str, hold: &str, clause: &str) -> Diagnostic {
    let headline =
        format!("{equipment} is kept from hold {hold} on, which nobody begins, and says `{clause}`");
    let cure = format!("keep it from a task before {hold} on, or take `{clause}` out");
    bad(span, headline, "from a hold", &cure)
}

pub fn no_steps(span: Span, test: &str, place: &str) -> Diagnostic {
    let cure = "name its steps (`of a15 to a19`) or give it a time of its own (`takes 12 min by 1`)";
    bad(span, format!("test {test} has no steps: nothing is done at {place}"), "no steps", cure)
}

pub fn two_places(
    span: Span,
    test: &str,
    here: &str,
    step: &str,
    there: &str,
    step_span: Span,
) -> Diagnostic {
    let headline = format!("test {test} is at {here}, its step {step} at {there}");
    bad(span, headline, "steps at two places", "a test and its steps are at one place")
        .label(step_span, format!("done at {there}"))
}

/// A redo at a place that the returning unit passes by.
pub fn not_on_the_way(span: Span, step: &str, place: &str) -> Diagnostic {
    let headline = format!("{step} is done at {place}, which the returning unit does not visit");
    bad(span, headline, "not on the way back", &format!("add `then {place}`, or leave {step} out"))
}

pub fn behind_the_test(span: Span, test: &str, to: &str, place: &str) -> Diagnostic {
    let headline =
        format!("units that fail test {test} go back to {to}, which lies behind the test at {place}");
    bad(span, headline, "behind the test", &format!("name {place} or a place before it"))
}

/// Named among those that get equipment before others, and does not take it.
pub fn does_not_take(span: Span, step: &str, equipment: &str) -> Diagnostic {
    let cure = format!("name tasks that take it `with {equipment}`, or from which it is kept");
    bad(span, format!("{step} does not take {equipment}"), "has no use for it", &cure)
}

/// No way by `after` from the one step to the other.
pub fn no_way(span: Span, first: &str, last: &str) -> Diagnostic {
    let cure = format!("{last} must follow {first}, directly or through others, by `after`");
    bad(span, format!("{first} does not come before {last}"), "no way from the one to the other", &cure)
}

pub fn not_undone(span: Span, step: &str, opens: &str, closes: &str, undone: &str) -> Diagnostic {
    let headline = format!("{step} does not lie between {opens} and {closes}");
    bad(span, headline, "not undone by a miss", &format!("a miss undoes {undone}; name some of these"))
}

/// What a gate leaves is mended at a place that its units pass later.
pub fn not_behind_the_gate(span: Span, gate: &str, at: &str, to: &str) -> Diagnostic {
    let headline = format!("what gate {gate} finds at {at} can't go on to {to}");
    bad(span, headline, "not behind the gate", "name a later station of the same line")
}

/// What a test lets through is found by a test or a gate.
pub fn escapes_to_no_test(span: Span, test: &str, to: &str) -> Diagnostic {
    let headline =
        format!("what test {test} lets through can't be found by {to}, which is no test and no gate");
    bad(span, headline, "no test", "name a later test or gate")
}

pub fn escapes_backwards(span: Span, test: &str, to: &str) -> Diagnostic {
    let headline = format!("what test {test} lets through can't be found by {to}, which is not behind it");
    bad(span, headline, "not behind the test", "name a test or gate at a later place of the same line")
}

pub fn escapes_to_no_fail(span: Span, test: &str, to: &str, finder: Span) -> Diagnostic {
    let headline =
        format!("what test {test} lets through fails test {to}, which does not say what becomes of a fail");
    bad(span, headline, "and then?", &format!("say it there: `test {to} ... on fail ...`"))
        .label(finder, "the test that finds it")
}
