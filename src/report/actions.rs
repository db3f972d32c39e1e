//! What to do next: at most three things, each with the figure of the report that calls for it; and
//! who can act where a place loses its time.

use super::record::{Estimate, Report};
use super::rows::{LaneRow, PlaceKind, StationRow, Verdict};
use super::wording::{banded, percent_of, percent_plus_minus, plus_minus, quoted, thousands};
use crate::stats::BayState;

/// Actions that are shown, at most.
const MOST: usize = 3;
/// A share of time below this is not worth anybody's errand.
const WORTH_IT: f64 = 0.01;

/// Something to do, and why.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Action {
    pub what: String,
    pub why: String,
    /// The place it is about; one action a place.
    place: Option<String>,
}

/// The first three that apply, in this order: the program's own fault, work to take off the place that
/// holds the line back, the place that delays pushes most, models too long for a place, promises that
/// more runs would decide, places short of something, and what else would gain units.
pub fn actions(report: &Report) -> Vec<Action> {
    let mut chosen: Vec<Action> = Vec::new();
    let candidates = use_nothing(report)
        .into_iter()
        .chain(work_off(report).into_iter().take(1))
        .chain(ready_late(report))
        .chain(too_long(report))
        .chain(run_more(report))
        .chain(short_of(report))
        .chain(work_off(report).into_iter().skip(1));
    for action in candidates {
        let known = action.place.is_some() && chosen.iter().any(|other| other.place == action.place);
        if !known && chosen.len() < MOST {
            chosen.push(action);
        }
    }
    chosen
}

fn named(station: &StationRow) -> String {
    match &station.label {
        Some(label) => format!("{} ({label})", station.id),
        None => station.id.clone(),
    }
}

fn at(station: &StationRow, what: String, why: String) -> Action {
    Action { what, why, place: Some(station.id.clone()) }
}

fn use_nothing(report: &Report) -> Option<Action> {
    report.holds.iter().any(|hold| !hold.kept).then(|| Action {
        what: "Use no figure of this report.".to_string(),
        why: "The audit found a hold under its minimum, which is a fault of the program.".to_string(),
        place: None,
    })
}

/// Places where less work surely gains units, the most first.
fn work_off(report: &Report) -> Vec<Action> {
    let gains = report.stations.iter().filter_map(|s| {
        let gain = s.bottleneck.units_gained.filter(|e| e.low.is_some_and(|low| low > 0.0))?;
        Some((s, gain))
    });
    let mut gains: Vec<(&StationRow, Estimate)> = gains.collect();
    gains.sort_by(|a, b| b.1.mean.total_cmp(&a.1.mean));
    let per = if report.line_measures.units_per_shift.is_some() { "a shift" } else { "an hour" };
    gains
        .into_iter()
        .map(|(s, gain)| {
            let over = match heaviest(s) {
                Some((model, load)) if load > 1.0 => {
                    format!(" {model} needs {} of its window there.", percent_of(load))
                }
                Some(_) | None => String::new(),
            };
            let why = format!(
                "5 % less attended work there gains {} units {per}, on the same random days.{over}",
                banded(&gain)
            );
            at(s, format!("Take work off {}.", named(s)), why)
        })
        .collect()
}

