//! Lines whose stations are alike and whose loads are plain sums: the classical case, with proof.
//!
//! Alike: every station can take every task, all have the same window and bays, and every task takes the
//! whole crew, so that no two ever run side by side. Nothing is held: no holds, tests, racks, windows or
//! kept equipment. The times are those of the mix; a model by itself may still be over its own cap, then
//! the answer is a bound and not a plan.

use super::classic::{Budget, StoppedBy, Tasks, fewest_stations, shortest_pace};
use super::load::{lost, window};
use super::plan::{Aim, Goal, Stopped};
use super::trial::Trial;
use crate::draws::moments::mean;
use crate::line::{Line, PlaceId, Step};

/// Steps of listing loads for one question: about a minute, far more than lines of this size need.
const STEPS: u64 = 200_000_000;
/// What a mean may lie above a whole microsecond and still count as that.
const ROUNDING: f64 = 1e-3;

/// What the classical search found.
pub struct Settled {
    /// `None` where more stations are needed than the line has.
    pub at: Option<Vec<PlaceId>>,
    /// Stations, people, or microseconds of pace.
    pub bound: f64,
    pub stopped: Stopped,
}

/// `None` where the line is no such line.
pub fn settle(line: &Line, trial: &Trial, goal: &Goal, stop: &dyn Fn() -> bool) -> Option<Settled> {
    let stations = alike(line, trial)?;
    let times = line.steps.iter().map(|step| whole(mix_time(line, step))).collect();
    let arcs: Vec<(usize, usize)> = line
        .steps
        .iter()
        .enumerate()
        .flat_map(|(later, step)| step.after.iter().map(move |first| (first.index(), later)))
        .collect();
    let tasks = Tasks::new(times, &arcs).ok()?;
    let first = *stations.first()?;
    let room = window(line, first)? * goal.caps.mix;
    let bays = f64::from(line.places[first.index()].bays);
    let index = lost(line, first);
    let budget = Budget { most_steps: STEPS, stop, ..Budget::default() };
    let place = |station: &usize| stations[*station];
    let stopped = |by: StoppedBy| match by {
        StoppedBy::Proof => Stopped::Proof,
        StoppedBy::Steps | StoppedBy::Memory => Stopped::Looks,
        StoppedBy::Caller => Stopped::Limit,
    };
    match goal.aim {
        Aim::Stations | Aim::People => {
            let capacity = (room + ROUNDING) as i64;
            let answer = fewest_stations(&tasks, capacity, &budget).ok()?;
            // All crews are alike: the fewest stations have the fewest people.
            let each = if goal.aim == Aim::People { people_at(line, first) } else { 1 };
            let bound = answer.lower_bound as f64 * f64::from(each);
            if answer.stations > stations.len() {
                return Some(Settled { at: None, bound, stopped: stopped(answer.stopped_by) });
            }
            // With so many stations, the lowest largest load.
            let even = shortest_pace(&tasks, answer.stations, &budget);
            let best = if even.pace <= capacity { &even.station_of } else { &answer.station_of };
            let at = best.iter().map(place).collect();
            Some(Settled { at: Some(at), bound, stopped: stopped(answer.stopped_by) })
        }
        Aim::Pace => {
            let answer = shortest_pace(&tasks, stations.len(), &budget);
            Some(Settled {
                at: Some(answer.station_of.iter().map(place).collect()),
                bound: (answer.lower_bound as f64 / goal.caps.mix + index) / bays,
                stopped: stopped(answer.stopped_by),
            })
        }
        Aim::Smooth | Aim::Moves => None,
    }
}

fn people_at(line: &Line, place: PlaceId) -> u32 {
    let crew = line.places[place.index()].crew.map(|c| &line.crews[c.index()]);
    crew.map_or(0, |crew| crew.size() * line.gangs_of(crew))
}

/// Mean over the mix, microseconds.
fn mix_time(line: &Line, step: &Step) -> f64 {
    let of = |m: usize| match step.models[m] {
        true => line.models[m].share * mean(&step.times[m].dist) * step.times[m].factor,
        false => 0.0,
    };
    (0..line.models.len()).map(of).sum()
}

/// Rounded up, but for what 64-bit arithmetic leaves over a whole number.
fn whole(micros: f64) -> i64 {
    (micros - ROUNDING).ceil().max(0.0) as i64
}

/// The stations in line order, where they are alike and nothing is held.
fn alike(line: &Line, trial: &Trial) -> Option<Vec<PlaceId>> {
    let stations: Vec<PlaceId> = (0..line.on_line).map(PlaceId::from_index).collect();
    let first = *stations.first()?;
    let crew_of = |p: PlaceId| line.places[p.index()].crew.map(|c| &line.crews[c.index()]);
    let same = |p: &PlaceId| {
        let (place, model) = (&line.places[p.index()], &line.places[first.index()]);
        place.is_station()
            && place.bays == model.bays
            && place.times == model.times
            && place.walk == crate::units::Time::ZERO
            && window(line, *p) == window(line, first)
            && line.rule_at(*p).is_pushed() == line.rule_at(first).is_pushed()
            && crew_of(*p).is_some_and(|crew| {
                (crew.per_bay || place.bays == 1)
                    && crew.places.len() == 1
                    && Some(crew.size()) == crew_of(first).map(|c| c.size())
            })
    };
    if !stations.iter().all(same) {
        return None;
    }
    let people = crew_of(first)?.size();
    let takes_all = |step: &Step| {
        (0..line.models.len())
            .filter(|m| step.models[*m])
            .all(|m| step.needs[m].iter().map(|need| need.count).sum::<u32>() == people)
            && step.options.is_empty()
            && step.travel.is_none()
            && step.shared.is_none()
            && step.beside.is_empty()
            && step.apart.is_empty()
    };
    let free = (0..line.steps.len()).all(|s| trial.held[s].is_none() && trial.may[s].len() == stations.len());
    (free && line.tests.is_empty() && line.steps.iter().all(takes_all)).then_some(stations)
}
