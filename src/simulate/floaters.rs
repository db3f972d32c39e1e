//! Floaters: who of them is there in a shift, and in which empty seat each of them sits.
//!
//! They go one by one, in the order of the file: to the crew that lacks a skill it asks for, then to the
//! crew with the lowest share of its people, then to the first in the file; and stay for the shift.

use super::presence::is_away;
use super::run::Run;
use super::watcher::Watcher;
use crate::draws::{Purpose, Stream};
use crate::line::{GroupId, Line, PlaceId};
use crate::schedule::Shop;

/// What the seats and the work of the crews ask for, and who floats. Empty where nobody does.
#[derive(Clone, Debug, Default)]
pub(super) struct FloatPlan {
    /// Per gang and seat: the skills that a stand-in must have; `None`: nobody stands in there.
    seats: Vec<Vec<Option<u64>>>,
    /// Per gang: the skills that its work asks for.
    asks: Vec<u64>,
    statements: Vec<Floating>,
}

/// Brings no missing skill; people present; people wanted.
type Rank = (bool, u64, u64);

#[derive(Clone, Debug)]
struct Floating {
    count: u32,
    skills: u64,
    /// Per gang.
    covers: Vec<bool>,
    hours: u16,
    /// Per shift of the week: its draws.
    streams: Vec<Stream>,
}

impl FloatPlan {
    pub fn new(line: &Line, shop: &Shop, seed: u64) -> FloatPlan {
        if line.floaters.is_empty() {
            return FloatPlan::default();
        }
        let must_have = |group: &u16| line.asked_of_a_floater(GroupId(*group));
        let asks = |gang: &crate::schedule::Gang| {
            let nodes = gang.places.iter().flat_map(|place| shop.nodes_of(*place as usize));
            let needs = nodes.flat_map(|node| node.needs.iter().flatten());
            needs.filter_map(|need| need.skill).fold(0, |mask, skill| mask | 1u64 << skill.index())
        };
        let week = |hours| line.calendar_of(hours).map_or(&[][..], |calendar| &calendar.week);
        let statement = |(k, floaters): (usize, &crate::line::Floaters)| Floating {
            count: floaters.count,
            skills: floaters.skills,
            covers: shop
                .gangs
                .iter()
                .map(|gang| {
                    gang.crew.is_some() && gang.places.iter().any(|place| floaters.covers(PlaceId(*place)))
                })
                .collect(),
            hours: line.hours_of_cover(floaters.covering.as_deref()),
            streams: week(line.hours_of_cover(floaters.covering.as_deref()))
                .iter()
                .map(|shift| {
                    let name = format!("floaters {} in shift {}", k + 1, shift.name);
                    Stream::new(seed, 0, Purpose::Absence, &name)
                })
                .collect(),
        };
        FloatPlan {
            seats: shop.gangs.iter().map(|gang| gang.own_groups().iter().map(must_have).collect()).collect(),
            asks: shop.gangs.iter().map(asks).collect(),
            statements: line.floaters.iter().enumerate().map(statement).collect(),
        }
    }

