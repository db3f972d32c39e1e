//! People who move the units of a segment, all at once with a push or one by one: the move waits until they are free,
//! and they are busy as long as it lasts.
//!
//! While a move waits for people, those who are free and could go begin nothing new: otherwise work in other bays
//! might take them one after the other for ever. With fewer there than wanted, those who are there go; with nobody
//! of a skill, or nobody at all, there the move waits. Costs nothing where units move by themselves.

use super::compiled::Stretch;
use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::line::{CrewId, Line, Need, Seating, SegmentId, waits};
use crate::schedule::{Gang, Shop, seats};
use crate::units::Time;

/// Who moves the units of a stretch.
#[derive(Clone, Debug)]
pub struct MoverPlan {
    needs: Vec<Need>,
    /// Gangs of the crews that serve its places, in the order of the file, and who of them can do part of it.
    gangs: Vec<(u16, u128)>,
}

/// Per stretch; `None` where units move by themselves.
pub fn mover_plans(line: &Line, shop: &Shop) -> Vec<Option<MoverPlan>> {
    let plan = |segment: &crate::line::Segment| {
        if segment.movers.is_empty() {
            return None;
        }
        let serves = |crew: u16| {
            let places = &line.crews[usize::from(crew)].places;
            places.iter().any(|place| segment.first <= *place && *place <= segment.last)
        };
        let can = |gang: &Gang, need: &Need| need.skill.map_or(gang.all, |skill| gang.can[skill.index()]);
        let able = |gang: &Gang| {
            let able = segment.movers.iter().fold(0, |able, need| able | can(gang, need));
            // Visitors do only what asks for them, and never this.
            able & gang.all & gang.anybody
        };
        let gangs = shop.gangs.iter().enumerate();
        let mut gangs: Vec<(u16, u16, u16, u128)> = gangs
            .filter_map(|(g, gang)| Some((gang.crew?, gang.instance, g as u16, able(gang))))
            .filter(|(crew, _, _, able)| serves(*crew) && *able != 0)
            .collect();
        gangs.sort_unstable();
        Some(MoverPlan {
            needs: segment.movers.clone(),
            gangs: gangs.into_iter().map(|(_, _, gang, able)| (gang, able)).collect(),
        })
    };
    line.segments.iter().map(plan).collect()
}

/// Who could go: people of gangs in the order in which they are taken, and who of them has a place.
#[derive(Clone, Debug, Default)]
struct Choice {
    /// What a move takes of those who are there.
    needs: Vec<Need>,
    people: Vec<(u16, u8)>,
    skills: Vec<u64>,
    seating: Seating,
}

/// What came of the look for the people of a move.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Found {
    Enough,
    /// They are there in this shift, and not free.
    AtWork,
    /// Nobody is, or nobody of a skill.
    NotThere,
}

/// People of a gang who move units, and until when.
#[derive(Clone, Copy, Debug)]
struct AtIt {
    gang: u16,
    people: u128,
    until: i64,
}

/// Empty where units move by themselves.
#[derive(Clone, Debug, Default)]
pub(super) struct Movers {
    /// Per stretch: who moves its units now.
    now: Vec<Vec<AtIt>>,
    /// Per place: net time since which a move into it waits for people alone; -1. The push of a stretch is a move into
    /// its first place.
    waits_since: Vec<i64>,
    /// Per stretch: those whom its moves wait for are there, at work, so they begin nothing new.
    keeps_back: Vec<bool>,
    /// Per crew and per group: how many move units now.
    crews: Vec<i64>,
    groups: Vec<i64>,
    choice: Choice,
}

impl Movers {
    pub fn new(line: &Line) -> Movers {
        if line.segments.iter().all(|segment| segment.movers.is_empty()) {
            return Movers::default();
        }
        Movers {
            now: vec![Vec::new(); line.segments.len()],
            waits_since: vec![-1; line.places.len()],
            keeps_back: vec![false; line.segments.len()],
            crews: vec![0; line.crews.len()],
            groups: vec![0; line.groups.len()],
            choice: Choice::default(),
        }
    }

