//! How far along the line a step may still be under way.

use super::orientation::Asked;
use super::steps::Around;
use crate::line::{AtBreaks, PlaceId, RoomCap, Step, StepId, StepKind};

/// The last place where a step may be done or end: its own, a later one of its segment to which it may travel, or the
/// next one, where its unit may be pushed there while it runs.
pub(super) fn last_place(id: StepId, step: &Step, asked: &Asked, around: &Around) -> PlaceId {
    let to = step.travel.map_or(step.place, |travel| travel.to);
    let moves_on = match &step.kind {
        StepKind::Hold(hold) => hold.may_move,
        StepKind::Task => drifts(id, step, asked, around),
    };
    if moves_on { to.max(PlaceId::from_index(step.place.index() + 1)) } else { to }
}

/// Its crew may finish it in the next place: nothing holds it where it was begun, and there is no less room.
fn drifts(id: StepId, step: &Step, asked: &Asked, around: &Around) -> bool {
    let place = step.place;
    let next = PlaceId::from_index(place.index() + 1);
    let tested = || asked.tests.tests.iter().any(|test| test.steps.contains(&id));
    let windowed = || asked.windows.iter().any(|window| [window.opens, window.closes].contains(&id));
    let apart = || asked.exclusions.iter().any(|e| e.keeps_apart(id, step) || e.running.contains(&id));
    let room = || {
        let narrower = |cap: &RoomCap| cap.counts_now(step) && cap.people_at(next) < cap.people_at(place);
        !around.room_caps.iter().any(narrower)
    };
    !around.ground.place(place).drift.is_zero()
        && step.at_breaks == AtBreaks::Rests
        && !tested()
        && !windowed()
        && !apart()
        && room()
}
