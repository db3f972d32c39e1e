//! Work that is kept apart: who waits for whom, and that the two can meet.

use super::desk::Desk;
use super::listed::listed;
use super::names::Kind;
use super::procedures::Tests;
use super::quantity;
use super::steps::{Around, Steps};
use crate::diagnostic::words::{exclusions as words, statements as statement_words};
use crate::line::{Exclusion, PlaceId, Reach, StepId, ZoneId};
use crate::syntax::tree::{Apart, Head, Name, Statement};

/// Exclusions of a line at most: each costs a look at every start of what it names.
pub(super) const MOST: usize = 1_000;

pub(super) fn exclusions(
    statements: &[&Statement],
    steps: &Steps,
    tests: &Tests,
    around: &Around,
    desk: &mut Desk,
) -> Vec<Exclusion> {
    statements.iter().filter_map(|statement| exclusion(statement, steps, tests, around, desk)).collect()
}

fn exclusion(
    statement: &Statement,
    steps: &Steps,
    tests: &Tests,
    around: &Around,
    desk: &mut Desk,
) -> Option<Exclusion> {
    let Head::Exclude(spec) = &statement.head else { return None };
    let apart = match &spec.apart {
        Apart::Steps(names) => {
            let found = listed(names, "exclude", steps, tests, around, desk);
            no_holds(names, found.as_deref(), steps, desk).map(|found| (found, Vec::new()))
        }
        Apart::Zones(names) => in_zones(names, steps, around, desk),
    };
    let running = listed(&spec.running, "while", steps, tests, around, desk);
    let reach = match &spec.within {
        None => Some(Reach::Unit),
        Some(expr) => {
            let most = u32::try_from(around.ground.on_line).unwrap_or(u32::MAX);
            quantity::count(expr, "the places within which work is kept apart", 0, most, desk)
                .map(Reach::Places)
        }
    };
    let (apart, zones) = apart?;
    let exclusion = Exclusion { apart, zones, running: running?, reach: reach?, span: statement.span };
    judge_meeting(&exclusion, steps, around, desk);
    Some(exclusion)
}

/// A hold begins when its turn comes and can't be told to wait.
fn no_holds(names: &[Name], found: Option<&[StepId]>, steps: &Steps, desk: &mut Desk) -> Option<Vec<StepId>> {
    let found = found?;
    let hold = found.iter().map(|id| &steps.steps[id.index()]).find(|step| step.hold().is_some());
    if let Some(hold) = hold {
        let span = names.iter().find(|name| name.text == hold.name).or(names.first())?.span;
        desk.fault(words::hold_waits(span, &hold.name));
        return None;
    }
    Some(found.to_vec())
}

/// Every task that is, or may be, in one of the zones; and these.
fn in_zones(
    names: &[Name],
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<(Vec<StepId>, Vec<ZoneId>)> {
    let mut zones: Vec<ZoneId> = Vec::new();
    let mut fine = true;
    for name in names {
        match around.names.find(Kind::Zone, name, desk).map(ZoneId::from_index) {
            Some(zone) if zones.contains(&zone) => {
                desk.fault(statement_words::repeated_in_list(name.span, &name.text, "work in"));
            }
            Some(zone) => zones.push(zone),
            None => fine = false,
        }
    }
    let works = |step: &crate::line::Step| zones.iter().any(|zone| step.may_be_in(*zone));
    let found: Vec<StepId> =
        (0..steps.steps.len()).filter(|index| works(&steps.steps[*index])).map(StepId::from_index).collect();
    if fine
        && found.is_empty()
        && let Some(first) = names.first()
    {
        desk.fault(words::nobody_there(first.span, &first.text));
    }
    (fine && !found.is_empty()).then_some((found, zones))
}

/// Some step of the one side and some of the other can run at once.
fn judge_meeting(exclusion: &Exclusion, steps: &Steps, around: &Around, desk: &mut Desk) {
    let placed = |id: &StepId| steps.placed[id.index()];
    if !exclusion.apart.iter().chain(&exclusion.running).all(placed) {
        return;
    }
    // Where each may be done: at its place, and on as far as it may travel.
    let stretch = |id: &StepId| {
        let step = &steps.steps[id.index()];
        (step.place, step.travel.map_or(step.place, |travel| travel.to))
    };
    let gap = |(a, b): (PlaceId, PlaceId), (c, d): (PlaceId, PlaceId)| {
        c.index().saturating_sub(b.index()).max(a.index().saturating_sub(d.index()))
    };
    let meets = |one: &StepId, other: &StepId| match exclusion.reach {
        Reach::Unit => one != other && gap(stretch(one), stretch(other)) == 0,
        // Beside lanes that is a matter of ways, and judged of the line as a whole.
        Reach::Places(_) if !around.ground.lanes.is_empty() => true,
        Reach::Places(most) => gap(stretch(one), stretch(other)) <= most as usize,
    };
    if exclusion.apart.iter().any(|one| exclusion.running.iter().any(|other| meets(one, other))) {
        return;
    }
    let (one, other) = (exclusion.apart[0], exclusion.running[0]);
    let said = |id: StepId| {
        let step = &steps.steps[id.index()];
        (step.name.as_str(), around.ground.place(step.place).name.as_str())
    };
    desk.fault(match exclusion.reach {
        Reach::Unit => words::never_meet(exclusion.span, said(one), said(other)),
        Reach::Places(_) => words::too_far_apart(exclusion.span, said(one), said(other)),
    });
}
