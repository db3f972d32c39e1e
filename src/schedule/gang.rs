//! Who works together: a crew, or the part of it that one bay has.

use crate::line::{Line, VISITOR};

/// A group of people who work together: a crew, or one bay's crew, or nobody (a place without crew).
#[derive(Clone, Debug)]
pub struct Gang {
    /// Index of the crew, or `None` for a place without one.
    pub crew: Option<u16>,
    /// Which bay's crew (0 if not per bay).
    pub instance: u16,
    /// Skills of its people, in file order.
    pub people: Vec<u64>,
    /// Group of each.
    pub groups: Vec<u16>,
    /// Everybody.
    pub all: u128,
    /// Those of them who do whatever asks for no skill: all but visitors.
    pub anybody: u128,
    /// Per skill: who can.
    pub can: Vec<u128>,
    /// Places it serves, last place of the line first.
    pub places: Vec<u16>,
}

impl Gang {
    /// The people of a crew; `instance` says of which bay's.
    pub(super) fn of_crew(line: &Line, crew: usize, instance: u16) -> Gang {
        let mut gang = Gang { crew: Some(crew as u16), instance, ..Gang::nobody(line) };
        for (count, group) in &line.crews[crew].members {
            let skills = line.groups[group.index()].skills;
            for _ in 0..*count {
                let bit = 1u128 << gang.people.len();
                gang.people.push(skills);
                gang.groups.push(group.0);
                gang.all |= bit;
                gang.anybody |= if skills & VISITOR == 0 { bit } else { 0 };
                for (skill, can) in gang.can.iter_mut().enumerate() {
                    *can |= if skills >> skill & 1 == 1 { bit } else { 0 };
                }
            }
        }
        gang
    }

    /// Of a place without a crew.
    pub(super) fn nobody(line: &Line) -> Gang {
        Gang {
            crew: None,
            instance: 0,
            people: Vec::new(),
            groups: Vec::new(),
            all: 0,
            anybody: 0,
            can: vec![0; line.skills.len()],
            places: Vec::new(),
        }
    }

    /// Its people of some groups.
    pub fn of_groups(&self, is_of: impl Fn(u16) -> bool) -> u128 {
        self.groups.iter().enumerate().fold(0, |mask, (p, group)| mask | u128::from(is_of(*group)) << p)
    }
}
