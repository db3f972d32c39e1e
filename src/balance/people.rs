//! People that a plan takes: those of the crews that have work. A crew comes whole or not at all; how many it has is
//! for the file to say.

use super::least::{is_station, labour, offered};
use super::plan::{Aim, Goal};
use super::trial::Trial;
use crate::line::{Crew, Line, PlaceId};

/// People of the crews with work, each bay's where every bay has its own. Who serves a place off the line stays, and
/// who builds parts isn't counted.
pub fn people(line: &Line, has_work: impl Fn(PlaceId) -> bool) -> u32 {
    line.crews.iter().map(|crew| people_of(line, crew, &has_work)).sum()
}

/// People of a crew, if it has work.
fn people_of(line: &Line, crew: &Crew, has_work: impl Fn(PlaceId) -> bool) -> u32 {
    let needs_it = |p: &PlaceId| match p.index() < line.on_line {
        true => has_work(*p),
        false => line.feeder_at(*p).is_none(),
    };
    if crew.places.iter().any(needs_it) { heads(line, crew) } else { 0 }
}

fn heads(line: &Line, crew: &Crew) -> u32 {
    crew.size() * line.gangs_of(crew)
}

/// Stations that an aim would close together: each by itself, or all of a crew that serves nothing else.
pub fn closed_together(line: &Line, aim: Aim) -> Vec<Vec<PlaceId>> {
    let stations = (0..line.on_line).map(PlaceId::from_index).filter(|p| is_station(line, *p));
    match aim {
        Aim::People => {
            let all_on_line = |crew: &&Crew| {
                let places = &crew.places;
                !places.is_empty() && places.iter().all(|p| p.index() < line.on_line && is_station(line, *p))
            };
            line.crews.iter().filter(all_on_line).map(|crew| crew.places.clone()).collect()
        }
        Aim::Stations | Aim::Pace | Aim::Smooth | Aim::Moves => stations.map(|place| vec![place]).collect(),
    }
}

/// People at least: of crews that some step can't do without, and so many more as it takes to offer the time for the
/// rest of the work. Crews are taken by the time they offer for each of their people, the last of them in part: no whole
/// choice needs fewer (the bound of a knapsack by its fractions: Dantzig, "Discrete-variable extremum problems",
/// Operations Research 5 (1957)).
pub fn least_people(line: &Line, trial: &Trial, goal: &Goal) -> f64 {
    let at_stations = (0..line.steps.len()).filter(|s| is_station(line, line.steps[*s].place));
    let mut left: f64 = at_stations.map(|s| labour(line, trial, s)).sum();
    let (mut held, mut others) = (0.0, Vec::new());
    for crew in line.crews.iter().filter(|crew| people_of(line, crew, |_| true) > 0) {
        let stations = crew.places.iter().filter(|p| p.index() < line.on_line && is_station(line, **p));
        let offers = stations.map(|p| offered(line, *p, goal)).fold(0.0, f64::max);
        let only_it_can = |may: &Vec<PlaceId>| !may.is_empty() && may.iter().all(|p| crew.places.contains(p));
        let heads = f64::from(heads(line, crew));
        if people_of(line, crew, |_| false) > 0 || trial.may.iter().any(only_it_can) {
            held += heads;
            left -= offers;
        } else if offers > 0.0 {
            others.push((offers / heads, heads));
        }
    }
    others.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut more = 0.0;
    for (each, heads) in others {
        // A microsecond of slack: sums of rounded means.
        if left <= 1.0 {
            break;
        }
        more += heads.min(left / each);
        left -= each * heads;
    }
    // People are whole; a millionth of one is rounding.
    (held + more - 1e-6).ceil().max(0.0)
}
