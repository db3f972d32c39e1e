//! People from outside: their hours, worked out here from the line alone.

use super::Follower;
use taktwright::line::CrewId;
use taktwright::units::Time;

impl Follower<'_> {
    /// Offset of an instant from Monday 00:00.
    fn of_week(&self, at: Time) -> i64 {
        let first = self.line.calendar.as_ref().map_or(0, |c| i64::from(c.first_weekday));
        (at.0 + first * Time::DAY.0).rem_euclid(Time::WEEK.0)
    }

    /// Whether a group is there now: always, if it is none of visitors.
    pub fn is_in_its_hours(&self, group: usize) -> bool {
        let at = self.of_week(self.now);
        self.line.visitors.iter().filter(|v| v.group.index() == group).all(|v| {
            v.week.iter().any(|(from, to)| {
                (from.0 <= at && at < to.0) || (from.0 <= at + Time::WEEK.0 && at + Time::WEEK.0 < to.0)
            })
        })
    }

    /// Visitors begin a repair in their hours, while their place is attended; whoever else mends, at any time.
    pub fn may_begin_to_mend(&self, group: usize) -> bool {
        let visits = self.line.visitors.iter().any(|v| v.group.index() == group);
        !visits || self.is_in_its_hours(group) && self.days_of_group(group).attended(self.now)
    }

    /// The visitors of a crew who are outside their hours now.
    pub fn outside_hours(&self, crew: CrewId) -> u128 {
        if self.line.visitors.is_empty() {
            return 0;
        }
        let there = |group: usize| self.is_in_its_hours(group);
        let mut mask = 0u128;
        let mut person = 0;
        for (count, group) in &self.line.crews[crew.index()].members {
            for _ in 0..*count {
                mask |= if there(group.index()) { 0 } else { 1 << person };
                person += 1;
            }
        }
        mask
    }

    /// The first instant after now, and before `at`, at which the hours of a visitor begin or end.
    pub fn hours_before(&self, at: Time) -> Option<Time> {
        let week = self.of_week(self.now);
        let edges =
            self.line.visitors.iter().flat_map(|v| v.week.iter().flat_map(|(from, to)| [from.0, to.0]));
        let ahead = edges.map(|edge| match (edge - week).rem_euclid(Time::WEEK.0) {
            0 => Time::WEEK.0,
            left => left,
        });
        ahead.min().map(|left| Time(self.now.0 + left)).filter(|edge| *edge < at)
    }
}
