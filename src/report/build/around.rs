//! Rows of gates, carriers and the yard.

use super::shown_if;
use crate::line::{Line, PlaceId};
use crate::report::rows::{CarrierRow, GateRow, YardRow};
use crate::stats::Summary;

fn name(line: &Line, place: PlaceId) -> String {
    line.places[place.index()].name.clone()
}

pub fn gates(line: &Line, summary: &Summary) -> Vec<GateRow> {
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
        }
    };
    summary.gates.iter().map(row).collect()
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
