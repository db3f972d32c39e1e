//! Tables of stations, racks and slots, of pushes, and of what holds the line back.

use super::{SHARE, Table, Writing};
use crate::report::record::{Estimate, Report};
use crate::report::rows::{LevelRow, PlaceKind, StationRow, WeekHour, WeekRow};
use crate::stats::BayState;

pub fn stations(report: &Report) -> Table {
    let pushed = report.stations.iter().any(|s| s.last_to_finish.is_some());
    let table = Writing::of("stations", "Stations, racks and repair bays", "/stations", &report.stations)
        .name("place", |s| (&s.id, &s.label))
        .word("kind", |s| kind(s.kind).to_string())
        .word("crew", |s| s.crew.clone().unwrap_or_default())
        .count("bays", "", "/bays", |s| Some(u64::from(s.bays)))
        .estimate("units that came, a run", "units", "/units", |s| s.units)
        .estimate("in use", SHARE, "/in_use", |s| s.in_use)
        .estimate("bays occupied", "bays", "/bays_occupied/mean", |s| s.bays_occupied.as_ref()?.mean)
        .estimate("holding outside net time, a run", "clock min", "/holding_outside_min", |s| {
            s.holding_outside_min
        });
    let table = match pushed {
        false => table,
        true => table
            .estimate("ready last", SHARE, "/last_to_finish", |s| s.last_to_finish)
            .estimate("delay caused, a push", "min", "/delay_caused_min", |s| s.delay_caused_min)
            .estimate("delay caused, a shift", "min", "/delay_caused_min_per_shift", |s| {
                s.delay_caused_min_per_shift
            })
            .count("pushes held for a return", "pushes", "/held_for_return", |s| Some(s.held_for_return)),
    };
    let table = match report.stations.iter().any(|s| s.pulled_off.is_some()) {
        false => table,
        true => table.estimate("pulled off the line", SHARE, "/pulled_off", |s| s.pulled_off),
    };
    let table = match report.stations.iter().any(|s| s.drifts.is_some()) {
        false => table,
        true => table.estimate("pushed on with work left", SHARE, "/drifts", |s| s.drifts).estimate(
            "work taken along, a push",
            "min",
            "/drift_min",
            |s| s.drift_min,
        ),
    };
    let table = match report.stations.iter().any(|s| s.begun_early.is_some()) {
        false => table,
        true => table
            .estimate("begun in the place behind", SHARE, "/begun_early", |s| s.begun_early)
            .estimate("begun before the push, a push", "min", "/begun_early_min", |s| s.begun_early_min),
    };
    match report.stations.iter().any(|s| s.overrun_min.is_some()) {
        false => table.done(),
        true => {
            table.estimate("on into breaks, a shift", "person-min", "/overrun_min", |s| s.overrun_min).done()
        }
    }
}

pub fn kind(kind: PlaceKind) -> &'static str {
    match kind {
        PlaceKind::Station => "station",
        PlaceKind::Rack => "rack",
        PlaceKind::Repair => "repair, off the line",
    }
}

/// Exact shares of net time in every state that some place is ever in.
pub fn states(report: &Report) -> Table {
    let seen = |state: &BayState| report.stations.iter().any(|s| s.shares.of(*state) > 0.0);
    let table = Writing::of("states", "Where net time goes", "/stations", &report.stations)
        .name("place", |s| (&s.id, &s.label));
    BayState::ALL
        .into_iter()
        .filter(seen)
        .fold(table, |table, state| {
            let words = state.words();
            let field = format!("/shares/{}", words.replace(' ', "_"));
            table.figure(words, SHARE, field, move |s: &StationRow| Some(s.shares.of(state)))
        })
        .done()
}

pub fn loads(report: &Report) -> Table {
    let all = &report.stations;
    let known = |s: &StationRow| !s.load_by_model.is_empty();
    let models = all.iter().find(|s| known(s)).map_or(&[][..], |s| &s.load_by_model);
    let table = Writing::those("loads", "Loads, of the window", "/stations", all, known)
        .name("place", |s| (&s.id, &s.label));
    models
        .iter()
        .enumerate()
        .fold(table, |table, (k, model)| {
            let field = format!("/load_by_model/{k}/load");
            table.figure(model.model.as_str(), SHARE, field, move |s| s.load_by_model.get(k)?.load)
        })
        .figure("mix", SHARE, "/load", |s| s.load)
        .figure("mix with retests and fixes", SHARE, "/load_with_retests", |s| s.load_with_retests)
        .done()
}

