//! People of no crew who lend a hand where a crew lacks only people: last in its list, in whole tasks, as
//! long as what they may spend lasts. Costs nothing where nobody helps.

use super::crew::{Idle, choose};
use super::floor::Floor;
use super::gang::Gang;
use super::seats::seats;
use super::shop::Shop;
use crate::line::{Line, Need, PlaceId};

/// One of those who help.
#[derive(Clone, Debug)]
pub struct Helper {
    /// Which of `Line::helping`.
    pub statement: u16,
    pub group: u16,
    /// Number within the group, and among those of it who help.
    pub person: u32,
    pub nth: u32,
    /// How long it takes to come.
    pub answering: i64,
    /// The gangs in which there is a seat for it.
    pub gangs: Vec<u16>,
    /// Those of them in which it matters where somebody was last, with its seat.
    pub walks_for: Vec<(u16, u8)>,
}

/// What one of them does now.
#[derive(Clone, Copy, Debug, Default)]
pub struct HelperState {
    /// Came to work in this shift, and sits in for nobody.
    pub there: bool,
    /// At mending what is stopped.
    pub mends: bool,
    /// A stop waits for people of the group: nobody of it begins to help.
    pub kept_back: bool,
    /// The gang that it helps.
    pub at: Option<u16>,
    /// What runs there does not pause.
    pub works: bool,
    /// Net time that it may still help in this shift; while it works, with the net time of its start on top.
    pub left: i64,
}

impl HelperState {
    /// There and at nothing: free to help, or to mend.
    pub fn is_free(&self) -> bool {
        self.there && self.at.is_none() && !self.mends
    }
}

impl Shop {
    /// Gives everybody who helps a seat in every gang that they cover; the most seats of a gang.
    pub(super) fn add_helpers(&mut self, line: &Line) -> usize {
        for (statement, helping) in line.helping.iter().enumerate() {
            let covers = |gang: &Gang| {
                let places = gang.crew.map(|crew| &line.crews[crew as usize].places);
                places.is_some_and(|places| places.iter().any(|place: &PlaceId| helping.covers(*place)))
            };
            let gangs: Vec<usize> = (0..self.gangs.len()).filter(|g| covers(&self.gangs[*g])).collect();
            let group = &line.groups[helping.group.index()];
            for (nth, person) in (0..).zip(line.who_helps(helping)) {
                let helper = self.helpers.len() as u16;
                for gang in &gangs {
                    self.gangs[*gang].seat_helper(helper, helping.group.0, group.skills);
                }
                self.helpers.push(Helper {
                    statement: statement as u16,
                    group: helping.group.0,
                    person,
                    nth,
                    answering: helping.answering.0,
                    gangs: gangs.iter().map(|gang| *gang as u16).collect(),
                    walks_for: Vec::new(),
                });
            }
        }
        self.gangs.iter().map(|gang| gang.people.len()).max().unwrap_or(0)
    }
}

impl Gang {
    /// Which of `Shop::helpers` these are, and their seats.
    #[inline]
    pub fn helpers_among(&self, people: u128) -> impl Iterator<Item = (usize, usize)> + '_ {
        let own = self.own();
        // Their seats are behind those of its own people.
        let helper = move |seat: usize| self.helpers.get(seat - own).map(|helper| (*helper as usize, seat));
        seats(people & !self.all).map_while(helper)
    }
}

impl Floor {
    /// Who does a task that lacks only people, with the help of others: those free whose time lasts for it.
    pub(super) fn choose_with_helpers(
        &self,
        shop: &Shop,
        gang: usize,
        (bay, local): (usize, usize),
        (needs, heads): (&[Need], u32),
        (barred, idle): (u128, Idle),
    ) -> Option<u128> {
        let compiled = &shop.gangs[gang];
        if compiled.helpers.is_empty() {
            return None;
        }
        let model = self.bays[bay].model as usize;
        let node = shop.places[shop.bay_place[bay] as usize].node0 as usize + local;
        // With fewer people than named it takes longer.
        let named = i64::from(shop.nodes[node].heads[model]);
        let planned = self.planned.get(node * shop.models + model)? * named / i64::from(heads.max(1));
        let walk = shop.places[shop.bay_place[bay] as usize].walk;
        let can_spare = |helper: usize| {
            let state = &self.helpers[helper];
            let way = walk.max(shop.helpers[helper].answering);
            state.is_free() && !state.kept_back && state.left >= planned + way
        };
        let ready = compiled.helpers_among(u128::MAX).filter(|(helper, _)| can_spare(*helper));
        let ready = ready.fold(0u128, |mask, (_, seat)| mask | 1 << seat) & !barred;
        if ready == 0 {
            return None;
        }
        let state = &self.gangs[gang];
        choose(compiled, needs, state.free & !state.off & !state.kept_back & !barred | ready, idle)
    }

    /// Those who help among these people are at work for this gang.
    #[inline]
    pub(super) fn helpers_begin(&mut self, shop: &Shop, gang: usize, people: u128) {
        for (helper, _) in shop.gangs[gang].helpers_among(people) {
            self.helpers[helper].at = Some(gang as u16);
        }
    }

    /// They are free again, for whomever they may help.
    #[inline]
    pub(super) fn helpers_end(&mut self, shop: &Shop, gang: usize, people: u128) {
        for (helper, _) in shop.gangs[gang].helpers_among(people) {
            self.helpers[helper].at = None;
            self.helpers_freed = true;
            self.mark_helped(shop, helper);
        }
    }

    /// The gangs that this one may help look through their work again.
    pub fn mark_helped(&mut self, shop: &Shop, helper: usize) {
        for gang in &shop.helpers[helper].gangs {
            if !self.gangs[*gang as usize].ready.is_empty() {
                self.mark(*gang as usize);
            }
        }
    }

    /// Somebody helps this gang now.
    pub fn is_helped(&self, gang: usize) -> bool {
        self.helpers.iter().any(|state| state.at == Some(gang as u16))
    }

    /// The seats of a gang in which those sit who help and are there in this shift.
    pub(super) fn helpers_there(&self, gang: &Gang) -> u128 {
        let there = gang.helpers_among(u128::MAX).filter(|(helper, _)| self.helpers[*helper].there);
        there.fold(0, |mask, (_, seat)| mask | 1 << seat)
    }
}
