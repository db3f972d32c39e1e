//! Holds for which only warm time counts: when they end.

use super::clock::Clock;
use super::run::Run;
use super::watcher::Watcher;
use crate::line::{Calendar, Warmth};
use crate::schedule::NodeKind;
use crate::units::Time;

const WEEK: i64 = Time::WEEK.0;
/// A plant that stays closed for longer is closed for ever.
const MOST_WEEKS: i64 = 10_000;

/// A hold that must be warm, since it last began.
#[derive(Clone, Copy, Debug, Default)]
pub struct Warmed {
    since: i64,
    length: i64,
    /// How much longer it takes for the cold, clock time.
    cold: Time,
}

impl<'a, W: Watcher> Run<'a, W> {
    /// When a hold of `length` that begins now is over.
    #[inline]
    pub(super) fn end_of_hold(&mut self, bay: usize, local: u16, attended: bool, length: i64) -> i64 {
        let Some(warm) = self.must_be_warm(bay, local) else {
            return match attended {
                true => self.clock_in_mut(bay).end_of_work(length),
                false => self.clock.now() + length,
            };
        };
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        self.warmed[at] = Warmed { since: self.clock.now(), length, cold: Time::ZERO };
        self.end_in_the_warm(bay, local, warm)
    }

    fn must_be_warm(&self, bay: usize, local: u16) -> Option<&'a Warmth> {
        if self.c.line.temperatures.is_empty() {
            return None;
        }
        let step = self.c.shop.node(bay, local as usize).step as usize;
        self.c.line.steps.get(step)?.hold()?.warm.as_ref()
    }

    /// When a hold that must be warm, and has begun, is over.
    fn end_in_the_warm(&mut self, bay: usize, local: u16, warm: &Warmth) -> i64 {
        let c = self.c;
        let node = c.shop.node(bay, local as usize);
        let at = c.shop.bay_node0[bay] as usize + local as usize;
        let Warmed { since, length, .. } = self.warmed[at];
        let monday = Calendar::since_monday(c.line.calendar.as_ref()).0;
        let (ends, without_cold) = match node.kind {
            NodeKind::Hold { attended: true } => {
                let clock = self.clock_in_mut(bay);
                (attended_end(warm, clock, monday, (since, length)), clock.end_of_work_from(since, length))
            }
            NodeKind::Hold { .. } | NodeKind::Work | NodeKind::Fix { .. } | NodeKind::Verdict { .. } => {
                (warm_end(warm, since + monday, length) - monday, since + length)
            }
        };
        self.warmed[at].cold = Time(ends - without_cold);
        ends
    }

    /// Attended time has changed: when a hold ends that goes by it and must be warm; `None` for any other work.
    pub(super) fn end_of_attended_hold(&mut self, bay: usize, local: u16) -> Option<i64> {
        let attended = self.c.shop.node(bay, local as usize).kind == NodeKind::Hold { attended: true };
        let warm = self.must_be_warm(bay, local).filter(|_| attended)?;
        Some(self.end_in_the_warm(bay, local, warm))
    }

    /// The hold has ended: what the cold cost it is counted.
    pub(super) fn count_cold(&mut self, bay: usize, local: u16) {
        if self.c.line.temperatures.is_empty() {
            return;
        }
        let step = self.c.shop.node(bay, local as usize).step as usize;
        let warmed = &mut self.warmed[self.c.shop.bay_node0[bay] as usize + local as usize];
        self.seen.holds[self.c.hold_index[step] as usize].cold += std::mem::take(warmed).cold;
    }
}

/// When `length` of warm time has passed since `from`, in one piece where colder time undoes it; both on a
/// clock that begins on a Monday. The checker has seen that it ends.
fn warm_end(warm: &Warmth, from: i64, length: i64) -> i64 {
    if warm.always() {
        return from + length;
    }
    let counts = |from: i64, to: i64| to - from;
    let found = warm_piece(warm, from, length, counts);
    found.map_or(i64::MAX, |(start, left)| start + left)
}

/// The same of time that is attended, too; on the clock of the run, the first week of which began `monday` before it.
fn attended_end(warm: &Warmth, clock: &mut Clock, monday: i64, (from, length): (i64, i64)) -> i64 {
    if length == 0 || warm.always() {
        return clock.end_of_work_from(from, length);
    }
    let counts = |from: i64, to: i64| clock.net_at(to - monday) - clock.net_at(from - monday);
    let found = warm_piece(warm, from + monday, length, counts);
    found.map_or(i64::MAX, |(start, left)| clock.end_of_work_from(start - monday, left))
}

/// The start of the warm stretch, or what of it comes after `from`, in which `length` is over, and how much of it is
/// left then. `counts`: how much of a warm stretch counts.
fn warm_piece(
    warm: &Warmth,
    from: i64,
    length: i64,
    mut counts: impl FnMut(i64, i64) -> i64,
) -> Option<(i64, i64)> {
    let (mut left, mut last_end) = (length, i64::MIN);
    let first = from.div_euclid(WEEK);
    for week in first..first + MOST_WEEKS {
        for (start, end) in &warm.week {
            let (start, end) = ((week * WEEK + start.0).max(from), week * WEEK + end.0);
            if end <= start {
                continue;
            }
            if warm.again && start != last_end {
                left = length;
            }
            let counted = counts(start, end);
            if left <= counted {
                return Some((start, left));
            }
            left -= counted;
            last_end = end;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::{FileId, Span};

    /// Warm from 06:00 to 22:00 on every day.
    fn days(again: bool) -> Warmth {
        let day = |d: i64| (Time::DAY * d + Time::HOUR * 6, Time::DAY * d + Time::HOUR * 22);
        let week = (0..7).map(day).collect();
        Warmth { of: 0, least: 15.0, again, week, span: Span::new(FileId(0), 0, 0) }
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
        let warm = Warmth { week, ..days(true) };
        assert_eq!(warm_end(&warm, 0, Time::HOUR.0 * 30), (Time::DAY * 6 + Time::HOUR * 30).0);
    }
}
