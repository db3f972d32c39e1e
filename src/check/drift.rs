//! Crews that drift: in which segments, and how far.

use super::clauses::clause;
use super::desk::Desk;
use super::names::name_of;
use super::places::Ground;
use crate::diagnostic::words::{limits, places as words};
use crate::line::MoveRule;
use crate::syntax::tree::{ClauseKind, Statement};

/// Holds every `drift` to a station of a pushed segment that has a place behind it, and to less than the time
/// between two pushes.
pub(super) fn judge(statements: &[&Statement], ground: &Ground, desk: &mut Desk) {
    let travels = ground.segments.iter().any(|segment| segment.rule.late_work_travels());
    for statement in statements {
        let Some((_, clause)) = clause!(statement, ClauseKind::Drift(drift) => drift) else { continue };
        let name = name_of(statement).text;
        let Some(id) = ground.places.iter().position(|place| place.name == name) else { continue };
        let place = &ground.places[id];
        // `drift 0 min` takes it back in a layout.
        if place.drift.is_zero() {
            continue;
        }
        let segment = place.segment.map(|segment| &ground.segments[segment.index()]);
        let Some(segment) = segment.filter(|s| s.rule.is_pushed() && id < s.last.index()) else {
            desk.fault(words::nowhere_to_drift(clause.span, &name));
            continue;
        };
        if travels {
            desk.fault(limits::pair_not_modelled(clause.span, "crews that drift", "late work that travels"));
        }
        if let MoveRule::PushedEvery { every, .. } = segment.rule
            && place.drift >= every
        {
            let (drift, every) = (place.drift.to_string(), every.to_string());
            desk.fault(words::drifts_too_far(clause.span, &name, &drift, &every));
        }
    }
}
