//! A series that nothing follows: a unit's whole way out of the line is known when it enters, so that
//! one walk over the stations does everything (recursion: see `station`).

use super::station::{Door, Station, Visit};
use super::window::{UNKNOWN, Window};
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::Replication;

pub(super) struct Tail {
    stations: Vec<(Station, Door)>,
    /// Units all of whose way lay inside the window.
    inside: u64,
    /// A length of nothing was drawn.
    pub no_length: bool,
    /// Instant of an event that says room has come.
    pub opens_at: i64,
}

impl Tail {
    pub fn new(c: &Compiled, first: usize, last: usize, replication: u32) -> Tail {
        let station = |place| {
            let station = Station::new(c, place, replication);
            let door = Door::new(station.slots());
            (station, door)
        };
        Tail {
            stations: (first..=last).map(station).collect(),
            inside: 0,
            no_length: false,
            opens_at: UNKNOWN,
        }
    }

    /// From when on the next unit may enter.
    #[inline]
    pub fn room(&self) -> i64 {
        self.stations[0].1.room()
    }

    /// A unit enters at `at`; when it leaves the line.
    #[inline]
    pub fn pass(&mut self, number: u64, at: i64, window: &Window) -> i64 {
        // While the end is not known, nothing that comes after the cut lies beyond it.
        if at >= window.first && window.last == UNKNOWN {
            self.inside += 1;
            self.walk::<true>(number, at, window)
        } else {
            self.walk::<false>(number, at, window)
        }
    }

    #[inline]
    fn walk<const INSIDE: bool>(&mut self, number: u64, at: i64, window: &Window) -> i64 {
        let mut comes = at;
        let mut no_length = false;
        let mut rest = &mut self.stations[..];
        while let Some(((station, door), after)) = rest.split_first_mut() {
            let length = station.length.of(number, 0);
            no_length |= length == 0;
            let enters = comes.max(door.left);
            let done = enters + length;
            let leaves = after.first().map_or(done, |(_, next)| done.max(next.room()));
            station.book_slots::<INSIDE>(comes, enters, window, door.before());
            station.book::<INSIDE>(Visit { enters, done, leaves }, window);
            door.enter(enters);
            door.left = leaves;
            comes = leaves;
            rest = after;
        }
        self.no_length |= no_length;
        comes
    }

    /// The end has come: writes the counts. Returns the ends of steps up to it.
    pub fn settle(&self, window: &Window, seen: &mut Replication) -> u64 {
        self.stations.iter().map(|(station, _)| station.settle(self.inside, window, seen)).sum()
    }
}
