//! Holds that may move: to which place, and what they must not have to do with.

use super::desk::Desk;
use super::travel::Bound;
use crate::diagnostic::words::travel as words;
use crate::line::{Line, Step, StepId};

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
    if let Some(why) = Bound::of(line).why(id, &line.steps) {
        return Some(why);
    }
    if !step.equipment.is_empty() {
        return Some("takes equipment".to_string());
    }
    let apart = line.exclusions.iter().any(|e| e.running.contains(&id));
    apart.then(|| "keeps other work apart".to_string())
}
