//! Clock time and net time: when the line is attended.
//!
//! Attended stretches are laid out week by week as far as the run gets; a cursor stays at the
//! current one, so asking the time costs nothing.

use crate::line::Calendar;
use crate::units::Time;

const WEEK: i64 = Time::WEEK.0;
const DAY: i64 = Time::DAY.0;

/// Attended from `start` up to, not including, `end`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Stretch {
    start: i64,
    end: i64,
    /// Net time at its start.
    net: i64,
}

/// One shift of the run.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ShiftSpan {
    pub start: i64,
    pub end: i64,
    /// Net time at its start.
    pub net: i64,
    /// Units after which people go home, and from when on.
    pub home: Option<(u32, i64)>,
    /// Which shift of the week it is.
    pub of_week: usize,
    /// When it is decided whether it lasts longer.
    pub decides: Option<i64>,
}

#[derive(Clone, Debug)]
pub struct Clock {
    calendar: Option<Calendar>,
    stretches: Vec<Stretch>,
    shifts: Vec<ShiftSpan>,
    /// Weeks laid out so far.
    weeks: i64,
    /// The stretch that holds now, or the next one.
    cursor: usize,
    now: i64,
    net: i64,
    /// Now lies in that stretch.
    attended: bool,
}

impl Clock {
    /// Stands at 00:00 of the first day.
    pub fn new(calendar: Option<&Calendar>) -> Clock {
        let mut clock = Clock {
            calendar: calendar.cloned(),
            stretches: Vec::new(),
            shifts: Vec::new(),
            weeks: 0,
            cursor: 0,
            now: 0,
            net: 0,
            attended: calendar.is_none(),
        };
        if clock.calendar.is_none() {
            clock.stretches.push(Stretch { start: 0, end: i64::MAX, net: 0 });
        }
        clock
    }

    pub fn has_calendar(&self) -> bool {
        self.calendar.is_some()
    }

    /// Lays out one more week.
    fn lay_week(&mut self) {
        let Some(calendar) = &self.calendar else { return };
        // The first day stands `first_weekday` days into its week.
        let monday = self.weeks * WEEK - i64::from(calendar.first_weekday) * DAY;
        let mut net = self.stretches.last().map_or(0, |s| s.net + (s.end - s.start));
        for (of_week, shift) in calendar.week.iter().enumerate() {
            let (start, end) = (monday + shift.start.0, monday + shift.end.0);
            if start < 0 || calendar.closed.binary_search(&start.div_euclid(DAY)).is_ok() {
                continue;
            }
            self.shifts.push(ShiftSpan {
                start,
                end,
                net,
                home: shift.home.map(|h| (h.units, monday + h.not_before.0)),
                of_week,
                decides: shift.overtime.map(|overtime| monday + overtime.decided.0),
            });
            let mut from = start;
            for pause in &shift.pauses {
                let (a, b) = (monday + pause.start.0, monday + pause.end.0);
                if a > from {
                    self.stretches.push(Stretch { start: from, end: a, net });
                    net += a - from;
                }
                from = from.max(b);
            }
            if end > from {
                self.stretches.push(Stretch { start: from, end, net });
                net += end - from;
            }
        }
        self.weeks += 1;
    }

    /// Makes sure that stretch `index` exists; a calendar that is closed for ever stops after a bound.
    fn stretch(&mut self, index: usize) -> Stretch {
        let mut empty = 0;
        while index >= self.stretches.len() && empty < 1_000 {
            let before = self.stretches.len();
            self.lay_week();
            empty = if self.stretches.len() == before { empty + 1 } else { 0 };
        }
        self.stretches.get(index).copied().unwrap_or(Stretch {
            start: i64::MAX,
            end: i64::MAX,
            net: i64::MAX,
        })
    }

    /// The `k`-th shift of the run, counted from 0.
    pub fn shift(&mut self, k: usize) -> ShiftSpan {
        let mut empty = 0;
        while k >= self.shifts.len() && empty < 1_000 {
            let before = self.shifts.len();
            self.lay_week();
            empty = if self.shifts.len() == before { empty + 1 } else { 0 };
        }
        self.shifts.get(k).copied().unwrap_or(ShiftSpan {
            start: i64::MAX,
            end: i64::MAX,
            net: i64::MAX,
            home: None,
            of_week: 0,
            decides: None,
        })
    }

