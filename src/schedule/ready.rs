//! The lists of ready tasks: who stands where on them, and what a crew starts as it walks its list.

use super::bay_work::{BayWork, Lack, Status};
use super::crew::{choose, could_use};
use super::floor::{Floor, Gate, Ready};
use super::node::Node;
use super::shop::Shop;
use crate::line::Need;
use std::ops::Range;

/// What came of a walk along a list, by bay and node.
#[derive(Clone, Debug, Default)]
pub struct Walked {
    /// Tasks that start.
    pub started: Vec<(u32, u16)>,
    /// Tasks the window of which is missed: they have left the list.
    pub missed: Vec<(u32, u16)>,
    /// Somebody wants to know what every task that stays on the list lacks.
    pub tells: bool,
    pub lacking: Vec<(u32, u16, Lack)>,
}

impl Walked {
    pub fn clear(&mut self) {
        self.started.clear();
        self.missed.clear();
        self.lacking.clear();
    }
}

impl Floor {
    /// Puts a ready task on its gang's list. `class`: 0 closes an open window, 2 returning unit,
    /// 3 other (1 is kept for travelled work, 4 for what is begun early).
    pub fn queue(&mut self, shop: &Shop, bay: usize, local: u16, class: u8) {
        self.join_list(shop, shop.bay_gang[bay] as usize, (bay, local), class);
    }

    /// As `queue`, on the list of any gang.
    pub(super) fn join_list(&mut self, shop: &Shop, gang: usize, (bay, local): (usize, u16), class: u8) {
        let work = &mut self.bays[bay];
        work.ready += 1;
        let node = shop.places[shop.bay_place[bay] as usize].node0 as usize + local as usize;
        let path = self.path[node * shop.models + work.model as usize];
        let rank = u128::from(class) << 120
            | u128::from(work.entered & ((1 << 48) - 1)) << 64
            | u128::from(((1u64 << 48) - 1) - (path as u64).min((1 << 48) - 1)) << 16
            | u128::from(local);
        let list = &mut self.gangs[gang].ready;
        let at = list.partition_point(|other| other.rank <= rank);
        list.insert(at, Ready { rank, bay: bay as u32, node: local });
        self.mark(gang);
    }

    /// What is on the list stands elsewhere on it from now on.
    pub fn rank_anew(&mut self, shop: &Shop, bay: usize, local: u16, class: u8) {
        if self.leaves_list(shop, bay, local) {
            self.queue(shop, bay, local, class);
        }
    }

    /// It is on the list no more; false if it wasn't.
    fn leaves_list(&mut self, shop: &Shop, bay: usize, local: u16) -> bool {
        let list = &mut self.gangs[shop.bay_gang[bay] as usize].ready;
        let at = list.iter().position(|entry| (entry.bay as usize, entry.node) == (bay, local));
        if let Some(at) = at {
            list.remove(at);
            self.bays[bay].ready -= 1;
        }
        at.is_some()
    }

    /// A task waits for what it follows again: it leaves the list, and the queues of stores.
    pub(super) fn take_off_list(&mut self, shop: &Shop, bay: usize, local: u16) {
        self.leaves_list(shop, bay, local);
        if shop.parts > 0 {
            self.stock.forget(bay, Some(local));
        }
    }

    /// Takes what is on the list of a bay that is left or undone off it.
    pub fn unqueue(&mut self, shop: &Shop, bay: usize) {
        let gang = shop.bay_gang[bay] as usize;
        self.gangs[gang].ready.retain(|entry| entry.bay as usize != bay);
        self.bays[bay].ready = 0;
        if shop.parts > 0 {
            self.stock.forget(bay, None);
        }
        self.mark(gang);
    }

    /// Walks a gang's list once and starts every task that has what it needs. True if it broke off: somebody took a
    /// part out of a row in which the turn matters, so the caller notes that and has the rest walked.
    ///
    /// `gate` is asked last. What starts and what is missed is appended to `walked`, the people of
    /// what starts are in `self.people`.
    pub fn walk(
        &mut self,
        shop: &Shop,
        gang: usize,
        gate: impl Fn(&BayWork, usize, usize) -> Gate,
        walked: &mut Walked,
    ) -> bool {
        self.gangs[gang].dirty = false;
        self.wake_passed(gang);
        if self.gangs[gang].ready.is_empty() {
            return false;
        }
        self.walks = self.walks.wrapping_add(1);
        self.claims.clear();
        let mut list = std::mem::take(&mut self.gangs[gang].ready);
        let done = self.walk_along(shop, gang, &mut list, &gate, walked);
        let breaks_off = done.end < list.len();
        match breaks_off {
            true => drop(list.drain(done)),
            false => list.truncate(done.start),
        }
        // What was to go first found its people taken: whoever let it pass looks again.
        let went_first = !walked.started.is_empty() || !self.laid_out.is_empty();
        if went_first && self.passed.contains(&(gang as u16, gang as u16)) {
            self.mark(gang);
        }
        self.gangs[gang].ready = list;
        if shop.has_shared {
            for (bay, local) in &walked.started {
                self.share(shop, gang, *bay as usize, *local as usize);
            }
        }
        breaks_off
    }

