//! What balancing keeps at one station (`beside`), what it keeps apart (`apart from`) and where it may put a task
//! (`may stand`): the file as it stands must keep it, too.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::listed::{listed, steps_of};
use super::names::Kind;
use super::procedures::Tests;
use super::steps::{Around, Steps};
use crate::diagnostic::words::precedence as words;
use crate::line::{PlaceId, StepId};
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
        if let Some((spans, _)) = clause!(&*item.statement, ClauseKind::MayStand(spans) => spans) {
            steps.steps[step.index()].may_stand = may_stand(spans, step, steps, around, desk);
        }
        if let Some((list, _)) = beside {
            steps.steps[step.index()].beside = found(list, step, true, steps, tests, around, desk);
        }
        if let Some((list, _)) = apart {
            steps.steps[step.index()].apart = found(list, step, false, steps, tests, around, desk);
        }
    }
}

/// The stations of a list, today's among them. Racks that a stretch passes are left out; one by name is a fault.
fn may_stand(
    spans: &[(Name, Option<Name>)],
    step: StepId,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Vec<PlaceId> {
    let it = &steps.steps[step.index()];
    let mut may: Vec<PlaceId> = Vec::new();
    let (mut span, mut sound) = (it.span, true);
    for (id, at, named) in around.ground.spans(spans, around.names, desk) {
        let place = around.ground.place(id);
        span = at;
        if place.is_station() {
            may.push(id);
        } else if named {
            desk.fault(words::may_not_stand(at, &it.name, &place.name));
            sound = false;
        }
    }
    may.sort_unstable();
    may.dedup();
    if sound && !may.is_empty() && steps.placed[step.index()] && !may.contains(&it.place) {
        desk.fault(words::stands_elsewhere(span, &it.name, &around.ground.place(it.place).name));
    }
    may
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
