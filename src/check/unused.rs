//! Doubts: what is defined and used nowhere, places in which nothing happens.

use super::desk::Desk;
use super::people::Staff;
use crate::diagnostic::words::{names as words, places as place_words};
use crate::line::{Hold, Line, Mending, Origin, OutcomeKind, PlaceId, PlaceKind, Step, Stopping};

pub(super) fn report(line: &Line, staff: &Staff, desk: &mut Desk) {
    for (index, option) in line.options.iter().enumerate() {
        if !line.steps.iter().any(|step| step.options.iter().any(|id| id.index() == index)) {
            let cure = format!("say what it adds: `task ... only with {}`", option.name);
            desk.fault(words::unused(option.span, &option.name, "option", &cure));
        }
    }
    for (index, zone) in line.zones.iter().enumerate() {
        if !line.steps.iter().any(|step| step.may_be_in(crate::line::ZoneId::from_index(index))) {
            let cure = format!("say who works there: `task ... in {}`", zone.name);
            desk.fault(words::unused(zone.span, &zone.name, "zone", &cure));
        }
    }
    for (index, equipment) in line.equipment.iter().enumerate() {
        let kept = line.keeps.iter().any(|keep| keep.equipment.index() == index);
        if !kept && !line.steps.iter().any(|step| step.equipment.iter().any(|(id, _)| id.index() == index)) {
            let cure = format!("say what needs it: `task ... with {}`", equipment.name);
            desk.fault(words::unused(equipment.span, &equipment.name, "equipment", &cure));
        }
    }
    for (index, temperature) in line.temperatures.iter().enumerate() {
        let asks = |hold: &Hold| hold.warm.as_ref().is_some_and(|warm| warm.of == index);
        if !line.steps.iter().filter_map(Step::hold).any(asks) {
            let cure = format!("say what must be warm: `hold ... when {} at least 15 C`", temperature.name);
            desk.fault(words::unused(temperature.span, &temperature.name, "temperature", &cure));
        }
    }
    for (index, part) in line.parts.iter().enumerate() {
        if !line.steps.iter().any(|step| step.uses.iter().any(|(id, _)| id.index() == index)) {
            let cure = format!("say what takes them: `task ... uses 1 {}`", part.name);
            let word = match part.origin {
                Origin::Bought(_) => "supply",
                Origin::Made => "feeder",
            };
            desk.fault(words::unused(part.span, &part.name, word, &cure));
        }
    }
    for group in staff.idle_groups() {
        let mends = |stop: &Stopping| matches!(stop.mending, Mending::By { group: id, .. } if line.groups[id.index()].span == group.span);
        // People outside the line may stand in the file for what they cost.
        let index = line.groups.iter().position(|other| other.span == group.span);
        let costs = index
            .zip(line.costs.as_ref())
            .is_some_and(|(g, costs)| costs.people.get(g).is_some_and(|cost| *cost > 0.0));
        if costs || line.stops.iter().any(mends) {
            continue;
        }
        let cure = format!("put them into a crew: `crew 1 {}`", group.name);
        desk.fault(words::unused(group.span, &group.name, "people", &cure));
    }
    places(line, desk);
}

fn places(line: &Line, desk: &mut Desk) {
    for (index, place) in line.places.iter().enumerate() {
        let id = PlaceId::from_index(index);
        match place.kind {
            // A rack without a hold is a place to wait.
            PlaceKind::Rack => {}
            PlaceKind::Station => {
                if line.steps_at(id).next().is_none() {
                    desk.fault(place_words::station_without_work(place.span, &place.name));
                }
            }
            PlaceKind::Repair => {
                let sent = line.tests.iter().flat_map(|test| &test.outcomes).any(
                    |outcome| matches!(&outcome.kind, OutcomeKind::ToRepair { place, .. } if *place == id),
                );
                if !sent && !line.is_pulled_to(id) {
                    desk.fault(place_words::repair_bay_unreached(place.span, &place.name));
                }
            }
        }
    }
}
