//! Holds that may move: to which place, and what they must not have to do with.

use super::desk::Desk;
use crate::diagnostic::words::travel as words;
use crate::line::{Line, OutcomeKind, Step, StepId};

/// Reports every hold that may move and can't, or beside which something can't be said.
pub(super) fn judge(line: &Line, desk: &mut Desk) {
    for (index, step) in line.steps.iter().enumerate() {
        if step.hold().is_none_or(|hold| !hold.may_move) {
            continue;
        }
        let segment = line.places[step.place.index()].segment.map(|id| &line.segments[id.index()]);
        if segment.is_none_or(|segment| !segment.rule.is_pushed() || segment.last == step.place) {
            let at = &line.places[step.place.index()].name;
            desk.fault(words::hold_moves_nowhere(step.span, &step.name, at));
        } else if let Some(why) = bound(line, StepId::from_index(index), step) {
            desk.fault(words::hold_stays(step.span, &step.name, &why));
        }
    }
}

/// Why it must end where it began.
fn bound(line: &Line, id: StepId, step: &Step) -> Option<String> {
    let name = |id: StepId| &line.steps[id.index()].name;
    let redone = |kind: &OutcomeKind| match kind {
        OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => {
            route.iter().any(|visit| visit.redo.contains(&id))
        }
        OutcomeKind::FixedInPlace { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => false,
    };
    for test in &line.tests {
        if test.steps.contains(&id) {
            return Some(format!("is part of test {}", test.name));
        }
        if test.outcomes.iter().any(|outcome| redone(&outcome.kind)) {
            return Some(format!("is done again when test {} fails", test.name));
        }
    }
    let window = line
        .windows
        .iter()
        .find(|w| [w.opens, w.closes].contains(&id) || w.undone.contains(&id) || w.redo.contains(&id));
    if let Some(window) = window {
        return Some(format!("lies in the window from {} to {}", name(window.opens), name(window.closes)));
    }
    if line.keeps.iter().any(|keep| [keep.from, keep.to].contains(&id)) {
        return Some("has equipment kept from or to it".to_string());
    }
    if !step.equipment.is_empty() {
        return Some("takes equipment".to_string());
    }
    let apart = line.exclusions.iter().any(|e| e.running.contains(&id));
    apart.then(|| "keeps other work apart".to_string())
}
