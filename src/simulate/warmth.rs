//! Holds for which only warm time counts: when they end.

use super::run::Run;
use super::watcher::Watcher;
use crate::line::{Calendar, Warmth};
use crate::units::Time;

const WEEK: i64 = Time::WEEK.0;

impl<W: Watcher> Run<'_, W> {
    /// When a hold of `length` that begins now is over.
    #[inline]
    pub(super) fn end_of_hold(&mut self, bay: usize, local: u16, attended: bool, length: i64) -> i64 {
        if attended {
            return self.clock_in_mut(bay).end_of_work(length);
        }
        let now = self.clock.now();
        if self.c.line.temperatures.is_empty() {
            return now + length;
        }
        let step = self.c.shop.node(bay, local as usize).step as usize;
        let warm = self.c.line.steps[step].hold().and_then(|hold| hold.warm.as_ref());
        let Some(warm) = warm else { return now + length };
        let monday = Calendar::since_monday(self.c.line.calendar.as_ref()).0;
        let ends = warm_end(warm, now + monday, length) - monday;
        let cold = Time(ends - now - length);
        self.cold[self.c.shop.bay_node0[bay] as usize + local as usize] = cold;
        ends
    }

    /// The hold has ended: what the cold cost it is counted.
    pub(super) fn count_cold(&mut self, bay: usize, local: u16) {
        if self.c.line.temperatures.is_empty() {
            return;
        }
        let step = self.c.shop.node(bay, local as usize).step as usize;
        let cold = std::mem::take(&mut self.cold[self.c.shop.bay_node0[bay] as usize + local as usize]);
        self.seen.holds[self.c.hold_index[step] as usize].cold += cold;
    }
}

/// When `length` of warm time has passed since `from`, in one piece where colder time undoes it; both on a
/// clock that begins on a Monday. The checker has seen that it ends.
fn warm_end(warm: &Warmth, from: i64, length: i64) -> i64 {
    if warm.always() {
        return from + length;
    }
    let (mut left, mut last_end) = (length, i64::MIN);
    for week in from.div_euclid(WEEK).. {
        for (start, end) in &warm.week {
            let (start, end) = ((week * WEEK + start.0).max(from), week * WEEK + end.0);
            if end <= start {
                continue;
            }
            if warm.again && start != last_end {
                left = length;
            }
            if left <= end - start {
                return start + left;
            }
            left -= end - start;
            last_end = end;
        }
    }
    i64::MAX
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Warm from 06:00 to 22:00 on every day.
    fn days(again: bool) -> Warmth {
        let day = |d: i64| (Time::DAY * d + Time::HOUR * 6, Time::DAY * d + Time::HOUR * 22);
        Warmth { of: 0, least: 15.0, again, week: (0..7).map(day).collect() }
    }

    #[test]
    fn cold_time_does_not_count_or_undoes_what_has_passed() {
        let hour = Time::HOUR.0;
        // From 14:00: 8 h until 22:00, the other 4 h from 06:00 on; in one piece, 12 h from 06:00 on.
        assert_eq!(warm_end(&days(false), 14 * hour, 12 * hour), 34 * hour);
        assert_eq!(warm_end(&days(true), 14 * hour, 12 * hour), 42 * hour);
        // One that fits before the night, one that begins at night, one that ends as it gets cold.
        assert_eq!(warm_end(&days(true), 8 * hour, 3 * hour), 11 * hour);
        assert_eq!(warm_end(&days(true), 23 * hour, 3 * hour), 33 * hour);
        assert_eq!(warm_end(&days(true), 6 * hour, 16 * hour), 22 * hour);
        // Weeks later.
        assert_eq!(warm_end(&days(false), 0, 16 * hour * 8), (7 * 24 + 22) * hour);
    }

    #[test]
    fn warmth_goes_on_over_sunday_midnight() {
        let week = vec![(Time::ZERO, Time::HOUR * 10), (Time::DAY * 6, Time::WEEK)];
        let warm = Warmth { of: 0, least: 15.0, again: true, week };
        assert_eq!(warm.longest(), Time::HOUR * 34);
        assert_eq!(warm_end(&warm, 0, Time::HOUR.0 * 30), (Time::DAY * 6 + Time::HOUR * 30).0);
    }
}
