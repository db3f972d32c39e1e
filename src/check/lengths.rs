//! How long a step takes: its time, what differs for some models, and a hold's minimum.

use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::name_of;
use super::quantity;
use super::steps::{Around, called};
use super::times;
use crate::diagnostic::Span;
use crate::diagnostic::words::{safety, statements as words};
use crate::line::{Dist, StepKind, TimeFor};
use crate::syntax::tree::{ClauseKind, ForWhat, Statement};
use crate::units::{Time, join_and};

/// What a model has of its own: another time or a factor, and where it is said.
#[derive(Clone)]
struct Own {
    dist: Option<Dist>,
    factor: f64,
    span: Span,
}

/// Stands in for a time that is faulty, which has been reported.
fn faulty() -> Dist {
    Dist::constant(Time::MINUTE)
}

/// Per model: base time or the model's own, and its factor. A hold without a draw takes its minimum.
pub(super) fn times(
    statement: &Statement,
    kind: &StepKind,
    applies: &[bool],
    around: &Around,
    desk: &mut Desk,
) -> Vec<TimeFor> {
    let takes = clause!(statement, ClauseKind::Takes(spec) => spec);
    let what = format!("the time of {}", called(statement));
    let takes = takes.map(|(spec, _)| times::dist(spec, &what, desk).unwrap_or_else(faulty));
    let base = takes.or_else(|| match kind {
        StepKind::Hold(hold) => {
            clause!(statement, ClauseKind::AtLeast(_) => ()).map(|_| Dist::constant(hold.minimum))
        }
        StepKind::Task => None,
    });
    let own = of_models(statement, around, desk);
    let mut unsaid = Vec::new();
    let mut found = Vec::new();
    for (index, own) in own.into_iter().enumerate() {
        let (dist, factor) = own.map_or((None, 1.0), |own| (own.dist, own.factor));
        let dist = dist.or_else(|| base.clone());
        if dist.is_none() && applies[index] {
            unsaid.push(around.models[index].name.clone());
        }
        found.push(TimeFor { dist: dist.unwrap_or(Dist::constant(Time::ZERO)), factor, own: factor });
    }
    if !unsaid.is_empty() {
        report_unsaid(statement, kind, &unsaid, around.models.len(), desk);
    }
    found
}

/// `for T x 1.2`, `for T 20/30/40 min`, each model at most once.
fn of_models(statement: &Statement, around: &Around, desk: &mut Desk) -> Vec<Option<Own>> {
    let called = called(statement);
    let mut own: Vec<Option<Own>> = vec![None; around.models.len()];
    for clause in &statement.clauses {
        let ClauseKind::For { models, what } = &clause.kind else { continue };
        let (dist, factor) = match what {
            ForWhat::Factor(expr) => {
                let factor = quantity::factor(expr, &format!("the factor of {called}"), desk);
                (None, factor.unwrap_or(1.0))
            }
            ForWhat::Time(spec) => {
                let dist = times::dist(spec, &format!("the time of {called}"), desk);
                (Some(dist.unwrap_or_else(faulty)), 1.0)
            }
            ForWhat::People(_) | ForWhat::Passes { .. } => continue,
        };
        for name in models {
            let Some(model) = mix::model(name, around.names, desk) else { continue };
            match &own[model.index()] {
                Some(first) => {
                    desk.fault(words::repeated_for_model(name.span, first.span, &name.text, "the time"));
                }
                None => own[model.index()] = Some(Own { dist: dist.clone(), factor, span: clause.span }),
            }
        }
    }
    own
}

/// Models for which nothing says how long it takes.
fn report_unsaid(statement: &Statement, kind: &StepKind, unsaid: &[String], models: usize, desk: &mut Desk) {
    let name = name_of(statement);
    let called = called(statement);
    desk.fault(match kind {
        StepKind::Hold(_) => safety::hold_without_length(name.span, &name.text),
        StepKind::Task => {
            let all = unsaid.len() == models;
            let what = if all { "`takes`".to_string() } else { format!("a time for {}", join_and(unsaid)) };
            words::missing_clause(name.span, &called, &what, &format!("{called} takes 8/10/14 min"))
        }
    });
}
