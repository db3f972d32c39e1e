//! The units of the language, and what people write for them.

use super::desk::Desk;
use super::exact::Exact;
use super::quantity::Kind;
use crate::diagnostic::words::quantities as words;
use crate::syntax::tree::Name;

/// The units: as written, kind, base units in one.
const UNITS: &[(&str, Kind, i128, i128)] = &[
    ("s", Kind::Time, 1_000_000, 1),
    ("min", Kind::Time, 60_000_000, 1),
    ("h", Kind::Time, 3_600_000_000, 1),
    ("day", Kind::Time, 86_400_000_000, 1),
    ("days", Kind::Time, 86_400_000_000, 1),
    ("%", Kind::Share, 1, 100),
    ("m", Kind::Length, 1, 1),
    ("mm", Kind::Length, 1, 1000),
    ("cm", Kind::Length, 1, 100),
    ("m2", Kind::Area, 1, 1),
    ("C", Kind::Temperature, 1, 1),
    ("kg", Kind::Mass, 1, 1),
    ("t", Kind::Mass, 1000, 1),
];

/// What people write for a unit, and the unit.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("sec", "s"),
    ("secs", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("mins", "min"),
    ("minute", "min"),
    ("minutes", "min"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("hours", "h"),
    ("d", "days"),
    ("percent", "%"),
    ("pct", "%"),
    ("metre", "m"),
    ("metres", "m"),
    ("meter", "m"),
    ("meters", "m"),
];

/// The kind and the size of a unit.
pub(super) fn unit(name: &Name, desk: &mut Desk) -> Option<(Kind, Exact)> {
    if let Some((_, kind, over, under)) = UNITS.iter().find(|(text, ..)| *text == name.text) {
        return Exact::new(*over, *under).map(|size| (*kind, size));
    }
    if desk.money.as_ref() == Some(&name.text) {
        return Some((Kind::Money, Exact::ONE));
    }
    let lower = name.text.to_lowercase();
    let near = OTHER_WORDS
        .iter()
        .find(|(text, _)| *text == lower)
        .map(|(_, unit)| *unit)
        .or_else(|| UNITS.iter().find(|(text, ..)| *text == lower).map(|(text, ..)| *text));
    desk.fault(words::unknown_unit(name.span, &name.text, near));
    None
}

/// Whether a word is a unit of the language.
pub(super) fn is_unit(word: &str) -> bool {
    UNITS.iter().any(|(text, ..)| *text == word)
}
