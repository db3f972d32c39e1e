//! What balancing keeps at one station (`beside`) and what it keeps apart (`apart from`): the file as it
//! stands must keep it, too.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::names::Kind;
use super::steps::{Around, Steps};
use crate::diagnostic::words::{precedence as words, statements as statement_words};
use crate::line::StepId;
use crate::syntax::tree::{ClauseKind, Name};

pub(super) fn neighbours(items: &[&Item], steps: &mut Steps, around: &Around, desk: &mut Desk) {
    for (index, item) in items.iter().enumerate() {
        let Some(step) = steps.of_name[index] else { continue };
        let beside = clause!(&*item.statement, ClauseKind::Beside(list) => list);
        let apart = clause!(&*item.statement, ClauseKind::Apart(list) => list);
        if let Some((list, _)) = beside {
            steps.steps[step.index()].beside = found(list, index, true, steps, around, desk);
        }
        if let Some((list, _)) = apart {
            steps.steps[step.index()].apart = found(list, index, false, steps, around, desk);
        }
    }
}

/// The steps of a list, each once and none the step itself.
fn found(
    list: &[Name],
    index: usize,
    beside: bool,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Vec<StepId> {
    let clause = if beside { "beside" } else { "apart from" };
    let mut seen: Vec<usize> = vec![index];
    let mut all = Vec::new();
    for name in list {
        let Some(other) = around.names.find(Kind::Work, name, desk) else { continue };
        if seen.contains(&other) {
            desk.fault(statement_words::repeated_in_list(name.span, &name.text, clause));
            continue;
        }
        seen.push(other);
        let (Some(one), Some(id)) = (steps.of_name[index], steps.of_name[other]) else { continue };
        let (here, there) = (&steps.steps[one.index()], &steps.steps[id.index()]);
        let placed = steps.placed[one.index()] && steps.placed[id.index()];
        if placed && (here.place == there.place) != beside {
            let places = [here, there].map(|s| around.ground.place(s.place).name.as_str());
            desk.fault(words::wrong_neighbour(name.span, &here.name, &there.name, (places[0], places[1])));
        }
        all.push(id);
    }
    all.sort_unstable();
    all
}
