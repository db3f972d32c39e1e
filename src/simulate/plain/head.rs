//! A series at the entrance of the line, before a part that takes its units when it can.
//!
//! Nobody asks for the instants of a unit before the unit ahead of it has been taken: only then may it
//! enter the last station. So a unit's whole way is worked out at that moment, in one walk (recursion:
//! see `station`), and booked when the unit is taken itself, for then all of it is past.

use super::station::{Door, Station, Visit};
use super::window::{Passage, UNKNOWN, Window};
use crate::draws::BLOCK;
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::Replication;

struct Stop {
    station: Station,
    door: Door,
    /// When the unit that is next to be taken enters the bay and is done there; the door knows when it leaves.
    enters: i64,
    done: i64,
    /// How long the units of `number / BLOCK` take here.
    lengths: [i64; BLOCK],
}

pub(super) struct Head {
    stops: Vec<Stop>,
    /// When the unit that is next to be taken came onto the line.
    on: i64,
    pub number: u64,
    /// Units all of whose way lay inside the window.
    inside: u64,
    /// A length of nothing was drawn.
    pub no_length: bool,
    /// The unit is done and waits to be taken.
    pub waits: bool,
}

impl Stop {
    /// The way of the unit `number` that comes at `comes`, to when it leaves; `after`: the stop behind. `KNOWN`: the
    /// way of the unit ahead is.
    #[inline]
    fn walk<const KNOWN: bool>(&mut self, comes: i64, number: u64, after: Option<&Stop>) -> i64 {
        let enters = comes.max(self.door.left);
        let length = self.lengths[(number % BLOCK as u64) as usize];
        // At the end of the run a way may hang on what is not known any more.
        let done = if KNOWN { enters + length } else { enters.saturating_add(length) };
        let leaves = after.map_or(UNKNOWN, |next| done.max(next.door.room()));
        (self.enters, self.done) = (enters, done);
        self.door.enter(enters);
        self.door.left = leaves;
        leaves
    }

    /// Books the visit of the unit that is taken, which came at `comes`, and returns when it leaves. The door has
    /// seen it already.
    #[inline]
    fn book<const INSIDE: bool>(&mut self, comes: i64, window: &Window) -> i64 {
        let Stop { station, door, enters, done, .. } = self;
        let (enters, leaves) = (*enters, door.left);
        if !INSIDE && comes == UNKNOWN {
            return leaves;
        }
        station.book_slots::<INSIDE>(comes, enters, window, door.before_last());
        if INSIDE || enters != UNKNOWN {
            station.book::<INSIDE>(Visit { enters, done: *done, leaves }, window);
        }
        leaves
    }
}

impl Head {
    /// The first unit's way is worked out.
    pub fn new(c: &Compiled, first: usize, last: usize, replication: u32) -> Head {
        let stop = |place| {
            let station = Station::new(c, place, replication);
            Stop {
                door: Door::new(station.slots()),
                station,
                enters: UNKNOWN,
                done: UNKNOWN,
                lengths: [0; BLOCK],
            }
        };
        let stops = (first..=last).map(stop).collect();
        let mut head = Head { stops, on: 0, number: 0, inside: 0, no_length: false, waits: false };
        head.draw_ahead();
        head.walk::<true>();
        head
    }

    /// When the unit came onto the line, and when it is done at the last station.
    pub fn passage(&self) -> (i64, i64) {
        (self.on, self.stops[self.stops.len() - 1].done)
    }

    /// Units come one after the other: some of their lengths at once.
    fn draw_ahead(&mut self) {
        for stop in &mut self.stops {
            stop.lengths = stop.station.length.of_block(self.number);
            self.no_length |= stop.lengths.contains(&0);
        }
    }

    fn walk<const KNOWN: bool>(&mut self) {
        self.each_stop(|stop, comes, number, after| stop.walk::<KNOWN>(comes, number, after));
    }

    /// From the entrance on, each with when the unit `number` comes there, which is when it leaves the one before.
    #[inline]
    fn each_stop(&mut self, mut at: impl FnMut(&mut Stop, i64, u64, Option<&Stop>) -> i64) {
        let mut comes = self.stops[0].door.room();
        self.on = comes;
        let mut rest = &mut self.stops[..];
        while let Some((stop, after)) = rest.split_first_mut() {
            comes = at(stop, comes, self.number, after.first());
            rest = after;
        }
    }

    /// What follows takes the unit, at `now`. Returns when the next one will be done.
    pub fn take(&mut self, now: i64, window: &Window) -> i64 {
        if let Some(last) = self.stops.last_mut() {
            last.door.left = now;
        }
        self.waits = false;
        // The end does not lie before now.
        if self.on >= window.first {
            self.inside += 1;
            let mut came = self.on;
            self.next_number();
            self.each_stop(|stop, comes, number, after| {
                came = stop.book::<true>(came, window);
                stop.walk::<true>(comes, number, after)
            });
        } else {
            self.book(window);
            self.next_number();
            self.walk::<true>();
        }
        self.passage().1
    }

    fn book(&mut self, window: &Window) {
        let mut came = self.on;
        self.stops.iter_mut().for_each(|stop| came = stop.book::<false>(came, window));
    }

    fn next_number(&mut self) {
        self.number += 1;
        if self.number.is_multiple_of(BLOCK as u64) {
            self.draw_ahead();
        }
    }

    /// The end has come: books who is still inside, and writes the counts. Returns the ends of steps
    /// up to it.
    pub fn settle(&mut self, window: &Window, seen: &mut Replication) -> u64 {
        while self.on <= window.last {
            self.book(window);
            Passage { on: self.on, off: UNKNOWN }.book(window, seen);
            self.next_number();
            self.walk::<false>();
        }
        self.stops.iter().map(|stop| stop.station.settle(self.inside, window, seen)).sum()
    }
}
