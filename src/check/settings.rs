//! Settings from outside (`--set NAME=VALUE`): another value for a `let` of the file.

use super::desk::Desk;
use crate::diagnostic::Span;
use crate::diagnostic::words::{names as words, quantities};
use crate::syntax;
use crate::syntax::tree::{Expr, ExprKind, Head, Statement, Word};

/// A `let` name and the expression it gets.
pub(super) type Setting = (String, Expr);

/// Reads the settings; one that names no `let` or does not read is reported.
pub(super) fn read(sets: &[(String, String)], statements: &[Statement], desk: &mut Desk) -> Vec<Setting> {
    let lets: Vec<(&str, Span)> = statements
        .iter()
        .filter(|statement| statement.word == Word::Let)
        .filter_map(|statement| statement.name.as_ref().map(|name| (name.text.as_str(), statement.span)))
        .collect();
    let mut found = Vec::new();
    for (name, value) in sets {
        let Some((_, span)) = lets.iter().find(|(known, _)| known == name) else {
            if !desk.would_define(name, |word| word == Word::Let) {
                let near = desk.near(name, lets.iter().map(|(known, _)| *known));
                desk.fault(words::unknown_setting(Span::default(), name, &near));
            }
            continue;
        };
        match expression(name, value) {
            Some(mut expr) => {
                move_to(&mut expr, *span);
                found.push((name.clone(), expr));
            }
            None => desk.fault(quantities::bad_setting(*span, name, value)),
        }
    }
    found
}

/// The value, read as the file would.
fn expression(name: &str, value: &str) -> Option<Expr> {
    if value.contains(['\n', '\r', '#']) {
        return None;
    }
    let parsed = syntax::parse(crate::diagnostic::FileId(0), &format!("let {name} = {value}"));
    match (parsed.faults.is_empty(), parsed.tree.statements.as_slice()) {
        (true, [statement]) if statement.clauses.is_empty() => {
            if let Head::Value(expr) = &statement.head {
                Some(expr.clone())
            } else {
                None
            }
        }
        (_, _) => None,
    }
}

/// Faults in the value are shown at the `let` that it replaces.
fn move_to(expr: &mut Expr, span: Span) {
    expr.span = span;
    match &mut expr.kind {
        ExprKind::Number { unit, .. } => {
            if let Some(unit) = unit {
                unit.span = span;
            }
        }
        ExprKind::Name(_) => {}
        ExprKind::Per(inner, period) => {
            period.span = span;
            move_to(inner, span);
        }
        ExprKind::Negative(inner) => move_to(inner, span),
        ExprKind::Binary { left, right, .. } => {
            move_to(left, span);
            move_to(right, span);
        }
    }
}
