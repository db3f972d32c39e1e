//! Crews that drift: in which segments, which way, and how far.

use super::clauses::clause;
use super::desk::Desk;
use super::names::name_of;
use super::places::Ground;
use super::quantity;
use crate::diagnostic::Span;
use crate::diagnostic::words::places as words;
use crate::line::{MoveRule, Segment};
use crate::syntax::tree::{ClauseKind, DriftHow, Statement};
use crate::units::Time;

/// How far the crew of a station drifts on, and how early it begins.
pub(super) fn of_station(statement: &Statement, name: &str, desk: &mut Desk) -> (Time, Time) {
    let Some(((amount, how), _)) = clause!(statement, ClauseKind::Drift { amount, how } => (amount, *how))
    else {
        return (Time::ZERO, Time::ZERO);
    };
    let time = quantity::time(amount, &format!("the drift of {name}"), desk).unwrap_or(Time::ZERO);
    match how {
        DriftHow::On => (time, Time::ZERO),
        DriftHow::Early => (Time::ZERO, time),
        DriftHow::Both => (time, time),
    }
}

/// Holds every `drift` to a station of a pushed segment that has a place to drift to, and to less than the time
/// between two pushes.
pub(super) fn judge(statements: &[&Statement], ground: &Ground, desk: &mut Desk) {
    for statement in statements {
        let Some((_, clause)) = clause!(statement, ClauseKind::Drift { .. } => ()) else { continue };
        let name = name_of(statement).text;
        let Some(id) = ground.places.iter().position(|place| place.name == name) else { continue };
        let place = &ground.places[id];
        // `drift 0 min` takes it back in a layout.
        if place.drift.is_zero() && place.early.is_zero() {
            continue;
        }
        let segment = place.segment.map(|segment| &ground.segments[segment.index()]);
        let segment = segment.filter(|segment| segment.rule.is_pushed());
        if !place.drift.is_zero() && segment.is_none_or(|segment| id == segment.last.index()) {
            desk.fault(words::nowhere_to_drift(clause.span, &name));
            continue;
        }
        if !place.early.is_zero() && !may_begin_early(&name, id, segment, clause.span, desk) {
            continue;
        }
        if let Some(MoveRule::PushedEvery { every, .. }) = segment.map(|segment| segment.rule)
            && place.drift.max(place.early) >= every
        {
            let (drift, every) = (place.drift.max(place.early).to_string(), every.to_string());
            desk.fault(words::drifts_too_far(clause.span, &name, &drift, &every));
        }
    }
}

/// Early is before a signal, on the unit in the place behind.
fn may_begin_early(name: &str, id: usize, segment: Option<&Segment>, span: Span, desk: &mut Desk) -> bool {
    let fine = segment.is_some_and(|segment| {
        id > segment.first.index() && matches!(segment.rule, MoveRule::PushedEvery { .. })
    });
    if !fine {
        desk.fault(words::nothing_to_begin_early(span, name));
    }
    fine
}

/// Somebody must be there who begins early.
pub(super) fn judge_early(statements: &[&Statement], ground: &Ground, desk: &mut Desk) {
    for statement in statements {
        let Some((_, clause)) = clause!(statement, ClauseKind::Drift { .. } => ()) else { continue };
        let name = name_of(statement).text;
        let found = ground.places.iter().find(|place| place.name == name && !place.early.is_zero());
        let Some(place) = found else { continue };
        if place.crew.is_none() {
            desk.fault(words::nobody_begins_early(clause.span, &name));
        }
    }
}
