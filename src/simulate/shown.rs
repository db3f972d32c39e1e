//! What a watcher is told: who is meant by what number, and what starts.

use super::run::Run;
use super::units::Row;
use super::watcher::{Event, Watcher};
use crate::line::{CrewId, PlaceId, StepId, TestId};
use crate::schedule::{Lack, NodeKind};
use crate::units::Time;

/// Units of the line have lower numbers for watchers; the parts of feeder k have those from k + 1 times this on.
pub const PARTS_FROM: u64 = 1 << 48;

impl<W: Watcher> Run<'_, W> {
    #[inline]
    pub(super) fn see(&mut self, event: Event) {
        if W::WATCHING {
            self.watcher.see(Time(self.clock.now()), Time(self.clock.net()), event);
        }
    }

    /// Number of the unit in a bay.
    #[inline]
    pub(super) fn number(&self, bay: usize) -> u64 {
        self.shown(self.bays[bay].unit)
    }

    /// Number of a unit as watchers see it.
    #[inline]
    pub(super) fn shown(&self, row: Row) -> u64 {
        let unit = &self.units.rows[row as usize];
        unit.number + u64::from(unit.line) * PARTS_FROM
    }

    #[inline]
    pub(super) fn bay_in_place(&self, bay: usize) -> u16 {
        (bay - self.c.shop.places[self.c.shop.bay_place[bay] as usize].bay0 as usize) as u16
    }

    /// The step of a node, or the test after the failure of which it is done.
    pub(super) fn what_of(&self, bay: usize, local: u16) -> Result<StepId, TestId> {
        let node = self.c.shop.node(bay, local as usize);
        match node.kind {
            NodeKind::Fix { test, .. } => Err(TestId(test)),
            NodeKind::Work | NodeKind::Hold { .. } | NodeKind::Verdict { .. } => Ok(StepId(node.step)),
        }
    }

    /// What keeps the work that stays on a list, by bay and node.
    pub(super) fn show_lacking(&mut self, lacking: &[(u32, u16, Lack)]) {
        for (bay, local, lack) in lacking {
            let bay = *bay as usize;
            let place = PlaceId(self.c.shop.bay_place[bay]);
            let (unit, what) = (self.number(bay), self.what_of(bay, *local));
            self.see(Event::Lacks { unit, what, place, lack: *lack });
        }
    }

    pub(super) fn show_start(
        &mut self,
        bay: usize,
        local: u16,
        visit: u32,
        length: i64,
        ends: i64,
        people: u128,
    ) {
        let shop = &self.c.shop;
        let place = PlaceId(shop.bay_place[bay]);
        let gang = &shop.gangs[self.floor.gang_of(shop, bay, local as usize)];
        let crew = gang.crew.filter(|_| people != 0).map(|c| (CrewId(c), gang.instance));
        let (unit, at, node) = (self.number(bay), self.bay_in_place(bay), shop.node(bay, local as usize));
        let (length, ends) = (Time(length), Time(ends));
        match node.kind {
            NodeKind::Fix { test, .. } => self.see(Event::FixStarted {
                unit,
                test: TestId(test),
                place,
                bay: at,
                crew,
                people,
                length,
                ends,
            }),
            NodeKind::Work | NodeKind::Hold { .. } => self.see(Event::StepStarted {
                unit,
                step: StepId(node.step),
                place,
                bay: at,
                visit,
                crew,
                people,
                length,
                ends,
            }),
            NodeKind::Verdict { .. } => {}
        }
    }
}