    /// When the last attended stretch of the `k`-th shift ends.
    pub fn last_stretch_end(&mut self, k: usize) -> i64 {
        let shift = self.shift(k);
        let ends = self.stretches.iter().rev().map(|s| s.end);
        ends.into_iter().find(|end| *end > shift.start && *end <= shift.end).unwrap_or(shift.end)
    }

    /// The `k`-th shift, which runs, lasts longer: its last stretch does, and what stands behind it (cleaning)
    /// comes later.
    pub fn extend(&mut self, k: usize, by: i64) {
        let ends = self.last_stretch_end(k);
        for stretch in &mut self.stretches {
            if stretch.end == ends {
                stretch.end += by;
            } else if stretch.start >= ends {
                stretch.net += by;
            }
        }
        self.shifts[k].end += by;
        self.shifts.iter_mut().skip(k + 1).for_each(|shift| shift.net += by);
    }

    /// The `k`-th shift, which would begin now, is not worked.
    pub fn leave_out(&mut self, k: usize) {
        let left_out = self.shift(k);
        // Something must stand behind it for the weeks that are laid out next.
        self.lay_week();
        let inside = |s: &Stretch| s.start >= left_out.start && s.end <= left_out.end;
        let net: i64 = self.stretches.iter().filter(|s| inside(s)).map(|s| s.end - s.start).sum();
        self.stretches.retain(|s| !inside(s));
        for stretch in self.stretches.iter_mut().filter(|s| s.start >= left_out.end) {
            stretch.net -= net;
        }
        self.shifts.remove(k);
        self.shifts.iter_mut().skip(k).for_each(|shift| shift.net -= net);
        let stretch = self.stretch(self.cursor);
        self.stands_in(stretch);
    }

    /// Moves on to `now`.
    #[inline]
    pub fn advance(&mut self, now: i64) {
        debug_assert!(now >= self.now, "time does not run backwards");
        self.now = now;
        if self.calendar.is_none() {
            self.net = now;
            return;
        }
        let mut stretch = self.stretch(self.cursor);
        while now >= stretch.end {
            self.cursor += 1;
            stretch = self.stretch(self.cursor);
        }
        self.stands_in(stretch);
    }

    /// The stretch that holds now, or the next one.
    #[inline]
    fn stands_in(&mut self, stretch: Stretch) {
        self.attended = stretch.start <= self.now;
        self.net = stretch.net + (self.now - stretch.start).max(0);
    }

    #[inline]
    pub fn now(&self) -> i64 {
        self.now
    }

    /// Net time up to now.
    #[inline]
    pub fn net(&self) -> i64 {
        self.net
    }

    #[inline]
    pub fn attended(&self) -> bool {
        self.attended
    }

    /// Attended time left before the next stop.
    pub fn stretch_left(&self) -> i64 {
        match self.stretches.get(self.cursor) {
            Some(s) if s.start <= self.now => s.end - self.now,
            _ => 0,
        }
    }

    /// When attended work of `length` that starts now ends. Work that ends at a stop is in time.
    #[inline]
    pub fn end_of_work(&mut self, length: i64) -> i64 {
        if self.calendar.is_none() {
            return self.now + length;
        }
        let net = self.net + length;
        // Most work ends in the stretch that runs.
        match self.stretches.get(self.cursor) {
            Some(s) if length > 0 && s.start <= self.now && self.now + length <= s.end => self.now + length,
            Some(_) | None => self.clock_of_net(net),
        }
    }

    /// The first instant, not before now, at which net time has reached `net`.
    pub fn clock_of_net(&mut self, net: i64) -> i64 {
        if self.calendar.is_none() {
            return net.max(self.now);
        }
        if net <= self.net {
            return self.now;
        }
        self.reaches(self.cursor, net)
    }

