//! What becomes of a unit that fails its test: fixed in place, sent back, to a repair bay, scrapped,
//! tested again.

use super::desk::Desk;
use super::exact::Exact;
use super::needs::{self, Asking};
use super::procedures::{step_of_test, steps_at};
use super::quantity::{self, said};
use super::sharing;
use super::steps::{Around, Steps};
use super::times::{self, sum_to_one};
use crate::diagnostic::Span;
use crate::diagnostic::words::{feeders, precedence, ranges as words, statements as statement_words};
use crate::line::{FailOutcome, Fix, OutcomeKind, PlaceId, PlaceKind, Revisit, StepId, Test};
use crate::syntax::tree::{self, ClauseKind, Expr, Name, Outcome, Statement};

/// The outcomes with their shares, which sum to 1.
pub(super) fn outcomes(
    statement: &Statement,
    test: &Test,
    faulty: bool,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Vec<FailOutcome> {
    let stated: Vec<(&Option<Expr>, &Outcome, Span)> = statement
        .clauses
        .iter()
        .filter_map(|clause| match &clause.kind {
            ClauseKind::OnFail { share, outcome } => Some((share, outcome, clause.span)),
            _ => None,
        })
        .collect();
    let mut found = Vec::new();
    let mut shares = Vec::new();
    for (share, outcome, span) in &stated {
        let share = match share {
            Some(expr) => {
                quantity::share(expr, "the share of the fails", desk).map(|found| (found, said(expr)))
            }
            None if stated.len() == 1 => Some((Exact::ONE, "100 %".to_string())),
            None => {
                let example = "on fail 90 % fixed in place takes 10 min";
                let who = format!("each of the {} outcomes of test {}", stated.len(), test.name);
                desk.fault(statement_words::missing_clause(*span, &who, "a share", example));
                None
            }
        };
        let kind = outcome_kind(outcome, test, *span, faulty, steps, around, desk);
        if let Some(share) = share {
            shares.push(share);
        }
        if let Some(kind) = kind {
            found.push(FailOutcome { share: 0.0, kind, span: *span });
        }
    }
    if shares.len() < stated.len() || stated.is_empty() {
        return found;
    }
    let what = format!("the shares of the fails of test {}", test.name);
    if let Some(shares) = sum_to_one(&shares, &what, stated[0].2, desk) {
        for (outcome, share) in found.iter_mut().zip(shares) {
            outcome.share = share;
        }
    }
    found
}

fn outcome_kind(
    outcome: &Outcome,
    test: &Test,
    span: Span,
    faulty: bool,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<OutcomeKind> {
    match outcome {
        Outcome::Scrapped => Some(OutcomeKind::Scrapped),
        Outcome::Retest { in_place } => Some(OutcomeKind::Retest { in_place: *in_place }),
        Outcome::FixedInPlace { takes, by } => {
            let place = (!faulty).then_some(test.place);
            Some(OutcomeKind::FixedInPlace(fix(takes, by.as_ref(), place, test, span, around, desk)?))
        }
        Outcome::BackTo { place, redo, then } => {
            let first = around.ground.find(place, around.names, desk);
            let redo = redo_steps(redo, steps, around, desk);
            let route = route(first.map(|id| (id, place)), then, &redo, test, faulty, steps, around, desk);
            Some(OutcomeKind::BackTo { route: route? })
        }
        Outcome::ToRepair { place, takes, by, then } => {
            let bay = around.ground.find(place, around.names, desk);
            let bay = bay.and_then(|id| is_repair(id, place, around, desk));
            let work = fix(takes, by.as_ref(), bay, test, span, around, desk);
            let route = route(None, then, &[], test, faulty, steps, around, desk);
            Some(OutcomeKind::ToRepair { place: bay?, fix: work?, route: route? })
        }
    }
}

fn is_repair(id: PlaceId, name: &Name, around: &Around, desk: &mut Desk) -> Option<PlaceId> {
    if around.ground.place(id).kind == PlaceKind::Repair {
        return Some(id);
    }
    desk.fault(precedence::not_a_repair_bay(name.span, &name.text));
    None
}

/// Time and people of a fix at `place`.
fn fix(
    takes: &tree::TimeSpec,
    by: Option<&tree::FixPeople>,
    place: Option<PlaceId>,
    test: &Test,
    span: Span,
    around: &Around,
    desk: &mut Desk,
) -> Option<Fix> {
    let what = format!("the fix after test {}", test.name);
    let time = times::dist(takes, &what, desk);
    let place = place.map(|id| around.ground.place(id));
    let people = match (by, place) {
        (Some(by), _) => sharing::fix_people(by, &what, around, desk),
        (None, Some(place)) => Some((needs::unsaid(place), None)),
        (None, None) => None,
    };
    let (needs, shared) = people?;
    if let Some(place) = place {
        let asking = Asking { step: &what, span, models: "" };
        sharing::judge_fix(&needs, shared.as_ref(), &asking, place, around.staff, desk);
    }
    Some(Fix { time: time?, needs, shared })
}

/// The steps that `redo` names; a test stands for its steps.
fn redo_steps(list: &[Name], steps: &Steps, around: &Around, desk: &mut Desk) -> Vec<(StepId, Span)> {
    list.iter().filter_map(|name| Some((step_of_test(name, steps, around, desk)?, name.span))).collect()
}

/// The places a failed unit visits again, with the steps redone at each.
#[expect(clippy::too_many_arguments, reason = "first and then are two parts of one route")]
fn route(
    first: Option<(PlaceId, &Name)>,
    then: &[Name],
    redo: &[(StepId, Span)],
    test: &Test,
    faulty: bool,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<Vec<Revisit>> {
    let mut fine = true;
    let mut stops: Vec<(PlaceId, &Name)> = first.into_iter().collect();
    for name in then {
        match around.ground.find(name, around.names, desk) {
            Some(id) => stops.push((id, name)),
            None => fine = false,
        }
    }
    for (id, name) in &stops {
        fine &= may_return_to(*id, name, test, faulty, around, desk);
    }
    for (id, span) in redo {
        let step = &steps.steps[id.index()];
        let visited = stops.iter().any(|(place, _)| *place == step.place);
        if steps.placed[id.index()] && fine && !visited && !stops.is_empty() {
            let at = &around.ground.place(step.place).name;
            desk.fault(words::not_on_the_way(*span, &step.name, at));
            fine = false;
        }
    }
    let revisit = |place: PlaceId| {
        let mut named: Vec<StepId> =
            redo.iter().map(|(id, _)| *id).filter(|id| steps.steps[id.index()].place == place).collect();
        named.sort_unstable();
        named.dedup();
        Revisit { place, redo: if named.is_empty() { steps_at(place, steps) } else { named } }
    };
    fine.then(|| stops.iter().map(|(place, _)| revisit(*place)).collect())
}

/// Units go back to places on the line, at or before the test.
fn may_return_to(
    id: PlaceId,
    name: &Name,
    test: &Test,
    faulty: bool,
    around: &Around,
    desk: &mut Desk,
) -> bool {
    let place = around.ground.place(id);
    if place.kind == PlaceKind::Repair {
        desk.fault(precedence::back_to_repair_bay(name.span, &test.name, &place.name));
        return false;
    }
    if !faulty && around.ground.feeder_of(id) != around.ground.feeder_of(test.place) {
        desk.fault(feeders::two_lines(name.span, &test.name, &place.name));
        return false;
    }
    if !faulty && id > test.place {
        let at = &around.ground.place(test.place).name;
        desk.fault(words::behind_the_test(name.span, &test.name, &place.name, at));
        return false;
    }
    true
}
