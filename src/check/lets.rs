//! `let` names: plain arithmetic with units, each from the ones above it.
//!
//! Owns their order, settings from outside (`--set NAME=VALUE`), and the doubt about unused ones.

use super::desk::{Desk, Known};
use super::quantity;
use crate::diagnostic::Span;
use crate::diagnostic::words::names as words;
use crate::syntax::tree::{Expr, ExprKind, Head, Statement, Word};
use std::collections::BTreeMap;

/// Works out every `let` in file order; `sets` gives some of them another expression.
pub(super) fn define<'s>(
    statements: impl Iterator<Item = &'s Statement>,
    sets: &[(String, Expr)],
    desk: &mut Desk,
) {
    let lets: Vec<&Statement> = statements.filter(|statement| statement.word == Word::Let).collect();
    let mut defined: BTreeMap<&str, (usize, Span)> = BTreeMap::new();
    for (position, name) in lets.iter().enumerate().filter_map(|(p, s)| Some((p, s.name.as_ref()?))) {
        defined.entry(&name.text).or_insert((position, name.span));
    }
    for (position, statement) in lets.iter().enumerate() {
        let (Some(name), Head::Value(expr)) = (&statement.name, &statement.head) else { continue };
        if let Some(first) = desk.known_let(&name.text) {
            desk.fault(words::duplicate(name.span, &name.text, "a `let`", first.span));
            continue;
        }
        let expr = sets.iter().find(|(set, _)| *set == name.text).map_or(expr, |(_, set)| set);
        let value = match used_below(expr, position, &defined, desk) {
            true => None,
            false => quantity::value(expr, desk),
        };
        desk.define_let(&name.text, Known { value, span: name.span });
    }
}

/// Reports names in the expression that are defined further down (or by this very `let`).
fn used_below(
    expr: &Expr,
    position: usize,
    defined: &BTreeMap<&str, (usize, Span)>,
    desk: &mut Desk,
) -> bool {
    let mut used = Vec::new();
    names_in(expr, &mut used);
    let mut found = false;
    for (name, span) in used {
        if let Some((below, place)) = defined.get(name).filter(|(below, _)| *below >= position) {
            desk.fault(match *below == position {
                true => words::let_of_itself(span, name),
                false => words::let_below(span, name, *place),
            });
            found = true;
        }
    }
    found
}

fn names_in<'e>(expr: &'e Expr, into: &mut Vec<(&'e str, Span)>) {
    match &expr.kind {
        ExprKind::Number { .. } => {}
        ExprKind::Name(name) => into.push((name, expr.span)),
        ExprKind::Per(inner, _) | ExprKind::Negative(inner) => names_in(inner, into),
        ExprKind::Binary { left, right, .. } => {
            names_in(left, into);
            names_in(right, into);
        }
    }
}

/// Doubts about names that nothing uses.
pub(super) fn report_unused<'s>(statements: impl Iterator<Item = &'s Statement>, desk: &mut Desk) {
    for statement in statements.filter(|statement| statement.word == Word::Let) {
        let Some(name) = &statement.name else { continue };
        if !desk.is_used_let(&name.text) {
            desk.fault(words::unused(name.span, &name.text, "`let`", "use it or take it out"));
        }
    }
}
