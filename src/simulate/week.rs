//! The hours of the week: how many units stand at a place in each of them.

use super::run::Run;
use super::watcher::Watcher;
use crate::line::{Calendar, Line};
use crate::units::Time;

/// Hours of a week.
pub const HOURS: usize = 7 * 24;

/// Adds `weight` times the part that lies in each hour of the week of a span of the run's clock.
pub(super) fn add(hours: &mut [i64], line: &Line, (from, to): (i64, i64), weight: i64) {
    let monday = Calendar::since_monday(line.calendar.as_ref()).micros();
    part(hours, (monday + from, monday + to), weight);
}

/// The same, of a span since a Monday 00:00.
fn part(hours: &mut [i64], (from, to): (i64, i64), weight: i64) {
    let hour = Time::HOUR.micros();
    let mut at = from;
    while at < to {
        let nth = at.div_euclid(hour);
        let until = ((nth + 1) * hour).min(to);
        hours[nth.rem_euclid(HOURS as i64) as usize] += (until - at) * weight;
        at = until;
    }
}

impl<W: Watcher> Run<'_, W> {
    /// How much was counted of each hour, as the window ends.
    pub(super) fn close_week(&mut self) {
        if !self.seen.hours.is_empty() {
            add(&mut self.seen.hours, self.c.line, (self.cut_clock, self.clock.now()), 1);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_falls_into_the_hours_it_lies_in_and_sunday_is_followed_by_monday() {
        let mut hours = vec![0; HOURS];
        let minutes = |m: i64| Time::from_minutes(m).micros();
        // Sunday 22:30 to Monday 00:15, three units.
        let sunday = 6 * 24 * 60 + 22 * 60 + 30;
        part(&mut hours, (minutes(sunday), minutes(sunday + 105)), 3);
        assert_eq!((hours[166], hours[167], hours[0]), (3 * minutes(30), 3 * minutes(60), 3 * minutes(15)));
        assert_eq!(hours.iter().sum::<i64>(), 3 * minutes(105));
        part(&mut hours, (minutes(60), minutes(60)), 9);
        assert_eq!(hours[1], 0);
    }
}