    /// Starts what can start of a list, and moves what stays to its front; the part of the list behind that which is
    /// dealt with: all of it, unless the walk broke off.
    fn walk_along(
        &mut self,
        shop: &Shop,
        gang: usize,
        list: &mut [Ready],
        gate: &impl Fn(&BayWork, usize, usize) -> Gate,
        walked: &mut Walked,
    ) -> Range<usize> {
        let (laid_before, mut kept) = (self.laid_out.len(), 0);
        for at in 0..list.len() {
            let entry = list[at];
            let (bay, local) = (entry.bay as usize, entry.node as usize);
            let closes = entry.rank >> 120 == 0;
            let started_now = match self.cannot_start(shop, gang, bay, local) {
                true => Err(Lack::People),
                false => self.try_start(shop, (gang, list), (bay, local), closes, gate),
            };
            let takes = started_now == Ok(Gate::Go) || self.laid_out.len() > laid_before;
            match started_now {
                Ok(Gate::Go) => walked.started.push((entry.bay, entry.node)),
                Ok(Gate::Missed) => {
                    self.bays[bay].ready -= 1;
                    if !shop.node(bay, local).parts.is_empty() {
                        self.stock.forget(bay, Some(entry.node));
                    }
                    walked.missed.push((entry.bay, entry.node));
                }
                Ok(Gate::NotNow | Gate::Amiss) | Err(_) => {
                    let lack = started_now.err().unwrap_or(Lack::Leave);
                    self.note(bay, lack);
                    if walked.tells {
                        walked.lacking.push((entry.bay, entry.node, lack));
                    }
                    list[kept] = entry;
                    kept += 1;
                }
            }
            if takes && shop.node(bay, local).in_turn {
                return kept..at + 1;
            }
        }
        kept..list.len()
    }

    /// Something on a gang's list lacks neither parts nor equipment: people may come that begin it, or a stretch in which
    /// it fits.
    pub fn may_begin_with_people(&self, shop: &Shop, gang: usize) -> bool {
        let lacks = |entry: &Ready| {
            let (bay, local) = (entry.bay as usize, entry.node as usize);
            let node = shop.node(bay, local);
            !self.would_have_parts(shop, bay, local)
                || node.takes_equipment() && !self.equipment_is_free(shop, bay, node)
        };
        !self.gangs[gang].ready.iter().all(lacks)
    }

    /// Nobody is free, nobody could help, and what the unit lacks first is known: looking closer tells nothing.
    #[inline]
    fn cannot_start(&self, shop: &Shop, gang: usize, bay: usize, local: usize) -> bool {
        self.gangs[gang].free == 0
            && self.bays[bay].lack_walk == self.walks
            && shop.gangs[gang].helpers.is_empty()
            && shop.node(bay, local).parts.is_empty()
            && self.asked(shop, bay, local).1 > 0
    }

    fn note(&mut self, bay: usize, lack: Lack) {
        let work = &mut self.bays[bay];
        if work.lack_walk != self.walks {
            work.lack_walk = self.walks;
            work.lack = lack;
        }
    }

    /// Whoever the waiting tasks of units could use that come before one that entered then.
    #[inline]
    pub(super) fn barred(&self, entered: u64) -> u128 {
        let older = self.claims.iter().filter(|(other, _)| *other <= entered);
        older.fold(0, |mask, (_, people)| mask | people)
    }

    /// `list`: what stands on the list of the gang, which is being walked.
    fn try_start(
        &mut self,
        shop: &Shop,
        (gang, list): (usize, &[Ready]),
        (bay, local): (usize, usize),
        closes: bool,
        gate: &impl Fn(&BayWork, usize, usize) -> Gate,
    ) -> Result<Gate, Lack> {
        let place = shop.bay_place[bay] as usize;
        let node = &shop.nodes[shop.places[place].node0 as usize + local];
        if !node.parts.is_empty() && !self.has_what_it_uses(shop, bay, local) {
            return Err(Lack::Parts);
        }
        if self.halts.bars(place, node, self.bays[bay].kept) {
            return Err(Lack::Equipment);
        }
        let asked = self.asked(shop, bay, local);
        let heads = asked.1;
        if node.takes_equipment() && !self.equipment_is_free(shop, bay, node) {
            return Err(Lack::Equipment);
        }
        // A hold never waits for others' work.
        let is_hold = node.is_hold();
        let is_apart = || !node.sides.is_empty() && !is_hold && self.is_kept_apart(shop, bay, node);
        if !self.has_room(shop, bay, node, heads) || is_apart() {
            return Err(Lack::Room);
        }
        let people = match heads {
            0 => 0,
            _ => {
                let found = self.people_for(shop, gang, (bay, local), asked);
                found.map_err(|could_use| self.claim(bay, closes, could_use))?
            }
        };
        let yields = self.yields(shop, (gang, list), (bay, local), gate).map(Err);
        if let Some(held_back) = yields.or_else(|| self.held_back(shop, (bay, local), gate)) {
            return held_back;
        }
        self.takes_what_it_needs(shop, gang, (bay, local), (people, heads));
        Ok(Gate::Go)
    }

