//! Who mends what is stopped, and what happens to a repair when too few of them come to the next shift.

use super::queue::{Class, Entry, REPAIR_END};
use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::line::{GroupId, Mending};
use crate::schedule::HelperState;

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
        // Who visits and who helps is known at the end of the instant.
        match self.visitor(group).is_some() || self.helping_of(group).is_some() {
            true => self.stops.may_mend = true,
            false => self.begin_to_mend(group),
        }
    }

    /// Everything has ended that ends at this instant: visitors and those who help begin what they may mend.
    pub(super) fn mend_now(&mut self) {
        if std::mem::take(&mut self.stops.may_mend) {
            self.visitors_mend();
        } else if !self.floor.helpers_freed {
            return;
        }
        self.floor.helpers_freed = false;
        if !self.stops.unmended.is_empty() {
            for helping in &self.c.line.helping {
                self.begin_to_mend(helping.group.index());
                self.keep_back(helping.group.index());
            }
        }
    }

    pub(super) fn begin_to_mend(&mut self, group: usize) {
        while let Some(i) = self.stops.unmended[group].front().map(|i| *i as usize) {
            let Mending::By { count, .. } = self.c.line.stops[i].mending else { return };
            if self.free_to_mend(group) < count {
                return;
            }
            self.stops.unmended[group].pop_front();
            self.menders_change(i, group, count, 1);
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
            let helping = self.helping_of(g).is_some();
            let here = if helping { self.free_to_mend(g) + self.helpers_who_mend(g) } else { *here };
            self.see(Event::Spare { group: GroupId::from_index(g), here });
            let mut busy: u32 = mended.iter().map(heads).sum();
            while busy > here
                && let Some(last) = mended.pop()
            {
                busy -= heads(&last);
                self.leave_unmended(last, g, heads(&last));
            }
            match helping {
                true => self.others_mend(g, &mended),
                false => self.stops.menders[g] = here - busy,
            }
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
        self.menders_change(i, group, count, -1);
        self.stops.unmended[group].push_front(i as u16);
        self.see(Event::MendingPauses { stop: i as u16 });
    }

    pub(super) fn menders_change(&mut self, i: usize, group: usize, count: u32, sign: i64) {
        let heads = sign * i64::from(count);
        let net = self.net_of_group(group);
        match self.helping_of(group) {
            Some(of) => {
                if sign > 0 {
                    self.helpers_take(i, group, count)
                } else {
                    self.helpers_leave(i, group)
                }
                self.helping[of].mending += heads;
                self.seen.helping[of].mending -= heads * net;
            }
            None => {
                let free = &mut self.stops.menders[group];
                *free = if sign > 0 { *free - count } else { *free + count };
            }
        }
        self.group_running[group] += heads;
        self.seen.group_busy[group] -= heads * net;
        self.book_menders_off(group);
    }
}

/// Those who help of a group, and mend.
impl<W: Watcher> Run<'_, W> {
    /// How many of a group could begin to mend.
    fn free_to_mend(&self, group: usize) -> u32 {
        match self.helping_of(group) {
            None => self.stops.menders[group],
            Some(_) => self.count_helpers(group, HelperState::is_free),
        }
    }

    /// Those who are at it, as far as they are there.
    fn helpers_who_mend(&self, group: usize) -> u32 {
        self.count_helpers(group, |state| state.there && state.mends)
    }

    fn count_helpers(&self, group: usize, are: impl Fn(&HelperState) -> bool) -> u32 {
        let all = self.c.shop.helpers.iter().zip(&self.floor.helpers);
        all.filter(|(helper, state)| usize::from(helper.group) == group && are(state)).count() as u32
    }

    /// The first who are free of a group mend a stop, besides those who do already: `count` in all.
    fn helpers_take(&mut self, i: usize, group: usize, count: u32) {
        let c = self.c;
        for (helper, state) in c.shop.helpers.iter().zip(&mut self.floor.helpers) {
            let mend = &mut self.stops.causes[i].helpers;
            if usize::from(helper.group) == group && state.is_free() && mend.count_ones() < count {
                *mend |= 1 << helper.nth;
                state.mends = true;
            }
        }
    }

    /// Nobody mends a stop any more: whoever did may help.
    fn helpers_leave(&mut self, i: usize, group: usize) {
        let c = self.c;
        let mend = std::mem::take(&mut self.stops.causes[i].helpers);
        for (k, helper) in c.shop.helpers.iter().enumerate() {
            if usize::from(helper.group) == group && mend >> helper.nth & 1 == 1 {
                self.floor.helpers[k].mends = false;
                self.floor.mark_helped(&c.shop, k);
            }
        }
    }

    /// A shift begins: in the place of those who are not there others go on with what is mended.
    fn others_mend(&mut self, group: usize, mended: &[usize]) {
        let c = self.c;
        for (helper, state) in c.shop.helpers.iter().zip(&mut self.floor.helpers) {
            if usize::from(helper.group) == group && !state.there {
                state.mends = false;
                mended.iter().for_each(|i| self.stops.causes[*i].helpers &= !(1 << helper.nth));
            }
        }
        for i in mended {
            if let Mending::By { count, .. } = c.line.stops[*i].mending {
                self.helpers_take(*i, group, count);
            }
        }
    }

    /// As long as a stop waits for people of a group nobody of it begins to help.
    fn keep_back(&mut self, group: usize) {
        let c = self.c;
        let waits = !self.stops.unmended[group].is_empty();
        for (k, helper) in c.shop.helpers.iter().enumerate() {
            let state = &mut self.floor.helpers[k];
            if usize::from(helper.group) == group && std::mem::replace(&mut state.kept_back, waits) && !waits
            {
                self.floor.mark_helped(&c.shop, k);
            }
        }
    }
}
