//! A series at the entrance of the line, before a part that takes its units when it can.
//!
//! Nobody asks for the instants of a unit before the unit ahead of it has been taken: only then may it
//! enter the last station. So a unit's whole way is worked out at that moment, in one walk (recursion:
//! see `station`), and booked when the unit is taken itself, for then all of it is past.

use super::station::{Door, Station, Visit};
use super::window::{Passage, UNKNOWN, Window};
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::Replication;

const NEVER: Visit = Visit { comes: UNKNOWN, enters: UNKNOWN, done: UNKNOWN, leaves: UNKNOWN };

pub(super) struct Head {
    stations: Vec<(Station, Door)>,
    /// The way of the unit that is next to be taken, station by station.
    way: Vec<Visit>,
    pub number: u64,
    /// A length of nothing was drawn.
    pub no_length: bool,
    /// The unit is done and waits to be taken.
    pub waits: bool,
}

impl Head {
    /// The first unit's way is worked out.
    pub fn new(c: &Compiled, first: usize, last: usize, replication: u32) -> Head {
        let station = |place| {
            let station = Station::new(c, place, replication);
            let door = Door::new(station.slots);
            (station, door)
        };
        let stations: Vec<_> = (first..=last).map(station).collect();
        let way = vec![NEVER; stations.len()];
        let mut head = Head { stations, way, number: 0, no_length: false, waits: false };
        head.walk();
        head
    }

    /// When the unit came onto the line, and when it is done at the last station.
    pub fn passage(&self) -> (i64, i64) {
        (self.way[0].comes, self.way[self.way.len() - 1].done)
    }

    fn walk(&mut self) {
        let mut no_length = false;
        let mut comes = self.stations[0].1.room();
        let mut rest = &mut self.stations[..];
        for visit in &mut self.way {
            let Some(((station, door), after)) = rest.split_first_mut() else { break };
            let length = station.length.of(self.number, 0);
            no_length |= length == 0;
            let enters = comes.max(door.left);
            // At the end of the run a way may hang on what is not known any more.
            let done = enters.saturating_add(length);
            let leaves = after.first().map_or(UNKNOWN, |(_, next)| done.max(next.room()));
            *visit = Visit { comes, enters, done, leaves };
            door.enter(enters);
            door.left = leaves;
            comes = leaves;
            rest = after;
        }
        self.no_length |= no_length;
    }

    /// What follows takes the unit, at `now`. Returns when the next one will be done.
    pub fn take(&mut self, now: i64, window: &Window) -> i64 {
        if let (Some(visit), Some((_, door))) = (self.way.last_mut(), self.stations.last_mut()) {
            (visit.leaves, door.left) = (now, now);
        }
        self.waits = false;
        // The end does not lie before now.
        if self.way[0].comes >= window.first {
            self.book::<true>(window)
        } else {
            self.book::<false>(window)
        }
        self.number += 1;
        self.walk();
        self.passage().1
    }

    #[inline]
    fn book<const INSIDE: bool>(&mut self, window: &Window) {
        for (visit, (station, door)) in self.way.iter().zip(&mut self.stations) {
            if !INSIDE && visit.comes == UNKNOWN {
                break;
            }
            // The door has seen this unit already.
            if station.slots > 0 {
                station.book_slots::<INSIDE>(visit.comes, visit.enters, window, |k| door.before(k + 1));
            }
            if !INSIDE && visit.enters == UNKNOWN {
                break;
            }
            station.book::<INSIDE>(*visit, window);
        }
    }

    /// The end has come: books who is still inside, and writes the counts. Returns the ends of steps
    /// up to it.
    pub fn settle(&mut self, window: &Window, seen: &mut Replication) -> u64 {
        while self.way[0].comes <= window.last {
            self.book::<false>(window);
            Passage { on: self.way[0].comes, off: UNKNOWN }.book(window, seen);
            self.number += 1;
            self.walk();
        }
        self.stations.iter().for_each(|(station, _)| station.settle(window, seen));
        self.stations.iter().map(|(station, _)| station.ends).sum()
    }
}
