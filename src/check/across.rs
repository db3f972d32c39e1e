//! What must not reach across lanes: windows, kept equipment, ways back, faults that go on, and all else that counts
//! on every unit passing a place.

use super::desk::Desk;
use crate::diagnostic::Span;
use crate::diagnostic::words::{exclusions as exclusion_words, feeders as feeder_words, lanes as words};
use crate::line::{Builds, Lane, Line, OutcomeKind, PlaceId, Reach, StartState, StepId};

/// Reports what a line says of its lanes that no run could keep.
pub(super) fn judge(line: &Line, desk: &mut Desk) {
    if line.lanes.is_empty() {
        return;
    }
    judge_order(line, desk);
    judge_ends(line, desk);
    judge_ways_back(line, desk);
    judge_parts(line, desk);
    judge_distances(line, desk);
    judge_start(line, desk);
}

fn lane(line: &Line, place: PlaceId) -> Option<&Lane> {
    line.lane_at(place).map(|(lanes, lane)| &lanes.lanes[lane])
}

fn lane_of_step(line: &Line, step: StepId) -> Option<&Lane> {
    lane(line, line.steps[step.index()].place)
}

fn same(one: Option<&Lane>, other: Option<&Lane>) -> bool {
    one.map(|lane| lane.first) == other.map(|lane| lane.first)
}

/// No unit passes two lanes of one group, so what is done in one follows nothing in another.
fn judge_order(line: &Line, desk: &mut Desk) {
    for step in &line.steps {
        let Some((lanes, here)) = line.lane_at(step.place) else { continue };
        for other in step.after.iter().map(|id| &line.steps[id.index()]) {
            if lanes.lane_of(other.place).is_some_and(|there| there != here) {
                let place = |place: PlaceId| &line.places[place.index()].name;
                let (at, there) = (place(step.place), place(other.place));
                desk.fault(words::no_unit_passes_both(step.span, &step.name, at, &other.name, there));
            }
        }
    }
}

/// What begins somewhere and must end somewhere else.
fn judge_ends(line: &Line, desk: &mut Desk) {
    let name = |step: StepId| line.steps[step.index()].name.as_str();
    for window in &line.windows {
        let opens = lane_of_step(line, window.opens);
        let what = format!("the window from {} to {}", name(window.opens), name(window.closes));
        let all = window.undone.iter().chain(&window.redo).chain([&window.closes]);
        let across = all.copied().find(|step| {
            let lane = lane_of_step(line, *step);
            lane.is_some() && !same(lane, opens)
        });
        if let Some(step) = across {
            one_end(window.span, &what, name(step), lane_of_step(line, step), desk);
        }
    }
    for keep in &line.keeps {
        let what = format!("{} is kept", line.equipment[keep.equipment.index()].name);
        let (from, to) = (lane_of_step(line, keep.from), lane_of_step(line, keep.to));
        if !same(from, to) {
            let inside = if to.is_some() { keep.to } else { keep.from };
            one_end(keep.span, &what, name(inside), to.or(from), desk);
        }
    }
    for carriers in &line.carriers {
        let (first, last) = (lane(line, carriers.first), lane(line, carriers.last));
        if !same(first, last) {
            let inside = if last.is_some() { carriers.last } else { carriers.first };
            let what = format!("the way of carriers {}", carriers.name);
            one_end(carriers.span, &what, &line.places[inside.index()].name, last.or(first), desk);
        }
    }
    for gate in &line.gates {
        let Some(on) = gate.goes_on else { continue };
        let (here, there) = (lane(line, gate.place), lane(line, on.to));
        if !same(here, there) {
            let inside = if there.is_some() { on.to } else { gate.place };
            let what = format!("what gate {} leaves", gate.name);
            one_end(gate.span, &what, &line.places[inside.index()].name, there.or(here), desk);
        }
    }
}

fn one_end(span: Span, what: &str, inside: &str, lane: Option<&Lane>, desk: &mut Desk) {
    let lane = lane.map_or("", |lane| lane.name.as_str());
    desk.fault(words::one_end(span, what, inside, lane));
}

/// A unit is sent back only where it has been, and its faults are found where it comes.
fn judge_ways_back(line: &Line, desk: &mut Desk) {
    for test in &line.tests {
        let own = lane(line, test.place);
        let reached = |place: PlaceId| lane(line, place).filter(|there| !same(Some(there), own));
        for outcome in &test.outcomes {
            let route = match &outcome.kind {
                OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => route.as_slice(),
                OutcomeKind::FixedInPlace { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => &[],
            };
            let stop = route.iter().find_map(|visit| Some((visit.place, reached(visit.place)?)));
            if let Some((place, lane)) = stop {
                let what = format!("test {} sends units back", test.name);
                one_end(outcome.span, &what, &line.places[place.index()].name, Some(lane), desk);
            }
        }
        let finder = test.wrong.escapes.map(|(_, finder)| line.finder(finder));
        if let Some((finder, lane)) = finder.and_then(|(finder, place)| Some((finder, reached(place)?))) {
            let what = format!("what escapes test {}", test.name);
            one_end(test.span, &what, finder, Some(lane), desk);
        }
    }
}

/// One part is built for each unit, so every unit must come where it is taken.
fn judge_parts(line: &Line, desk: &mut Desk) {
    for feeder in line.feeders.iter().filter(|feeder| feeder.builds != Builds::ToStock) {
        let takes = |step: &crate::line::Step| step.uses.iter().any(|(part, _)| *part == feeder.part);
        for step in line.steps.iter().filter(|step| takes(step) && !all_come(line, step)) {
            let why = "it stands in a lane that not every unit takes";
            desk.fault(feeder_words::not_one_each(step.span, &step.name, &feeder.name, why));
        }
    }
}

/// Every unit of the models that have a step comes to its place.
fn all_come(line: &Line, step: &crate::line::Step) -> bool {
    (0..line.models.len()).all(|m| !step.models[m] || line.lane_share(step.place, m) >= 1.0)
}

/// What is kept apart within so many places can come so near: along some way, wherever it may be done.
fn judge_distances(line: &Line, desk: &mut Desk) {
    let places = |step: &StepId| {
        let step = &line.steps[step.index()];
        let to = step.travel.map_or(step.place, |travel| travel.to);
        (step.place.index()..=to.index()).map(PlaceId::from_index)
    };
    for exclusion in &line.exclusions {
        let Reach::Places(most) = exclusion.reach else { continue };
        let near = |one: PlaceId, other| line.moves_between(one, other).is_some_and(|moves| moves <= most);
        let meets = |one: &StepId, other: &StepId| {
            places(one).any(|place| places(other).any(|there| near(place, there)))
        };
        let (apart, running) = (&exclusion.apart, &exclusion.running);
        if !apart.iter().any(|one| running.iter().any(|other| meets(one, other))) {
            let said = |id: StepId| {
                let step = &line.steps[id.index()];
                (step.name.as_str(), line.places[step.place.index()].name.as_str())
            };
            desk.fault(exclusion_words::too_far_apart(exclusion.span, said(apart[0]), said(running[0])));
        }
    }
}

/// Who stands in a lane from the start is of a model that takes it.
fn judge_start(line: &Line, desk: &mut Desk) {
    for lanes in &line.lanes {
        let built =
            |lane: &Lane| (0..line.models.len()).any(|m| lane.models[m] && line.models[m].share > 0.0);
        for lane in lanes.lanes.iter().filter(|lane| line.start == StartState::Full && !built(lane)) {
            desk.fault(words::nobody_stands(lane.span, &lane.name));
        }
    }
}