pub fn pushes(report: &Report) -> Table {
    Writing::of("pushes", "Pushes", "/pushes", &report.pushes)
        .word("segment", |p| if p.segment.is_empty() { "line".to_string() } else { p.segment.clone() })
        .word("from", |p| p.first.clone())
        .word("to", |p| p.last.clone())
        .figure("signal every", "min", "/every_min", |p| p.every_min)
        .figure("index", "min", "/index_min", |p| Some(p.index_min))
        .count("pushes, all runs", "pushes", "/pushes", |p| Some(p.pushes))
        .estimate("pushes a shift", "pushes", "/pushes_per_shift", |p| p.pushes_per_shift)
        .estimate("on time", SHARE, "/on_time", |p| p.on_time)
        .estimate("delay a push", "min", "/delay_min", |p| p.delay_min)
        .estimate("delay a shift", "min", "/delay_min_per_shift", |p| p.delay_min_per_shift)
        .estimate("tasks taken along, a push", "tasks", "/tasks_taken_along", |p| p.tasks_taken_along)
        .estimate("done elsewhere, a push", "min", "/done_elsewhere_min", |p| p.done_elsewhere_min)
        .estimate("waited for people, a push", "min", "/waited_for_people_min", |p| p.waited_for_people_min)
        .done()
}

/// What each method says of who holds the line back.
pub fn methods(report: &Report) -> Table {
    Writing::of("methods", "Evidence for what holds the line back", "/bottleneck/methods", {
        &report.bottleneck.methods
    })
    .word("method", |m| m.method.words().to_string())
    .word("names", |m| m.stations.join(", "))
    .column("figure of the first", "", super::Kind::Estimate, "/figure", |m| super::Cell::Estimate {
        of: m.figure,
        share: m.unit.starts_with(SHARE),
    })
    .word("unit", |m| m.unit.clone())
    .done()
}

pub fn slots(report: &Report) -> Table {
    levels("slots", "Slots, by the station they stand before", "/buffers", &report.buffers)
}

pub fn racks(report: &Report) -> Table {
    levels("racks", "Racks", "/racks", &report.racks)
}

/// The week, a row for each place.
pub fn week(report: &Report) -> Table {
    let places = report.week.as_ref().map_or(&[][..], |week| &week.places);
    Writing::of("week", "Over the week, units there on average", "/week/places", places)
        .name("where", |r: &WeekRow| (&r.id, &r.label))
        .count("places", "", "/places", |r| Some(u64::from(r.places)))
        .figure("in attended time", "units", "/attended", |r| r.attended)
        .figure("at night and on days off", "units", "/unattended", |r| r.unattended)
        .figure("in the fullest hour", "units", "/fullest", |r| r.fullest)
        .word("which begins", |r| r.fullest_from.clone().unwrap_or_default())
        .done()
}

/// The hours of the week, with a column for each place.
pub fn hours(report: &Report) -> Table {
    let (hours, places) =
        report.week.as_ref().map_or((&[][..], &[][..]), |week| (&week.hours[..], &week.places[..]));
    let mut writing = Writing::of("hours", "Hours of the week, units there on average", "/week/hours", hours)
        .word("from", |hour: &WeekHour| hour.from.clone())
        .figure("attended", SHARE, "/attended", |hour| Some(hour.attended));
    for (k, place) in places.iter().enumerate() {
        writing = writing.figure(&place.id, "units", format!("/units/{k}"), move |hour| hour.units[k]);
    }
    writing.done()
}

fn levels(name: &'static str, title: &'static str, at: &str, rows: &[LevelRow]) -> Table {
    let field = |of: fn(&LevelRow) -> Option<Estimate>| of;
    Writing::of(name, title, at, rows)
        .name("where", |r| (&r.id, &r.label))
        .count("places", "", "/places", |r| Some(u64::from(r.places)))
        .estimate("mean", "units", "/mean", field(|r| r.mean))
        .estimate("not exceeded 95 % of the time", "units", "/p95", field(|r| r.p95))
        .estimate("full", SHARE, "/share_full", field(|r| r.share_full))
        .estimate("empty", SHARE, "/share_empty", field(|r| r.share_empty))
        .done()
}
