//! Which of the people who are there fill the needs of a step, and how far.

use super::{Need, VISITOR};

/// How many of each need are filled by the people with these skills (bit k = skill k), one person
/// one need; `None` where the step must wait for others.
///
/// It waits where a need that asks for a skill finds nobody, where nobody at all is found, and,
/// done `exactly`, where anybody is missing.
pub fn manning(needs: &[Need], people: &[u64], exactly: bool) -> Option<Vec<u32>> {
    let filled = most_filled(needs, people);
    (!waits(needs, &filled, exactly)).then_some(filled)
}

/// Whether what is filled so must wait for others.
pub fn waits(needs: &[Need], filled: &[u32], exactly: bool) -> bool {
    let lacks = |(need, filled): (&Need, &u32)| {
        *filled < need.count && (exactly || (*filled == 0 && need.skill.is_some()))
    };
    let wanted = needs.iter().any(|need| need.count > 0);
    needs.iter().zip(filled).any(lacks) || (wanted && filled.iter().all(|n| *n == 0))
}

/// As many places of the needs as these people can fill, as [`Seating`] says.
pub fn most_filled(needs: &[Need], people: &[u64]) -> Vec<u32> {
    let mut seating = Seating::default();
    seating.fill(needs, people);
    seating.filled
}

/// Who fills which place: as many places as can be, and among such ways one with the first place of as many
/// skills as can be: a maximum matching by augmenting paths (Kuhn 1955), in which who has a place keeps one, so the
/// first of every skill is sought before the second, and skills before people who need none. Who stands first among
/// the people is taken first. Kept, so that a run may ask without asking for memory.
#[derive(Clone, Debug, Default)]
pub struct Seating {
    /// How many places of each need are filled.
    pub filled: Vec<u32>,
    /// Per person: the place that they have.
    seat_of: Vec<Option<usize>>,
    /// Of each place: its need.
    seats: Vec<usize>,
    tried: Vec<bool>,
}

impl Seating {
    pub fn fill(&mut self, needs: &[Need], people: &[u64]) {
        self.seats.clear();
        let skilled = |(_, need): &(usize, &Need)| need.skill.is_some();
        let wanted = || needs.iter().enumerate().filter(|(_, need)| need.count > 0);
        self.seats.extend(wanted().filter(skilled).map(|(k, _)| k));
        for (k, need) in wanted().filter(skilled) {
            self.seats.extend(std::iter::repeat_n(k, need.count as usize - 1));
        }
        for (k, need) in wanted().filter(|one| !skilled(one)) {
            self.seats.extend(std::iter::repeat_n(k, need.count as usize));
        }
        self.seat_of.clear();
        self.seat_of.resize(people.len(), None);
        self.filled.clear();
        self.filled.resize(needs.len(), 0);
        for seat in 0..self.seats.len() {
            self.tried.clear();
            self.tried.resize(people.len(), false);
            if self.place(seat, needs, people) {
                self.filled[self.seats[seat]] += 1;
            }
        }
    }

    /// Whether a person has a place.
    pub fn takes(&self, person: usize) -> bool {
        self.seat_of[person].is_some()
    }

    fn place(&mut self, seat: usize, needs: &[Need], people: &[u64]) -> bool {
        let skill = needs[self.seats[seat]].skill;
        let can = |skills: u64| match skill {
            Some(skill) => skills >> skill.index() & 1 == 1,
            None => skills & VISITOR == 0,
        };
        for person in 0..people.len() {
            if self.tried[person] || !can(people[person]) {
                continue;
            }
            self.tried[person] = true;
            let free = match self.seat_of[person] {
                None => true,
                Some(other) => self.place(other, needs, people),
            };
            if free {
                self.seat_of[person] = Some(seat);
                return true;
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::SkillId;

    fn need(count: u32, skill: Option<u8>) -> Need {
        Need { count, skill: skill.map(SkillId) }
    }

    #[test]
    fn as_many_as_are_there_fill_the_needs_and_every_skill_needs_one() {
        let two_plumb_one = [need(2, Some(0)), need(1, None)];
        assert_eq!(manning(&two_plumb_one, &[1, 1, 0], false), Some(vec![2, 1]));
        assert_eq!(manning(&two_plumb_one, &[1, 0], false), Some(vec![1, 1]));
        assert_eq!(manning(&two_plumb_one, &[1, 1], false), Some(vec![2, 0]));
        assert_eq!(manning(&two_plumb_one, &[0, 0, 0], false), None, "nobody can plumb");
        assert_eq!(manning(&[need(2, None)], &[], false), None, "nobody is there");
        assert_eq!(manning(&[], &[], false), Some(Vec::new()), "nobody is wanted");
    }

    #[test]
    fn done_exactly_it_waits_for_everybody() {
        assert_eq!(manning(&[need(2, None)], &[0], true), None);
        assert_eq!(manning(&[need(2, None)], &[0, 0], true), Some(vec![2]));
    }

    #[test]
    fn one_who_can_both_makes_room_for_the_other_need() {
        // The first can both, the second only skill 0: each need gets one.
        let needs = [need(1, Some(0)), need(1, Some(1))];
        assert_eq!(manning(&needs, &[0b11, 0b01], false), Some(vec![1, 1]));
        assert_eq!(manning(&needs, &[0b11], false), None, "one person is not in two places");
    }
}
