//! The words of every diagnostic, one file per family of codes, one function per sentence.
//!
//! Headlines name the culprit and show the numbers compared; help lines are cures in the words of
//! the language. Nothing here knows what a line is: names, numbers and places come as arguments.

pub mod calendar;
pub mod carriers;
pub mod exclusions;
pub mod feeders;
pub mod flow;
pub mod lanes;
pub mod limits;
pub mod names;
pub mod orientation;
pub mod people;
pub mod places;
pub mod plan;
pub mod precedence;
pub mod quantities;
pub mod ranges;
pub mod reading;
pub mod run;
pub mod safety;
pub mod scenario;
pub mod spacing;
pub mod statements;
pub mod stops;
pub mod tables;
pub mod travel;
pub mod warmth;

use crate::diagnostic::Diagnostic;
use crate::units::join_or;

/// "did you mean `A05`?" where something is near enough.
fn suggest(fault: Diagnostic, near: &[String]) -> Diagnostic {
    if near.is_empty() {
        return fault;
    }
    let quoted: Vec<String> = near.iter().map(|name| format!("`{name}`")).collect();
    fault.help(format!("did you mean {}?", join_or(&quoted)))
}

/// `a` or `an` before a word.
fn a(word: &str) -> String {
    let vowel = word.trim_start_matches('`').starts_with(['a', 'e', 'i', 'o', 'A', 'E', 'I', 'O']);
    format!("{} {word}", if vowel { "an" } else { "a" })
}