fn heaviest(station: &StationRow) -> Option<(&str, f64)> {
    let loads = station.load_by_model.iter().filter_map(|m| Some((m.model.as_str(), m.load?)));
    loads.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The place that delays pushes most.
fn ready_late(report: &Report) -> Option<Action> {
    let delays = report.stations.iter().filter_map(|s| Some((s, s.delay_caused_min?)));
    let (s, delay) = delays.max_by(|a, b| a.1.mean.total_cmp(&b.1.mean))?;
    if delay.low.unwrap_or(delay.mean) <= 0.0 {
        return None;
    }
    let how_long = match &s.delay_caused_min_per_shift {
        Some(shift) => format!("{} min a shift", plus_minus(shift)),
        None => format!("{} min a push", plus_minus(&delay)),
    };
    let last = s
        .last_to_finish
        .map_or(String::new(), |e| format!(", and is last at {} % of pushes", percent_plus_minus(&e)));
    let what = format!("Go and see why {} is ready late.", named(s));
    let ask = format!("What holds its units: taktwright why FILE {}", s.id);
    Some(at(s, what, format!("The line waits {how_long} for it alone{last}. {ask}")))
}

/// Places where a model needs more than the window, the worst first.
fn too_long(report: &Report) -> Vec<Action> {
    let over = report.stations.iter().filter_map(|s| Some((s, heaviest(s)?)));
    let mut over: Vec<_> = over.filter(|(_, (_, load))| *load > 1.0).collect();
    over.sort_by(|a, b| b.1.1.total_cmp(&a.1.1));
    over.into_iter()
        .map(|(s, (model, load))| {
            let what = format!("Shorten or move work of {model} at {}.", named(s));
            at(s, what, format!("It needs {} of its window on average.", percent_of(load)))
        })
        .collect()
}

fn run_more(report: &Report) -> Option<Action> {
    let open = report.promises.iter().filter(|p| p.verdict == Verdict::Undecided);
    let (promise, more) = open.filter_map(|p| Some((p, p.more_replications?))).max_by_key(|(_, n)| *n)?;
    Some(Action {
        what: format!("Run about {} more replications.", thousands(more)),
        why: format!("They would decide the promise {}.", quoted(&promise.text)),
        place: None,
    })
}

/// Places that most lack something, the worst first.
fn short_of(report: &Report) -> Vec<Action> {
    let lacks = [
        (BayState::ShortOfParts, "Bring parts in time to"),
        (BayState::ShortOfPeople, "Get people to"),
        (BayState::ShortOfEquipment, "Free equipment for"),
        (BayState::ShortOfRoom, "Make room to work at"),
        (BayState::Stopped, "Mend what stops"),
    ];
    let each = report.stations.iter().flat_map(|s| lacks.map(|(state, cure)| (s, state, cure)));
    let share = |s: &StationRow, state| s.shares.of(state);
    let mut each: Vec<_> = each.filter(|(s, state, _)| share(s, *state) >= WORTH_IT).collect();
    each.sort_by(|a, b| share(b.0, b.1).total_cmp(&share(a.0, a.1)));
    each.into_iter()
        .map(|(s, state, cure)| {
            let why = format!("It is {} {} of net time.", state.words(), percent_of(share(s, state)));
            at(s, format!("{cure} {}.", named(s)), why)
        })
        .collect()
}

/// The place whose delay is the greatest.
fn most_waited_for(report: &Report) -> Option<&str> {
    let delays = report.stations.iter().filter_map(|s| Some((s, s.delay_caused_min?.mean)));
    delays.filter(|(_, delay)| *delay > 0.0).max_by(|a, b| a.1.total_cmp(&b.1)).map(|(s, _)| s.id.as_str())
}

/// The places before and behind one, those of several lanes as `P1 or Q1`; `None` at the ends of the line.
fn neighbours(report: &Report, k: usize) -> (Option<String>, Option<String>) {
    let on_line = |s: &&StationRow| s.kind != PlaceKind::Repair;
    let id = |s: &StationRow| s.id.clone();
    let before = report.stations[..k].iter().rev().find(on_line).map(id);
    let ahead = report.stations[k + 1..].iter().find(on_line).map(id);
    let at = |id: &String| report.stations.iter().position(|s| s.id == *id);
    let own = &report.stations[k].id;
    let groups = report.lanes.chunk_by(|one, other| one.lanes == other.lanes);
    for group in groups {
        let ends = at(&group[0].first).zip(group.last().and_then(|lane| at(&lane.last)));
        let Some((first, last)) = ends else { continue };
        let all = |of: fn(&LaneRow) -> &String| {
            let names: Vec<&str> = group.iter().map(|lane| of(lane).as_str()).collect();
            Some(crate::units::join_or(&names))
        };
        if k + 1 == first {
            return (before, all(|lane| &lane.first));
        }
        if k == last + 1 {
            return (all(|lane| &lane.last), ahead);
        }
        if let Some(lane) = group.iter().find(|lane| at(&lane.first) <= Some(k) && Some(k) <= at(&lane.last))
        {
            let outside = |index: usize| report.stations.get(index).map(id);
            let before = if lane.first == *own { first.checked_sub(1).and_then(outside) } else { before };
            return (before, if lane.last == *own { outside(last + 1) } else { ahead });
        }
    }
    (before, ahead)
}

/// What takes most of a place's time besides work, and who can act on it; `None` where nothing does.
pub fn who_can_act(report: &Report, k: usize) -> Option<String> {
    let station = report.stations.get(k)?;
    let lost = BayState::ALL.iter().filter(|state| !matches!(state, BayState::Working));
    let worst = lost.max_by(|a, b| station.shares.of(**a).total_cmp(&station.shares.of(**b)))?;
    let share = station.shares.of(*worst);
    if share < WORTH_IT {
        return None;
    }
    let (before, ahead) = neighbours(report, k);
    let who = match worst {
        BayState::Stopped => "maintenance".to_string(),
        BayState::Holding => "nobody: a hold runs its minimum".to_string(),
        BayState::OffShift => "whoever sets the calendar".to_string(),
        BayState::Moving => "the engineer: length of the move".to_string(),
        BayState::Working => "the engineer: the work itself".to_string(),
        BayState::ShortOfParts => "material: parts at the line".to_string(),
        BayState::ShortOfEquipment => "the engineer: equipment shared".to_string(),
        BayState::ShortOfRoom => "the engineer: who works where at once".to_string(),
        BayState::ShortOfPeople => "the supervisor: people".to_string(),
        BayState::WaitingForStep => "the engineer: order of the steps".to_string(),
        BayState::Blocked => ahead.map_or("the way out".to_string(), |id| format!("room ahead, at {id}")),
        BayState::WaitingForSignal => match most_waited_for(report).filter(|id| *id != station.id) {
            Some(id) => format!("the line waits most for {id}"),
            None => "the line waits for the others".to_string(),
        },
        BayState::Starved if station.kind == PlaceKind::Repair => "nobody: few units come".to_string(),
        BayState::Starved => before.map_or("release of units".to_string(), |id| format!("supply from {id}")),
    };
    Some(format!("{} {}: {who}", worst.words(), percent_of(share)))
}
