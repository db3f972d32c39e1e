//! Places with one step that takes nothing but time, where no calendar, stop or redo acts: the same
//! events, times and counts as the general way, without the lists.

use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::line::{Line, OutcomeKind, PlaceId, StepId};
use crate::schedule::{NodeKind, Shop};

impl<W: Watcher> Run<'_, W> {
    /// As `arrive_with`.
    #[inline]
    pub(super) fn solo_starts(&mut self, bay: usize) {
        self.bays[bay].moving = false;
        self.entries += 1;
        let work = &mut self.floor.bays[bay];
        work.running_work = 1;
        work.undone = 1;
        let shop = &self.c.shop;
        let at = shop.places[shop.bay_place[bay] as usize].node0 as usize;
        let unit = &self.units.rows[self.bays[bay].unit as usize];
        let length = self.draw(at, unit.model as usize, unit.number, 0);
        let ends = self.clock.now() + length;
        self.schedule_end(bay, 0, ends);
        if W::WATCHING {
            self.show_start(bay, 0, 0, length, ends, 0);
        }
        self.book(bay);
    }

    #[inline]
    pub(super) fn solo_ends(&mut self, bay: usize) {
        let work = &mut self.floor.bays[bay];
        work.running_work = 0;
        work.undone = 0;
        if W::WATCHING {
            let shop = &self.c.shop;
            let place = PlaceId(shop.bay_place[bay]);
            let event = Event::StepEnded {
                unit: self.number(bay),
                step: StepId(shop.node(bay, 0).step),
                place,
                bay: self.bay_in_place(bay),
            };
            self.see(event);
        }
        self.book(bay);
        self.look_if_done(bay);
    }
}

/// The places that are run by that path.
pub(super) fn solo_places(line: &Line, shop: &Shop) -> Vec<bool> {
    let again = visited_again(line);
    let may = |p: usize| {
        !again[p]
            && line.calendar.is_none()
            && line.own_hours.is_empty()
            && line.stops.is_empty()
            && is_solo(shop, p)
    };
    (0..line.places.len()).map(may).collect()
}

/// Places at which steps may be done more than once: tests, what their fails send units back to, and
/// what a missed window undoes.
fn visited_again(line: &Line) -> Vec<bool> {
    let mut again = vec![false; line.places.len()];
    for test in &line.tests {
        again[test.place.index()] = true;
        for outcome in &test.outcomes {
            match &outcome.kind {
                OutcomeKind::BackTo { route } => route.iter().for_each(|v| again[v.place.index()] = true),
                OutcomeKind::ToRepair { place, route, .. } => {
                    again[place.index()] = true;
                    route.iter().for_each(|v| again[v.place.index()] = true);
                }
                OutcomeKind::FixedInPlace(_) | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => {}
            }
        }
    }
    for window in &line.windows {
        for step in window.undone.iter().chain([&window.opens, &window.closes]) {
            again[line.steps[step.index()].place.index()] = true;
        }
    }
    again
}

/// One step, for every unit, that takes nothing but time; units leave when done.
fn is_solo(shop: &Shop, place: usize) -> bool {
    let compiled = &shop.places[place];
    let node = shop.nodes_of(place).first();
    compiled.plain
        && compiled.nodes == 1
        && !compiled.pushed
        && node.is_some_and(|n| matches!(n.kind, NodeKind::Work) && n.free_start && n.closes == 0)
}
