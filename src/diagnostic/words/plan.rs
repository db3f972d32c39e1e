//! Doubts about the plan.

use crate::diagnostic::{Code, Diagnostic, Span};
use crate::units::{decimals, percent};

/// T801. Times in minutes.
pub fn over_window(at: Span, place: &str, model: &str, elapsed_min: f64, window_min: f64) -> Diagnostic {
    let headline = format!(
        "{place} takes {} min on average for {model}, {} of its window of {} min",
        decimals(elapsed_min, 1),
        percent(elapsed_min / window_min),
        decimals(window_min, 1)
    );
    Diagnostic::new(Code::OverWindow, at, headline)
        .help("move a task to another station, add people who can work at once, or give it another bay")
}
