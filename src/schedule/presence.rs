//! Who is there in a shift: what a crew that is too small can still do, and who goes on with what
//! the shift before has begun. Costs nothing where everybody always comes.

use super::bay_work::Status;
use super::floor::Floor;
use super::gang::Gang;
use super::shop::Shop;
use crate::line::{Need, manning, most_filled};

/// How one node is done for one model with those who are there.
#[derive(Clone, Debug, Default)]
pub(super) struct Manned {
    /// People taken; fewer than the file says where the crew is too small.
    pub needs: Vec<Need>,
    pub heads: u32,
    /// It waits until others come.
    pub stopped: bool,
}

/// Somebody else goes on with a running task, or nobody does.
#[derive(Clone, Copy, Debug)]
pub struct Handover {
    pub bay: u32,
    pub node: u16,
    pub before: u128,
    pub now: u128,
}

impl Floor {
    /// People may be missing from now on; until `comes` says otherwise everybody is there.
    pub fn watch_presence(&mut self, shop: &Shop) {
        let mut all = 0;
        for place in &shop.places {
            // Bays of one crew are manned alike.
            for bay in 0..u32::from(place.bays) {
                let own = bay == 0 || place.gang_per_bay;
                all += if own { u32::from(place.nodes) } else { 0 };
                self.manned0.push(all - u32::from(place.nodes));
            }
        }
        // Those who begin early on what comes into their bay may be more or fewer than those of the next one.
        if (0..shop.gangs.len()).any(|gang| shop.early_place_of_bay_gang(gang).is_some()) {
            for gang in 0..shop.gangs.len() {
                let place = shop.early_place_of_bay_gang(gang);
                self.early0.push(place.map_or(u32::MAX, |_| all));
                all += place.map_or(0, |place| u32::from(shop.places[place].nodes));
            }
        }
        self.manned = vec![Manned::default(); all as usize * shop.models];
        self.started = vec![0; shop.bay_nodes];
        for gang in 0..shop.gangs.len() {
            self.man(shop, gang);
        }
    }

    /// Where it stands in `manned` how a node of the bay is done, for the first model; `None` where everybody always
    /// comes.
    #[inline]
    pub(super) fn manned_at(&self, shop: &Shop, bay: usize, local: usize) -> Option<usize> {
        let first = *self.manned0.get(bay)?;
        let first = match self.early0.is_empty() || !shop.node(bay, local).early {
            true => first,
            false => self.early_first(self.gang_of(shop, bay, local), first),
        };
        Some((first as usize + local) * shop.models)
    }

    /// Where what a gang may begin early stands, in place of `first`.
    fn early_first(&self, gang: usize, first: u32) -> u32 {
        self.early0.get(gang).copied().filter(|own| *own != u32::MAX).unwrap_or(first)
    }

    /// The people of a gang who are there from now on. What runs goes on with those of its people who
    /// are there, and others who can take the places of the rest; where nobody can go on with it, it
    /// stands still (`now` is 0). Appends to `handed` whatever changes hands.
    pub fn comes(&mut self, shop: &Shop, gang: usize, here: u128, handed: &mut Vec<Handover>) {
        self.gangs[gang].here = here;
        // Whoever moves units stays at it.
        self.gangs[gang].moving &= here;
        let moving = self.gangs[gang].moving;
        // Who helps goes on helping if they are there.
        let helped = here | self.helpers_there(&shop.gangs[gang]);
        let mut running = self.running_of(shop, gang);
        running.sort_unstable_by_key(|(bay, local)| (self.bays[*bay].entered, *local));
        let at = |bay: usize, local: usize| shop.bay_node0[bay] as usize + local;
        let kept = running.iter().fold(0, |mask, (b, k)| mask | self.people[at(*b, *k)]) & helped;
        let mut pool = here & !kept & !moving & !self.gangs[gang].off;
        let mut busy = 0;
        for (bay, local) in running.iter().copied() {
            let before = self.people[at(bay, local)];
            let all_stay = before != 0
                && before & !helped == 0
                && before.count_ones() == self.began_with(at(bay, local));
            let now = match all_stay {
                true => before,
                false => self.go_on(shop, gang, (bay, local), before & helped, pool),
            };
            pool = (pool | before & here & !self.gangs[gang].off) & !now;
            busy |= now;
            if now != before {
                self.change_people(shop, (bay, local), now, handed);
            }
        }
        self.gangs[gang].free = here & !busy & !moving;
        self.gangs[gang].unmanned = running.iter().any(|at| self.nobody_is_on(shop, *at));
        self.man(shop, gang);
        self.mark(gang);
    }

