//! Shifts that have fewer people: whose seats nobody is there for, worked out seat by seat, and who came.

use super::Follower;
use super::attendance::Attendance;
use taktwright::line::{CrewId, WeekShift};
use taktwright::units::Time;

impl Attendance {
    /// The shift of the week that runs at an instant.
    fn of_the_week(&self, at: Time) -> Option<&WeekShift> {
        let calendar = self.calendar()?;
        let start = self.shifts[self.shift_at(at)?].start.0 + i64::from(calendar.first_weekday) * Time::DAY.0;
        calendar.week.iter().find(|shift| shift.start.0 == start.rem_euclid(Time::WEEK.0))
    }
}

impl Follower<'_> {
    /// Seats of a crew for whose people the shift at an instant has no place: a group fills the crews in the order of
    /// the file, bay by bay.
    pub fn not_on_shift(&self, crew: usize, at: Time) -> i64 {
        let id = CrewId::from_index(crew);
        let Some(shift) = self.days_of_crew(id).of_the_week(at) else { return 0 };
        let mut empty = 0;
        for (group, has) in &shift.people {
            let mut seat = 0u32;
            for (c, other) in self.line.crews.iter().enumerate() {
                for _ in 0..self.gangs[c].len() {
                    let own = other.members.iter().filter(|(_, id)| id == group).map(|(count, _)| count);
                    for _ in 0..own.sum::<u32>() {
                        empty += i64::from(c == crew && seat >= *has);
                        seat += 1;
                    }
                }
            }
        }
        empty
    }

    /// At the start of a shift nobody comes whom it does not have.
    pub fn judge_who_came(&mut self) {
        if !self.line.has_fewer_on_a_shift() {
            return;
        }
        let floaters: u32 = self.line.floaters.iter().map(|floaters| floaters.count).sum();
        let all_come = self.line.absence.is_none() && floaters == 0;
        for g in 0..self.line.groups.len() {
            let days = self.days_of_group(g);
            let begins = days.shift_at(self.now).is_some_and(|i| days.shifts[i].start == self.now);
            let Some(shift) = days.of_the_week(self.now).filter(|_| begins) else { continue };
            let listed = shift.people.iter().find(|(group, _)| group.index() == g);
            let Some((_, has)) = listed.copied() else { continue };
            let (mut seats, mut there) = (0, 0);
            for (c, crew) in self.line.crews.iter().enumerate() {
                for gang in &self.gangs[c] {
                    let groups =
                        crew.members.iter().flat_map(|(n, id)| std::iter::repeat_n(id.index(), *n as usize));
                    for (seat, _) in groups.enumerate().filter(|(_, group)| *group == g) {
                        seats += 1;
                        there += u32::from(gang.here.is_none_or(|here| here >> seat & 1 == 1));
                    }
                }
            }
            if there > has + floaters || (all_come && there != has.min(seats)) {
                let name = &self.line.groups[g].name;
                let text = format!("{there} {name} come to a shift that has {has}");
                self.fault(None, None, text);
            }
        }
    }
}
