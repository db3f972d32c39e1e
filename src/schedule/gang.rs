//! Who works together: a crew, or the part of it that one bay has.

use super::shop::Shop;
use crate::line::{Line, VISITOR};

/// A group of people who work together: a crew, or one bay's crew, or nobody (a place without crew).
#[derive(Clone, Debug)]
pub struct Gang {
    /// Index of the crew, or `None` for a place without one.
    pub crew: Option<u16>,
    /// Which bay's crew (0 if not per bay).
    pub instance: u16,
    /// Skills of its people, in file order; behind them those who may help it.
    pub people: Vec<u64>,
    /// Of each: in what order they are chosen, as far as that never changes: its own before those who help, then the
    /// fewest skills.
    pub(super) turn: Vec<u8>,
    /// Group of each.
    pub groups: Vec<u16>,
    /// Which of `Shop::helpers` sits in each seat behind its own people.
    pub helpers: Vec<u16>,
    /// Everybody of its own.
    pub all: u128,
    /// Those of them who do whatever asks for no skill: all but visitors.
    pub anybody: u128,
    /// Per skill: who can.
    pub can: Vec<u128>,
    /// Places it serves, last place of the line first.
    pub places: Vec<u16>,
    /// Some of those who work in it may have to come from elsewhere first.
    pub walks: bool,
    /// The group of all its own people, where it is one.
    pub one_group: Option<u16>,
}

impl Gang {
    /// The people of a crew; `instance` says of which bay's.
    pub(super) fn of_crew(line: &Line, crew: usize, instance: u16) -> Gang {
        let mut gang = Gang { crew: Some(crew as u16), instance, ..Gang::nobody(line) };
        for (count, group) in &line.crews[crew].members {
            let skills = line.groups[group.index()].skills;
            for _ in 0..*count {
                gang.all |= gang.seat(group.0, skills);
            }
        }
        gang
    }

    /// One more seat; its bit.
    fn seat(&mut self, group: u16, skills: u64) -> u128 {
        let bit = 1u128 << self.people.len();
        self.people.push(skills);
        // At most 64 skills.
        self.turn.push(skills.count_ones() as u8);
        self.groups.push(group);
        self.anybody |= if skills & VISITOR == 0 { bit } else { 0 };
        for (skill, can) in self.can.iter_mut().enumerate() {
            *can |= if skills >> skill & 1 == 1 { bit } else { 0 };
        }
        bit
    }

    /// A seat for one of those who help.
    pub(super) fn seat_helper(&mut self, helper: u16, group: u16, skills: u64) {
        self.seat(group, skills);
        self.helpers.push(helper);
        if let Some(turn) = self.turn.last_mut() {
            *turn += 128;
        }
    }

    /// How many people it has of its own: the seats behind them are of those who help.
    #[inline]
    pub fn own(&self) -> usize {
        self.people.len() - self.helpers.len()
    }

    /// The groups of its own people.
    pub fn own_groups(&self) -> &[u16] {
        &self.groups[..self.own()]
    }

    /// Of a place without a crew.
    pub(super) fn nobody(line: &Line) -> Gang {
        Gang {
            crew: None,
            instance: 0,
            people: Vec::new(),
            turn: Vec::new(),
            groups: Vec::new(),
            helpers: Vec::new(),
            all: 0,
            anybody: 0,
            can: vec![0; line.skills.len()],
            places: Vec::new(),
            walks: false,
            one_group: None,
        }
    }

    /// Its people of some groups.
    pub fn of_groups(&self, is_of: impl Fn(u16) -> bool) -> u128 {
        self.groups.iter().enumerate().fold(0, |mask, (p, group)| mask | u128::from(is_of(*group)) << p)
    }
}

impl Shop {
    /// What is known of a gang once it has all its seats and places.
    pub(super) fn know_gangs(&mut self) {
        let behind: Vec<bool> = (0..self.places.len()).map(|place| self.has_early_at(place)).collect();
        let (places, helpers) = (&self.places, &self.helpers);
        for gang in &mut self.gangs {
            // To its own places, and to those behind them where it begins early.
            let walked = |place: usize| places[place].walk > 0;
            let early = |place: usize| place > 0 && behind[place - 1] && walked(place - 1);
            gang.walks = gang.places.iter().any(|place| walked(*place as usize) || early(*place as usize))
                || gang.helpers.iter().any(|helper| helpers[*helper as usize].answering > 0);
            let first = gang.own_groups().first().copied();
            gang.one_group = first.filter(|group| gang.own_groups().iter().all(|other| other == group));
        }
        self.helpers.iter_mut().for_each(|helper| helper.walks_for.clear());
        for (of, gang) in self.gangs.iter().enumerate().filter(|(_, gang)| gang.walks) {
            for (helper, seat) in gang.helpers_among(u128::MAX) {
                self.helpers[helper].walks_for.push((of as u16, seat as u8));
            }
        }
    }

    /// The bays at which a gang works.
    pub fn bays_of(&self, gang: usize) -> Vec<usize> {
        let compiled = &self.gangs[gang];
        let of_place = |place: &u16| {
            let place = &self.places[*place as usize];
            let bay0 = place.bay0 as usize;
            match place.gang_per_bay {
                true => bay0 + compiled.instance as usize..bay0 + compiled.instance as usize + 1,
                false => bay0..bay0 + place.bays as usize,
            }
        };
        compiled.places.iter().flat_map(of_place).collect()
    }
}