    /// What stands still because nobody was there to go on with it goes on with those who have come free,
    /// the unit that entered first before others, and before anything new begins. Appends to `handed`.
    pub fn take_over(&mut self, shop: &Shop, gang: usize, handed: &mut Vec<Handover>) {
        if !self.gangs[gang].unmanned {
            return;
        }
        let mut waiting = self.running_of(shop, gang);
        waiting.retain(|at| self.nobody_is_on(shop, *at));
        waiting.sort_unstable_by_key(|(bay, local)| (self.bays[*bay].entered, *local));
        let mut left = waiting.len();
        for (bay, local) in waiting {
            let pool = self.gangs[gang].free & !self.gangs[gang].off & !self.gangs[gang].kept_back;
            let now = self.go_on(shop, gang, (bay, local), 0, pool);
            if now != 0 {
                self.gangs[gang].free &= !now;
                self.change_people(shop, (bay, local), now, handed);
                left -= 1;
            }
        }
        self.gangs[gang].unmanned = left > 0;
    }

    fn nobody_is_on(&self, shop: &Shop, (bay, local): (usize, usize)) -> bool {
        self.people[shop.bay_node0[bay] as usize + local] == 0
    }

    /// Others go on with a task: whoever is in the room changes with them.
    fn change_people(
        &mut self,
        shop: &Shop,
        (bay, local): (usize, usize),
        now: u128,
        handed: &mut Vec<Handover>,
    ) {
        let before = std::mem::replace(&mut self.people[shop.bay_node0[bay] as usize + local], now);
        self.helpers_end(shop, self.gang_of(shop, bay, local), before & !now);
        self.are_at(shop, bay, self.gang_of(shop, bay, local), now);
        let room = bay * shop.caps.len();
        for cap in &shop.node(bay, local).caps {
            let people = &mut self.room[room + *cap as usize];
            *people = *people + now.count_ones() - before.count_ones();
        }
        handed.push(Handover { bay: bay as u32, node: local as u16, before, now });
    }

    /// People with whom the step of bay node `at` was begun, where people may be missing.
    fn began_with(&self, at: usize) -> u32 {
        u32::from(self.started[at])
    }

    /// A step begins with so many people.
    #[inline]
    pub(super) fn begun_by(&mut self, at: usize, heads: u32) {
        if let Some(started) = self.started.get_mut(at) {
            *started = heads as u8;
        }
    }

    /// The work has ended: nobody goes on with it in the next shift, whatever becomes of its unit.
    #[inline]
    pub(super) fn nobody_goes_on(&mut self, at: usize) {
        self.begun_by(at, 0);
    }

    /// The step has begun with people and nobody goes on with it.
    #[inline]
    pub fn is_unmanned(&self, shop: &Shop, bay: usize, local: usize) -> bool {
        let at = shop.bay_node0[bay] as usize + local;
        !self.started.is_empty()
            && self.started[at] > 0
            && self.people[at] == 0
            && self.status[at] == Status::Running
    }

    /// People with whom the step was begun, fewer or more than named, and how many are; `None` where it was with just
    /// these.
    pub fn begun_by_others(&self, shop: &Shop, bay: usize, local: usize) -> Option<(u32, u32)> {
        let at = shop.bay_node0[bay] as usize + local;
        let began = self.started.get(at).map_or(self.people[at].count_ones(), |began| u32::from(*began));
        let named = shop.node(bay, local).heads[self.bays[bay].model as usize];
        (began != named).then_some((began, named))
    }

