//! Carriers that units could not take or give back: T411.

use crate::diagnostic::{Code, Diagnostic, Span};

fn bad(span: Span, headline: String, marker: &str, cure: &str) -> Diagnostic {
    Diagnostic::new(Code::BadCarriers, span, headline).marked(marker).help(cure)
}

pub fn no_way(span: Span, carriers: &str, from: &str, to: &str) -> Diagnostic {
    let headline = format!("no unit goes from {from} to {to}, and carriers {carriers} should go with it");
    bad(span, headline, "not a way of units", "name a place and a later one of the same line or feeder")
}

/// In a pushed segment all units move at once: one without a carrier would hold all of them.
pub fn in_a_push(span: Span, carriers: &str, from: &str, entrance: &str) -> Diagnostic {
    let headline = format!("units take carriers {carriers} at {from}, in the middle of a pushed segment");
    let cure =
        format!("let them take it at {entrance}, where the segment begins, or cut the segment at {from}");
    bad(span, headline, "all units move at once here", &cure)
}

/// A test would send units in or out of the places between.
pub fn sent_across(span: Span, carriers: &str, test: &str, place: &str) -> Diagnostic {
    let headline =
        format!("test {test} sends units back to {place}, across an end of the way of carriers {carriers}");
    bad(
        span,
        headline,
        "units would come without one",
        "let the way of the carriers hold the test and where its units go back to",
    )
}

pub fn too_few_for_a_full_line(span: Span, carriers: &str, count: u32, places: u32) -> Diagnostic {
    let headline =
        format!("the line starts full, which takes {places} carriers {carriers}; there are {count}");
    bad(span, headline, "too few for a full line", "state more of them, or `start empty`")
}
