//! Bounds where a load is no plain sum: no plan can do with less, whatever the schedule.
//!
//! Only what holds for every schedule counts: people x time, and the longest single step. (The
//! makespan of fewer steps may be longer than that of more: Graham, "Bounds on multiprocessing timing
//! anomalies", SIAM J. Applied Mathematics 17 (1969), so schedules of part of a station bound nothing.)

use super::load::lost;
use super::plan::{Aim, Goal};
use super::trial::Trial;
use super::window::room_per_unit;
use crate::draws::moments::mean;
use crate::line::{Line, PlaceId, Step};
use std::collections::BTreeSet;

/// The aim's own figure at least: stations, people, or pace in microseconds.
pub fn least(line: &Line, trial: &Trial, goal: &Goal) -> f64 {
    match goal.aim {
        Aim::Stations => stations(line, trial, goal) as f64,
        Aim::People => super::people::least_people(line, trial, goal),
        Aim::Pace | Aim::Smooth | Aim::Moves => pace(line, trial, goal),
    }
}

/// People x time of one unit, weighted by the mix, microseconds.
pub(super) fn labour(line: &Line, trial: &Trial, s: usize) -> f64 {
    let step = &line.steps[s];
    let of = |m: usize| {
        let heads: u32 = step.needs[m].iter().map(|need| need.count).sum();
        match step.models[m] {
            true => line.models[m].share * f64::from(heads) * shortest(line, trial, s, m),
            false => 0.0,
        }
    };
    line.share_of_lane(step.place) * taken(line, step) * (0..line.models.len()).map(of).sum::<f64>()
}

/// Its mean time at the place where it takes least, microseconds.
fn shortest(line: &Line, trial: &Trial, s: usize, model: usize) -> f64 {
    let time = &line.steps[s].times[model];
    let factor = match trial.may[s].as_slice() {
        [] | [_] => time.factor,
        several => {
            let times = several.iter().map(|p| line.places[p.index()].times);
            time.own * times.fold(f64::INFINITY, f64::min)
        }
    };
    mean(&time.dist) * factor
}

/// Share of the units that have all options the step asks for.
fn taken(line: &Line, step: &Step) -> f64 {
    step.options.iter().map(|o| line.options[o.index()].rate).product()
}

/// People-time that a place offers to one unit, microseconds.
pub fn offered(line: &Line, place: PlaceId, goal: &Goal) -> f64 {
    let stated = &line.places[place.index()];
    let people = stated.crew.map_or(0, |c| line.crews[c.index()].size());
    let per_bay = stated.crew.is_some_and(|c| line.crews[c.index()].per_bay);
    let bays = if per_bay { 1.0 } else { f64::from(stated.bays) };
    room_per_unit(line, place).unwrap_or(0.0) * f64::from(people) * goal.caps.mix / bays
}

/// Stations at least: those where work is held, and enough people-time for all work together.
fn stations(line: &Line, trial: &Trial, goal: &Goal) -> usize {
    let is_station = |p: &PlaceId| is_station(line, *p);
    let held: BTreeSet<PlaceId> = (0..line.steps.len())
        .filter(|s| trial.may[*s].len() == 1)
        .map(|s| trial.may[s][0])
        .filter(is_station)
        .collect();
    let all = (0..line.on_line).map(PlaceId::from_index).filter(is_station);
    let mut room: Vec<f64> =
        all.clone().filter(|p| !held.contains(p)).map(|p| offered(line, p, goal)).collect();
    room.sort_by(|a, b| b.total_cmp(a));
    let at_stations = (0..line.steps.len()).filter(|s| is_station(&line.steps[*s].place));
    let mut left: f64 = at_stations.map(|s| labour(line, trial, s)).sum();
    left -= held.iter().map(|p| offered(line, *p, goal)).sum::<f64>();
    let mut more = 0;
    // A microsecond of slack: sums of rounded means.
    while left > 1.0 && more < room.len() {
        left -= room[more];
        more += 1;
    }
    (held.len() + more).max(1)
}

/// Pace at least: no step is shorter than itself, and people have so much time.
fn pace(line: &Line, trial: &Trial, goal: &Goal) -> f64 {
    let alone =
        (0..line.steps.len()).filter(|s| trial.may[*s].iter().all(|p| is_station(line, *p))).map(|s| {
            let step = &line.steps[s];
            let of = |m: usize| match step.models[m] {
                true => shortest(line, trial, s, m) * taken(line, step) * line.share_of_lane(step.place),
                false => 0.0,
            };
            let mix: f64 = (0..line.models.len()).map(|m| line.models[m].share * of(m)).sum();
            let worst = (0..line.models.len()).map(of).fold(0.0, f64::max);
            let time = (mix / goal.caps.mix).max(worst / goal.caps.model);
            // A long hold may run through the night: it counts for less than its length there.
            let time = if step.hold().is_some() { 0.0 } else { time };
            trial.may[s]
                .iter()
                .map(|p| (time + lost(line, *p)) / f64::from(line.places[p.index()].bays))
                .fold(f64::INFINITY, f64::min)
        });
    let people: f64 = line
        .crews
        .iter()
        .filter(|crew| crew.places.iter().any(|p| p.index() < line.on_line && is_station(line, *p)))
        .map(|crew| f64::from(crew.size()) * f64::from(line.gangs_of(crew)))
        .sum();
    let at_stations = (0..line.steps.len()).filter(|s| is_station(line, line.steps[*s].place));
    let work: f64 = at_stations.map(|s| labour(line, trial, s)).sum();
    let shared = if people > 0.0 { work / people / goal.caps.mix } else { 0.0 };
    alone.fold(shared, f64::max)
}

pub(super) fn is_station(line: &Line, place: PlaceId) -> bool {
    line.places[place.index()].is_station()
}
