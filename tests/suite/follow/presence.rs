//! Who is there in a shift, and what a crew does with fewer people than its work asks for.

use super::Follower;
use super::people::{can_fill, skills_of};
use super::unit::{Unit, What};
use taktwright::line::{CrewId, Need, PlaceId};

/// Every way to ask for no more than `needs` does.
fn fewer(needs: &[Need]) -> Vec<Vec<Need>> {
    let Some((first, rest)) = needs.split_first() else { return vec![Vec::new()] };
    let tails = fewer(rest);
    (0..=first.count)
        .flat_map(|count| {
            tails.iter().map(move |tail| {
                let mut all = vec![Need { count, ..*first }];
                all.extend(tail.iter().copied());
                all
            })
        })
        .collect()
}

/// The most of the needs that the people of `mask` can fill, every skill by one at least; `None` where
/// that can't be done or all are wanted and some are missing.
pub fn reduced(needs: &[Need], skills: &[u64], mask: u128, exactly: bool) -> Option<Vec<Need>> {
    if can_fill(needs, skills, mask) {
        return Some(needs.to_vec());
    }
    let possible = fewer(needs).into_iter().filter(|some| {
        some.iter().all(|n| n.count > 0 || n.skill.is_none())
            && some.iter().any(|n| n.count > 0)
            && can_fill(some, skills, mask)
    });
    // As many as can be; where that leaves a choice, skills first, in the order of the needs.
    let rank = |some: &Vec<Need>| {
        let of = |skilled: bool| -> Vec<u32> {
            some.iter().filter(|n| n.skill.is_some() == skilled).map(|n| n.count).collect()
        };
        (some.iter().map(|n| n.count).sum::<u32>(), of(true), of(false))
    };
    possible.max_by_key(rank).filter(|_| !exactly)
}

impl Follower<'_> {
    /// The people that something takes of the crew where the unit stands, in this shift; all that it
    /// asks for where it has to wait for another.
    pub fn needs_of(&self, unit: &Unit, what: What) -> Vec<Need> {
        self.needs_today(unit, what).unwrap_or_else(|| self.asks_of(unit, what))
    }

    /// `None` where the people of this shift can't do it.
    pub fn needs_today(&self, unit: &Unit, what: What) -> Option<Vec<Need>> {
        let asked = self.asks_of(unit, what);
        let gang = self.gang_for(unit, what);
        let Some(gang) = gang.filter(|_| !asked.is_empty() && self.line.people_come_and_go()) else {
            return Some(asked);
        };
        let exactly = match what {
            What::Step(step) => self.line.steps[step.index()].exactly,
            What::Fix(_) => false,
        };
        reduced(&asked, &skills_of(self.line, gang.0), self.here(gang), exactly)
    }

    /// The people of a crew who are there in this shift.
    pub fn here(&self, gang: (CrewId, u16)) -> u128 {
        self.gang(gang).here.unwrap_or_else(|| self.everybody(gang.0))
    }

    /// How much longer a task takes than with the people it asks for.
    pub fn stretch(&self, unit: &Unit, what: What) -> f64 {
        let sum = |needs: &[Need]| f64::from(needs.iter().map(|n| n.count).sum::<u32>());
        let (asked, taken) = (sum(&self.asks_of(unit, what)), sum(&self.needs_of(unit, what)));
        if taken > 0.0 { asked / taken } else { 1.0 }
    }

    /// People asked for by each of those who do it.
    pub fn asked_over(&self, unit: &Unit, what: What, people: u128) -> f64 {
        let asked: u32 = self.asks_of(unit, what).iter().map(|need| need.count).sum();
        if people == 0 { 1.0 } else { f64::from(asked) / f64::from(people.count_ones()) }
    }

    pub fn came(&mut self, crew: CrewId, gang: u16, here: u128) {
        if usize::from(gang) >= self.gangs[crew.index()].len() || here & !self.everybody(crew) != 0 {
            return self.fault(None, None, "people come who are in no crew");
        }
        let days = self.days_of_crew(crew);
        if days.shift_at(self.now).is_none_or(|i| days.shifts[i].start != self.now) {
            self.fault(None, None, "people come though no shift begins");
        }
        let whole = self.everybody(crew);
        let state = &mut self.gangs[crew.index()][usize::from(gang)];
        state.here = Some(here);
        // Whoever moves units and is not there in this shift has gone.
        state.busy &= !(state.moving & !here);
        state.moving &= here;
        let short = here != whole;
        // A crew of several gangs is short once.
        let (shift, totals) = (self.now, &mut self.totals);
        if totals.crew_shifts[crew.index()].last().is_none_or(|(at, _)| *at != shift) {
            totals.crew_shifts[crew.index()].push((shift, false));
        }
        if let Some((_, any)) = totals.crew_shifts[crew.index()].last_mut() {
            *any |= short;
        }
    }

    /// Work that has begun goes on with other people, or stands still.
    pub fn handed_over(&mut self, number: u64, what: What, place: PlaceId, bay: u16, people: u128) {
        let name = self.said(what);
        let found = self.units.get(&number).and_then(|u| u.running.iter().find(|r| r.what == what)).cloned();
        // Whoever came along with the unit belongs to the crew of the place before.
        let gang = found.as_ref().and_then(|run| run.crew.or_else(|| self.gang_at(place, bay)));
        let (Some(run), Some(gang)) = (found, gang) else {
            return self.fault(Some(number), Some(place), format!("{name} is handed over and does not run"));
        };
        // Who helped goes on; nobody comes to help with what has begun.
        let here = self.here(gang) | self.helpers_here(gang.0) & run.people;
        let others = self.gang(gang).busy & !run.people;
        if people & !here != 0 {
            self.fault(Some(number), Some(place), format!("{name} goes on with people who are not there"));
        }
        if people & others & here != 0 {
            self.fault(Some(number), Some(place), format!("{name} goes on with people at work elsewhere"));
        }
        if people != 0 && run.people & here & !people != 0 {
            self.fault(Some(number), Some(place), format!("{name} goes on without one of its own"));
        }
        if people.count_ones() > run.heads {
            self.fault(Some(number), Some(place), format!("{name} goes on with more than began it"));
        }
        let asked = self.asks_of(&self.units[&number], what);
        let exactly = matches!(what, What::Step(step) if self.line.steps[step.index()].exactly);
        if people != 0 && reduced(&asked, &self.skills_with_help(gang.0), people, exactly).is_none() {
            self.fault(Some(number), Some(place), format!("{name} goes on with people who can't do it"));
        }
        let unit = self.units.get_mut(&number).expect("its work was just looked at");
        let run = unit.running.iter_mut().find(|r| r.what == what).expect("it was just found");
        run.people = people;
        run.walkers = run.walkers.map(|_| people);
        let pauses = run.paused.is_some();
        self.are_at(number, gang, people);
        let state = &mut self.gangs[gang.0.index()][usize::from(gang.1)];
        state.busy = others | people;
        state.resting = state.resting & others | if pauses { people } else { 0 };
    }
}