    /// A task begins: with these people, of whom it asks for so many.
    #[inline]
    fn takes_what_it_needs(
        &mut self,
        shop: &Shop,
        gang: usize,
        (bay, local): (usize, usize),
        (people, heads): (u128, u32),
    ) {
        let (node, at) = (shop.node(bay, local), shop.bay_node0[bay] as usize + local);
        self.gangs[gang].free &= !people;
        self.helpers_begin(shop, gang, people);
        let room = bay * shop.caps.len();
        for cap in &node.caps {
            self.room[room + *cap as usize] += heads;
        }
        if node.takes_equipment() {
            self.take_equipment(shop, bay, local);
        }
        if !node.parts.is_empty() {
            self.take_what_it_uses(shop, bay, local);
        }
        self.people[at] = people;
        self.begun_by(at, heads);
        self.status[at] = Status::Running;
        let work = &mut self.bays[bay];
        work.ready -= 1;
        work.running_work += 1;
        if !node.sides.is_empty() {
            self.note_apart(shop, bay, local, true);
        }
    }

    /// So many more people of a task may go where it is done.
    pub(super) fn has_room(&self, shop: &Shop, bay: usize, node: &Node, heads: u32) -> bool {
        let (place, room) = (shop.bay_place[bay] as usize, bay * shop.caps.len());
        let mut caps = node.caps.iter().map(|cap| usize::from(*cap));
        caps.all(|cap| self.room[room + cap] + heads <= shop.caps[cap].at_place[place])
    }

    /// Whoever could do a task that only lacks people does none of units behind it.
    fn claim(&mut self, bay: usize, closes: bool, could_use: Option<u128>) -> Lack {
        // What closes an open window ranks above everything, and bars everything, that of its own unit too.
        let from = if closes { 0 } else { self.bays[bay].entered + 1 };
        self.claims.extend(could_use.map(|people| (from, people)));
        Lack::People
    }

    /// Who takes a task that lacks nothing else; or who could, where it keeps them from work of units behind it.
    fn people_for(
        &self,
        shop: &Shop,
        gang: usize,
        (bay, local): (usize, usize),
        (needs, heads, stopped): (&[Need], u32, bool),
    ) -> Result<u128, Option<u128>> {
        let early = shop.node(bay, local).early;
        // What is begun early never takes whom work of the crew's own place waits for.
        let entered = if early { u64::MAX } else { self.bays[bay].entered };
        let barred = self.barred(entered);
        let (compiled, state) = (&shop.gangs[gang], &self.gangs[gang]);
        let idle = self.idle_for(shop, gang, bay);
        let of = |free: u128| choose(compiled, needs, free & !state.off, idle);
        let own = if stopped { None } else { of(state.free & !barred & !state.kept_back) };
        if let Some(chosen) = own {
            return Ok(chosen);
        }
        match self.choose_with_helpers(shop, gang, (bay, local), (needs, heads), (barred, idle)) {
            Some(chosen) => Ok(chosen),
            // Whoever waits for another shift's people, or for the hours of a visitor, bars nobody; nor does work that
            // is begun early.
            None if stopped || early || (state.off != 0 && of(state.here).is_none()) => Err(None),
            None => Err(Some(could_use(compiled, needs))),
        }
    }

    /// The people that a task takes in this shift, how many they are, and whether it must wait for another.
    #[inline]
    pub(super) fn asked<'a>(&'a self, shop: &'a Shop, bay: usize, local: usize) -> (&'a [Need], u32, bool) {
        let model = self.bays[bay].model as usize;
        match self.manned_at(shop, bay, local).and_then(|at| self.manned.get(at + model)) {
            None => {
                let node = shop.node(bay, local);
                (&node.needs[model], node.heads[model], false)
            }
            Some(manned) => (&manned.needs, manned.heads, manned.stopped),
        }
    }
}