    /// Net time at any instant, also one that is over.
    pub fn net_at(&mut self, at: i64) -> i64 {
        if self.calendar.is_none() {
            return at;
        }
        let index = self.stretch_after(at);
        let stretch = self.stretch(index);
        stretch.net + (at - stretch.start).max(0)
    }

    /// When attended work of `length`, more than nothing, that starts at any instant ends.
    pub fn end_of_work_from(&mut self, at: i64, length: i64) -> i64 {
        if self.calendar.is_none() {
            return at + length;
        }
        let net = self.net_at(at) + length;
        let index = self.stretch_after(at);
        self.reaches(index, net)
    }

    /// The first stretch that ends after an instant.
    fn stretch_after(&mut self, at: i64) -> usize {
        let mut laid = self.stretches.len();
        while self.stretches.last().is_none_or(|last| last.end <= at) {
            self.stretch(laid);
            if std::mem::replace(&mut laid, self.stretches.len()) == laid {
                break;
            }
        }
        self.stretches.partition_point(|stretch| stretch.end <= at)
    }

    /// When net time reaches `net`, from a stretch on.
    fn reaches(&mut self, mut at: usize, net: i64) -> i64 {
        loop {
            let stretch = self.stretch(at);
            if stretch.start == i64::MAX {
                return i64::MAX;
            }
            if net <= stretch.net + (stretch.end - stretch.start) {
                return stretch.start + (net - stretch.net);
            }
            at += 1;
        }
    }

    /// Net time of the grid's next signal after `signal`: the shift's start and k x `every`, k from 1.
    /// Signals that a push has missed are owed until the shift ends; one may fall at its very end.
    pub fn next_on_grid(&mut self, signal: i64, every: i64) -> i64 {
        if self.calendar.is_none() {
            return signal + every;
        }
        let mut k = self.shifts.partition_point(|s| s.net <= self.net).saturating_sub(1);
        let begins = self.shift(k).net;
        let mut next = if signal <= begins { begins } else { signal } + every;
        // A shift too short for one signal has none (the checker refuses a line without others).
        while next > self.shift(k + 1).net && self.shift(k + 1).net < i64::MAX {
            k += 1;
            next = self.shift(k).net + every;
        }
        next
    }

    /// Start of the first stretch after now.
    pub fn next_stretch_start(&mut self) -> i64 {
        let mut at = self.cursor;
        while self.stretch(at).start <= self.now {
            at += 1;
        }
        self.stretch(at).start
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::{Pause, WeekShift};

    fn minutes(m: i64) -> Time {
        Time::from_minutes(m)
    }

    fn clock() -> Clock {
        let day = |d: i64| WeekShift {
            name: "day".into(),
            start: Time::DAY * d + minutes(360),
            end: Time::DAY * d + minutes(600),
            pauses: vec![Pause {
                start: Time::DAY * d + minutes(420),
                end: Time::DAY * d + minutes(430),
                paid: true,
            }],
            relieved: Vec::new(),
            home: None,
            overtime: None,
            only_under: None,
            people: Vec::new(),
        };
        Clock::new(Some(&Calendar {
            week: vec![day(0), day(1)],
            first_weekday: 0,
            first_date: None,
            closed: vec![7],
        }))
    }

    #[test]
    fn work_pauses_at_the_break_and_over_the_night() {
        let mut clock = clock();
        clock.advance(minutes(410).0);
        assert_eq!(clock.net(), minutes(50).0);
        assert_eq!(clock.end_of_work(minutes(10).0), minutes(420).0, "ends at the break: in time");
        assert_eq!(clock.end_of_work(minutes(11).0), minutes(431).0);
        assert_eq!(clock.end_of_work(minutes(181).0), (Time::DAY + minutes(361)).0);
        clock.advance(minutes(420).0);
        assert!(!clock.attended());
        assert_eq!(clock.next_stretch_start(), minutes(430).0);
    }

    #[test]
    fn closed_days_drop_their_shifts() {
        let mut clock = clock();
        assert_eq!(clock.shift(2).start, (Time::DAY * 8 + minutes(360)).0, "the second Monday is closed");
    }
}