    /// The gang and the seat to which a floater with these skills goes; `people` are the skills of
    /// everybody by gang and seat, `here` those who are there.
    fn seat_for<'a>(
        &self,
        floating: &Floating,
        people: &dyn Fn(usize) -> &'a [u64],
        here: &[u128],
    ) -> Option<(usize, usize)> {
        let mut best: Option<(Rank, (usize, usize))> = None;
        for (gang, seats) in self.seats.iter().enumerate().filter(|(gang, _)| floating.covers[*gang]) {
            let skills = people(gang);
            let fits = |seat: &usize| {
                here[gang] >> seat & 1 == 0 && seats[*seat].is_some_and(|asked| asked & !floating.skills == 0)
            };
            let there = |seat: &usize| here[gang] >> seat & 1 == 1;
            let had = (0..seats.len()).filter(there).fold(0, |mask, seat| mask | skills[seat]);
            let lacks = self.asks[gang] & !had;
            let Some(first) = (0..seats.len()).find(fits) else { continue };
            let helps = (0..seats.len()).filter(fits).find(|seat| skills[*seat] & lacks != 0);
            let (present, wanted) = (u64::from(here[gang].count_ones()), seats.len() as u64);
            let rank = (helps.is_none(), present, wanted);
            // A lower share of present in wanted goes first; of equals the one before in the file.
            let before =
                |(other_helps, n, of): Rank| (rank.0, rank.1 * of).cmp(&(other_helps, n * rank.2)).is_lt();
            if best.is_none_or(|(other, _)| before(other)) {
                best = Some((rank, (gang, helps.unwrap_or(first))));
            }
        }
        best.map(|(_, seat)| seat)
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Fills empty seats of this shift of some hours. `chance` of each floater to be away on the day.
    pub(super) fn send_floaters(&mut self, hours: usize, plan: &FloatPlan, here: &mut [u128], chance: f64) {
        let shift = self.shift_of(hours);
        let span = self.clock_of_mut(hours).shift(shift);
        let day = span.start.div_euclid(crate::units::Time::DAY.0);
        let c = self.c;
        let people = |gang: usize| c.shop.gangs[gang].people.as_slice();
        let net = self.net_of(hours);
        let theirs = |(_, floating): &(usize, &Floating)| usize::from(floating.hours) == hours;
        for (k, floating) in plan.statements.iter().enumerate().filter(theirs) {
            let stream = floating.streams[span.of_week].of_replication(self.replication);
            let (mut away, mut standing_in) = (0, 0);
            for person in 0..floating.count {
                if is_away(&stream, person, day, chance) {
                    away += 1;
                } else if let Some((gang, seat)) = plan.seat_for(floating, &people, here) {
                    here[gang] |= 1 << seat;
                    standing_in += 1;
                }
            }
            let now = &mut self.floating[k];
            let counts = &mut self.seen.floaters[k];
            counts.absent -= (away - now.absent) * net;
            counts.standing_in -= (standing_in - now.standing_in) * net;
            (now.absent, now.standing_in) = (away, standing_in);
        }
    }

    /// The counted window begins (`-1`) or ends (`1`): who stands in, and who walks.
    pub(super) fn settle_people(&mut self, sign: i64) {
        self.settle_walks(sign);
        self.settle_movers(sign);
        self.settle_help(sign);
        for (k, floaters) in self.c.line.floaters.iter().enumerate() {
            let net = self.net_of(self.c.line.hours_of_cover(floaters.covering.as_deref()).into());
            let (now, counts) = (&self.floating[k], &mut self.seen.floaters[k]);
            counts.absent += sign * now.absent * net;
            counts.standing_in += sign * now.standing_in * net;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Skills: bit 0 plumb, bit 1 tile. Gang 0 has two who can nothing, gang 1 a plumber and one more, gang 2
    /// three tilers.
    fn plan() -> (FloatPlan, Vec<Vec<u64>>) {
        let people = vec![vec![0, 0], vec![1, 0], vec![2, 2, 2]];
        let plan = FloatPlan {
            seats: people.iter().map(|gang| gang.iter().map(|skills| Some(*skills)).collect()).collect(),
            asks: vec![0, 1, 2],
            statements: Vec::new(),
        };
        (plan, people)
    }

    fn goes(skills: u64, covers: [bool; 3], here: [u128; 3]) -> Option<(usize, usize)> {
        let (plan, people) = plan();
        let floating = Floating { count: 1, skills, covers: covers.to_vec(), hours: 0, streams: Vec::new() };
        plan.seat_for(&floating, &|gang| people[gang].as_slice(), &here)
    }

    #[test]
    fn a_missing_skill_goes_before_the_lowest_share_and_that_before_the_file() {
        let all = [true; 3];
        assert_eq!(goes(1, all, [0b11, 0b11, 0b111]), None, "nobody is missing");
        assert_eq!(goes(1, all, [0b00, 0b10, 0b111]), Some((1, 0)), "without a plumber gang 1 waits");
        assert_eq!(goes(0, all, [0b01, 0b10, 0b111]), Some((0, 1)), "who can't plumb is no plumber");
        assert_eq!(goes(2, all, [0b01, 0b11, 0b001]), Some((2, 1)), "1 of 3 is less than 1 of 2");
        assert_eq!(goes(3, all, [0b01, 0b01, 0b111]), Some((0, 1)), "as short as gang 1, and before it");
        assert_eq!(goes(3, [false, true, true], [0b00, 0b01, 0b111]), Some((1, 1)), "gang 0 isn't covered");
    }
}
