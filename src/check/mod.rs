//! From statements to lines: what a file means, and everything that is wrong with it.
//!
//! Owns every rule about names, units, times, people, places and order, one file per family. Each
//! rule reports what it finds and goes on with something harmless, so that one run reports every
//! fault once. A line leaves here only if nothing in it is an error. Knows nothing of drawing,
//! scheduling or simulating.

mod absence;
mod across;
mod calendar;
mod carriers;
mod clauses;
mod conveyor;
mod costs;
mod course;
mod demand;
mod desk;
mod drift;
mod exact;
mod exclusions;
mod fails;
mod feeders;
mod fit;
mod floaters;
mod gates;
mod gear;
mod helping;
mod hours;
mod lanes;
mod layouts;
mod learning;
mod lengths;
mod lets;
mod listed;
mod manned;
mod mix;
mod movers;
mod moving_holds;
mod names;
mod needs;
mod neighbours;
mod observed;
mod one;
mod order;
mod orientation;
mod overtime;
mod parts;
mod people;
mod places;
mod procedures;
mod promises;
mod pulling;
mod quantity;
mod release;
mod relief;
mod row;
mod safety;
mod sequence;
mod settings;
mod sharing;
mod sorted;
mod spacing;
mod steps;
mod stops;
mod table;
mod temperature;
mod times;
mod travel;
mod turned_again;
mod under_way;
mod unit_words;
mod units_with;
mod unused;
mod verdicts;
mod visitors;
mod windows;
mod wrong;
mod yard;

use crate::diagnostic::words::names::only_in_layout;
use crate::diagnostic::{Code, Diagnostic, Sources, Span, settle};
use crate::line::Line;
use crate::syntax::tree::{Name, Statement, Tree};
use desk::Desk;
use layouts::Variant;
use safety::{Culprit, Guarded};
use std::borrow::Cow;
use std::collections::BTreeSet;
use table::Shelf;

pub use desk::nearest;
pub use layouts::room_for_layouts;
pub use promises::promise_from_text;

/// What a file comes to.
#[derive(Clone, PartialEq, Debug)]
pub struct Checked {
    /// `today` (the file as it stands) first, then each layout in file order; those with an error
    /// (and everything, where statements could not be read) are left out.
    pub layouts: Vec<Line>,
    /// Errors and doubts, by file and place.
    pub faults: Vec<Diagnostic>,
}

/// A statement and the place it stands under.
#[derive(Clone)]
struct Item<'a> {
    statement: Cow<'a, Statement>,
    /// The name of the last station, rack or repair statement above it.
    place: Option<Name>,
    /// That place statement could not be read.
    place_unread: bool,
    /// The `feeder` statement in whose braces it stands.
    feeder: Option<Name>,
    /// The `lane` statement in whose braces it stands.
    lane: Option<Name>,
}

impl<'a> Item<'a> {
    fn new(statement: &'a Statement) -> Item<'a> {
        Item {
            statement: Cow::Borrowed(statement),
            place: None,
            place_unread: false,
            feeder: None,
            lane: None,
        }
    }
}

/// Checks the statements of a line and all its layouts. `sets` are settings from outside
/// (`--set NAME=VALUE`), each for a `let` of the file; they can't lower what is fixed by safety.
/// Faults of reading are the caller's: they are not repeated here.
pub fn check(tree: &Tree, sources: &dyn Sources, sets: &[(String, String)]) -> Checked {
    let mut shelf = Shelf::new(sources);
    let mut desk = Desk::new(&mut shelf, &tree.broken);
    let variants = layouts::variants(&tree.statements, &mut desk);
    let sets = settings::read(sets, &tree.statements, &mut desk);
    let mut ledger = Ledger::new(desk.clear());
    let unset = guards_without_settings(&variants, &sets, &mut desk);

    let mut layouts = Vec::new();
    let mut guards: Vec<Guarded> = Vec::new();
    for (index, variant) in variants.iter().enumerate() {
        let found = one::check_one(variant, &sets, &mut desk);
        for (base, who) in before(variant, index, &guards, unset.as_ref()) {
            safety::compare(base, &found.guarded, &who, &mut desk);
        }
        guards.push(found.guarded);
        let fine = !desk.has_errors() && tree.broken.is_empty() && !ledger.has_errors;
        ledger.add(desk.clear(), (index > 0).then_some(variant));
        layouts.extend(found.line.filter(|_| fine));
    }
    Checked { layouts, faults: settle(ledger.faults) }
}

/// With settings from outside: what is guarded in the file as it is written.
fn guards_without_settings(
    variants: &[Variant],
    sets: &[settings::Setting],
    desk: &mut Desk,
) -> Option<Guarded> {
    if sets.is_empty() {
        return None;
    }
    let found = one::check_one(variants.first()?, &[], desk);
    desk.clear();
    Some(found.guarded)
}

/// What a variant must not weaken, and who would.
fn before<'g, 'v>(
    variant: &'v Variant,
    index: usize,
    guards: &'g [Guarded],
    unset: Option<&'g Guarded>,
) -> Vec<(&'g Guarded, Culprit<'v>)> {
    let mut found = Vec::new();
    if let (0, Some(unset)) = (index, unset) {
        found.push((unset, Culprit { said: "a setting from outside".to_string(), span: None, edits: &[] }));
    }
    let Some(base) = variant.base else { return found };
    let mut bases = vec![0, base];
    bases.dedup();
    for base in bases.into_iter().filter_map(|base| guards.get(base)) {
        let said = format!("layout \"{}\"", variant.label);
        found.push((base, Culprit { said, span: Some(variant.span), edits: &variant.edits }));
    }
    found
}

/// The faults of all layouts: one that is in the file as it stands is not repeated for each layout.
struct Ledger {
    faults: Vec<Diagnostic>,
    known: BTreeSet<(Code, Span)>,
    /// Errors that concern no single layout.
    has_errors: bool,
}

impl Ledger {
    fn new(faults: Vec<Diagnostic>) -> Ledger {
        let has_errors = faults.iter().any(Diagnostic::is_error);
        let mut ledger = Ledger { faults: Vec::new(), known: BTreeSet::new(), has_errors };
        ledger.add(faults, None);
        ledger
    }

    fn add(&mut self, faults: Vec<Diagnostic>, layout: Option<&Variant>) {
        for fault in faults {
            let key = (fault.code, fault.primary);
            // What a layout no longer uses, today does.
            let left_over = layout.is_some_and(|layout| {
                fault.code == Code::UnusedName
                    && !layout.body.iter().any(|statement| holds(statement.span, fault.primary))
            });
            if left_over || !self.known.insert(key) {
                continue;
            }
            self.faults.push(match layout {
                Some(layout) => only_in_layout(fault, &layout.label),
                None => fault,
            });
        }
    }
}

fn holds(outer: Span, inner: Span) -> bool {
    outer.file == inner.file && outer.start <= inner.start && inner.end <= outer.end
}
