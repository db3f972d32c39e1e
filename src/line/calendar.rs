//! When the line is attended: shifts, pauses, closed days.
//!
//! The week repeats; closed days drop the shifts that start on them. Everything is an offset in
//! clock time from Monday 00:00, or an instant from 00:00 of the first day of the run.

use super::GroupId;
use crate::units::Time;

/// One shift of the week (a `shift` statement on `mon to fri` makes five).
#[derive(Clone, PartialEq, Debug)]
pub struct WeekShift {
    /// Name in the file.
    pub name: String,
    /// Offset of its start from Monday 00:00; below one week.
    pub start: Time,
    /// Offset of its end; may lie past the end of the week for a shift over Sunday midnight.
    pub end: Time,
    /// Not attended inside the shift (meal, breaks, meeting, clean-up, planned stops): offsets from
    /// Monday 00:00, disjoint, sorted, inside the shift.
    pub pauses: Vec<Pause>,
    /// Breaks that people take in turn while others sit in for them: the line goes on. Offsets as above.
    pub relieved: Vec<Pause>,
    /// Leave when the count is made.
    pub home: Option<Home>,
    /// Stay longer when the count is low.
    pub overtime: Option<Overtime>,
    /// Worked only if fewer units have been finished in its week; `None`: always.
    pub only_under: Option<u32>,
    /// How many people of these groups it has; groups that are not listed are there whole.
    pub people: Vec<(GroupId, u32)>,
}

/// `overtime day 90 min when under 9 units at 11:00, at most 3 days a week`
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Overtime {
    pub lasts: Time,
    /// If fewer units of the shift are finished when it is decided.
    pub under: u32,
    /// Offset from Monday 00:00, inside the shift.
    pub decided: Time,
    /// In one week; `None`: on every day.
    pub most_days: Option<u32>,
    /// On the time of whatever people begin in it.
    pub factor: f64,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Pause {
    pub start: Time,
    pub end: Time,
    pub paid: bool,
}

/// `home after 18 units, not before 13:00`
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Home {
    pub units: u32,
    /// Offset from Monday 00:00; the shift's start where none is stated.
    pub not_before: Time,
}

impl WeekShift {
    /// Net time: the shift less its pauses.
    pub fn net(&self) -> Time {
        self.end - self.start - self.pauses.iter().map(|p| p.end - p.start).sum()
    }

    /// Until when the break that begins at `start` may go round: the next break or pause, else the end.
    pub fn room_for_turns(&self, start: Time) -> Time {
        let later = self.relieved.iter().chain(&self.pauses).map(|pause| pause.start);
        later.filter(|other| *other > start).min().unwrap_or(self.end) - start
    }

    /// How many people of a group of so many it has.
    pub fn people_of(&self, group: GroupId, all: u32) -> u32 {
        self.people.iter().find(|(other, _)| *other == group).map_or(all, |(_, count)| *count)
    }

    /// What of it nobody is paid for.
    pub fn unpaid(&self) -> Time {
        let all = self.pauses.iter().chain(&self.relieved);
        all.filter(|pause| !pause.paid).map(|pause| pause.end - pause.start).sum()
    }

    /// Until when people work: what stands at its end (cleaning) left out.
    pub fn work_ends(&self) -> Time {
        self.pauses.last().filter(|pause| pause.end == self.end).map_or(self.end, |pause| pause.start)
    }

    /// The longest attended stretch.
    pub fn longest_stretch(&self) -> Time {
        let mut from = self.start;
        let mut longest = Time::ZERO;
        for pause in &self.pauses {
            longest = longest.max(pause.start - from);
            from = pause.end;
        }
        longest.max(self.end - from)
    }
}

/// When the line is attended, or a feeder that has hours of its own. Without one it is round the clock.
#[derive(Clone, PartialEq, Debug)]
pub struct Calendar {
    /// In order of their start; disjoint.
    pub week: Vec<WeekShift>,
    /// 0 = the run's first day is a Monday ... 6 = a Sunday.
    pub first_weekday: u8,
    /// Civil date of the first day, where the file gives one.
    pub first_date: Option<(i16, i8, i8)>,
    /// Closed days as days from the first day of the run, sorted; negative ones are past.
    pub closed: Vec<i64>,
}

impl Calendar {
    /// Time of the first week that lies before the first day of the run; none without a calendar.
    pub fn since_monday(calendar: Option<&Calendar>) -> Time {
        calendar.map_or(Time::ZERO, |calendar| Time::DAY * i64::from(calendar.first_weekday))
    }

    /// The longest attended stretch of the week.
    pub fn longest_stretch(&self) -> Time {
        self.week.iter().map(WeekShift::longest_stretch).max().unwrap_or(Time::ZERO)
    }

    /// Net time of one week without closed days.
    pub fn week_net(&self) -> Time {
        self.week.iter().map(WeekShift::net).sum()
    }

    /// Net time of the mean shift, as a fraction (time of the week, shifts of the week).
    pub fn shift_net(&self) -> (Time, i64) {
        (self.week_net(), self.week.len() as i64)
    }
}
