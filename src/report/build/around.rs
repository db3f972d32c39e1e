//! Rows of gates, lanes, carriers, moves and the yard.

use super::shown_if;
use crate::line::{Chosen, Finder, Line, PlaceId};
use crate::report::rows::{CarrierRow, ChosenBy, GateRow, LaneRow, MoveRow, YardRow};
use crate::stats::Summary;

fn name(line: &Line, place: PlaceId) -> String {
    line.places[place.index()].name.clone()
}

pub fn gates(line: &Line, summary: &Summary) -> Vec<GateRow> {
    let finds_escapes = |gate: usize| line.let_through_to(Finder::Gate(gate as u16)).next().is_some();
    let row = |figures: &crate::stats::GateFigures| {
        let gate = &line.gates[figures.gate];
        GateRow {
            id: gate.name.clone(),
            label: gate.label.clone(),
            station: name(line, gate.place),
            units: figures.units,
            found_per_unit: shown_if(&figures.found),
            clear: shown_if(&figures.clear),
            goes_on_to: gate.goes_on.map(|on| name(line, on.to)),
            went_on_per_unit: shown_if(&figures.went_on).filter(|_| gate.goes_on.is_some()),
            let_through_per_unit: shown_if(&figures.let_through).filter(|_| finds_escapes(figures.gate)),
        }
    };
    summary.gates.iter().map(row).collect()
}

pub fn lanes(line: &Line, summary: &Summary) -> Vec<LaneRow> {
    let row = |figures: &crate::stats::LaneFigures| {
        let lanes = &line.lanes[figures.lanes];
        let lane = &lanes.lanes[figures.lane];
        LaneRow {
            id: lane.name.clone(),
            label: lane.label.clone(),
            lanes: lanes.name.clone(),
            lanes_label: lanes.label.clone(),
            chosen_by: match lanes.chosen {
                Chosen::ByModel => ChosenBy::Model,
                Chosen::ByShare => ChosenBy::Share,
                Chosen::ByShortestQueue => ChosenBy::ShortestQueue,
            },
            first: name(line, lane.first),
            last: name(line, lane.last),
            units: figures.units,
            share: shown_if(&figures.share),
        }
    };
    summary.lanes.iter().map(row).collect()
}

pub fn carriers(line: &Line, summary: &Summary) -> Vec<CarrierRow> {
    let row = |(carriers, figures): (&crate::line::Carriers, &crate::stats::CarrierFigures)| CarrierRow {
        id: carriers.name.clone(),
        label: carriers.label.clone(),
        count: carriers.count,
        from: name(line, carriers.first),
        to: name(line, carriers.last),
        with_units: shown_if(&figures.on),
        on_the_way_back: shown_if(&figures.back),
        share_none_free: shown_if(&figures.none_free),
    };
    line.carriers.iter().zip(&summary.carriers).map(row).collect()
}

pub fn moved_one_by_one(line: &Line, summary: &Summary) -> Vec<MoveRow> {
    let row = |figures: &crate::stats::MoveFigures| {
        let segment = &line.segments[figures.segment.index()];
        MoveRow {
            segment: segment.name.clone(),
            first: name(line, segment.first),
            last: name(line, segment.last),
            moving_min: segment.rule.index().as_minutes(),
            moves: figures.moves,
            moves_per_shift: shown_if(&figures.moves_per_shift),
            waited_for_people_min: shown_if(&figures.waited_for_people),
        }
    };
    summary.moves.iter().map(row).collect()
}

pub fn yard(line: &Line, summary: &Summary) -> Vec<YardRow> {
    let row = |(yard, figures): (&crate::line::Yard, &crate::stats::YardFigures)| YardRow {
        id: yard.name.clone(),
        label: yard.label.clone(),
        places: yard.places,
        load: yard.load,
        mean: shown_if(&figures.level),
        share_full: shown_if(&figures.full),
        taken_per_lorry: shown_if(&figures.load),
        lorries: figures.lorries,
        part_loads: figures.part_loads,
    };
    line.yard.iter().zip(&summary.yard).map(row).collect()
}
