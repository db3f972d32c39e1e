//! Verdicts: the share that passes, and how often a unit may try.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::exact::Exact;
use super::fails;
use super::mix;
use super::names::name_of;
use super::procedures::Tests;
use super::quantity;
use super::steps::{Around, Steps, called};
use super::wrong;
use crate::diagnostic::Span;
use crate::diagnostic::words::statements as statement_words;
use crate::line::Gate;
use crate::syntax::tree::{ClauseKind, Expr, ForWhat, Statement};

/// Passes, outcomes and tries of every test. Needs every step of every test settled.
pub(super) fn verdicts(
    items: &[&Item],
    tests: &mut Tests,
    (steps, gates): (&Steps, &[Gate]),
    around: &Around,
    desk: &mut Desk,
) {
    for (index, item) in items.iter().enumerate() {
        let Some(id) = tests.of_name[index] else { continue };
        let statement = &*item.statement;
        let test = &tests.tests[id.index()];
        let passes = passes(statement, around, desk);
        let outcomes = fails::outcomes(statement, test, tests.faulty[id.index()], steps, around, desk);
        let most_tries = clause!(statement, ClauseKind::AtMostTries(n) => n).and_then(|(n, _)| {
            quantity::count(n, &format!("the number of tries of {}", test.name), 1, 1000, desk)
        });
        let fails = passes.iter().any(|(first, again)| *first < 1.0 || *again < 1.0);
        let states_outcome = statement.clauses.iter().any(|c| matches!(c.kind, ClauseKind::OnFail { .. }));
        if fails && !states_outcome {
            desk.fault(statement_words::no_outcome(test.span, &test.name));
        }
        let test = &mut tests.tests[id.index()];
        test.passes = passes;
        test.outcomes = outcomes;
        test.most_tries = most_tries;
    }
    // Once every test has its outcomes: one that finds what another lets through must have some.
    for (index, item) in items.iter().enumerate() {
        if let Some(id) = tests.of_name[index] {
            wrong::wrong_verdicts(&item.statement, id, tests, gates, around, desk);
        }
    }
}

/// Per model: the share that passes at first and again.
fn passes(statement: &Statement, around: &Around, desk: &mut Desk) -> Vec<(f64, f64)> {
    let called = called(statement);
    let rates = |first: &Expr, again: &Option<Expr>, desk: &mut Desk| {
        let first = quantity::share(first, &format!("the share that passes {called}"), desk);
        let again = again
            .as_ref()
            .map(|again| quantity::share(again, &format!("the share that passes {called} again"), desk))
            .unwrap_or(first);
        let rate = |share: Option<Exact>| share.map_or(1.0, Exact::as_f64);
        (rate(first), rate(again))
    };
    let stated = clause!(statement, ClauseKind::Passes { first, again } => (first, again));
    let base = stated.map(|((first, again), _)| rates(first, again, desk));
    let mut own: Vec<Option<((f64, f64), Span)>> = vec![None; around.models.len()];
    for clause in &statement.clauses {
        let ClauseKind::For { models, what: ForWhat::Passes { first, again } } = &clause.kind else {
            continue;
        };
        let found = rates(first, again, desk);
        for name in models {
            let Some(model) = mix::model(name, around.names, desk) else { continue };
            match own[model.index()] {
                Some((_, first)) => {
                    let what = "the share that passes";
                    desk.fault(statement_words::repeated_for_model(name.span, first, &name.text, what));
                }
                None => own[model.index()] = Some((found, clause.span)),
            }
        }
    }
    if base.is_none() && own.iter().any(Option::is_none) {
        let span = name_of(statement).span;
        desk.fault(statement_words::missing_clause(span, &called, "`passes`", "passes 94 %, again 98 %"));
    }
    own.into_iter().map(|own| own.map_or(base.unwrap_or((1.0, 1.0)), |(rates, _)| rates)).collect()
}
