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
use super::window::{Stretches, Window, settle_place};
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::{BayState, Replication};

pub(super) struct Station {
    pub slots: usize,
    pub length: Length,
    place: usize,
    /// Clock times in microseconds.
    working: i64,
    blocked: i64,
    visits: u64,
    ends: u64,
    /// Time with at least k + 1 slots occupied.
    slots_held: Vec<i64>,
    stretches: Stretches,
    /// Since when it has worked without a gap, and whether that stretch is counted already.
    active_since: i64,
    active_counted: bool,
    /// When the last unit left that left as soon as it was done; -1 if it waited.
    left_at_once: i64,
}

/// When a station takes the next unit.
pub(super) struct Door {
    /// When the last unit left the bay.
    pub left: i64,
    /// With slots: when the last units entered the bay, as many as slots, the oldest at `oldest`.
    entered: Box<[i64]>,
    oldest: usize,
}

impl Door {
    pub fn new(slots: usize) -> Door {
        Door { left: 0, entered: vec![0; slots].into(), oldest: 0 }
    }

    /// From when on the next unit may leave for here.
    #[inline]
    pub fn room(&self) -> i64 {
        self.entered.get(self.oldest).copied().unwrap_or(self.left)
    }

    #[inline]
    pub fn enter(&mut self, at: i64) {
        if let Some(oldest) = self.entered.get_mut(self.oldest) {
            *oldest = at;
            self.oldest = if self.oldest + 1 == self.entered.len() { 0 } else { self.oldest + 1 };
        }
    }

    /// When the k-th last unit entered, k from 1.
    #[inline]
    pub fn before(&self, k: usize) -> i64 {
        let at = if self.oldest >= k { self.oldest - k } else { self.oldest + self.entered.len() - k };
        self.entered[at]
    }
}

/// Instants of one unit at one station.
#[derive(Clone, Copy, Debug)]
pub(super) struct Visit {
    /// Enters the slots before it (or the bay, if at once).
    pub comes: i64,
    pub enters: i64,
    pub done: i64,
    pub leaves: i64,
}

impl Station {
    pub fn new(c: &Compiled, place: usize, replication: u32) -> Station {
        let node = c.shop.places[place].node0 as usize;
        let slots = c.line.places[place].slots as usize;
        Station {
            slots,
            length: Length::new(c, node, replication),
            place,
            working: 0,
            blocked: 0,
            visits: 0,
            ends: 0,
            slots_held: vec![0; slots],
            stretches: Stretches::default(),
            active_since: 0,
            active_counted: false,
            left_at_once: -1,
        }
    }

    /// Books a visit; `INSIDE`: all of it lies inside the window, and the caller counts it. Visits come in the order
    /// of entry.
    ///
    /// Sums of times of one bay stay below the clock, which is checked where it moves on.
    #[inline]
    pub fn book<const INSIDE: bool>(&mut self, visit: Visit, window: &Window) {
        let Visit { enters, done, leaves, .. } = visit;
        let part = |from: i64, to: i64| if INSIDE { to.wrapping_sub(from) } else { window.part(from, to) };
        if !INSIDE {
            self.ends += u64::from(done <= window.last);
            self.visits += u64::from(window.holds(enters));
        }
        self.working = self.working.wrapping_add(part(enters, done));
        self.blocked = self.blocked.wrapping_add(part(done, leaves));
        // Work went on without a gap if the unit before left when it was done and this one came at
        // once. No branches: which it is, nobody can foretell.
        let goes_on = enters == self.left_at_once;
        let since = if goes_on { self.active_since } else { enters };
        let counted = self.active_counted & goes_on;
        let counts_now = INSIDE || (done >= window.first) & (since <= window.last);
        self.stretches.periods += u64::from(counts_now & !counted);
        let length = if INSIDE {
            done.wrapping_sub(since.max(window.cut))
        } else if counts_now {
            window.part(since, done)
        } else {
            0
        };
        self.stretches.longest = self.stretches.longest.max(length);
        (self.active_since, self.active_counted) = (since, counted | counts_now);
        self.left_at_once = if leaves == done { leaves } else { -1 };
    }

    /// Books the time a unit stands in the slots from `comes` to `enters`; `before(k)` is when the
    /// k-th unit before it entered the bay.
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
        before: impl Fn(usize) -> i64,
    ) {
        let part = |from: i64, to: i64| if INSIDE { to.wrapping_sub(from) } else { window.part(from, to) };
        let slots = self.slots;
        let mut upper = enters;
        for (k, held) in self.slots_held.iter_mut().enumerate() {
            let lower = if k + 1 == slots { comes } else { comes.max(before(k + 1)) };
            *held = held.wrapping_add(part(lower, upper));
            upper = lower;
        }
    }

    /// The end has come: writes the counts; so many visits were `inside`. Returns the ends of steps up to it.
    pub fn settle(&self, inside: u64, window: &Window, seen: &mut Replication) -> u64 {
        let net = window.end - window.cut;
        let place = &mut seen.places[self.place];
        let states = [(BayState::Working, self.working), (BayState::Blocked, self.blocked)];
        settle_place(place, 1, net, &states, self.stretches);
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
