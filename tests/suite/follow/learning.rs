//! How much longer new people take, counted here a second time from the starts alone.

use super::Follower;
use std::collections::BTreeMap;
use taktwright::line::CrewId;
use taktwright::units::Time;

/// The name of the shift, the crew, which of its gangs.
type Gang = (String, CrewId, u16);
/// A seat of a gang; or who helps, by their number.
type Person = (String, Option<(CrewId, u16)>, usize);

/// What the follower knows of new people.
#[derive(Default, Debug)]
pub struct Learned {
    /// Units done.
    done: BTreeMap<Person, u32>,
    /// Per unit: who last worked on it, and those who have since.
    worked: BTreeMap<u64, (Gang, Vec<Person>)>,
    /// Factor on what starts now.
    pub pace: f64,
}

impl Follower<'_> {
    /// Name of the shift of a crew that runs now.
    fn shift_name(&self, crew: CrewId) -> String {
        let hours = self.hours_at(self.line.crews[crew.index()].places[0]);
        let calendar = match hours {
            0 => self.line.calendar.as_ref(),
            own => Some(&self.line.own_hours[usize::from(own) - 1]),
        };
        let days = self.days_of(hours);
        let (Some(calendar), Some(index)) = (calendar, days.shift_at(self.now)) else {
            return String::new();
        };
        let start = days.shifts[index].start.0 + i64::from(calendar.first_weekday) * Time::DAY.0;
        let offset = start.rem_euclid(Time::WEEK.0);
        calendar.week.iter().find(|s| s.start.0 == offset).map_or(String::new(), |s| s.name.clone())
    }

    /// These people of a crew start something on a unit: the mean of their factors, and that of overtime.
    pub fn learn(&mut self, unit: u64, crew: Option<(CrewId, u16)>, people: u128) {
        self.learned.pace = 1.0;
        self.learn_alone(unit, crew, people);
        let of_line =
            crew.is_none_or(|(crew, _)| self.hours_at(self.line.crews[crew.index()].places[0]) == 0);
        if people != 0 && of_line {
            self.learned.pace *= self.overtime_pace();
        }
    }

    fn learn_alone(&mut self, unit: u64, crew: Option<(CrewId, u16)>, people: u128) {
        let line = self.line;
        let Some((crew, gang)) = crew.filter(|_| people != 0 && !line.learning.is_empty()) else { return };
        let name = self.shift_name(crew);
        let team = (name.clone(), crew, gang);
        let groups = line.crews[crew.index()].members.iter();
        let groups: Vec<usize> =
            groups.flat_map(|(n, group)| std::iter::repeat_n(group.index(), *n as usize)).collect();
        let had = match self.learned.worked.remove(&unit) {
            Some((same, had)) if same == team => had,
            Some(_) | None => Vec::new(),
        };
        let mut have = had.clone();
        let own = (0..groups.len()).filter(|p| people >> p & 1 == 1);
        let own = own.map(|person| (groups[person], (name.clone(), Some((crew, gang)), person)));
        // Who helps sits behind the crew's own, and is one person for all crews.
        let helpers = self.helpers_in(crew, people).into_iter();
        let helpers = helpers.map(|(h, _)| (self.helpers[h].group.index(), (name.clone(), None, h)));
        let everybody: Vec<(usize, Person)> = own.chain(helpers).collect();
        let mut factors = Vec::new();
        for (group, person) in everybody {
            let Some(curve) = line.learning.iter().find(|l| l.group.index() == group) else {
                factors.push(1.0);
                continue;
            };
            let done = self.learned.done.entry(person.clone()).or_insert(0);
            if !had.contains(&person) {
                *done += 1;
                have.push(person);
            }
            factors.push((curve.first * f64::from(*done).powf(curve.rate.log2())).max(1.0));
        }
        self.learned.worked.insert(unit, (team, have));
        self.learned.pace = factors.iter().sum::<f64>() / factors.len() as f64;
    }
}
