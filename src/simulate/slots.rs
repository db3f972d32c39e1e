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

    pub(super) fn fill_slots(&mut self, place: usize) {
        let cap = self.slots_of(place);
        while self.places[place].slots.len() < cap {
            let (row, from) = if let Some(bay) = self.upstream(place) {
                self.take_blocked(place, bay);
                let from = self.spot_of(bay as usize);
                (self.leave_blocked(bay as usize), from)
            } else if self.may_enter(place) {
                let Some(row) = self.enters(place) else { break };
                (row, Spot::Outside(PlaceId::from_index(place)))
            } else {
                break;
            };
            self.enter_slot(row, place, from, self.travel_into(place));
        }
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
