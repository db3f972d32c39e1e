//! Choosing people: of those who can do a task, the ones with the fewest other skills go first, then
//! the longest idle, then file order. Who only helps comes last.

use super::gang::Gang;
use super::seats::{heads, seats, sits};
use crate::line::Need;

/// Who goes before whom among people of equal skills.
#[derive(Clone, Copy)]
pub(super) struct Idle<'a> {
    /// Since when each of a gang is idle.
    pub since: &'a [i64],
    /// Those who are at the unit already: they go before whoever would have to walk.
    pub there: u128,
}

impl<'a> Idle<'a> {
    pub fn anywhere(since: &'a [i64]) -> Idle<'a> {
        Idle { since, there: 0 }
    }
}

/// The people of `available` that take up `needs` together, or `None` if they can't.
///
/// Named skills choose before "anybody". Where first choices leave a later need short, other choices
/// are tried, so a team that can be formed is formed.
pub(super) fn choose(gang: &Gang, needs: &[Need], available: u128, idle: Idle) -> Option<u128> {
    if let [need] = needs {
        return pick(gang, need, available, idle);
    }
    let mut taken = 0u128;
    for named in [true, false] {
        for need in needs.iter().filter(|need| need.skill.is_some() == named) {
            match pick(gang, need, available & !taken, idle) {
                Some(people) => taken |= people,
                None => return fit(gang, needs, available, idle),
            }
        }
    }
    Some(taken)
}

pub(super) fn able(gang: &Gang, need: &Need) -> u128 {
    need.skill.map_or(gang.anybody, |skill| gang.can[skill.index()])
}

/// Everybody who could do part of it.
pub(super) fn could_use(gang: &Gang, needs: &[Need]) -> u128 {
    needs.iter().filter(|need| need.count > 0).fold(0, |mask, need| mask | able(gang, need))
}

fn pick(gang: &Gang, need: &Need, available: u128, idle: Idle) -> Option<u128> {
    let left = available & able(gang, need);
    match heads(left).cmp(&need.count) {
        std::cmp::Ordering::Less => None,
        std::cmp::Ordering::Equal => Some(left),
        std::cmp::Ordering::Greater => Some(first(gang, left, need.count, idle)),
    }
}

/// The order of choice.
#[inline]
fn rank(gang: &Gang, idle: Idle, p: usize) -> (u8, i64) {
    (gang.turn[p], if sits(idle.there, p) { i64::MIN } else { idle.since[p] })
}

/// The first `count` of these people by the order of choice, or all of them.
pub(super) fn first(gang: &Gang, people: u128, count: u32, idle: Idle) -> u128 {
    in_order(gang, people, idle).take(count as usize).fold(0, |taken, person| taken | 1 << person)
}

/// These people in the order of choice, of equals the first of the file first.
pub(super) fn in_order<'a>(
    gang: &'a Gang,
    mut left: u128,
    idle: Idle<'a>,
) -> impl Iterator<Item = usize> + 'a {
    std::iter::from_fn(move || {
        let best = seats(left).min_by_key(|p| rank(gang, idle, *p))?;
        left &= !(1 << best);
        Some(best)
    })
}

/// Searches for any team: one person after another, in the order of preference.
fn fit(gang: &Gang, needs: &[Need], available: u128, idle: Idle) -> Option<u128> {
    // Most often there are too few for one of the needs alone.
    if needs.iter().any(|need| (available & able(gang, need)).count_ones() < need.count) {
        return None;
    }
    let mut needs: Vec<&Need> = needs.iter().collect();
    needs.sort_by_key(|need| need.skill.is_none());
    let wanted: Vec<u128> =
        needs.iter().flat_map(|need| std::iter::repeat_n(able(gang, need), need.count as usize)).collect();
    if (available.count_ones() as usize) < wanted.len() {
        return None;
    }
    let mut order: Vec<usize> = (0..gang.people.len()).filter(|p| available >> p & 1 == 1).collect();
    order.sort_by_key(|p| (rank(gang, idle, *p), *p));
    // A matching by augmenting paths: person -> place in the team.
    let mut holder: Vec<Option<usize>> = vec![None; wanted.len()];
    fn place(
        seat: usize,
        wanted: &[u128],
        order: &[usize],
        holder: &mut [Option<usize>],
        seen: &mut u128,
    ) -> bool {
        for p in order {
            if wanted[seat] >> p & 1 == 0 || *seen >> p & 1 == 1 {
                continue;
            }
            *seen |= 1 << p;
            let other = holder.iter().position(|h| *h == Some(*p));
            if other.is_none_or(|other| place(other, wanted, order, holder, seen)) {
                holder[seat] = Some(*p);
                return true;
            }
        }
        false
    }
    for seat in 0..wanted.len() {
        let mut seen = 0;
        if !place(seat, &wanted, &order, &mut holder, &mut seen) {
            return None;
        }
    }
    Some(holder.iter().flatten().fold(0, |mask, p| mask | 1 << p))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::SkillId;

    fn gang(people: &[u64]) -> Gang {
        let can = (0..8)
            .map(|s| {
                people
                    .iter()
                    .enumerate()
                    .filter(|(_, skills)| **skills >> s & 1 == 1)
                    .fold(0, |m, (p, _)| m | 1 << p)
            })
            .collect();
        Gang {
            crew: Some(0),
            instance: 0,
            people: people.to_vec(),
            turn: people.iter().map(|skills| skills.count_ones() as u8).collect(),
            groups: vec![0; people.len()],
            helpers: Vec::new(),
            all: (1 << people.len()) - 1,
            anybody: (1 << people.len()) - 1,
            can,
            places: Vec::new(),
            walks: false,
            one_group: None,
        }
    }

    fn need(count: u32, skill: Option<u8>) -> Need {
        Need { count, skill: skill.map(SkillId) }
    }

    #[test]
    fn those_with_the_fewest_other_skills_go_first_then_the_longest_idle() {
        let gang = gang(&[0b11, 0b01, 0b01]);
        assert_eq!(choose(&gang, &[need(1, Some(0))], 0b111, Idle::anywhere(&[0, 5, 3])), Some(0b100));
        assert_eq!(choose(&gang, &[need(1, Some(1))], 0b111, Idle::anywhere(&[0, 5, 3])), Some(0b001));
        assert_eq!(choose(&gang, &[need(2, Some(1))], 0b111, Idle::anywhere(&[0, 0, 0])), None);
    }

    #[test]
    fn a_team_that_can_be_formed_is_formed() {
        // Person 0 can a and b, person 1 can a, c and d: "1 a, 1 b" must not spend person 0 on a.
        let gang = gang(&[0b0011, 0b1101]);
        assert_eq!(
            choose(&gang, &[need(1, Some(0)), need(1, Some(1))], 0b11, Idle::anywhere(&[0, 0])),
            Some(0b11)
        );
    }
}
