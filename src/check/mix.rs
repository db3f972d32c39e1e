//! Models and options: what is built, and in which shares.

use super::clauses::clause;
use super::desk::Desk;
use super::exact::Exact;
use super::names::{Kind, Names};
use super::quantity;
use super::times::sum_to_one;
use crate::diagnostic::words::statements as statement_words;
use crate::line::{Model, ModelId, UnitOption};
use crate::syntax::tree::{ClauseKind, Head, Name, Statement, Word};

/// A line without `model` statements builds one model of this name.
pub(super) const ONLY_MODEL: &str = "unit";

/// The models, their shares normalised to 1. Where a fixed order is built and no model states a
/// share, `counts` (units of each model in that order) gives the shares.
pub(super) fn models(statements: &[&Statement], counts: Option<&[u32]>, desk: &mut Desk) -> Vec<Model> {
    if statements.is_empty() {
        return vec![Model {
            name: ONLY_MODEL.to_string(),
            label: None,
            share: 1.0,
            draws_as: ONLY_MODEL.to_string(),
            span: crate::diagnostic::Span::default(),
        }];
    }
    let shares = shares(statements, counts, desk);
    statements
        .iter()
        .zip(shares)
        .map(|(statement, share)| {
            let name = super::names::name_of(statement);
            Model {
                label: label(statement),
                share,
                draws_as: draws_as(statement, &name),
                name: name.text,
                span: name.span,
            }
        })
        .collect()
}

fn shares(statements: &[&Statement], counts: Option<&[u32]>, desk: &mut Desk) -> Vec<f64> {
    let equal = vec![1.0 / statements.len() as f64; statements.len()];
    let stated = |statement: &Statement| matches!(statement.head, Head::Value(_));
    if !statements.iter().any(|statement| stated(statement)) {
        if statements.len() == 1 {
            return vec![1.0];
        }
        if let Some(counts) = counts {
            let all: u32 = counts.iter().sum();
            return counts.iter().map(|n| f64::from(*n) / f64::from(all.max(1))).collect();
        }
    }
    let mut found: Vec<(Exact, String)> = Vec::new();
    for statement in statements {
        let name = super::names::name_of(statement);
        match &statement.head {
            Head::Value(expr) => {
                let what = format!("the share of model {}", name.text);
                if let Some(share) = quantity::share(expr, &what, desk) {
                    found.push((share, quantity::said(expr)));
                }
            }
            _ => {
                let who = format!("model {}", name.text);
                let example = format!("model {} 50 %", name.text);
                desk.fault(statement_words::missing_clause(statement.span, &who, "a share", &example));
            }
        }
    }
    if found.len() < statements.len() || desk.is_broken(Word::Model) {
        return equal;
    }
    let span = statements[0].span.to(statements[statements.len() - 1].span);
    let span = match span.file == statements[statements.len() - 1].span.file && statements.len() < 8 {
        true => span,
        false => statements[0].span,
    };
    sum_to_one(&found, "the shares of the models", span, desk).unwrap_or(equal)
}

/// The options. `None` stands for nothing: a faulty take rate counts as 0.
pub(super) fn options(
    statements: &[&Statement],
    names: &Names,
    models: usize,
    desk: &mut Desk,
) -> Vec<UnitOption> {
    statements
        .iter()
        .map(|statement| {
            let name = super::names::name_of(statement);
            let (rate, every) = take_rate(statement, &name, desk);
            let only = clause!(statement, ClauseKind::Only(list) => list);
            UnitOption {
                label: label(statement),
                rate,
                every,
                models: applies(only.map(|(list, _)| list.as_slice()), names, models, desk),
                draws_as: draws_as(statement, &name),
                name: name.text,
                span: name.span,
            }
        })
        .collect()
}

/// The share of the units, and where it is every n-th the n.
fn take_rate(statement: &Statement, name: &Name, desk: &mut Desk) -> (f64, Option<u32>) {
    let every = clause!(statement, ClauseKind::EveryNth(n) => n);
    match (&statement.head, every) {
        (Head::Value(expr), None) => {
            let share = quantity::share(expr, &format!("the take rate of {}", name.text), desk);
            (share.map_or(0.0, Exact::as_f64), None)
        }
        (Head::Value(_), Some((_, clause))) => {
            desk.fault(statement_words::rate_and_every(clause.span, &name.text));
            (0.0, None)
        }
        (_, Some((n, _))) => {
            let what = format!("the units from one with {} to the next", name.text);
            let n = quantity::count(n, &what, 1, 1_000_000, desk);
            (n.map_or(0.0, |n| 1.0 / f64::from(n)), n)
        }
        (_, None) => {
            let who = format!("option {}", name.text);
            let example = format!("option {} 20 %", name.text);
            let fault = statement_words::missing_clause(statement.span, &who, "a take rate", &example);
            desk.fault(fault);
            (0.0, None)
        }
    }
}

/// Per model: is it in the list? Every model where there is no list.
pub(super) fn applies(only: Option<&[Name]>, names: &Names, models: usize, desk: &mut Desk) -> Vec<bool> {
    let Some(list) = only else { return vec![true; models] };
    let mut found = vec![false; models];
    for name in list {
        if let Some(model) = model(name, names, desk) {
            if found[model.index()] {
                desk.fault(statement_words::repeated_in_list(name.span, &name.text, "only"));
            }
            found[model.index()] = true;
        }
    }
    found
}

/// The model of that name.
pub(super) fn model(name: &Name, names: &Names, desk: &mut Desk) -> Option<ModelId> {
    if names.roll(Kind::Model).len() == 0 && name.text == ONLY_MODEL {
        return Some(ModelId(0));
    }
    names.find(Kind::Model, name, desk).map(ModelId::from_index)
}

pub(super) fn label(statement: &Statement) -> Option<String> {
    statement.label.as_ref().map(|label| label.text.clone())
}

/// The name under which random draws are made.
pub(super) fn draws_as(statement: &Statement, name: &Name) -> String {
    match clause!(statement, ClauseKind::DrawsAs(old) => old) {
        Some((old, _)) => old.text.clone(),
        None => name.text.clone(),
    }
}
