//! People on their way to a unit: what has what it needs waits for those who walk.
//!
//! People, equipment, room and parts are taken when they set out; the step starts when they arrive. The walk
//! is attended time: it rests at a break, and where the work would rest. Costs nothing where nobody walks.

use super::helping::Help;
use super::run::{Fate, Run};
use super::watcher::{Event, Watcher};
use crate::line::{CrewId, PlaceId};
use crate::schedule::{Shop, seats};
use crate::units::Time;

/// Who walks where. Empty where nobody ever does.
#[derive(Clone, Debug, Default)]
pub(super) struct Walks {
    /// Per bay node: people are on their way to it, and those of them who walk.
    on: Vec<bool>,
    walkers: Vec<u128>,
    /// Per bay: how many of its tasks wait for people on their way, paused ones left out.
    in_bay: Vec<u16>,
    /// Per crew and group: people who walk now.
    pub crews: Vec<i64>,
    pub groups: Vec<i64>,
}

impl Walks {
    pub fn new(shop: &Shop, crews: usize, groups: usize) -> Walks {
        if !shop.has_walks {
            return Walks::default();
        }
        Walks {
            on: vec![false; shop.bay_nodes],
            walkers: vec![0; shop.bay_nodes],
            in_bay: vec![0; shop.bays],
            crews: vec![0; crews],
            groups: vec![0; groups],
        }
    }

    /// The task of bay node `at` waits for people on their way.
    #[inline]
    pub fn is_on(&self, at: usize) -> bool {
        self.on.get(at).is_some_and(|on| *on)
    }

    /// How many tasks of the bay do.
    #[inline]
    pub fn in_bay(&self, bay: usize) -> u16 {
        self.in_bay.get(bay).map_or(0, |n| *n)
    }
}

