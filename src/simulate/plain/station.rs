//! One station of a series: its length, its door, and what is booked of it.
//!
//! With b, c, m the instants at which unit i enters the bay of station j, is done, and leaves it, d its
//! length there and s the slots before station j + 1 (blocking after service):
//!
//!   b(i, j) = max(m(i, j - 1), m(i - 1, j))        c(i, j) = b(i, j) + d(i, j)
//!   m(i, j) = max(c(i, j), b(i - s, j + 1))        with s = 0: max(c(i, j), m(i - 1, j + 1))
//!
//! (Dallery & Gershwin, "Manufacturing flow line systems: a review", Queueing Systems 12 (1992), give
//! the recursion for lines with finite buffers.)

use super::length::Length;
use super::window::{Active, Stretches, Window, settle_place};
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::{BayState, Replication};

pub(super) struct Station {
    pub length: Length,
    place: usize,
    /// Clock times in microseconds.
    working: i64,
    blocked: i64,
    visits: u64,
    ends: u64,
    /// Time with at least k + 1 slots occupied.
    slots_held: Box<[i64]>,
    stretches: Stretches,
    active: Active,
}

/// When a station takes the next unit.
pub(super) struct Door {
    /// When the last unit left the bay.
    pub left: i64,
    /// With slots: when the last units entered the bay, as many as slots, the last one first. No ring: what is booked
    /// of slots takes as many steps.
    entered: Box<[i64]>,
}

impl Door {
    pub fn new(slots: usize) -> Door {
        Door { left: 0, entered: vec![0; slots].into() }
    }

    /// From when on the next unit may leave for here.
    #[inline]
    pub fn room(&self) -> i64 {
        self.entered.last().copied().unwrap_or(self.left)
    }

    #[inline]
    pub fn enter(&mut self, at: i64) {
        match &mut *self.entered {
            [] => {}
            // As in `book_slots`.
            [last] => *last = at,
            [last, second] => (*last, *second) = (at, *last),
            all => {
                all.copy_within(..all.len() - 1, 1);
                all[0] = at;
            }
        }
    }

    /// When the last units entered, the last one first.
    #[inline]
    pub fn before(&self) -> &[i64] {
        &self.entered
    }

    /// The same before the last one did.
    #[inline]
    pub fn before_last(&self) -> &[i64] {
        self.entered.get(1..).unwrap_or_default()
    }
}

/// Instants of one unit at the bay of one station.
#[derive(Clone, Copy, Debug)]
pub(super) struct Visit {
    pub enters: i64,
    pub done: i64,
    pub leaves: i64,
}

impl Station {
    pub fn new(c: &Compiled, place: usize, replication: u32) -> Station {
        let node = c.shop.places[place].node0 as usize;
        let slots = c.line.places[place].slots as usize;
        Station {
            length: Length::new(c, node, replication),
            place,
            working: 0,
            blocked: 0,
            visits: 0,
            ends: 0,
            slots_held: vec![0; slots].into(),
            stretches: Stretches::default(),
            active: Active::NOT,
        }
    }

    /// Places before its bay.
    pub fn slots(&self) -> usize {
        self.slots_held.len()
    }

    /// Books a visit; `INSIDE`: all of it lies inside the window, and the caller counts it. Visits come in the order
    /// of entry.
    ///
    /// Sums of times of one bay stay below the clock, which is checked where it moves on.
    #[inline]
    pub fn book<const INSIDE: bool>(&mut self, visit: Visit, window: &Window) {
        let Visit { enters, done, leaves } = visit;
        let part = |from: i64, to: i64| if INSIDE { to.wrapping_sub(from) } else { window.part(from, to) };
        if !INSIDE {
            self.ends += u64::from(done <= window.last);
            self.visits += u64::from(window.holds(enters));
        }
        self.working = self.working.wrapping_add(part(enters, done));
        self.blocked = self.blocked.wrapping_add(part(done, leaves));
        self.active.begin::<INSIDE>(enters, window, &mut self.stretches);
        self.active.to = done;
    }

    /// Books the time a unit stands in the slots from `comes` to `enters`; `before` is when the units before it
    /// entered the bay, the last one first.
    ///
    /// From when it stands there and the one k + 1 before it has moved on, until the one k before it
    /// does, at least k + 1 slots are occupied; no stretch is counted twice, and the one `slots` before
    /// it has moved on when it comes.
    #[inline]
    pub fn book_slots<const INSIDE: bool>(
        &mut self,
        comes: i64,
        enters: i64,
        window: &Window,
        before: &[i64],
    ) {
        let part = |from: i64, to: i64| if INSIDE { to.wrapping_sub(from) } else { window.part(from, to) };
        let book = |held: &mut i64, lower: i64, upper: i64| {
            *held = held.wrapping_add(part(lower, upper));
            lower
        };
        match (&mut *self.slots_held, before) {
            ([], _) => {}
            // Two are common, and as a loop they would cost more in counting than in booking.
            ([one, two], [before, ..]) => {
                let upper = book(one, comes.max(*before), enters);
                book(two, comes, upper);
            }
            ([fewer @ .., all], before) => {
                let mut upper = enters;
                for (held, before) in fewer.iter_mut().zip(before) {
                    upper = book(held, comes.max(*before), upper);
                }
                book(all, comes, upper);
            }
        }
    }

    /// The end has come: writes the counts; so many visits were `inside`. Returns the ends of steps up to it.
    pub fn settle(&self, inside: u64, window: &Window, seen: &mut Replication) -> u64 {
        let net = window.end - window.cut;
        let place = &mut seen.places[self.place];
        let states = [(BayState::Working, self.working), (BayState::Blocked, self.blocked)];
        let mut stretches = self.stretches;
        self.active.close(window, &mut stretches);
        settle_place(place, 1, net, &states, stretches);
        place.visits = self.visits + inside;
        let held = self.working + self.blocked;
        place.bay_levels = vec![net - held, held];
        let mut at_least = net;
        for (level, held) in self.slots_held.iter().chain([&0]).enumerate() {
            place.slot_levels[level] = at_least - held;
            at_least = *held;
        }
        self.ends + inside
    }
}
