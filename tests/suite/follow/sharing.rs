//! Work that more people share than it needs: who may, how long it then takes, and that all who are
//! free at its start do.

use super::Follower;
use super::people::{can_fill, skills_of};
use super::unit::{Asked, Unit, What};
use super::work::{Stated, bounds};
use taktwright::line::{CrewId, Dist, Need, OutcomeKind, PlaceId, Shared, SharedBy, StepId};

/// A shared task that has just started.
#[derive(Clone, Copy, Debug)]
pub struct Started {
    unit: u64,
    what: What,
    place: PlaceId,
    gang: (CrewId, u16),
    people: u128,
}

/// Every way to ask for `needs` and up to `most` of each, so many in all.
fn ways(needs: &[Need], most: &[u32], people: u32) -> Vec<Vec<Need>> {
    let (Some((need, needs)), Some((top, most))) = (needs.split_first(), most.split_first()) else {
        return if people == 0 { vec![Vec::new()] } else { Vec::new() };
    };
    (need.count..=(*top).min(people))
        .flat_map(|count| {
            ways(needs, most, people - count).into_iter().map(move |rest| {
                let mut all = vec![Need { count, ..*need }];
                all.extend(rest);
                all
            })
        })
        .collect()
}

/// Can these people be it, all of them?
fn fills(needs: &[Need], most: &[u32], skills: &[u64], people: u128) -> bool {
    ways(needs, most, people.count_ones()).iter().any(|way| can_fill(way, skills, people))
}

/// What a time of `needed` people becomes with `people`.
pub fn shared_time(by: &SharedBy, micros: f64, needed: u32, people: u32) -> f64 {
    let (needed, people) = (f64::from(needed), f64::from(people));
    match by {
        SharedBy::Power { power, fixed } => {
            let rest = (micros - fixed).max(0.0);
            (micros - rest) + rest * (needed / people).powf(*power)
        }
        SharedBy::Table(rows) => {
            let of = |n: f64| rows.iter().find(|row| f64::from(row.0) == n).map_or(1.0, |row| row.1);
            micros * of(people) / of(needed)
        }
    }
}

impl Follower<'_> {
    /// How something is shared by more people than it needs; `None` where the number is exact, as it is where a
    /// window gives its redo a time or people of its own and does not say so.
    pub fn shared_as(&self, unit: &Unit, what: What) -> Option<&Shared> {
        let id = match what {
            What::Step(id) => id,
            What::Fix(test) => {
                let Some(Asked::Fix(_, index)) = unit.asked else { return None };
                return match &self.line.tests[test.index()].outcomes[index].kind {
                    OutcomeKind::FixedInPlace(fix) | OutcomeKind::ToRepair { fix, .. } => fix.shared.as_ref(),
                    OutcomeKind::BackTo { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => None,
                };
            }
        };
        let step = &self.line.steps[id.index()];
        let window = unit.again[id.index()].map(|(_, window)| &self.line.windows[window]);
        let own = window.filter(|w| w.redo.first() == Some(&id));
        match own {
            Some(window) if window.redo_needs.is_some() => window.redo_shared.as_ref(),
            Some(window) if window.redo_time.is_some() => None,
            Some(_) | None => step.shared.as_ref(),
        }
    }

    /// Its time with all who do it, where they are more than it needs.
    pub fn shared_bounds(
        &self,
        unit: &Unit,
        what: What,
        people: u128,
        (dist, factor): (&Dist, f64),
    ) -> Option<(f64, f64)> {
        let needed: u32 = self.needs_of(unit, what).iter().map(|n| n.count).sum();
        let shared = self.shared_as(unit, what).filter(|_| people.count_ones() > needed)?;
        let (low, high) = bounds(dist, 1.0);
        let of = |micros| shared_time(&shared.by, micros, needed, people.count_ones()) * factor;
        Some((of(low) - 1.0, of(high) + 1.0))
    }

    /// What the time of a step for as many as it asks for becomes with `people`, as a share of it: between what and what,
    /// as long as it is not known how long it is.
    pub fn share_of_time(&self, unit: &Unit, step: StepId, people: u32) -> (f64, f64) {
        let asked: u32 = self.asks_of(unit, What::Step(step)).iter().map(|n| n.count).sum();
        let step = &self.line.steps[step.index()];
        let Some(shared) = step.shared.as_ref().filter(|_| people > asked) else {
            let share = if people == 0 { 1.0 } else { f64::from(asked) / f64::from(people) };
            return (share, share);
        };
        let (low, high) = bounds(&step.times[unit.model.index()].dist, 1.0);
        let of = |micros: f64| shared_time(&shared.by, micros, asked, people) / micros;
        let (one, other) = (of(low.max(1e-3)), of(high.min(1e15)));
        (one.min(other), one.max(other))
    }

    /// People beyond what it needs: may it take them?
    pub fn may_share(&self, unit: &Unit, what: What, gang: (CrewId, u16), people: u128) -> bool {
        let needs = self.needs_of(unit, what);
        // With fewer than it needs nobody comes on top.
        if needs != self.asks_of(unit, what) {
            return false;
        }
        let skills = skills_of(self.line, gang.0);
        self.shared_as(unit, what)
            .is_some_and(|shared| fills(&needs, &shared.most[unit.model.index()], &skills, people))
    }

    /// Notes a start, to see at the end of the instant whether everybody who was free came.
    pub fn note_shared(&mut self, unit: u64, what: What, stated: Stated) {
        let Some(crew) = stated.crew else { return };
        if self.units.get(&unit).is_some_and(|u| self.shared_as(u, what).is_some()) {
            let people = stated.people;
            self.shared.push(Started { unit, what, place: stated.place, gang: crew, people });
        }
    }

    /// At the end of an instant: a shared task that began in it and could have had one more person.
    pub fn judge_shared(&mut self) {
        for started in std::mem::take(&mut self.shared) {
            let Some(unit) = self.units.get(&started.unit) else { continue };
            if unit.bay().is_none_or(|(place, _)| place != started.place) || !unit.is_running(started.what) {
                continue;
            }
            let free = self.free_of(started.gang);
            let one_more = (0..128).map(|p| 1u128 << p).filter(|p| free & p != 0).find(|p| {
                self.may_share(unit, started.what, started.gang, started.people | p)
                    && self.has_room_for(unit, started.what, started.place, 1)
                    && !self.is_claimed(unit, started.gang, *p)
            });
            if one_more.is_some() {
                let text = format!("{} began without somebody who was free", self.said(started.what));
                self.fault(Some(started.unit), Some(started.place), text);
            }
        }
    }

    /// Could a waiting step of an older unit use this person? Older by the start or by the end of its move: which of them
    /// counts is not settled.
    fn is_claimed(&self, unit: &Unit, gang: (CrewId, u16), person: u128) -> bool {
        let skills = skills_of(self.line, gang.0);
        self.served_by(gang).into_iter().any(|(number, place, _)| {
            let Some(other) = self.units.get(&number) else { return false };
            let waits = |what: &What| {
                super::people::able(&self.needs_of(other, *what), &skills) & person != 0
                    && (self.closes_window(other, *what)
                        || other.entered <= unit.entered
                        || other.arrives <= unit.arrives)
            };
            self.ready_on(number, place).iter().any(waits)
        })
    }
}
