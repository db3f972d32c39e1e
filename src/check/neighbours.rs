//! What balancing keeps at one station (`beside`) and what it keeps apart (`apart from`): the file as it
//! stands must keep it, too.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::listed::{listed, steps_of};
use super::names::Kind;
use super::procedures::Tests;
use super::steps::{Around, Steps};
use crate::diagnostic::words::precedence as words;
use crate::line::StepId;
use crate::syntax::tree::{ClauseKind, Name};

pub(super) fn neighbours(
    items: &[&Item],
    steps: &mut Steps,
    tests: &Tests,
    around: &Around,
    desk: &mut Desk,
) {
    for (index, item) in items.iter().enumerate() {
        let Some(step) = steps.of_name[index] else { continue };
        let beside = clause!(&*item.statement, ClauseKind::Beside(list) => list);
        let apart = clause!(&*item.statement, ClauseKind::Apart(list) => list);
        if let Some((list, _)) = beside {
            steps.steps[step.index()].beside = found(list, step, true, steps, tests, around, desk);
        }
        if let Some((list, _)) = apart {
            steps.steps[step.index()].apart = found(list, step, false, steps, tests, around, desk);
        }
    }
}

/// The steps of a list, each once and none the step itself.
fn found(
    list: &[Name],
    one: StepId,
    beside: bool,
    steps: &Steps,
    tests: &Tests,
    around: &Around,
    desk: &mut Desk,
) -> Vec<StepId> {
    let clause = if beside { "beside" } else { "apart from" };
    let Some(mut all) = listed(list, clause, steps, tests, around, desk) else { return Vec::new() };
    for name in list {
        let Some(index) = around.names.find(Kind::Work, name, desk) else { continue };
        for other in steps_of(index, steps, tests) {
            if other == one {
                desk.fault(words::own_neighbour(name.span, &name.text, clause));
                continue;
            }
            let (here, there) = (&steps.steps[one.index()], &steps.steps[other.index()]);
            let placed = steps.placed[one.index()] && steps.placed[other.index()];
            if placed && (here.place == there.place) != beside {
                let places = [here, there].map(|s| around.ground.place(s.place).name.as_str());
                let names = (places[0], places[1]);
                desk.fault(words::wrong_neighbour(name.span, &here.name, &there.name, names));
                break;
            }
        }
    }
    all.retain(|other| *other != one);
    all
}
