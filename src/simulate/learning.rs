//! New people: how many units each of them has done, and how much longer their work takes.
//!
//! A person has done a unit once they have worked on it; a unit that comes back after others of another
//! crew is a new one (ours). Two shifts of one crew are two sets of people. Whoever helps several crews is one
//! person. Costs nothing where nobody is new.

use super::run::Run;
use super::watcher::Watcher;
use crate::line::Line;
use crate::schedule::{Gang, Shop, seats, sits};

/// On which unit, and of which gang, some people have worked.
#[derive(Clone, Copy, Debug)]
struct Worked {
    unit: u64,
    gang: u16,
    shift: u16,
    people: u128,
}

/// Empty where nobody is new.
#[derive(Clone, Debug, Default)]
pub(super) struct Learners {
    /// Per gang: its new people.
    new: Vec<u128>,
    /// Per gang and seat: whose it is among all people; who helps is the same person in every gang.
    person: Vec<Vec<usize>>,
    people: usize,
    /// Per hours and shift of the week: its name, as a number.
    shift_name: Vec<Vec<u16>>,
    /// Units done, per name of a shift and person.
    done: Vec<u32>,
    /// Per row of a unit.
    worked: Vec<Worked>,
}

impl Learners {
    pub fn new(line: &Line, shop: &Shop) -> Learners {
        if line.learning.is_empty() {
            return Learners::default();
        }
        let is_new = |group: u16| line.learning.iter().any(|l| l.group.0 == group);
        let mut own = shop.helpers.len();
        let people_of = |gang: &Gang| {
            own += gang.own();
            let helpers = gang.helpers.iter().map(|helper| usize::from(*helper));
            (own - gang.own()..own).chain(helpers).collect()
        };
        let person = shop.gangs.iter().map(people_of).collect();
        let mut names: Vec<&str> = Vec::new();
        let mut number = |name| {
            let known = names.iter().position(|other| *other == name);
            known.unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            }) as u16
        };
        let shift_name = (0..=line.own_hours.len() as u16).map(|hours| {
            let week = line.calendar_of(hours).map_or(&[][..], |calendar| &calendar.week);
            week.iter().map(|shift| number(shift.name.as_str())).collect()
        });
        let shift_name: Vec<Vec<u16>> = shift_name.collect();
        Learners {
            new: shop.gangs.iter().map(|gang| gang.of_groups(is_new)).collect(),
            person,
            people: own,
            shift_name,
            done: vec![0; own * names.len().max(1)],
            worked: Vec::new(),
        }
    }

    /// Somebody is new.
    #[inline]
    fn any(&self) -> bool {
        !self.new.is_empty()
    }
}

impl<W: Watcher> Run<'_, W> {
    /// These people start a node on the unit in the bay: the factor on its time, the mean of theirs, if
    /// somebody among them is new.
    #[inline]
    pub(super) fn pace_of(&mut self, bay: usize, local: usize, people: u128) -> Option<f64> {
        if self.learners.any() && people != 0 { self.learn(bay, local, people) } else { None }
    }

    fn learn(&mut self, bay: usize, local: usize, people: u128) -> Option<f64> {
        // What is begun early is work of the next place's crew.
        let gang = self.floor.gang_of(&self.c.shop, bay, local);
        let hours = self.hours_in(bay);
        let shift = match (self.learners.shift_name[hours].is_empty(), self.shift_of(hours)) {
            (true, _) | (false, usize::MAX) => 0,
            (false, shift) => {
                let of_week = self.clock_of_mut(hours).shift(shift).of_week;
                self.learners.shift_name[hours][of_week]
            }
        };
        let row = self.bays[bay].unit as usize;
        let unit = self.shown(row as u32);
        let nobody = Worked { unit, gang: gang as u16, shift, people: 0 };
        if self.learners.worked.len() <= row {
            self.learners.worked.resize(row + 1, Worked { unit: u64::MAX, ..nobody });
        }
        let before = self.learners.worked[row];
        let known = before.unit == unit && before.gang == nobody.gang && before.shift == shift;
        let had = if known { before.people } else { 0 };
        self.learners.worked[row] = Worked { people: had | people, ..nobody };
        if people & self.learners.new[gang] == 0 {
            return None;
        }
        let of_shift = usize::from(shift) * self.learners.people;
        let mut sum = 0.0;
        for person in seats(people) {
            if !sits(self.learners.new[gang], person) {
                sum += 1.0;
                continue;
            }
            let done = &mut self.learners.done[of_shift + self.learners.person[gang][person]];
            *done += u32::from(!sits(had, person));
            let group = self.c.shop.gangs[gang].groups[person];
            let curve = self.c.line.learning.iter().find(|l| l.group.0 == group);
            sum += curve.map_or(1.0, |curve| curve.factor(*done));
        }
        Some(sum / f64::from(people.count_ones()))
    }
}