    /// Units move by themselves, all along the line.
    #[inline]
    pub fn is_none(&self) -> bool {
        self.waits_since.is_empty()
    }

    /// A move into some place of a stretch waits for people alone.
    pub fn are_wanted(&self, stretch: &Stretch) -> bool {
        let waits = self.waits_since.get(stretch.first..=stretch.last);
        waits.is_some_and(|since| since.iter().any(|since| *since >= 0))
    }

    /// Likewise, into this place.
    pub fn are_wanted_at(&self, place: usize) -> bool {
        self.waits_since.get(place).is_some_and(|since| *since >= 0)
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Before a look at a stretch: nobody is kept back for it.
    pub(super) fn let_movers_begin(&mut self, s: usize) {
        let c = self.c;
        if !self.movers.are_wanted(&c.stretches[s]) {
            return;
        }
        let Some(plan) = &c.movers[s] else { return };
        for (gang, _) in &plan.gangs {
            self.floor.let_begin(usize::from(*gang));
        }
        // Another move may wait for the same people.
        for (other, stretch) in c.stretches.iter().enumerate().filter(|(other, _)| *other != s) {
            if self.movers.are_wanted(stretch) && self.movers.keeps_back[other] {
                self.keep_movers_back(other);
            }
        }
    }

    /// Everything is ready for a move into a place of stretch `s`, or for the push of it into its first: are the people?
    pub(super) fn movers_are_ready(&mut self, s: usize, place: usize) -> bool {
        let Some(plan) = self.c.movers.get(s).and_then(Option::as_ref) else { return true };
        let found = self.choose_movers(plan);
        if found != Found::Enough {
            let since = &mut self.movers.waits_since[place];
            *since = if *since < 0 { self.clock.net() } else { *since };
            // A move that waits for another shift keeps nobody back.
            self.movers.keeps_back[s] = found == Found::AtWork;
            if found == Found::AtWork {
                self.keep_movers_back(s);
            }
        }
        found == Found::Enough
    }

    /// Those who are there in this shift say how many of each a move takes (of every skill one at least): do those who
    /// are free fill that? Crew after crew, inside a crew as for a task; skills choose first.
    fn choose_movers(&mut self, plan: &MoverPlan) -> Found {
        let (shop, floor, choice) = (&self.c.shop, &self.floor, &mut self.movers.choice);
        choice.skills.clear();
        for (gang, able) in &plan.gangs {
            let gang = usize::from(*gang);
            choice
                .skills
                .extend(seats(floor.movers_there(gang, *able)).map(|seat| shop.gangs[gang].people[seat]));
        }
        choice.seating.fill(&plan.needs, &choice.skills);
        if waits(&plan.needs, &choice.seating.filled, false) {
            return Found::NotThere;
        }
        choice.needs.clear();
        let taken = plan.needs.iter().zip(&choice.seating.filled);
        choice.needs.extend(taken.map(|(need, filled)| Need { count: *filled, ..*need }));
        choice.skills.clear();
        choice.people.clear();
        for (gang, able) in &plan.gangs {
            for seat in floor.movers_free(shop, usize::from(*gang), *able) {
                choice.people.push((*gang, seat as u8));
                choice.skills.push(shop.gangs[usize::from(*gang)].people[seat]);
            }
        }
        choice.seating.fill(&choice.needs, &choice.skills);
        let mut seats = choice.needs.iter().zip(&choice.seating.filled);
        match seats.all(|(need, filled)| need.count == *filled) {
            true => Found::Enough,
            false => Found::AtWork,
        }
    }

    /// Something else is missing again: the move does not wait for people alone.
    #[inline]
    pub(super) fn movers_are_not_wanted(&mut self, place: usize) {
        if let Some(since) = self.movers.waits_since.get_mut(place) {
            *since = -1;
        }
    }

    fn keep_movers_back(&mut self, s: usize) {
        let Some(plan) = &self.c.movers[s] else { return };
        for (gang, able) in &plan.gangs {
            self.floor.keep_back(usize::from(*gang), *able);
        }
    }

    /// The move, or the push, begins: they take hold, crew after crew.
    pub(super) fn movers_begin(&mut self, s: usize, place: usize, until: i64) {
        let Some(plan) = self.c.movers.get(s).and_then(Option::as_ref) else { return };
        let since = std::mem::replace(&mut self.movers.waits_since[place], -1);
        if since >= 0 {
            let since = if self.counted { since.max(self.cut_net) } else { since };
            self.seen.segments[s].waited_for_people += Time(self.clock.net() - since);
        }
        let found = self.choose_movers(plan);
        debug_assert_eq!(found, Found::Enough, "a move begins when its people are ready");
        for (gang, _) in &plan.gangs {
            let choice = &self.movers.choice;
            let goes = |(at, (of, _)): &(usize, &(u16, u8))| of == gang && choice.seating.takes(*at);
            let people = choice.people.iter().enumerate().filter(goes);
            let people = people.fold(0u128, |people, (_, (_, seat))| people | 1 << seat);
            if people == 0 {
                continue;
            }
            let gang = usize::from(*gang);
            self.floor.take_movers(gang, people);
            self.movers.now[s].push(AtIt { gang: gang as u16, people, until });
            self.movers_change(gang, people, 1);
            let compiled = &self.c.shop.gangs[gang];
            let (crew, instance) = (CrewId(compiled.crew.unwrap_or(0)), compiled.instance);
            let (segment, until) = (SegmentId::from_index(s), Time(until));
            self.see(Event::MovesUnits { segment, crew, gang: instance, people, until });
        }
    }

    /// A move of the stretch is over, or its push.
    pub(super) fn movers_end(&mut self, s: usize) {
        let now = self.clock.now();
        let mut at = 0;
        while let Some(move_) = self.movers.now.get(s).and_then(|moves| moves.get(at)).copied() {
            if move_.until > now {
                at += 1;
                continue;
            }
            self.movers.now[s].swap_remove(at);
            let gang = usize::from(move_.gang);
            let back = self.floor.movers_back(gang, move_.people, now);
            self.movers_change(gang, back, -1);
        }
    }

    /// Those of a gang who move units and are not there in the shift that begins have gone; `was`: all of them.
    pub(super) fn movers_left(&mut self, gang: usize, was: u128) {
        let gone = was & !self.floor.gangs[gang].moving;
        if gone != 0 {
            let moves = self.movers.now.iter_mut().flatten();
            moves.filter(|at| usize::from(at.gang) == gang).for_each(|at| at.people &= !gone);
            self.movers_change(gang, gone, -1);
        }
    }

    /// They enter the account with minus now and leave it with plus now.
    fn movers_change(&mut self, gang: usize, people: u128, sign: i64) {
        let (net, compiled) = (self.clock.net(), &self.c.shop.gangs[gang]);
        let heads = sign * i64::from(people.count_ones());
        if let Some(crew) = compiled.crew {
            self.movers.crews[usize::from(crew)] += heads;
            self.seen.crews[usize::from(crew)].moving -= heads * net;
        }
        for seat in seats(people) {
            let group = usize::from(compiled.groups[seat]);
            self.movers.groups[group] += sign;
            self.seen.group_moving[group] -= sign * net;
        }
    }

    /// The counted window begins (`-1`) or ends (`1`).
    pub(super) fn settle_movers(&mut self, sign: i64) {
        let net = self.clock.net();
        for (counts, now) in self.seen.crews.iter_mut().zip(&self.movers.crews) {
            counts.moving += sign * now * net;
        }
        for (counts, now) in self.seen.group_moving.iter_mut().zip(&self.movers.groups) {
            *counts += sign * now * net;
        }
    }
}
