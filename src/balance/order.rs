//! Where a group of steps may go while all others stay: between what it follows and what follows it, and away
//! from what it is kept apart from.
//!
//! Looks at neighbours only, so a change of one group costs nothing for the rest of the line.

use crate::line::{Line, PlaceId, StepId};

/// The groups of a line and their neighbours, by group.
pub struct Order {
    /// Steps that move together; groups and steps in file order.
    pub groups: Vec<Vec<StepId>>,
    pub group_of: Vec<usize>,
    before: Vec<Vec<usize>>,
    after: Vec<Vec<usize>>,
    apart: Vec<Vec<usize>>,
    last: PlaceId,
}

/// Groups on their way to other places.
pub type Going<'a> = &'a [(usize, PlaceId)];

impl Order {
    pub fn new(line: &Line, groups: Vec<Vec<StepId>>) -> Order {
        let mut group_of = vec![0; line.steps.len()];
        for (g, group) in groups.iter().enumerate() {
            group.iter().for_each(|s| group_of[s.index()] = g);
        }
        let none = || vec![Vec::new(); groups.len()];
        let (mut before, mut after, mut apart) = (none(), none(), none());
        for (s, step) in line.steps.iter().enumerate() {
            let here = group_of[s];
            for first in step.after.iter().map(|p| group_of[p.index()]).filter(|g| *g != here) {
                before[here].push(first);
                after[first].push(here);
            }
            for other in step.apart.iter().map(|o| group_of[o.index()]) {
                apart[here].push(other);
                apart[other].push(here);
            }
        }
        for list in before.iter_mut().chain(&mut after).chain(&mut apart) {
            list.sort_unstable();
            list.dedup();
        }
        let last = PlaceId::from_index(line.on_line.saturating_sub(1));
        Order { groups, group_of, before, after, apart, last }
    }

    /// Where a group stands.
    pub fn place(&self, at: &[PlaceId], group: usize) -> PlaceId {
        at[self.groups[group][0].index()]
    }

    fn then(&self, at: &[PlaceId], going: Going, group: usize) -> PlaceId {
        let found = going.iter().find(|(g, _)| *g == group);
        found.map_or_else(|| self.place(at, group), |(_, to)| *to)
    }

    /// Do all that go stand in order afterwards, and away from what they are kept apart from?
    pub fn allows(&self, at: &[PlaceId], going: Going) -> bool {
        going.iter().all(|(group, to)| {
            self.before[*group].iter().all(|g| self.then(at, going, *g) <= *to)
                && self.after[*group].iter().all(|g| self.then(at, going, *g) >= *to)
        }) && self.keeps_apart(at, going)
    }

    /// Do all that go stand away from what they are kept apart from?
    pub fn keeps_apart(&self, at: &[PlaceId], going: Going) -> bool {
        going.iter().all(|(group, to)| self.apart[*group].iter().all(|g| self.then(at, going, *g) != *to))
    }

    /// One follows the other directly: they can't change places.
    pub fn are_neighbours(&self, one: usize, other: usize) -> bool {
        let follows = |list: &[usize]| list.binary_search(&other).is_ok();
        follows(&self.before[one]) || follows(&self.after[one])
    }

    /// The first and the last place where a group keeps the order while all others stay.
    pub fn range(&self, at: &[PlaceId], group: usize) -> (PlaceId, PlaceId) {
        let first = self.before[group].iter().map(|g| self.place(at, *g)).max();
        let last = self.after[group].iter().map(|g| self.place(at, *g)).min();
        (first.unwrap_or(PlaceId::from_index(0)), last.unwrap_or(self.last))
    }
}
