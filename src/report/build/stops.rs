//! Rows of stops.

use super::shown_if;
use crate::line::{Comes, Line, PlaceKind, Stopped, Stopping};
use crate::report::rows::{StopRow, StoppedKind};
use crate::stats::Summary;

pub fn stops(line: &Line, summary: &Summary) -> Vec<StopRow> {
    let rows = line.stops.iter().zip(&summary.stops);
    rows.map(|(cause, figures)| StopRow {
        id: cause.name.clone(),
        label: cause.label.clone(),
        kind: kind(line, cause),
        stops: figures.count,
        calls: figures.calls,
        stops_per_shift: shown_if(&figures.per_shift),
        length_min: figures.length,
        lost_min: shown_if(&figures.lost),
        stopped: shown_if(&figures.stopped),
    })
    .collect()
}

fn kind(line: &Line, cause: &Stopping) -> StoppedKind {
    match cause.comes {
        Comes::ByItself => {}
        Comes::Calls { .. } => return StoppedKind::Calls,
        Comes::Days { .. } => return StoppedKind::Weather,
    }
    match &cause.what {
        Stopped::Equipment(_) => StoppedKind::Equipment,
        Stopped::Places(places) => match places.as_slice() {
            [only] if line.places[only.index()].name == cause.name => match line.places[only.index()].kind {
                PlaceKind::Station => StoppedKind::Station,
                PlaceKind::Rack => StoppedKind::Rack,
                PlaceKind::Repair => StoppedKind::Repair,
            },
            all if all.len() == line.on_line => StoppedKind::Line,
            _ => StoppedKind::Group,
        },
    }
}
