//! Precedence: predecessors by name, no circle, never from a later place.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::names::Kind;
use super::procedures::Tests;
use super::steps::{Around, Steps};
use crate::diagnostic::words::{feeders, precedence as words, statements as statement_words};
use crate::line::{Precedence, StepId};
use crate::syntax::tree::ClauseKind;
use crate::units::join_and;

/// Fills in the predecessors of every step; `None` where they go in a circle.
/// `after TEST` means after all steps of the test.
pub(super) fn order(
    items: &[&Item],
    steps: &mut Steps,
    tests: &Tests,
    around: &Around,
    desk: &mut Desk,
) -> Option<Precedence> {
    for (index, item) in items.iter().enumerate() {
        let Some(step) = steps.of_name[index] else { continue };
        let Some((list, _)) = clause!(item.statement, ClauseKind::After(list) => list) else { continue };
        let mut after: Vec<StepId> = Vec::new();
        let mut seen: Vec<usize> = Vec::new();
        for name in list {
            let Some(before) = around.names.find(Kind::Work, name, desk) else { continue };
            if seen.contains(&before) {
                desk.fault(statement_words::repeated_in_list(name.span, &name.text, "after"));
                continue;
            }
            seen.push(before);
            let of_test = tests.of_name[before].map(|id| tests.tests[id.index()].steps.as_slice());
            let found = match (of_test, steps.of_name[before]) {
                (Some(test), _) if before != index => test.to_vec(),
                (_, Some(id)) => vec![id],
                (_, None) => Vec::new(),
            };
            for id in &found {
                judge_places(steps, step, *id, name.span, around, desk);
            }
            after.extend(found);
        }
        after.sort_unstable();
        after.dedup();
        steps.steps[step.index()].after = after;
    }
    let after: Vec<Vec<StepId>> = steps.steps.iter().map(|step| step.after.clone()).collect();
    match Precedence::of(&after) {
        Ok(order) => Some(order),
        Err(circles) => {
            for circle in circles {
                report_circle(&circle, steps, around, desk);
            }
            None
        }
    }
}

/// The predecessor is done at an earlier place or here.
fn judge_places(
    steps: &Steps,
    step: StepId,
    before: StepId,
    span: crate::diagnostic::Span,
    around: &Around,
    desk: &mut Desk,
) {
    let (one, other) = (&steps.steps[step.index()], &steps.steps[before.index()]);
    let placed = steps.placed[step.index()] && steps.placed[before.index()];
    if placed && around.ground.feeder_of(one.place) != around.ground.feeder_of(other.place) {
        desk.fault(feeders::two_lines(span, &one.name, &other.name));
    } else if placed && other.place > one.place {
        let (here, there) = (&around.ground.place(one.place).name, &around.ground.place(other.place).name);
        desk.fault(words::downstream(span, &one.name, here, &other.name, there, other.span));
    }
}

/// A step that does not apply to a model is passed through, so a circle stops every model.
fn report_circle(circle: &[StepId], steps: &Steps, around: &Around, desk: &mut Desk) {
    let mut path: Vec<String> = circle.iter().map(|id| steps.steps[id.index()].name.clone()).collect();
    path.push(path[0].clone());
    let models: Vec<&str> = around.models.iter().map(|model| model.name.as_str()).collect();
    let models = match models.as_slice() {
        [_] => "every unit".to_string(),
        models if models.len() <= 4 => format!("models {}", join_and(models)),
        _ => "every model".to_string(),
    };
    let mut fault = words::cycle(steps.steps[circle[0].index()].span, &path, &models);
    for id in circle.iter().skip(1).take(8) {
        let step = &steps.steps[id.index()];
        fault = fault.label(step.span, format!("{} too", step.name));
    }
    desk.fault(fault);
}
