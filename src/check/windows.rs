//! Windows between steps, and equipment kept over several.

use super::clauses::clause;
use super::desk::Desk;
use super::names::{Kind, Names, name_of};
use super::needs::{self, Asking};
use super::quantity;
use super::sharing;
use super::steps::{Around, Steps};
use super::times;
use crate::diagnostic::words::{ranges as words, statements as statement_words};
use crate::line::{Equipment, EquipmentId, Keep, Precedence, Step, StepId, Window};
use crate::syntax::tree::{ClauseKind, Head, Name, Statement};
use crate::units::{Time, join_and};

/// The windows; without an order of work (a circle) those that need it are left out.
pub(super) fn windows(
    statements: &[&Statement],
    steps: &Steps,
    order: Option<&Precedence>,
    around: &Around,
    desk: &mut Desk,
) -> Vec<Window> {
    statements.iter().filter_map(|statement| window(statement, steps, order, around, desk)).collect()
}

fn window(
    statement: &Statement,
    steps: &Steps,
    order: Option<&Precedence>,
    around: &Around,
    desk: &mut Desk,
) -> Option<Window> {
    let Head::Window { opens, at_end, closes, judged_at_end } = &statement.head else { return None };
    let (first, last) = (step(opens, steps, around.names, desk), step(closes, steps, around.names, desk));
    let said = format!("the window from {} to {}", opens.text, closes.text);
    let within =
        clause!(statement, ClauseKind::Within { limit, redo, takes, by } => (limit, redo, takes, by));
    let Some(((limit, redo, takes, by), clause)) = within else {
        let example = format!("within 24 h, else redo {}", opens.text);
        desk.fault(statement_words::missing_clause(statement.span, &said, "`within`", &example));
        return None;
    };
    let limit = quantity::time_above_zero(limit, &format!("the limit of {said}"), desk);
    if redo.is_empty() {
        let example = format!("within 24 h, else redo {}", opens.text);
        desk.fault(statement_words::missing_clause(clause.span, &said, "`else redo`", &example));
    }
    let again: Vec<Option<StepId>> = redo.iter().map(|name| step(name, steps, around.names, desk)).collect();
    let redo_time = takes.as_ref().map(|spec| times::dist(spec, &format!("the redo of {said}"), desk));
    let redo_people =
        by.as_ref().map(|by| sharing::fix_people(by, &format!("the redo of {said}"), around, desk));
    let (first, last, limit, order) = (first?, last?, limit?, order?);
    if !order.comes_before(first, last) {
        desk.fault(words::no_way(opens.span.to(closes.span), &opens.text, &closes.text));
        return None;
    }
    let mut undone = order.between(first, last);
    undone.retain(|id| *id != last || *judged_at_end);
    let again: Vec<StepId> = again.into_iter().collect::<Option<Vec<_>>>()?;
    for (id, name) in again.iter().zip(redo) {
        if !undone.contains(id) {
            let names: Vec<&str> = undone.iter().map(|id| steps.steps[id.index()].name.as_str()).collect();
            let undone = join_and(&names);
            desk.fault(words::not_undone(name.span, &name.text, &opens.text, &closes.text, &undone));
        }
    }
    let (redo_needs, redo_shared) = transpose(redo_people)?.map_or((None, None), |(n, s)| (Some(n), s));
    let window = Window {
        opens: first,
        opens_at_end: *at_end,
        closes: last,
        judged_at_end: *judged_at_end,
        limit,
        redo: again,
        undone,
        redo_time: transpose(redo_time)?,
        redo_needs,
        redo_shared,
        span: statement.span,
    };
    judge_redo(&window, steps, around, desk);
    Some(window)
}

/// `None` for a part that is faulty; `Some(None)` for one that is not stated.
fn transpose<T>(part: Option<Option<T>>) -> Option<Option<T>> {
    match part {
        None => Some(None),
        Some(found) => found.map(Some),
    }
}

/// The redo is done by the crew at the closing step's place.
fn judge_redo(window: &Window, steps: &Steps, around: &Around, desk: &mut Desk) {
    let closes = &steps.steps[window.closes.index()];
    if !steps.placed[window.closes.index()] {
        return;
    }
    let place = around.ground.place(closes.place);
    for (index, id) in window.redo.iter().enumerate() {
        let step = &steps.steps[id.index()];
        let said = format!("the redo of {}", step.name);
        let asking = Asking { step: &said, span: window.span, models: "" };
        if let (0, Some(needs)) = (index, &window.redo_needs) {
            let shared = window.redo_shared.as_ref();
            sharing::judge_fix(needs, shared, &asking, place, around.staff, desk);
            continue;
        }
        for (model, needs) in step.needs.iter().enumerate() {
            // One report is enough, and at its own place the step has been judged.
            let here = step.place == closes.place;
            if step.models[model] && !here && !needs::judge(needs, &asking, place, around.staff, desk) {
                break;
            }
        }
    }
}

fn step(name: &Name, steps: &Steps, names: &Names, desk: &mut Desk) -> Option<StepId> {
    let index = names.find(Kind::Work, name, desk)?;
    let step = steps.of_name[index];
    if step.is_none() {
        desk.fault(words::not_a_step(name.span, &name.text));
    }
    step
}

/// Equipment kept with the unit from the start of one step to the end of another.
pub(super) fn keeps(
    statements: &[&Statement],
    steps: &Steps,
    order: Option<&Precedence>,
    around: &Around,
    desk: &mut Desk,
) -> Vec<Keep> {
    let mut found: Vec<Keep> = Vec::new();
    for statement in statements {
        let name = name_of(statement);
        let Head::Keep { from, to } = &statement.head else { continue };
        let equipment = around.names.find(Kind::Equipment, &name, desk).map(EquipmentId::from_index);
        let first = step(from, steps, around.names, desk);
        let last = step(to, steps, around.names, desk);
        let (Some(equipment), Some(first), Some(last), Some(order)) = (equipment, first, last, order) else {
            continue;
        };
        if first != last && !order.comes_before(first, last) {
            desk.fault(words::no_way(from.span.to(to.span), &from.text, &to.text));
            continue;
        }
        found.push(Keep { equipment, from: first, to: last, span: statement.span });
    }
    found
}

/// Nobody fetches a piece for a hold; and one that begins by itself, at any time, lets nobody go first.
pub(super) fn judge_keeps(keeps: &[Keep], steps: &[Step], equipment: &[Equipment], desk: &mut Desk) {
    for keep in keeps {
        let (from, piece) = (&steps[keep.from.index()], &equipment[keep.equipment.index()]);
        let Some(hold) = from.hold() else { continue };
        if piece.moving > Time::ZERO {
            desk.fault(words::kept_from_a_hold(keep.span, &piece.name, &from.name, "moving"));
        } else if !piece.first.is_empty() && !hold.attended {
            desk.fault(words::kept_from_a_hold(keep.span, &piece.name, &from.name, "first"));
        }
    }
}
