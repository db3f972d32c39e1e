//! Places with one step that takes nothing but time, where no calendar, stop or redo acts: the same
//! events, times and counts as the general way, without the lists.

use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::line::{PlaceId, StepId};

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
