//! Equipment that has to be fetched from where it was last used, and that some tasks get before others.

use super::bay_work::{BayWork, Lack, Status};
use super::crew::{Idle, choose};
use super::floor::{Floor, Gate, Ready};
use super::node::Node;
use super::shop::Shop;
use crate::line::{Equipment, Line};

/// A piece that nothing has used yet: it stands wherever it is wanted first.
const ANYWHERE: u16 = u16::MAX;

/// What the line says of one kind of equipment.
#[derive(Clone, Debug)]
pub struct Fetching {
    /// Microseconds from one place to another; 0 if it is wherever it is wanted.
    pub way: i64,
    /// Per step: the lower, the earlier it gets it; empty where nobody goes before others.
    turns: Vec<u8>,
}

impl Fetching {
    pub(super) fn of(line: &Line, equipment: &Equipment) -> Fetching {
        let last = equipment.first.len() as u8;
        let turn = |step: usize| {
            let tier = equipment.first.iter().position(|tier| tier.iter().any(|s| s.index() == step));
            tier.map_or(last, |tier| tier as u8)
        };
        let turns = if last == 0 { Vec::new() } else { (0..line.steps.len()).map(turn).collect() };
        Fetching { way: equipment.moving.0, turns }
    }

    fn turn(&self, step: u32) -> Option<u8> {
        self.turns.get(step as usize).copied()
    }
}

impl Floor {
    /// Where the free pieces of every kind stand; nothing where they need not be fetched.
    pub(super) fn stand_anywhere(shop: &Shop) -> Vec<Vec<u16>> {
        let stands = |(f, count): (&Fetching, &u32)| match f.way {
            0 => Vec::new(),
            _ => vec![ANYWHERE; *count as usize],
        };
        shop.fetching.iter().zip(&shop.equipment).map(stands).collect()
    }

    /// A task takes pieces: those that stand here, then those nobody has used, then whatever has stood longest
    /// somewhere else, which it has to fetch.
    pub(super) fn fetch(&mut self, shop: &Shop, (bay, local): (usize, usize), equipment: usize, pieces: u32) {
        let way = shop.fetching[equipment].way;
        if way == 0 || pieces == 0 {
            return;
        }
        let here = shop.bay_place[bay];
        let stands = &mut self.stands[equipment];
        for _ in 0..pieces {
            let of = |place: u16| stands.iter().position(|at| *at == place);
            let near = of(here).or_else(|| of(ANYWHERE));
            stands.remove(near.unwrap_or(0));
            if near.is_none() {
                self.way[shop.bay_node0[bay] as usize + local] = way;
            }
        }
    }

    /// Pieces are free again, where the unit of the bay stands.
    pub(super) fn put_down(&mut self, shop: &Shop, bay: usize, equipment: usize, pieces: u32) {
        if shop.fetching[equipment].way > 0 {
            self.stands[equipment].extend((0..pieces).map(|_| shop.bay_place[bay]));
        }
    }

    /// Net time for which what has just started fetches equipment first.
    #[inline]
    pub fn take_way(&mut self, at: usize) -> i64 {
        self.way.get_mut(at).map_or(0, std::mem::take)
    }

    /// A task of a list that is walked could start, as far as its people go, and lets another have its equipment first. Who
    /// lacks people lets nobody, and has a claim on them.
    pub(super) fn yields(
        &mut self,
        shop: &Shop,
        (gang, list): (usize, &[Ready]),
        (bay, local): (usize, usize),
        gate: &impl Fn(&BayWork, usize, usize) -> Gate,
    ) -> Option<Lack> {
        let node = shop.node(bay, local);
        let may_start = || !node.gated || matches!(gate(&self.bays[bay], bay, local), Gate::Go | Gate::Amiss);
        if !shop.has_turns || !may_start() {
            return None;
        }
        let other = self.lets_pass(shop, (gang, node), list, gate)?;
        Some(self.let_pass(gang, other))
    }

    /// Somebody else waits for equipment that this takes, goes before it, and lacks nothing but that: the gang of
    /// whoever it is. `own`: the list of the gang itself, which is being walked.
    fn lets_pass(
        &self,
        shop: &Shop,
        (gang, node): (usize, &Node),
        own: &[Ready],
        gate: &impl Fn(&BayWork, usize, usize) -> Gate,
    ) -> Option<usize> {
        let kept = |node: &Node, e: usize| {
            (0..shop.keep_equipment.len())
                .any(|k| node.opens >> k & 1 == 1 && usize::from(shop.keep_equipment[k]) == e)
        };
        let wants = |node: &Node, e: usize| {
            node.equipment.iter().any(|(own, _)| usize::from(*own) == e) || kept(node, e)
        };
        let wanted = |e: &usize| shop.fetching[*e].turn(node.step).is_some() && wants(node, *e);
        (0..shop.equipment.len()).filter(wanted).find_map(|e| {
            let turn = |step: u32| shop.fetching[e].turn(step);
            (0..self.gangs.len()).find(|other| {
                let list = if *other == gang { own } else { &self.gangs[*other].ready };
                list.iter().any(|entry| {
                    let (bay, local) = (entry.bay as usize, entry.node as usize);
                    let waits = self.status[shop.bay_node0[bay] as usize + local] == Status::Ready;
                    let before = turn(shop.node(bay, local).step) < turn(node.step);
                    waits
                        && before
                        && wants(shop.node(bay, local), e)
                        && self.lacks_nothing_else(shop, *other, (bay, local), gate)
                })
            })
        })
    }

    /// Work of a gang lets that of another go first: looked at again when the other has been.
    fn let_pass(&mut self, gang: usize, other: usize) -> Lack {
        let entry = (gang as u16, other as u16);
        if !self.passed.contains(&entry) {
            self.passed.push(entry);
        }
        Lack::Equipment
    }

    /// A gang is walked: whoever let it go first looks again.
    #[inline]
    pub fn wake_passed(&mut self, walked: usize) {
        if !self.passed.is_empty() {
            self.wake_those_who_passed(walked);
        }
    }

    fn wake_those_who_passed(&mut self, walked: usize) {
        let mut at = 0;
        while at < self.passed.len() {
            let (gang, other) = self.passed[at];
            if usize::from(other) == walked {
                self.passed.swap_remove(at);
                if usize::from(gang) != walked {
                    self.mark(usize::from(gang));
                }
            } else {
                at += 1;
            }
        }
    }

    /// Parts, equipment, room and people are there for a ready task, and it may start.
    fn lacks_nothing_else(
        &self,
        shop: &Shop,
        gang: usize,
        (bay, local): (usize, usize),
        gate: &impl Fn(&BayWork, usize, usize) -> Gate,
    ) -> bool {
        let place = usize::from(shop.bay_place[bay]);
        let (node, work, state) = (shop.node(bay, local), &self.bays[bay], &self.gangs[gang]);
        let (needs, heads, stopped) = self.asked(shop, bay, local);
        let has_people = heads == 0
            || !stopped
                && choose(
                    &shop.gangs[gang],
                    needs,
                    state.free & !state.off & !state.kept_back,
                    Idle::anywhere(&state.idle_since),
                )
                .is_some();
        !state.home
            && !state.away
            && (node.parts.is_empty() || self.would_have_parts(shop, bay, local))
            && !self.halts.bars(place, node, work.kept)
            && self.equipment_is_free(shop, bay, node)
            && self.has_room(shop, bay, node, heads)
            && (node.sides.is_empty() || !self.is_kept_apart(shop, bay, node))
            && has_people
            && (!node.gated || matches!(gate(work, bay, local), Gate::Go | Gate::Amiss))
    }
}
