//! People who move the units of a segment: enough of them at every push or move of one unit, busy as long as it lasts,
//! and kept back from new work while it waits for them alone.

use super::Follower;
use super::people::{able, can_fill};
use super::presence::reduced;
use taktwright::line::{CrewId, Need, SegmentId, VISITOR};
use taktwright::units::Time;

/// Of one segment: who moves its units, by crew and gang, and until when.
#[derive(Clone, Default, Debug)]
pub struct MoversNow {
    at_it: Vec<((CrewId, u16), u128, Time)>,
    /// At the push, or the move of one unit, that is heard: who has to go, and where they are of one kind, how many of
    /// which crew; who went.
    due: Vec<Need>,
    alone: Vec<((CrewId, u16), u32)>,
    went: Vec<((CrewId, u16), u128)>,
    pub lacks_people: bool,
}

/// All of them.
fn everybody(people: &[u64]) -> u128 {
    if people.len() >= 128 { u128::MAX } else { (1 << people.len()) - 1 }
}

impl Follower<'_> {
    /// Whoever of a gang is free now.
    pub fn free_of(&self, gang: (CrewId, u16)) -> u128 {
        let now = self.gang(gang);
        self.here(gang) & !now.busy & !now.kept_back & !self.outside_hours(gang.0)
    }

    /// Gangs that could move the units of a segment, in the order of the file, and who of them.
    fn movers_of(&self, segment: SegmentId) -> Vec<((CrewId, u16), u128)> {
        let stated = &self.line.segments[segment.index()];
        let mut found = Vec::new();
        for (c, crew) in self.line.crews.iter().enumerate() {
            let serves = crew.places.iter().any(|p| stated.first <= *p && *p <= stated.last);
            let id = CrewId::from_index(c);
            let skills: Vec<u64> = super::people::skills_of(self.line, id)
                .iter()
                .map(|s| if s & VISITOR == 0 { *s } else { 0 })
                .collect();
            let visitors = super::people::skills_of(self.line, id)
                .iter()
                .enumerate()
                .filter(|(_, s)| **s & VISITOR != 0)
                .fold(0u128, |mask, (p, _)| mask | 1 << p);
            let can = able(&stated.movers, &skills) & !visitors;
            if serves && can != 0 {
                found.extend((0..self.gangs[c].len()).map(|g| ((id, g as u16), can)));
            }
        }
        found
    }

    /// Skills of these people of all the gangs that could move its units, visitors left out.
    fn skills_of_movers(&self, segment: SegmentId, of: &dyn Fn((CrewId, u16)) -> u128) -> Vec<u64> {
        let people = |(gang, can): ((CrewId, u16), u128)| {
            let skills = super::people::skills_of(self.line, gang.0);
            let mask = of(gang) & can;
            (0..skills.len()).filter(|p| mask >> p & 1 == 1).map(|p| skills[p]).collect::<Vec<u64>>()
        };
        self.movers_of(segment).into_iter().flat_map(people).collect()
    }

    /// What a push takes of those who are there; `None` where it waits for another shift.
    fn movers_wanted(&self, segment: SegmentId) -> Option<Vec<Need>> {
        let there = self.skills_of_movers(segment, &|gang| self.here(gang));
        reduced(&self.line.segments[segment.index()].movers, &there, everybody(&there), false)
    }

    /// Are there people enough for a push, as far as it takes any?
    pub fn has_movers(&self, segment: SegmentId) -> bool {
        if self.line.segments[segment.index()].movers.is_empty() {
            return true;
        }
        let free = self.skills_of_movers(segment, &|gang| self.here(gang) & !self.gang(gang).busy);
        self.movers_wanted(segment).is_some_and(|wanted| can_fill(&wanted, &free, everybody(&free)))
    }

    /// A push is heard: who has to go with it.
    pub fn movers_are_due(&mut self, segment: SegmentId) {
        if self.line.segments[segment.index()].movers.is_empty() {
            return;
        }
        if !self.has_movers(segment) {
            let name = &self.line.segments[segment.index()].name;
            self.fault(None, None, format!("units of {name} are moved without their people"));
        }
        let due = self.movers_wanted(segment).unwrap_or_default();
        let alone = match &due[..] {
            // Of one kind: crew after crew in the order of the file.
            [need] => {
                let mut left = need.count;
                let of = |(gang, can): ((CrewId, u16), u128)| {
                    let free = (self.here(gang) & !self.gang(gang).busy & can).count_ones().min(left);
                    left -= free;
                    (gang, free)
                };
                self.movers_of(segment).into_iter().map(of).filter(|(_, n)| *n > 0).collect()
            }
            _ => Vec::new(),
        };
        self.movers[segment.index()].alone = alone;
        self.movers[segment.index()].due = due;
        self.movers[segment.index()].went.clear();
        self.movers[segment.index()].lacks_people = false;
        self.keep_back();
    }

    /// People have been heard of who take hold of a unit of a segment.
    pub fn is_moved_now(&self, segment: SegmentId) -> bool {
        !self.movers[segment.index()].due.is_empty()
    }

    pub fn moves_units(&mut self, segment: SegmentId, gang: (CrewId, u16), people: u128, until: Time) {
        let name = self.line.segments[segment.index()].name.clone();
        let one_by_one = !self.line.segments[segment.index()].rule.is_pushed();
        if one_by_one && self.movers[segment.index()].due.is_empty() {
            self.movers_are_due(segment);
        }
        if self.movers[segment.index()].due.is_empty() {
            return self.fault(None, None, format!("people move the units of {name} who don't have to"));
        }
        let alone = self.movers[segment.index()].alone.iter().find(|(other, _)| *other == gang);
        let one_kind = self.movers[segment.index()].due.len() == 1;
        if one_kind && alone.is_none_or(|(_, heads)| *heads != people.count_ones()) {
            self.fault(None, None, format!("{people:b} move the units of {name}, of {alone:?}"));
        }
        let can = self.movers_of(segment).iter().find(|(other, _)| *other == gang).map_or(0, |(_, can)| *can);
        if people & !can != 0 {
            self.fault(None, None, format!("{people:b} move the units of {name}, of {can:b}"));
        }
        if people & (self.gang(gang).busy | !self.here(gang)) != 0 {
            self.fault(None, None, format!("{people:b} move the units of {name} and are at work or away"));
        }
        if until != self.now + self.line.segments[segment.index()].rule.index() {
            self.fault(None, None, format!("people move the units of {name} for another time"));
        }
        let state = &mut self.gangs[gang.0.index()][usize::from(gang.1)];
        state.busy |= people;
        state.moving |= people;
        let now = &mut self.movers[segment.index()];
        now.at_it.push((gang, people, until));
        now.went.push((gang, people));
    }

    /// The next moment before `at` at which a push or a move is over.
    pub fn movers_end_before(&self, at: Time) -> Option<Time> {
        let ends = self.movers.iter().flat_map(|now| &now.at_it).map(|(_, _, until)| *until);
        ends.filter(|until| *until > self.now && *until < at).min()
    }

    /// Pushes and moves that are over set their people free.
    pub fn movers_are_free(&mut self) {
        let now = self.now;
        for s in 0..self.movers.len() {
            let at_it = std::mem::take(&mut self.movers[s].at_it);
            let (over, goes_on) = at_it.into_iter().partition(|(_, _, until)| *until <= now);
            self.movers[s].at_it = goes_on;
            let over: Vec<((CrewId, u16), u128, Time)> = over;
            for ((crew, gang), people, _) in over {
                let state = &mut self.gangs[crew.index()][usize::from(gang)];
                // Whoever went home with the last shift has gone before.
                state.busy &= !(people & state.moving);
                state.moving &= !people;
            }
        }
    }

    /// The end of an instant: everybody who had to go has gone, and moves that wait keep their people back.
    pub fn judge_movers(&mut self) {
        for s in 0..self.movers.len() {
            let segment = SegmentId::from_index(s);
            self.judge_who_went(segment);
            self.look_if_movers_lack(segment);
        }
    }

    /// A move in the segment waits for people who are there: they begin nothing new.
    pub fn look_if_movers_lack(&mut self, segment: SegmentId) {
        let someone = self.movers_wanted(segment).is_some() && !self.has_movers(segment);
        self.movers[segment.index()].lacks_people = someone
            && self.days.attended(self.now)
            && !self.is_going_home()
            && self.waits_for_movers(segment);
        self.keep_back();
    }

    /// The push of a segment, or a move of one unit into it, lacks nobody but its people.
    fn waits_for_movers(&self, segment: SegmentId) -> bool {
        match self.line.segments[segment.index()].rule.is_pushed() {
            true => self.is_ready_but_for_people(segment),
            false => self.a_unit_is_to_be_moved(segment),
        }
    }

    /// Everybody whom a move took has gone, and nobody else.
    pub fn judge_who_went(&mut self, segment: SegmentId) {
        let due = std::mem::take(&mut self.movers[segment.index()].due);
        if due.is_empty() {
            return;
        }
        let went = self.movers[segment.index()].went.clone();
        let went = |gang| went.iter().find(|(other, _)| *other == gang).map_or(0, |(_, people)| *people);
        let went = self.skills_of_movers(segment, &went);
        let heads: u32 = due.iter().map(|need| need.count).sum();
        if went.len() != heads as usize || !can_fill(&due, &went, everybody(&went)) {
            let name = &self.line.segments[segment.index()].name;
            self.fault(None, None, format!("{} people of {heads} move the units of {name}", went.len()));
        }
    }

    fn keep_back(&mut self) {
        self.gangs.iter_mut().flatten().for_each(|gang| gang.kept_back = 0);
        for s in 0..self.movers.len() {
            if self.movers[s].lacks_people {
                for ((crew, gang), can) in self.movers_of(SegmentId::from_index(s)) {
                    self.gangs[crew.index()][usize::from(gang)].kept_back |= can;
                }
            }
        }
    }

    /// Somebody begins something new while a push waits for them.
    pub fn check_kept_back(&self, gang: (CrewId, u16), people: u128, wrong: &mut Vec<String>) {
        for (s, now) in self.movers.iter().enumerate().filter(|(_, now)| now.lacks_people) {
            let segment = SegmentId::from_index(s);
            let mine = self.movers_of(segment).iter().any(|(other, can)| *other == gang && can & people != 0);
            // As it was at the end of the last instant, and is still.
            let waits = now.lacks_people && !self.has_movers(segment) && self.waits_for_movers(segment);
            if mine && waits {
                wrong.push(format!("takes people for whom a move in {} waits", self.line.segments[s].name));
            }
        }
    }
}