impl<W: Watcher> Run<'_, W> {
    /// A task or fix has what it needs: it starts, or its people set out for it.
    pub(super) fn set_out(&mut self, bay: usize, local: u16) {
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        if self.c.shop.parts > 0 {
            self.count_use(bay, local);
        }
        let people = self.floor.people[at];
        let gang = self.floor.gang_of(&self.c.shop, bay, usize::from(local));
        let (walkers, walk) = self.floor.set_out(&self.c.shop, bay, gang, people);
        if walkers == 0 {
            return self.work_starts(bay, local);
        }
        let arrive = self.clock_in_mut(bay).end_of_work(walk);
        self.walks.on[at] = true;
        self.walks.walkers[at] = walkers;
        self.walk_changes(bay, at, 1);
        self.schedule_end(bay, local, arrive);
        if W::WATCHING {
            self.show_walk(bay, local, walkers, arrive);
        }
        self.book(bay);
    }

    /// Pieces of work and holds that go on in a bay; whoever is on the way does not work yet.
    pub(super) fn goes_on_in(&self, bay: usize) -> (u16, u16) {
        let work = &self.floor.bays[bay];
        let (running, holding) = match self.c.takes_back {
            true => self.not_paused(bay),
            false => (work.running_work, work.running_holds),
        };
        (running - self.walks.in_bay(bay), holding)
    }

    /// Everybody has arrived. Whoever arrives as a break begins starts after it, as all others do.
    pub(super) fn walk_ends(&mut self, bay: usize, local: u16) {
        let begins = self.clock_in_mut(bay).end_of_work(1) - 1;
        if begins > self.clock.now() {
            return self.schedule_end(bay, local, begins);
        }
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        self.walk_changes(bay, at, -1);
        self.walks.on[at] = false;
        match self.c.shop.node(bay, local as usize).gated && self.is_missed_at_start(bay, local) {
            true => self.arrive_too_late(bay, local),
            false => self.work_starts(bay, local),
        }
    }

    /// The window up to the start of what they came for has passed meanwhile: it isn't begun, and what the window says
    /// is done again.
    fn arrive_too_late(&mut self, bay: usize, local: u16) {
        self.give_up(bay, usize::from(local));
        self.count_missed_at_start(bay, local);
        self.floor.put_back(&self.c.shop, bay, local);
        if self.bays[bay].fate == Fate::Stays {
            let mut fresh = std::mem::take(&mut self.fresh);
            fresh.clear();
            self.undo_window(bay, local, false, &mut fresh);
            self.dispatch(bay, &mut fresh);
            self.fresh = fresh;
        } else {
            // It failed a test meanwhile, and goes.
            self.mark_undone(bay, local, false);
            self.look_if_it_may_go(bay);
        }
        self.book(bay);
    }

    /// The unit is pushed on before they are there.
    pub(super) fn turn_back(&mut self, bay: usize, local: usize) {
        let at = self.c.shop.bay_node0[bay] as usize + local;
        if self.pauses.take_off(bay, at).is_ok() {
            self.walk_changes(bay, at, -1);
        }
        self.walks.on[at] = false;
        self.give_up(bay, local);
    }

    /// It isn't begun: its people, room and equipment are free again, and its parts lie at the unit.
    fn give_up(&mut self, bay: usize, local: usize) {
        let shop = &self.c.shop;
        let gang = self.floor.gang_of(shop, bay, local);
        let people = self.floor.end_work(shop, bay, local, self.clock.now());
        self.floor.take_way(shop.bay_node0[bay] as usize + local);
        self.floor.keep_nothing(shop, bay, local);
        self.visitors_end(gang, people);
        self.leave_parts(bay, local);
    }

    /// Those who take a task work on it from now on (`1`), or no longer (`-1`); or walk to it, if they are on
    /// their way.
    pub(super) fn at_task(&mut self, bay: usize, at: usize, people: u128, sign: i64) {
        if self.walks.is_on(at) {
            return self.walk_changes(bay, at, sign);
        }
        let local = at - self.c.shop.bay_node0[bay] as usize;
        let gang = self.floor.gang_of(&self.c.shop, bay, local);
        match sign {
            1 => self.people_start(gang, people),
            _ => self.people_end(gang, people),
        }
    }

    /// Others go on with a task that people were on their way to: they walk what is left of it.
    pub(super) fn others_walk(&mut self, at: usize, people: u128) {
        if self.walks.is_on(at) {
            self.walks.walkers[at] = people;
        }
    }

    /// Walkers enter the account with minus now and leave it with plus now.
    fn walk_changes(&mut self, bay: usize, at: usize, sign: i64) {
        let net = self.clock_in(bay).net();
        let walkers = self.walks.walkers[at];
        let of = self.floor.gang_of(&self.c.shop, bay, at - self.c.shop.bay_node0[bay] as usize);
        let gang = &self.c.shop.gangs[of];
        match sign {
            1 => self.walks.in_bay[bay] += 1,
            _ => self.walks.in_bay[bay] -= 1,
        }
        let heads = sign * i64::from((walkers & gang.all).count_ones());
        if let Some(crew) = gang.crew {
            self.walks.crews[crew as usize] += heads;
            self.seen.crews[crew as usize].walking -= heads * net;
        }
        for seat in seats(walkers) {
            let group = gang.groups[seat] as usize;
            self.walks.groups[group] += sign;
            self.seen.group_walking[group] -= sign * net;
        }
        self.helpers_change(of, walkers, sign, Help::Walks);
    }

    /// The counted window begins (`-1`) or ends (`1`).
    pub(super) fn settle_walks(&mut self, sign: i64) {
        for crew in 0..self.walks.crews.len() {
            self.seen.crews[crew].walking += sign * self.walks.crews[crew] * self.net_of_crew(crew);
        }
        for group in 0..self.walks.groups.len() {
            self.seen.group_walking[group] += sign * self.walks.groups[group] * self.net_of_group(group);
        }
    }

    fn show_walk(&mut self, bay: usize, local: u16, walkers: u128, arrive: i64) {
        let shop = &self.c.shop;
        let gang = &shop.gangs[self.floor.gang_of(shop, bay, usize::from(local))];
        let what = self.what_of(bay, local);
        let event = Event::SetOut {
            unit: self.number(bay),
            what,
            place: PlaceId(shop.bay_place[bay]),
            bay: self.bay_in_place(bay),
            crew: (CrewId(gang.crew.unwrap_or(0)), gang.instance),
            people: self.floor.people[shop.bay_node0[bay] as usize + local as usize],
            walkers,
            arrive: Time(arrive),
        };
        self.see(event);
    }
}
