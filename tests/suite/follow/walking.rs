//! People on their way to a unit: who must walk, for how long, and that nothing starts before they are there.

use super::Follower;
use super::unit::{Running, What};
use super::work::Stated;
use std::collections::BTreeMap;
use taktwright::line::{CrewId, PlaceId};
use taktwright::units::Time;

/// Somebody: crew, gang and seat; or who helps, by their number.
type Who = (Option<(usize, u16)>, usize);

/// Where everybody worked last: the unit, and which of its stays in a bay that was.
pub type Last = BTreeMap<Who, (u64, u32)>;

impl Follower<'_> {
    fn who(&self, gang: (CrewId, u16), people: u128) -> Vec<(Who, u128)> {
        let own = self.everybody(gang.0);
        let seats = (0..128).filter(|seat| (people & own) >> seat & 1 == 1);
        let own = seats.map(|seat| ((Some((gang.0.index(), gang.1)), seat), 1u128 << seat));
        let helpers = self.helpers_in(gang.0, people).into_iter().map(|(h, bit)| ((None, h), bit));
        own.chain(helpers).collect()
    }

    /// Those of them who were last elsewhere or at another unit; nobody where nobody has to walk.
    pub fn must_walk(&self, number: u64, place: PlaceId, gang: (CrewId, u16), people: u128) -> u128 {
        let here = Some((number, self.units[&number].stays));
        let away = self.who(gang, people).into_iter().filter(|(who, _)| self.last.get(who).copied() != here);
        let walks = |who: &Who| self.way(place, *who) > Time::ZERO;
        away.filter(|(who, _)| walks(who)).fold(0, |mask, (_, bit)| mask | bit)
    }

    /// How long somebody is on the way to a unit at a place.
    fn way(&self, place: PlaceId, (crew, number): Who) -> Time {
        let walk = self.line.places[place.index()].walk;
        match crew {
            Some(_) => walk,
            None => walk.max(self.answering_of(number)),
        }
    }

    /// They are at the unit.
    pub fn are_at(&mut self, number: u64, gang: (CrewId, u16), people: u128) {
        let here = (number, self.units[&number].stays);
        for (who, _) in self.who(gang, people) {
            self.last.insert(who, here);
        }
    }

    /// People set out for something that has all it needs.
    pub fn set_out(&mut self, number: u64, what: What, stated: Stated, walkers: u128) {
        let (name, place) = (self.said(what), stated.place);
        let fits = self.units.get(&number).is_some_and(|unit| unit.bay() == Some((place, stated.bay)));
        let (true, Some(gang)) = (fits, stated.crew) else {
            return self.fault(Some(number), Some(place), format!("people set out for {name} in vain"));
        };
        let mut wrong = Vec::new();
        let early = matches!(what, What::Step(step) if self.may_begin_early(number, step));
        if !early && !self.ready_on(number, place).contains(&what) {
            wrong.push(format!("people set out for {name}, which can't start"));
        }
        if !self.has_all_but_people(number, what, place) {
            wrong.push(format!("people set out for {name}, which lacks more than people"));
        }
        if self.fits_not(number, what) {
            wrong.push(format!("people set out for {name}, which does not fit before the break"));
        }
        let must = self.must_walk(number, place, gang, stated.people);
        if must != walkers || must == 0 {
            wrong.push(format!("{walkers:b} walk to {name}, and {must:b} have to"));
        }
        let ways = self.who(gang, walkers).into_iter().map(|(who, _)| self.way(place, who));
        let arrive = self.days_at(place).end_of_work(self.now, ways.max().unwrap_or(Time::ZERO));
        if arrive != stated.ends || !self.attended_at(place) {
            wrong.push(format!("the walk to {name} does not end at {}", super::clock_text(arrive)));
        }
        for text in wrong {
            self.fault(Some(number), Some(place), text);
        }
        let way = match what {
            What::Step(step) => self.way_of(&self.units[&number], step, place),
            What::Fix(_) => Time::ZERO,
        };
        if let What::Step(step) = what {
            // Its equipment is taken now.
            self.note_passed(number, step);
            if !self.units[&number].has_begun_elsewhere(step) && !self.uses_what_lies_there(number, step) {
                self.take_parts(number, step);
            }
        }
        self.sets_out = true;
        self.begin(number, what, stated, None);
        self.sets_out = false;
        let line = self.line;
        if let Some(unit) = self.units.get_mut(&number) {
            let begins = |k: &usize| what == What::Step(line.keeps[*k].from) && !unit.kept[*k];
            let opened: Vec<usize> = (0..line.keeps.len()).filter(begins).collect();
            opened.iter().for_each(|k| unit.kept[*k] = true);
            if let Some(run) = unit.running.iter_mut().find(|run| run.what == what) {
                (run.walkers, run.way, run.opened) = (Some(walkers), way, opened);
            }
        }
        self.recount(number);
    }

    /// Something starts: those who set out for it have arrived, if it was so.
    pub fn arrive(&mut self, number: u64, what: What, stated: Stated) -> Option<Running> {
        let unit = self.units.get_mut(&number)?;
        let found = unit.running.iter().position(|run| run.what == what && run.walkers.is_some())?;
        let walk = unit.running.remove(found);
        let name = self.said(what);
        // Who arrives as a break begins starts after it.
        let begins = self.days_at(stated.place).end_of_work(walk.ends, Time(1)) - Time(1);
        if walk.paused.is_some() || begins != self.now {
            let text = format!("{name} starts and its people are not there");
            self.fault(Some(number), Some(stated.place), text);
        }
        if walk.people != stated.people || walk.crew != stated.crew {
            self.fault(Some(number), Some(stated.place), format!("others start {name} than set out for it"));
        }
        Some(walk)
    }

    /// Their window has passed before they were there: they are free again, at the unit, and what they had taken for it
    /// but parts is, too.
    pub fn arrived_too_late(&mut self, number: u64, walk: &Running, place: PlaceId) {
        let name = self.said(walk.what);
        let begins = self.days_at(place).end_of_work(walk.ends, Time(1)) - Time(1);
        if walk.paused.is_some() || begins != self.now {
            let text = format!("{name} is given up before its people are there");
            self.fault(Some(number), Some(place), text);
        }
        if let Some((crew, gang)) = walk.crew
            && let Some(gang) = self.gangs[crew.index()].get_mut(usize::from(gang))
        {
            gang.busy &= !walk.people;
            gang.resting &= !walk.people;
        }
        if let Some(unit) = self.units.get_mut(&number) {
            walk.opened.iter().for_each(|k| unit.kept[*k] = false);
        }
        if let What::Step(step) = walk.what {
            self.parts_stay(number, step);
        }
        self.recount(number);
    }

    /// Those of a gang who walk now, and those whom they make wait with them.
    pub fn on_the_way(&self, crew: usize, gang: usize) -> (u128, u128) {
        let of = |run: &&Running| run.crew == Some((CrewId::from_index(crew), gang as u16));
        let walks = self.units.values().flat_map(|unit| &unit.running).filter(of);
        let walks = walks.filter(|run| run.paused.is_none());
        walks.fold((0, 0), |(walking, all), run| match run.walkers {
            Some(walkers) => (walking | walkers, all | run.people),
            None => (walking, all),
        })
    }
}