    /// The tasks of a gang that have begun and not ended.
    fn running_of(&self, shop: &Shop, gang: usize) -> Vec<(usize, usize)> {
        let mut running = Vec::new();
        for bay in self.reach_of(shop, gang) {
            let base = shop.bay_node0[bay] as usize;
            let nodes = shop.places[shop.bay_place[bay] as usize].nodes as usize;
            let works = |k: &usize| {
                let runs = self.status[base + k] == Status::Running && self.started[base + k] > 0;
                runs && self.gang_of(shop, bay, *k) == gang
            };
            running.extend((0..nodes).filter(works).map(|k| (bay, k)));
        }
        running
    }

    /// Who goes on with a task: those who stay, then others as a crew chooses people, never more than
    /// began it; nobody where they could not do it.
    fn go_on(&self, shop: &Shop, gang: usize, (bay, local): (usize, usize), stay: u128, pool: u128) -> u128 {
        let node = shop.node(bay, local);
        let compiled = &shop.gangs[gang];
        let needs = &node.needs[self.bays[bay].model as usize];
        let most = self.began_with(shop.bay_node0[bay] as usize + local);
        // Those who shared it beyond what it needs may go on with it too.
        let mut seats = needs.clone();
        if let Some(most) = node.most.get(self.bays[bay].model as usize) {
            seats.iter_mut().zip(most).for_each(|(need, most)| need.count = *most);
        }
        let filled = |people: u128| most_filled(&seats, &skills_of(compiled, people));
        let fits = |people: u128| filled(people).iter().sum::<u32>() == people.count_ones();
        let skills = |people: u128| {
            let filled = filled(people);
            seats.iter().zip(&filled).filter(|(need, n)| need.skill.is_some() && **n > 0).count()
        };
        let mut others: Vec<usize> = (0..compiled.people.len()).filter(|p| pool >> p & 1 == 1).collect();
        let idle = &self.gangs[gang].idle_since;
        others.sort_by_key(|p| (compiled.people[*p].count_ones(), idle[*p], *p));
        let mut people = stay;
        // A missing skill is looked for first: without it the others could not go on.
        for seeks_skills in [true, false] {
            for person in &others {
                let with = people | 1 << person;
                let one_more = with != people && people.count_ones() < most && fits(with);
                if one_more && (!seeks_skills || skills(with) > skills(people)) {
                    people = with;
                }
            }
        }
        let can = manning(needs, &skills_of(compiled, people), node.exactly).is_some();
        if can { people } else { 0 }
    }

    /// Works out anew what a gang can do with those who are there.
    fn man(&mut self, shop: &Shop, gang: usize) {
        let compiled = &shop.gangs[gang];
        let here = self.gangs[gang].here;
        if self.gangs[gang].manned_with.replace(here) == Some(here) {
            return;
        }
        let skills = skills_of(compiled, here);
        let everybody = here & compiled.all == compiled.all;
        // What the crew of the next place begins early is a matter of that crew.
        let own = shop.bays_of(gang).into_iter().map(|bay| (bay, false));
        let mut done = None;
        for (bay, early) in own.chain(shop.early_bays_of(gang).into_iter().map(|bay| (bay, true))) {
            // The bay before it is manned alike.
            let first = match early {
                true => self.early_first(gang, self.manned0[bay]),
                false => self.manned0[bay],
            };
            if done.replace((first, early)) == Some((first, early)) {
                continue;
            }
            let nodes = shop.nodes_of(shop.bay_place[bay] as usize).iter().enumerate();
            for (local, node) in nodes.filter(|(_, node)| node.early == early) {
                for model in 0..shop.models {
                    let at = (first as usize + local) * shop.models + model;
                    let (needs, heads) = (&node.needs[model], node.heads[model]);
                    let manned = &mut self.manned[at];
                    manned.needs.clone_from(needs);
                    (manned.heads, manned.stopped) = (heads, false);
                    if everybody || heads == 0 {
                        continue;
                    }
                    match manning(needs, &skills, node.exactly) {
                        Some(filled) => {
                            for (need, n) in manned.needs.iter_mut().zip(&filled) {
                                need.count = *n;
                            }
                            manned.heads = filled.iter().sum();
                        }
                        None => manned.stopped = true,
                    }
                }
            }
        }
    }
}

fn skills_of(gang: &Gang, people: u128) -> Vec<u64> {
    (0..gang.people.len()).filter(|p| people >> p & 1 == 1).map(|p| gang.people[p]).collect()
}
