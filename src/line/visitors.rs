//! People from outside who are there in hours of their own.

use super::GroupId;
use crate::units::Time;

/// Marks the people of a visiting group among their skills: they do only what asks for one of them.
pub const VISITOR: u64 = 1 << 63;

/// `visitor inspector 1 from 07:00 to 13:00`: when a group is there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Visitor {
    pub group: GroupId,
    /// From and to, as offsets from Monday 00:00, in order; the last one may end in the next week.
    pub week: Vec<(Time, Time)>,
}

impl Visitor {
    /// Whether they are there at an offset from Monday 00:00 (below one week): from the first instant of
    /// their hours up to, not including, the last.
    pub fn is_there(&self, offset: Time) -> bool {
        let inside = |at: Time| self.week.iter().any(|(from, to)| *from <= at && at < *to);
        inside(offset) || inside(offset + Time::WEEK)
    }

    /// Time from an offset to the next one at which hours begin or end.
    pub fn to_next_change(&self, offset: Time) -> Time {
        let edges = self.week.iter().flat_map(|(from, to)| [*from, *to]);
        let ahead = |edge: Time| {
            let left = (edge - offset).0.rem_euclid(Time::WEEK.0);
            if left == 0 { Time::WEEK } else { Time(left) }
        };
        edges.map(ahead).min().unwrap_or(Time::WEEK)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(of: &[(i64, i64)]) -> Visitor {
        let week = of.iter().map(|(a, b)| (Time::HOUR * *a, Time::HOUR * *b)).collect();
        Visitor { group: GroupId(0), week }
    }

    #[test]
    fn hours_hold_their_first_instant_and_not_their_last() {
        let visitor = hours(&[(7, 13), (31, 37)]);
        let there = |h: i64| visitor.is_there(Time::HOUR * h);
        assert_eq!([6, 7, 12, 13, 30, 31].map(there), [false, true, true, false, false, true]);
        assert_eq!(visitor.to_next_change(Time::HOUR * 7), Time::HOUR * 6);
        assert_eq!(visitor.to_next_change(Time::HOUR * 40), Time::HOUR * (168 - 40 + 7));
    }

    #[test]
    fn hours_may_run_over_sunday_midnight() {
        let visitor = hours(&[(166, 170)]);
        assert!(visitor.is_there(Time::HOUR) && !visitor.is_there(Time::HOUR * 2));
        assert_eq!(visitor.to_next_change(Time::HOUR), Time::HOUR);
    }
}
