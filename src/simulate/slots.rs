//! Waiting places before a station: who comes into them.

use super::queue::{Class, Entry, SLOT_ARRIVAL};
use super::run::Run;
use super::units::Row;
use super::watcher::{Event, Spot, Watcher};
use crate::line::PlaceId;
use crate::units::Time;

impl<W: Watcher> Run<'_, W> {
    pub(super) fn slots_of(&self, place: usize) -> usize {
        self.c.line.places[place].slots as usize
    }

    /// Units come into the slots of a place; false where only the people are missing who move the next one.
    pub(super) fn fill_slots(&mut self, place: usize) -> bool {
        let cap = self.slots_of(place);
        while self.places[place].slots.len() < cap {
            let upstream = self.upstream(place);
            if upstream.is_none() && !self.may_enter(place) {
                break;
            }
            if !self.has_movers_into(place) {
                return false;
            }
            let (row, from) = if let Some(bay) = upstream {
                self.take_blocked(place, bay);
                let from = self.spot_of(bay as usize);
                (self.leave_blocked(bay as usize), from)
            } else {
                let Some(row) = self.enters(place) else { break };
                (row, Spot::Outside(PlaceId::from_index(place)))
            };
            let travel = self.travel_into(place);
            self.movers_go_into(place, travel);
            self.enter_slot(row, place, from, travel);
        }
        true
    }

    /// A unit has come to the slots of a place.
    pub(super) fn slot_is_reached(&mut self, place: usize) {
        self.movers_have_come(place);
        self.touch(place);
    }

    pub(super) fn enter_slot(&mut self, row: Row, place: usize, from: Spot, travel: i64) {
        self.slot_level(place);
        self.places[place].slots.push_back(row);
        self.check_full(place);
        let now = self.clock.now();
        let unit = &mut self.units.rows[row as usize];
        unit.arrives = now + travel;
        if unit.line_on < 0 && self.c.begins[place].is_some() {
            self.line_on(row);
        }
        self.change_carriers(row, place);
        if travel > 0 {
            self.queue.push(Entry::new(now + travel, Class::End, self.c.rank_of[place], 0, SLOT_ARRIVAL));
        }
        let number = self.shown(row);
        self.see(Event::Moved {
            unit: number,
            from,
            to: Spot::Slot(PlaceId::from_index(place)),
            arrives: Time(now + travel),
        });
    }
}
