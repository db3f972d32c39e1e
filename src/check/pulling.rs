//! Stations that pull units off the line: to which place, and what is gone on with there.

use super::clauses::clause;
use super::desk::Desk;
use super::names::{Names, name_of};
use super::needs;
use super::people::Staff;
use super::places::Ground;
use super::travel::Bound;
use crate::diagnostic::words::{feeders, travel as words};
use crate::line::{Line, MoveRule, PlaceId, PlaceKind, Step, StepId};
use crate::syntax::tree::{ClauseKind, Statement};

/// Reads `pull off to` of every station: from a segment with a signal, to a place off the same line.
pub(super) fn stations(statements: &[&Statement], ground: &mut Ground, names: &Names, desk: &mut Desk) {
    for statement in statements {
        let Some((to, clause)) = clause!(statement, ClauseKind::PullsOff(to) => to) else { continue };
        let name = name_of(statement).text;
        let Some(from) = ground.places.iter().position(|place| place.name == name) else { continue };
        let Some(id) = ground.find(to, names, desk) else { continue };
        let (place, off) = (&ground.places[from], ground.place(id));
        let rule = place.segment.map(|segment| ground.segments[segment.index()].rule);
        if off.kind != PlaceKind::Repair {
            desk.fault(words::pulled_onto_the_line(to.span, &name, &to.text));
        } else if off.hours != place.hours {
            desk.fault(feeders::two_lines(to.span, &name, &to.text));
        } else if !rule.is_some_and(|rule| matches!(rule, MoveRule::PushedEvery { .. })) {
            desk.fault(words::no_signal_to_pull_off(clause.span, &name));
        } else {
            ground.places[from].pulls_to = Some(id);
        }
    }
}

/// Says of every step where it may be gone on with off the line, wherever it stands: balancing moves it.
pub(super) fn settle(line: &mut Line, staff: &Staff, desk: &mut Desk) {
    let mut targets: Vec<PlaceId> = line.places.iter().filter_map(|place| place.pulls_to).collect();
    targets.sort_unstable();
    targets.dedup();
    if targets.is_empty() {
        return;
    }
    let bound = Bound::of(line);
    let off_line = |(index, step): (usize, &Step)| match is_bound(line, StepId::from_index(index), &bound) {
        true => Vec::new(),
        false => targets.iter().copied().filter(|to| is_able(line, step, *to, staff)).collect(),
    };
    let found: Vec<Vec<PlaceId>> = line.steps.iter().enumerate().map(off_line).collect();
    for (step, to) in line.steps.iter_mut().zip(found) {
        step.off_line = to;
    }
    if !desk.has_errors() {
        judge(line, desk);
    }
}

/// It must be done at its own place: the line holds for it.
fn is_bound(line: &Line, id: StepId, bound: &Bound) -> bool {
    let step = &line.steps[id.index()];
    let kept_apart =
        || line.exclusions.iter().any(|apart| apart.keeps_apart(id, step) || apart.running.contains(&id));
    let mends = || step.times.iter().any(|time| time.dist.faults().is_some());
    step.hold().is_some() || mends() || kept_apart() || bound.why_the_first_time(id, &line.steps).is_some()
}

/// The crew, the equipment and the room of the place can take it.
fn is_able(line: &Line, step: &Step, to: PlaceId, staff: &Staff) -> bool {
    let place = &line.places[to.index()];
    let room =
        |wanted: u32| line.room_caps.iter().all(|cap| !cap.counts(step) || wanted <= cap.people_at(to));
    let manned = (0..line.models.len()).filter(|model| step.models[*model]).all(|model| {
        let needs = &step.needs[model];
        needs::can(needs, place, staff) && room(needs.iter().map(|need| need.count).sum())
    });
    manned && step.equipment.iter().all(|(id, _)| line.equipment[id.index()].reaches(to))
}

/// There is something with which units are pulled off.
fn judge(line: &Line, desk: &mut Desk) {
    for (index, place) in line.places.iter().enumerate() {
        let Some(to) = place.pulls_to else { continue };
        let off = &line.places[to.index()].name;
        if !line.steps_at(PlaceId::from_index(index)).any(|(_, step)| step.off_line.contains(&to)) {
            desk.fault(words::nothing_to_pull_off(place.span, &place.name, off));
        }
    }
}
