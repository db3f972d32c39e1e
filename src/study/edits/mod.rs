//! Changed lines as edits in the language: said as a layout, read and checked like any other.
//!
//! Owns the sentences and the door they come through. What is changed, and why, is for levers and sweeps to
//! say; no edit is made on the checked line itself.

mod dial;
mod draft;
mod read;
pub mod say;

pub use dial::Dial;
pub use draft::Draft;
pub use read::{LineFile, NewLayout, lines};

/// A name for a layout that none of the file has, taken from now on.
pub fn unused(mut name: String, taken: &mut Vec<String>) -> String {
    name = name.replace('"', "'");
    while taken.contains(&name) {
        name.push_str(" once more");
    }
    taken.push(name.clone());
    name
}
