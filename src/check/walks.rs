//! People who walk: what can't be said beside it.

use super::clauses::clause;
use super::desk::Desk;
use super::names::{Names, name_of};
use super::places::Ground;
use crate::diagnostic::Span;
use crate::diagnostic::words::limits;
use crate::line::{Helping, Keep, PlaceId, Step, StepId, Window};
use crate::syntax::tree::{ClauseKind, Statement};
use crate::units::Time;

/// As `judge`, for people who come when they are called.
pub(super) fn judge_calls(
    helping: &[Helping],
    (steps, windows, keeps): (&[Step], &[Window], &[Keep]),
    desk: &mut Desk,
) {
    for helping in helping.iter().filter(|helping| helping.answering > Time::ZERO) {
        let covers = |place: PlaceId| helping.covers(place);
        let world = World { steps, windows, keeps };
        world.judge("people who are called", helping.span, covers, desk);
    }
}

/// `places` in file order.
pub(super) fn judge(
    places: &[&Statement],
    (ground, names): (&Ground, &Names),
    (steps, windows, keeps): (&[Step], &[Window], &[Keep]),
    desk: &mut Desk,
) {
    for statement in places {
        let Some((_, clause)) = clause!(statement, ClauseKind::Walk(_) => ()) else { continue };
        let name = name_of(statement);
        let Some(place) = ground.find(&name, names, desk) else { continue };
        if ground.place(place).walk == Time::ZERO {
            continue;
        }
        let world = World { steps, windows, keeps };
        world.judge(&format!("the walk to {}", name.text), clause.span, |other| other == place, desk);
    }
}

/// What a walk is beside.
struct World<'a> {
    steps: &'a [Step],
    windows: &'a [Window],
    keeps: &'a [Keep],
}

impl World<'_> {
    /// Reports what `who`, on the way to units at some places, can't be said beside.
    fn judge(&self, who: &str, span: Span, to: impl Fn(PlaceId) -> bool, desk: &mut Desk) {
        // Who arrives too late does not begin: what it takes when they set out would have to be put back.
        let takes = |id: StepId| {
            !self.steps[id.index()].uses.is_empty() || self.keeps.iter().any(|keep| keep.from == id)
        };
        let closes = |window: &&Window| {
            !window.judged_at_end && to(self.steps[window.closes.index()].place) && takes(window.closes)
        };
        if let Some(window) = self.windows.iter().find(closes) {
            let step = &self.steps[window.closes.index()].name;
            desk.fault(limits::walk_to_what_takes(span, who, step));
        }
    }
}
