//! The window counted, and what falls into it.
//!
//! A window set by a count of finished units is known only when the unit has finished; what is
//! booked until then lies before it.

use crate::simulate::observations::{BayState, PlaceCounts, Replication};
use crate::simulate::settings::{Horizon, Settings, WarmUp};
use crate::units::Time;
use std::hint::select_unpredictable;

/// Not known, or not yet.
pub(super) const UNKNOWN: i64 = i64::MAX;

/// Clock times, microseconds. Without a calendar clock time is net time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Window {
    pub cut: i64,
    pub end: i64,
    /// First and last instant whose happenings are counted: a horizon in time comes before anything
    /// of its instant, one in units after everything.
    pub first: i64,
    pub last: i64,
    /// Entries that the general run's queue would hold for the horizon itself: their instants.
    marks: [i64; 2],
    units: Option<(u64, u64)>,
    finished: u64,
}

impl Window {
    /// `None`: a window by shifts.
    pub fn new(settings: &Settings) -> Option<Window> {
        let mut window = Window {
            cut: UNKNOWN,
            end: UNKNOWN,
            first: UNKNOWN,
            last: UNKNOWN,
            marks: [UNKNOWN; 2],
            units: None,
            finished: 0,
        };
        let warm = match settings.warm_up {
            none if none.is_none() => Some(0),
            WarmUp::For(time) => Some(time.0),
            WarmUp::Units(_) => None,
            WarmUp::None | WarmUp::Shifts(_) => return None,
        };
        if let Some(warm) = warm {
            (window.cut, window.first) = (warm, warm);
            if warm > 0 {
                window.marks[0] = warm;
            }
        }
        match (settings.horizon, settings.warm_up) {
            (Horizon::Units(n), WarmUp::Units(w)) => window.units = Some((w, n)),
            (Horizon::Units(n), _) => window.units = Some((0, n)),
            (Horizon::For(_), WarmUp::Units(w)) if w > 0 => return None,
            (Horizon::For(time), _) => {
                window.end = window.cut + time.0;
                window.last = window.end - 1;
                window.marks[1] = window.end;
            }
            (Horizon::Shifts(_), _) => return None,
        }
        Some(window)
    }

    /// Is what happens at `at` counted?
    #[inline]
    pub fn holds(&self, at: i64) -> bool {
        at >= self.first && at <= self.last
    }

    /// The part of `from..to` inside.
    #[inline]
    pub fn part(&self, from: i64, to: i64) -> i64 {
        (to.min(self.end) - from.max(self.cut)).max(0)
    }

    /// A unit has finished; `counted` is how many have inside the window, with it.
    pub fn finished(&mut self, at: i64, counted: u64) {
        self.finished += 1;
        let Some((warm, n)) = self.units else { return };
        if self.cut == UNKNOWN && self.finished == warm {
            (self.cut, self.first) = (at, at + 1);
        } else if self.end == UNKNOWN && self.holds(at) && counted >= n {
            (self.end, self.last) = (at, at);
        }
    }

    /// Horizon entries taken from the queue up to the end.
    pub fn marks_taken(&self) -> u64 {
        self.marks.iter().filter(|at| **at <= self.end && **at != UNKNOWN).count() as u64
    }
}

/// The last uninterrupted stretch of activity of one bay.
#[derive(Clone, Copy, Debug)]
pub(super) struct Active {
    /// -1: never active.
    since: i64,
    /// Until when its last unit had work done on it.
    pub to: i64,
}

impl Active {
    pub const NOT: Active = Active { since: -1, to: -1 };

    /// Work begins: the stretch goes on if the work before has just ended. `INSIDE`: inside the window.
    ///
    /// No branches there: which it is, nobody can foretell. A stretch that goes on may be measured, too: it is at
    /// least as long.
    #[inline]
    pub fn begin<const INSIDE: bool>(&mut self, now: i64, window: &Window, counts: &mut Stretches) {
        let goes_on = self.to == now;
        if INSIDE {
            counts.periods += u64::from(!goes_on & (self.to >= window.first));
            counts.longest = counts.longest.max(self.to.wrapping_sub(self.since.max(window.cut)));
        } else if !goes_on {
            self.close(window, counts);
        }
        self.since = select_unpredictable(goes_on, self.since, now);
    }

    /// No work follows that ended.
    #[inline]
    pub fn close(&self, window: &Window, counts: &mut Stretches) {
        if self.since >= 0 && self.to >= window.first && self.since <= window.last {
            counts.periods += 1;
            counts.longest = counts.longest.max(window.part(self.since, self.to));
        }
    }
}

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stretches {
    pub periods: u64,
    pub longest: i64,
}

/// Writes what a place of `bays` bays did; `states` without the starved time.
pub(super) fn settle_place(
    counts: &mut PlaceCounts,
    bays: i64,
    net: i64,
    states: &[(BayState, i64)],
    stretches: Stretches,
) {
    let mut rest = bays * net;
    for (state, time) in states {
        counts.states[*state as usize] = *time;
        rest -= time;
    }
    counts.states[BayState::Starved as usize] = rest;
    let active = [BayState::Holding, BayState::Moving, BayState::Working];
    counts.active_time = Time(active.iter().map(|s| counts.states[*s as usize]).sum());
    counts.active_periods = stretches.periods;
    counts.longest_active = Time(stretches.longest);
}

/// What is counted of whole units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Passage {
    pub on: i64,
    pub off: i64,
}

impl Passage {
    /// A unit's time between line-on and line-off, `off` unknown while it is in the line.
    pub fn book(self, window: &Window, seen: &mut Replication) {
        let inside = i128::from(window.part(self.on, self.off));
        seen.presence += inside;
        seen.unit_time += inside;
        if window.holds(self.on) {
            seen.line_on += 1;
            seen.released += 1;
        }
        if self.on < window.first && self.off >= window.first {
            seen.present_at_start += 1;
        }
        if self.on <= window.last && self.off > window.last {
            seen.present_at_end += 1;
        }
    }
}
