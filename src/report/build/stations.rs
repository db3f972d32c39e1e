//! Rows of places: stations with racks and repair bays, pushes, slots.

use super::{LoadRow, shown_if};
use crate::line::{Line, MoveRule, PlaceId};
use crate::report::record::Estimate;
use crate::report::rows::{
    Evidence, LevelFigures, LevelRow, ModelLoad, PlaceKind, PushRow, StateShares, StationRow,
};
use crate::stats::{Levels, PlaceFigures, Summary};

pub fn stations(line: &Line, summary: &Summary, loads: &[LoadRow]) -> Vec<StationRow> {
    summary.places.iter().map(|figures| station(line, summary, figures, loads)).collect()
}

fn station(line: &Line, summary: &Summary, figures: &PlaceFigures, loads: &[LoadRow]) -> StationRow {
    let place = &line.places[figures.place.index()];
    let load = loads.iter().find(|row| row.place == figures.place);
    let delay = figures.delay.as_ref();
    StationRow {
        id: place.name.clone(),
        label: place.label.clone(),
        kind: kind(place.kind),
        feeder: line.feeder_at(figures.place).map(|feeder| feeder.name.clone()),
        bays: place.bays,
        crew: place.crew.map(|crew| line.crews[crew.index()].name.clone()),
        units: shown_if(&figures.visits),
        shares: StateShares::from_fn(|state| figures.shares.of(state)),
        shares_plus_minus: figures
            .shares
            .half_widths
            .map(|halves| StateShares::from_fn(|state| halves[state as usize])),
        in_use: shown_if(&figures.in_use),
        holding_outside_min: shown_if(&figures.holding_outside),
        bays_occupied: figures.bays.as_ref().map(level_figures),
        load: load.map(|row| row.mean),
        load_with_retests: load.map(|row| row.mean_with_retests),
        load_by_model: load.map_or_else(Vec::new, |row| {
            let named = line.models.iter().zip(&row.by_model);
            named.map(|(model, load)| ModelLoad { model: model.name.clone(), load: *load }).collect()
        }),
        last_to_finish: shown_if(&figures.last),
        delay_caused_min: delay.and_then(|d| shown_if(&d.per_push)),
        delay_caused_min_per_shift: delay.and_then(|d| shown_if(&d.per_shift)),
        held_for_return: figures.held_for_return,
        pulled_off: shown_if(&figures.pulled_off),
        drifts: figures.drift.as_ref().and_then(|d| shown_if(&d.share)),
        overrun_min: shown_if(&figures.overrun),
        drift_min: figures.drift.as_ref().and_then(|d| shown_if(&d.minutes)),
        begun_early: figures.early.as_ref().and_then(|d| shown_if(&d.share)),
        begun_early_min: figures.early.as_ref().and_then(|d| shown_if(&d.minutes)),
        bottleneck: evidence(line, summary, figures),
    }
}

fn kind(kind: crate::line::PlaceKind) -> PlaceKind {
    match kind {
        crate::line::PlaceKind::Station => PlaceKind::Station,
        crate::line::PlaceKind::Rack => PlaceKind::Rack,
        crate::line::PlaceKind::Repair => PlaceKind::Repair,
    }
}

fn evidence(line: &Line, summary: &Summary, figures: &PlaceFigures) -> Evidence {
    let place = figures.place;
    let on_line = place.index() < line.on_line;
    let pushed = line.rule_at(place).is_pushed();
    let station = line.places[place.index()].is_station();
    let unpaced = on_line && !pushed && station;
    let gain = summary.bottleneck.gains.iter().find(|gain| gain.place == place);
    Evidence {
        units_gained: gain.and_then(|gain| shown_if(&Some(gain.units))),
        delay_caused_min: figures.delay.as_ref().and_then(|d| shown_if(&d.per_push)),
        pushes_last: shown_if(&figures.last),
        turning_point: (unpaced && line.lanes.is_empty())
            .then(|| summary.bottleneck.turning_points.contains(&place)),
        active_period_min: shown_if(&figures.active_period).filter(|_| unpaced),
        in_use: shown_if(&figures.in_use),
    }
}

fn level_figures(levels: &Levels) -> LevelFigures {
    LevelFigures {
        mean: shown_if(&levels.mean),
        p95: shown_if(&levels.p95),
        share_full: shown_if(&levels.share_full),
        share_empty: shown_if(&levels.share_empty),
    }
}

pub fn buffers(line: &Line, summary: &Summary) -> Vec<LevelRow> {
    summary.places.iter().filter_map(|p| Some(level_row(line, p.place, p.slots.as_ref()?))).collect()
}

pub fn racks(line: &Line, summary: &Summary) -> Vec<LevelRow> {
    let racks =
        summary.places.iter().filter(|p| line.places[p.place.index()].kind == crate::line::PlaceKind::Rack);
    racks.filter_map(|p| Some(level_row(line, p.place, p.bays.as_ref()?))).collect()
}

fn level_row(line: &Line, place: PlaceId, levels: &Levels) -> LevelRow {
    let named = &line.places[place.index()];
    let LevelFigures { mean, p95, share_full, share_empty } = level_figures(levels);
    LevelRow {
        id: named.name.clone(),
        label: named.label.clone(),
        places: levels.places,
        mean,
        p95,
        share_full,
        share_empty,
    }
}

pub fn pushes(line: &Line, summary: &Summary) -> Vec<PushRow> {
    let name = |place: PlaceId| line.places[place.index()].name.clone();
    summary
        .pushes
        .iter()
        .map(|figures| {
            let segment = &line.segments[figures.segment.index()];
            let every = match segment.rule {
                MoveRule::PushedEvery { every, .. } => Some(every.as_minutes()),
                MoveRule::PushedWhenReady { .. } | MoveRule::WhenReady { .. } => None,
            };
            let shown = |e: &Option<crate::stats::Banded>| -> Option<Estimate> { shown_if(e) };
            PushRow {
                segment: segment.name.clone(),
                first: name(segment.first),
                last: name(segment.last),
                every_min: every,
                index_min: segment.rule.index().as_minutes(),
                pushes: figures.pushes,
                pushes_per_shift: shown(&figures.pushes_per_shift),
                on_time: shown(&figures.on_time),
                delay_min: shown(&figures.delay.per_push),
                delay_min_per_shift: shown(&figures.delay.per_shift),
                tasks_taken_along: shown(&figures.taken_along),
                done_elsewhere_min: shown(&figures.done_elsewhere),
                waited_for_people_min: shown(&figures.waited_for_people),
            }
        })
        .collect()
}
