//! Who mends what is stopped, and what happens to a repair when too few of them come to the next shift.

use super::queue::{Class, Entry, REPAIR_END};
use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::line::{GroupId, Mending};

impl<W: Watcher> Run<'_, W> {
    /// Repair begins, or waits for people.
    pub(super) fn mend(&mut self, i: usize) {
        match self.c.line.stops[i].mending {
            Mending::OnTheClock => self.mended_at(i, self.clock.now() + self.time_to_mend(i)),
            Mending::InNetTime => {
                let ends = self.end_of_mending(i);
                self.mended_at(i, ends);
            }
            Mending::By { group, .. } => {
                self.stops.unmended[group.index()].push_back(i as u16);
                self.assign_menders(group.index());
            }
        }
    }

    /// What the repair takes, or what is left of it.
    fn time_to_mend(&self, i: usize) -> i64 {
        let cause = &self.stops.causes[i];
        match cause.to_mend >= 0 {
            true => cause.to_mend,
            false => self.c.stops.causes[i].repair.length(self.replication, cause.number, 0),
        }
    }

    fn mended_at(&mut self, i: usize, ends: i64) {
        self.see(Event::MendingBegins { stop: i as u16 });
        self.stops.causes[i].mended_at = ends;
        if ends < i64::MAX {
            self.queue.push(Entry::new(ends, Class::End, 0, i as u16, REPAIR_END));
        }
    }

    /// People free to mend go to the stop that has waited longest; a later one never goes before it.
    pub(super) fn assign_menders(&mut self, group: usize) {
        if !self.mend_later(group) {
            self.begin_to_mend(group);
        }
    }

    pub(super) fn begin_to_mend(&mut self, group: usize) {
        while let Some(i) = self.stops.unmended[group].front().map(|i| *i as usize) {
            let Mending::By { count, .. } = self.c.line.stops[i].mending else { return };
            if self.stops.menders[group] < count {
                return;
            }
            self.stops.unmended[group].pop_front();
            self.menders_change(group, count, 1);
            let ends = self.end_of_mending(i);
            self.mended_at(i, ends);
        }
    }

    /// When a repair that goes by net time is over.
    fn end_of_mending(&mut self, i: usize) -> i64 {
        let (hours, left) = (self.hours_of_mending(i), self.time_to_mend(i));
        self.clock_of_mut(hours).end_of_work(left)
    }

    /// A shift begins with so many people per group who sit in no crew. Those who mend go on; where there
    /// are too few, the stops that came last are left until somebody is free.
    pub(super) fn menders_come(&mut self, hours: usize, spare: &[u32]) {
        if self.stops.menders.is_empty() {
            return;
        }
        for (g, here) in spare.iter().enumerate() {
            if self.hours_of_group(g) != hours {
                continue;
            }
            let mends = |i: &usize| match self.c.line.stops[*i].mending {
                Mending::By { group, .. } => group.index() == g && self.stops.causes[*i].mended_at >= 0,
                Mending::OnTheClock | Mending::InNetTime => false,
            };
            let mut mended: Vec<usize> = (0..self.stops.causes.len()).filter(mends).collect();
            mended.sort_by_key(|i| (self.stops.causes[*i].since, *i));
            let heads = |i: &usize| match self.c.line.stops[*i].mending {
                Mending::By { count, .. } => count,
                Mending::OnTheClock | Mending::InNetTime => 0,
            };
            self.see(Event::Spare { group: GroupId::from_index(g), here: *here });
            let mut busy: u32 = mended.iter().map(heads).sum();
            while busy > *here
                && let Some(last) = mended.pop()
            {
                busy -= heads(&last);
                self.leave_unmended(last, g, heads(&last));
            }
            self.stops.menders[g] = here - busy;
            self.book_menders_off(g);
            self.assign_menders(g);
        }
    }

    /// A repair is broken off: what is left of it waits, before what has waited already.
    fn leave_unmended(&mut self, i: usize, group: usize, count: u32) {
        let ends = std::mem::replace(&mut self.stops.causes[i].mended_at, -1);
        let hours = self.hours_of_mending(i);
        let clock = self.clock_of_mut(hours);
        self.stops.causes[i].to_mend = clock.net_at(ends) - clock.net();
        self.menders_change(group, count, -1);
        self.stops.unmended[group].push_front(i as u16);
        self.see(Event::MendingPauses { stop: i as u16 });
    }

    pub(super) fn menders_change(&mut self, group: usize, count: u32, sign: i64) {
        let free = &mut self.stops.menders[group];
        *free = if sign > 0 { *free - count } else { *free + count };
        let heads = sign * i64::from(count);
        self.group_running[group] += heads;
        self.seen.group_busy[group] -= heads * self.net_of_group(group);
        self.book_menders_off(group);
    }
}
