//! People who walk: what can't be said beside it.

use super::clauses::clause;
use super::desk::Desk;
use super::names::{Names, name_of};
use super::places::Ground;
use crate::diagnostic::words::limits;
use crate::line::{Equipment, Step, Window};
use crate::syntax::tree::{ClauseKind, Statement};
use crate::units::Time;

/// `places` in file order.
pub(super) fn judge(
    places: &[&Statement],
    (ground, names): (&Ground, &Names),
    steps: &[Step],
    windows: &[Window],
    equipment: &[Equipment],
    desk: &mut Desk,
) {
    for statement in places {
        let Some((_, clause)) = clause!(statement, ClauseKind::Walk(_) => ()) else { continue };
        let name = name_of(statement);
        let Some(place) = ground.find(&name, names, desk) else { continue };
        if ground.place(place).walk == Time::ZERO {
            continue;
        }
        let who = format!("the walk to {}", name.text);
        // Nobody knows before they arrive whether it is still in time.
        let closes = |window: &&Window| !window.judged_at_end && steps[window.closes.index()].place == place;
        if let Some(window) = windows.iter().find(closes) {
            let step = &steps[window.closes.index()].name;
            desk.fault(limits::pair_not_modelled(
                clause.span,
                &who,
                &format!("a window up to the start of {step}"),
            ));
        }
        if ground.places.iter().any(|place| !place.drift.is_zero()) {
            desk.fault(limits::pair_not_modelled(clause.span, &who, "crews that drift"));
        }
        if equipment.iter().any(|equipment| !equipment.moving.is_zero()) {
            desk.fault(limits::pair_not_modelled(clause.span, &who, "equipment that has a way"));
        }
        // What is cut off at a push has begun.
        if steps.iter().any(|step| step.travel.is_some()) {
            desk.fault(limits::pair_not_modelled(clause.span, &who, "late work that travels"));
        }
    }
}
