//! Units that are pulled off the line: what is not done at the signal is gone on with at a repair place, and the unit
//! comes back behind the station that it left. Costs nothing where no station pulls units off.

use super::run::{Fate, Run};
use super::units::{NONE, Row, Way};
use super::watcher::Watcher;
use crate::line::PlaceId;

impl<W: Watcher> Run<'_, W> {
    /// The unit in the bay may leave the line with what is open on it, and a place off the line is free for it;
    /// `before` are the places before its own that pull a unit off with the same push.
    pub(super) fn may_be_pulled_off(&self, bay: usize, before: std::ops::Range<usize>) -> bool {
        let place = self.c.shop.bay_place[bay] as usize;
        let Some(to) = self.c.line.places[place].pulls_to.map(PlaceId::index) else { return false };
        let goes_there = |other: usize| self.c.line.places[other].pulls_to.map(PlaceId::index) == Some(to);
        let coming = before.filter(|other| self.places[*other].pulls && goes_there(*other)).count();
        let off = &self.places[to];
        !self.is_halted(to) && off.returns.len() + coming < usize::from(off.free) && self.goes_on_at(bay, to)
    }

    /// All that is not done on the unit can be gone on with off the line.
    fn goes_on_at(&self, bay: usize, to: usize) -> bool {
        let state = &self.bays[bay];
        if state.unit == NONE || state.moving || state.fate != Fate::Stays {
            return false;
        }
        if self.units.rows[state.unit as usize].way != Way::Series {
            return false;
        }
        let goes = |k: usize| self.c.travel[k].off_line.contains(&to);
        self.open_nodes(bay).all(|node| node.travels.is_some_and(|k| goes(usize::from(k))))
            && self.units.open(state.unit).iter().enumerate().all(|(k, left)| *left == 0 || goes(k))
    }

    /// Whoever alone holds the line leaves it, before the others are pushed; where nobody moves, nobody is late.
    pub(super) fn pull_off_who_is_late(&mut self, places: std::ops::RangeInclusive<usize>) {
        for place in places.rev() {
            if !std::mem::take(&mut self.places[place].pulls) {
                continue;
            }
            let bay = self.due_bay(place);
            self.cut_off_what_is_open(bay);
            let row = self.bays[bay].unit as usize;
            self.units.rows[row].way = Way::PulledOff { from: place as u16, is_off: false };
            self.seen.places[place].pulled_off += 1;
            self.go_to_next_stop(bay);
        }
    }

    /// A place off the line has become free: a push may have waited for it.
    pub(super) fn look_who_may_be_pulled_off(&mut self, place: usize) {
        if self.c.pulled_to[place] {
            for s in &self.c.pushed {
                self.stretches[*s].check = true;
            }
        }
    }

    /// It has come to the place off the line: what is open on it is gone on with.
    pub(super) fn is_off(&mut self, row: Row, from: u16) {
        self.units.rows[row as usize].way = Way::PulledOff { from, is_off: true };
    }

    /// Where a unit goes that was pulled off: off the line, and back behind its station; `None` where the line ends there.
    pub(super) fn way_of_pulled(&self, row: Row, from: usize, is_off: bool) -> Option<PlaceId> {
        match is_off {
            false => self.c.line.places[from].pulls_to,
            true => self.way_on(from, row).map(PlaceId::from_index),
        }
    }

    /// Done off the line, the unit is one of the line again. False where the line ended at its station: it finishes
    /// from here as soon as there is room behind the line.
    pub(super) fn rejoins(&mut self, bay: usize) -> bool {
        let row = self.bays[bay].unit;
        let Way::PulledOff { from, is_off: true } = self.units.rows[row as usize].way else { return true };
        self.units.rows[row as usize].way = Way::Series;
        let comes_back = self.way_on(usize::from(from), row).is_some();
        if !comes_back {
            self.bays[bay].fate = Fate::Stays;
            self.exit.push_back(bay as u32);
            self.touch(self.c.line.places.len());
        }
        comes_back
    }
}
