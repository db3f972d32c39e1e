//! The desk: what every family of rules has at hand while one layout is checked.
//!
//! Owns the faults found so far, the values of `let` names, files already read, and how many
//! near-miss searches are left. Knows no rule.

use super::exact::Exact;
use super::quantity::Value;
use super::table::{Shelf, Table};
use crate::diagnostic::words::names as words;
use crate::diagnostic::{Diagnostic, Span};
use crate::syntax::tree::{Broken, Name, Word};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Names compared at most while looking for near misses, over a whole check: a file with
/// thousands of unknown names is reported in time, the last of them without a suggestion.
const COMPARISONS: u32 = 400_000;

/// About a second of proofs.
const PROOF_BUDGET: u64 = 200_000_000;

/// A `let` name: its value (`None` where it is faulty, which has been reported) and its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    pub value: Option<Value>,
    pub span: Span,
}

pub(super) struct Desk<'a> {
    pub faults: Vec<Diagnostic>,
    /// The word that the file declares for its money.
    pub money: Option<String>,
    shelf: &'a mut Shelf<'a>,
    /// Statements that could not be read: what they would have defined is not missed.
    broken: &'a [Broken],
    lets: BTreeMap<String, Known>,
    used_lets: BTreeSet<String>,
    comparisons: u32,
    /// Edges that proofs about spacing rules may still look at, over a whole check.
    pub proof_budget: u64,
}

impl<'a> Desk<'a> {
    pub fn new(shelf: &'a mut Shelf<'a>, broken: &'a [Broken]) -> Desk<'a> {
        Desk {
            faults: Vec::new(),
            money: None,
            shelf,
            broken,
            lets: BTreeMap::new(),
            used_lets: BTreeSet::new(),
            comparisons: COMPARISONS,
            proof_budget: PROOF_BUDGET,
        }
    }

    pub fn fault(&mut self, fault: Diagnostic) {
        self.faults.push(fault);
    }

    pub fn has_errors(&self) -> bool {
        self.faults.iter().any(Diagnostic::is_error)
    }

    /// A clean desk for the next layout; files and the search budget stay.
    pub fn clear(&mut self) -> Vec<Diagnostic> {
        self.money = None;
        self.lets.clear();
        self.used_lets.clear();
        std::mem::take(&mut self.faults)
    }

    /// A statement of this word (or of a word unknown) could not be read, so that one may not be
    /// missed.
    pub fn is_broken(&self, word: Word) -> bool {
        self.broken.iter().any(|broken| broken.word.is_none_or(|other| other == word))
    }

    /// A statement of such a word could not be read that would have defined this name.
    pub fn would_define(&self, name: &str, word: impl Fn(Word) -> bool) -> bool {
        self.broken.iter().any(|broken| {
            broken.word.is_none_or(&word) && broken.name.as_ref().is_none_or(|known| known.text == name)
        })
    }

    /// The statements that could not be read.
    pub fn broken(&self) -> &'a [Broken] {
        self.broken
    }

    /// The file as a table, read once; `None` after its fault has been reported here.
    pub fn table(&mut self, file: &Name) -> Option<Rc<Table>> {
        match self.shelf.table(&file.text) {
            Ok(table) => Some(table),
            Err(fault) => {
                let fault = fault.reported(file.span, &file.text);
                self.fault(fault);
                None
            }
        }
    }

    pub fn define_let(&mut self, name: &str, known: Known) {
        self.lets.insert(name.to_string(), known);
    }

    pub fn known_let(&self, name: &str) -> Option<Known> {
        self.lets.get(name).copied()
    }

    pub fn is_used_let(&self, name: &str) -> bool {
        self.used_lets.contains(name)
    }

    /// The value of a `let` name; an unknown one is reported.
    pub fn let_value(&mut self, name: &str, span: Span) -> Option<Value> {
        if let Some(known) = self.lets.get(name) {
            self.used_lets.insert(name.to_string());
            return known.value;
        }
        if self.would_define(name, |word| word == Word::Let) {
            return None;
        }
        let known: Vec<String> = self.lets.keys().cloned().collect();
        let near = self.near(name, known.iter().map(String::as_str));
        self.fault(words::unknown(span, name, "a `let` name", &near, None));
        None
    }

    /// The known names nearest to a mistyped one, as `nearest` finds them, while comparisons last.
    pub fn near<'n>(&mut self, typed: &str, known: impl Iterator<Item = &'n str>) -> Vec<String> {
        let left = &mut self.comparisons;
        let known = known.take_while(|_| {
            *left = left.saturating_sub(1);
            *left > 0
        });
        let found = nearest(typed, known);
        if *left == 0 { Vec::new() } else { found }
    }
}

/// The known names nearest to a mistyped one: at most three, all equally near, in the order given;
/// none where nothing is near enough to be meant (one slip per three letters) or too many are.
pub fn nearest<'n>(typed: &str, known: impl IntoIterator<Item = &'n str>) -> Vec<String> {
    let folded = typed.to_lowercase();
    let slips = (typed.chars().count() / 3).clamp(1, 3);
    let mut best = slips + 1;
    let mut found: Vec<&str> = Vec::new();
    for name in known {
        if name.len().abs_diff(folded.len()) > 4 * slips || numbered_apart(&folded, name) {
            continue;
        }
        let distance = strsim::osa_distance(&folded, &name.to_lowercase());
        if distance < best {
            best = distance;
            found.clear();
        }
        if distance == best && distance <= slips {
            found.push(name);
        }
    }
    match found.len() {
        1..=3 => found.into_iter().map(str::to_string).collect(),
        _ => Vec::new(),
    }
}

/// Two names that differ in their numbers only are two things, and neither is a slip for the other:
/// who writes `A19` does not mean `A17`. `A5` and `A05` have the same number.
fn numbered_apart(folded: &str, name: &str) -> bool {
    let letters = |text: &str| -> String {
        text.chars().filter(|c| !c.is_ascii_digit()).flat_map(char::to_lowercase).collect()
    };
    let numbers = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_ascii_digit())
            .filter(|digits| !digits.is_empty())
            .map(|digits| digits.trim_start_matches('0').to_string())
            .collect()
    };
    letters(folded) == letters(name) && numbers(folded) != numbers(name)
}

/// Microseconds as minutes with so many decimals.
pub(super) fn in_minutes(micros: Exact, places: usize) -> String {
    format!("{} min", crate::units::decimals(micros.as_f64() / 60e6, places))
}
