//! When the line is attended, worked out from the calendar by the follower's own means.

use taktwright::line::Calendar;
use taktwright::units::Time;

/// One shift on the clock of the run.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Shift {
    pub start: Time,
    pub end: Time,
    /// Units to make and the earliest time to leave, where the shift may end early.
    pub home: Option<(u32, Time)>,
    /// When it is decided whether it lasts longer.
    pub decided: Option<Time>,
}

/// A stretch of attended time and the net time gathered before it.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    start: i64,
    end: i64,
    before: i64,
}

/// Attended stretches and shifts from the start of the run, laid out as far as they were asked for.
pub struct Attendance {
    calendar: Option<Calendar>,
    weeks: i64,
    stretches: Vec<Stretch>,
    pub shifts: Vec<Shift>,
    /// Shifts, by their starts, that last longer by so much, or (`None`) are not worked.
    changes: Vec<(Time, Option<Time>)>,
}

impl Attendance {
    pub fn of(calendar: Option<&Calendar>) -> Attendance {
        let mut attendance = Attendance {
            calendar: calendar.cloned(),
            weeks: 0,
            stretches: Vec::new(),
            shifts: Vec::new(),
            changes: Vec::new(),
        };
        attendance.lay_out(4);
        attendance
    }

    pub fn calendar(&self) -> Option<&Calendar> {
        self.calendar.as_ref()
    }

    /// Lays out weeks 0..=weeks; a shift that would have begun before the run is not worked.
    fn lay_out(&mut self, weeks: i64) {
        self.weeks = weeks;
        let Some(calendar) = &self.calendar else { return };
        self.stretches.clear();
        self.shifts.clear();
        for week in -1..=weeks {
            let monday = (week * 7 - i64::from(calendar.first_weekday)) * Time::DAY.0;
            for shift in &calendar.week {
                let start = monday + shift.start.0;
                if calendar.closed.contains(&start.div_euclid(Time::DAY.0)) || start < 0 {
                    continue;
                }
                let change =
                    self.changes.iter().find(|(other, _)| other.0 == start).map(|(_, change)| *change);
                if change == Some(None) {
                    continue;
                }
                let by = change.flatten().unwrap_or(Time::ZERO);
                let decided = shift.overtime.map(|overtime| Time(monday + overtime.decided.0));
                let home = shift.home.map(|h| (h.units, Time(monday + h.not_before.0)));
                let end = Time(monday + shift.end.0) + by;
                self.shifts.push(Shift { start: Time(start.max(0)), end, home, decided });
                let mut from = start;
                let pauses = shift.pauses.iter().map(|p| (monday + p.start.0, monday + p.end.0));
                for (stop, on) in pauses.chain([(monday + shift.end.0, i64::MAX)]) {
                    if stop > from && stop > 0 {
                        self.stretches.push(Stretch { start: from.max(0), end: stop, before: 0 });
                    }
                    from = on;
                }
                if by > Time::ZERO
                    && let Some(last) = self.stretches.last_mut()
                {
                    last.end += by.0;
                }
            }
        }
        self.shifts.sort_by_key(|s| s.start);
        self.stretches.sort_by_key(|s| s.start);
        let mut before = 0;
        for stretch in &mut self.stretches {
            stretch.before = before;
            before += stretch.end - stretch.start;
        }
    }

    /// Sees to it that everything up to `at` and two weeks more is laid out.
    pub fn reach(&mut self, at: Time) {
        let needed = at.0 / Time::WEEK.0 + 2;
        if self.calendar.is_some() && needed > self.weeks {
            self.lay_out(needed * 2);
        }
    }

    /// The shift that begins then lasts longer, or is not worked.
    pub fn change(&mut self, start: Time, change: Option<Time>) {
        self.changes.push((start, change));
        self.lay_out(self.weeks);
    }

    /// Net time of the grid's signal after `signal`, as seen by a push that began at `began`: the first
    /// multiple of `every` after it within the shift, counted from the shift's start; if there is none,
    /// the next shift's first one.
    pub fn next_on_grid(&self, signal: Time, began: Time, every: Time) -> Time {
        if self.calendar.is_none() {
            return signal + every;
        }
        let current = self.shifts.iter().rposition(|s| s.start <= began).unwrap_or(0);
        for shift in &self.shifts[current..] {
            let (starts, ends) = (self.net(shift.start), self.net(shift.end));
            let mut at = starts + every;
            while at <= ends {
                if at > signal {
                    return at;
                }
                at += every;
            }
        }
        unreachable!("weeks enough are laid out")
    }

    fn last_from(&self, at: Time) -> Option<&Stretch> {
        let after = self.stretches.partition_point(|s| s.start <= at.0);
        after.checked_sub(1).map(|i| &self.stretches[i])
    }

    /// Net time from the start of the run to `at`.
    pub fn net(&self, at: Time) -> Time {
        if self.calendar.is_none() {
            return at;
        }
        self.last_from(at).map_or(Time::ZERO, |s| Time(s.before + at.0.min(s.end) - s.start))
    }

    /// Is somebody there from `at` on? At the very end of a stretch: no; at its start: yes.
    pub fn attended(&self, at: Time) -> bool {
        self.calendar.is_none() || self.last_from(at).is_some_and(|s| at.0 < s.end)
    }

    /// Until the next pause or the end of the shift; `None` round the clock.
    pub fn stretch_left(&self, at: Time) -> Option<Time> {
        self.calendar.as_ref()?;
        Some(self.last_from(at).map_or(Time::ZERO, |s| Time((s.end - at.0).max(0))))
    }

    /// The first instant at which `length` of attended time has passed since `at`: work that ends
    /// with the stretch ends there and not after the break.
    pub fn end_of_work(&self, at: Time, length: Time) -> Time {
        if self.calendar.is_none() {
            return at + length;
        }
        if length.is_zero() {
            return at;
        }
        let wanted = self.net(at).0 + length.0;
        let index = self.stretches.partition_point(|s| s.before < wanted) - 1;
        let stretch = &self.stretches[index];
        Time(stretch.start + wanted - stretch.before)
    }

    /// The shift that `at` lies in, its start included and its end not.
    pub fn shift_at(&self, at: Time) -> Option<usize> {
        let after = self.shifts.partition_point(|s| s.start <= at);
        after.checked_sub(1).filter(|i| at < self.shifts[*i].end)
    }
}
