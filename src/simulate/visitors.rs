//! People from outside: when their hours begin and end, and who is off shift because of them.
//!
//! Outside their hours visitors begin nothing; what they have begun they finish. Costs nothing where
//! nobody visits.

use super::queue::{Class, Entry};
use super::run::Run;
use super::watcher::Watcher;
use crate::line::{GroupId, Line, Mending, Stopping};
use crate::schedule::{Shop, seats, sits};
use crate::units::Time;

/// What stands in the rank of a calendar entry that is about the hours of a visiting group; its number
/// among the visitors stands in the bay field.
pub const HOURS: u16 = 1;

/// Who visits, and who is counted as off shift. Empty where nobody visits.
#[derive(Clone, Debug, Default)]
pub(super) struct Visiting {
    /// Per visiting group and gang: its people there.
    people: Vec<Vec<u128>>,
    /// Per gang: whoever is counted as off shift now.
    off: Vec<u128>,
    /// Per group: how many of it are.
    pub groups: Vec<i64>,
    /// Per visiting group: whether it is in its hours, and how many of those who mend are counted as off shift.
    there: Vec<bool>,
    mends: Vec<bool>,
    menders_off: Vec<u32>,
}

impl Visiting {
    pub fn new(line: &Line, shop: &Shop) -> Visiting {
        if line.visitors.is_empty() {
            return Visiting::default();
        }
        let row = |group: u16| shop.gangs.iter().map(|gang| gang.of_groups(|g| g == group)).collect();
        let mends = |group: GroupId| {
            let by = |stop: &Stopping| matches!(stop.mending, Mending::By { group: by, .. } if by == group);
            line.stops.iter().any(by)
        };
        Visiting {
            mends: line.visitors.iter().map(|visitor| mends(visitor.group)).collect(),
            people: line.visitors.iter().map(|visitor| row(visitor.group.0)).collect(),
            off: vec![0; shop.gangs.len()],
            groups: vec![0; line.groups.len()],
            there: vec![false; line.visitors.len()],
            menders_off: vec![0; line.visitors.len()],
        }
    }
}

impl<W: Watcher> Run<'_, W> {
    /// At the start of the run: who is there, and when that changes.
    pub(super) fn visitors_begin(&mut self) {
        for visitor in 0..self.c.line.visitors.len() {
            self.hours_change(visitor);
        }
    }

    /// The hours of a visiting group begin or end.
    pub(super) fn hours_change(&mut self, visitor: usize) {
        let c = self.c;
        let first = c.line.calendar.as_ref().map_or(0, |calendar| i64::from(calendar.first_weekday));
        let now = self.clock.now();
        let offset = Time((now + first * Time::DAY.0).rem_euclid(Time::WEEK.0));
        let hours = &c.line.visitors[visitor];
        let there = hours.is_there(offset);
        self.visiting.there[visitor] = there;
        self.stops.may_mend = true;
        self.book_menders_off(hours.group.index());
        for gang in 0..c.shop.gangs.len() {
            let people = self.visiting.people[visitor][gang];
            if people != 0 {
                let state = &mut self.floor.gangs[gang];
                state.off = if there { state.off & !people } else { state.off | people };
                self.book_off(gang);
                if self.gang_is_attended(gang) && !self.floor.gangs[gang].ready.is_empty() {
                    self.floor.mark(gang);
                }
            }
        }
        let next = now + hours.to_next_change(offset).0;
        self.queue.push(Entry::new(next, Class::Calendar, HOURS, visitor as u16, 0));
    }

    /// Which of the visiting groups a group is.
    pub(super) fn visitor(&self, group: usize) -> Option<usize> {
        self.c.line.visitors.iter().position(|visitor| visitor.group.index() == group)
    }

    /// Visitors who mend begin what waits for them: in their hours, while their place is attended.
    pub(super) fn visitors_mend(&mut self) {
        for visitor in 0..self.c.line.visitors.len() {
            let group = self.c.line.visitors[visitor].group.index();
            let may = self.visiting.there[visitor] && self.visiting.mends[visitor];
            if may && self.is_attended(self.hours_of_group(group)) {
                self.begin_to_mend(group);
            }
        }
    }

    /// Those who mend and are not at it are off shift outside their hours.
    pub(super) fn book_menders_off(&mut self, group: usize) {
        let Some(visitor) = self.visitor(group) else { return };
        if !self.visiting.mends[visitor] {
            return;
        }
        let off = if self.visiting.there[visitor] { 0 } else { self.stops.menders[group] };
        let before = std::mem::replace(&mut self.visiting.menders_off[visitor], off);
        let more = i64::from(off) - i64::from(before);
        self.visiting.groups[group] += more;
        self.seen.group_off[group] -= more * self.net_of_group(group);
    }

    /// These people have ended what they were at: visitors whose hours are over are off now.
    #[inline]
    pub(super) fn visitors_end(&mut self, gang: usize, people: u128) {
        if people & self.floor.gangs[gang].off != 0 {
            self.book_off(gang);
        }
    }

    /// Counts anew who of a gang is off shift: everybody if it has gone home, else the visitors outside
    /// their hours who are not at work any more.
    pub(super) fn book_off(&mut self, gang: usize) {
        let compiled = &self.c.shop.gangs[gang];
        let Some(crew) = compiled.crew else { return };
        let state = &self.floor.gangs[gang];
        let off = if state.home { state.here } else { state.off & state.free };
        let before = std::mem::replace(&mut self.visiting.off[gang], off);
        let net = self.net_of_gang(gang);
        for person in seats(off ^ before) {
            let sign = if sits(off, person) { 1 } else { -1 };
            let group = compiled.groups[person] as usize;
            self.crew_home[crew as usize] += sign;
            self.seen.crews[crew as usize].off_shift -= sign * net;
            self.visiting.groups[group] += sign;
            self.seen.group_off[group] -= sign * net;
        }
    }
}
