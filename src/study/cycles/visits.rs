//! Visits to a place, written down as they happen.

use crate::line::{CrewId, Line, ModelId, OF_THE_LINE, PlaceId, StepId, TestId};
use crate::report::HeldBy;
use crate::schedule::Lack;
use crate::simulate::{BayState, Clock, Event, Spot, Watcher};
use crate::units::Time;
use std::collections::BTreeMap;

/// What runs on a unit: a step, or what is done after the failure of a test.
pub type What = Result<StepId, TestId>;

/// A crew; of one bay, if per bay.
type Crew = (CrewId, u16);

/// From a time on, what a step waits for, and where its people are at work then.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Wait {
    pub from: Time,
    pub held_by: HeldBy,
    pub at: Option<PlaceId>,
}

/// One run of a step on the unit. All times in net time since the unit came.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Span {
    pub what: What,
    pub crew: Option<Crew>,
    pub people: u32,
    /// Before it began, in turn.
    pub waits: Vec<Wait>,
    pub begins: Time,
    pub ends: Time,
    /// What stood still of it.
    pub pauses: Vec<(Time, Time)>,
}

/// A unit's stay in a bay of the place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Visit {
    pub unit: u64,
    pub model: ModelId,
    /// On the clock, and in net time; as the move begins, until it has arrived.
    pub came: Time,
    came_net: Time,
    arrived: bool,
    /// Clock and net time until its work was done.
    pub clock: Time,
    pub done: Time,
    pub left: Time,
    pub spans: Vec<Span>,
    /// What the bay was doing, from when on.
    pub states: Vec<(Time, BayState)>,
    waiting: BTreeMap<What, Vec<Wait>>,
    counted: bool,
}

/// Writes down the visits to one place.
#[derive(Debug)]
pub struct Recorder<'a> {
    line: &'a Line,
    place: PlaceId,
    /// Where the place keeps other hours than the line.
    own_hours: Option<Clock>,
    counting: bool,
    models: BTreeMap<u64, ModelId>,
    /// By bay.
    here: BTreeMap<u16, Visit>,
    /// Who works on what, and where.
    at_work: BTreeMap<(u64, What), (Crew, PlaceId)>,
    pub seen: Vec<Visit>,
}

impl<'a> Recorder<'a> {
    pub fn at(line: &'a Line, place: PlaceId) -> Recorder<'a> {
        let hours = line.hours_at(place);
        Recorder {
            line,
            place,
            own_hours: (hours != OF_THE_LINE).then(|| Clock::new(line.calendar_of(hours))),
            counting: false,
            models: BTreeMap::new(),
            here: BTreeMap::new(),
            at_work: BTreeMap::new(),
            seen: Vec::new(),
        }
    }

    /// Net time at the place; `net` is that of the line.
    fn net_here(&mut self, at: Time, net: Time) -> Time {
        let Some(clock) = &mut self.own_hours else { return net };
        clock.advance(at.0);
        Time(clock.net())
    }

    fn visit(&mut self, unit: u64) -> Option<&mut Visit> {
        self.here.values_mut().find(|visit| visit.unit == unit)
    }

    /// Something is said of a unit that is here: it has arrived, if it had not.
    fn at_hand(&mut self, (at, net): (Time, Time), unit: u64) -> Option<&mut Visit> {
        let visit = self.visit(unit)?;
        visit.has_arrived((at, net));
        Some(visit)
    }

    fn comes(&mut self, (at, net): (Time, Time), unit: u64, bay: u16) {
        let Some(model) = self.models.get(&unit) else { return };
        let visit = Visit {
            unit,
            model: *model,
            came: at,
            came_net: net,
            arrived: false,
            clock: Time::ZERO,
            done: Time::ZERO,
            left: Time::ZERO,
            spans: Vec::new(),
            states: Vec::new(),
            waiting: BTreeMap::new(),
            counted: self.counting,
        };
        self.here.insert(bay, visit);
    }

    fn leaves(&mut self, net: Time, unit: u64) {
        let Some(bay) = self.here.iter().find(|(_, visit)| visit.unit == unit).map(|(bay, _)| *bay) else {
            return;
        };
        let Some(mut visit) = self.here.remove(&bay) else { return };
        visit.left = net - visit.came_net;
        // What its people finish elsewhere is no longer of this cycle.
        let left = visit.left;
        for span in visit.spans.iter_mut().filter(|span| span.ends == Time::NEVER) {
            span.end(left);
            visit.done = left;
        }
        if visit.counted {
            self.seen.push(visit);
        }
    }

    fn starts(&mut self, now: (Time, Time), unit: u64, started: Started) {
        if let Some(crew) = started.crew {
            self.at_work.insert((unit, started.what), (crew, started.place));
        }
        if started.place != self.place {
            return;
        }
        let Some(visit) = self.at_hand(now, unit) else { return };
        let waits = visit.waiting.remove(&started.what).unwrap_or_default();
        visit.spans.push(Span {
            what: started.what,
            crew: started.crew,
            people: started.people.count_ones(),
            waits,
            begins: now.1 - visit.came_net,
            ends: Time::NEVER,
            pauses: Vec::new(),
        });
    }

    fn ends(&mut self, (at, net): (Time, Time), unit: u64, what: What) {
        self.at_work.remove(&(unit, what));
        let Some(visit) = self.visit(unit) else { return };
        let now = net - visit.came_net;
        if let Some(span) = visit.running(what) {
            span.end(now);
            visit.done = now;
            visit.clock = at - visit.came;
        }
    }

    fn waits(&mut self, now: (Time, Time), unit: u64, what: What, held_by: HeldBy) {
        let at = if held_by == HeldBy::People { self.who_is_elsewhere(unit) } else { None };
        let Some(visit) = self.at_hand(now, unit) else { return };
        let from = now.1 - visit.came_net;
        let waits = visit.waiting.entry(what).or_default();
        if waits.last().is_none_or(|last| last.held_by != held_by) {
            waits.push(Wait { from, held_by, at });
        }
    }

    /// Where the crew of the place works on another unit now.
    fn who_is_elsewhere(&self, unit: u64) -> Option<PlaceId> {
        let crew = self.line.places[self.place.index()].crew?;
        let others = self.at_work.iter().filter(|((other, _), _)| *other != unit);
        others.filter(|(_, ((of, _), _))| *of == crew).map(|(_, (_, place))| *place).next()
    }

    fn pauses(&mut self, net: Time, unit: u64, what: What, stands: bool) {
        let Some(visit) = self.visit(unit) else { return };
        let now = net - visit.came_net;
        let Some(span) = visit.running(what) else { return };
        match (stands, span.pauses.last_mut()) {
            (true, Some(last)) if last.1 == Time::NEVER => {}
            (true, Some(_) | None) => span.pauses.push((now, Time::NEVER)),
            (false, Some(last)) if last.1 == Time::NEVER => last.1 = now,
            (false, Some(_) | None) => {}
        }
    }
}

struct Started {
    what: What,
    place: PlaceId,
    crew: Option<Crew>,
    people: u128,
}

impl Visit {
    /// The cycle begins, at the first that is heard of the unit at its place.
    fn has_arrived(&mut self, (at, net): (Time, Time)) {
        if !self.arrived {
            (self.came, self.came_net, self.arrived) = (at, net, true);
        }
    }

    fn running(&mut self, what: What) -> Option<&mut Span> {
        self.spans.iter_mut().rev().find(|span| span.what == what && span.ends == Time::NEVER)
    }
}

impl Visit {
    /// A wait from then to then, in turn. What is stopped lacks its equipment, too: then the stop is what holds it.
    pub fn pieces_of(&self, wait: &Wait, (from, to): (Time, Time)) -> Vec<(Time, Time, HeldBy)> {
        if wait.held_by != HeldBy::Equipment {
            return vec![(from, to, wait.held_by)];
        }
        let nexts = self.states.iter().skip(1).map(|(next, _)| *next).chain([Time::NEVER]);
        let mut pieces = Vec::new();
        let mut at = from;
        for ((_, state), next) in self.states.iter().zip(nexts) {
            let until = next.clamp(at, to);
            let held_by = if *state == BayState::Stopped { HeldBy::Stopped } else { HeldBy::Equipment };
            pieces.push((at, until, held_by));
            at = until;
        }
        pieces.push((at, to, HeldBy::Equipment));
        pieces.retain(|(from, to, _)| from < to);
        pieces
    }
}

impl Span {
    /// What holds the unit while it goes on.
    pub fn kind(&self, line: &Line) -> HeldBy {
        match self.what {
            Ok(step) if line.steps[step.index()].hold().is_some() => HeldBy::Hold,
            Ok(_) => HeldBy::Work,
            Err(_) => HeldBy::Fix,
        }
    }

    fn end(&mut self, now: Time) {
        self.ends = now;
        for pause in self.pauses.iter_mut().filter(|pause| pause.1 == Time::NEVER) {
            pause.1 = now;
        }
    }
}

fn held(lack: Lack) -> HeldBy {
    match lack {
        Lack::Parts => HeldBy::Parts,
        Lack::Equipment => HeldBy::Equipment,
        Lack::Room => HeldBy::Room,
        Lack::People => HeldBy::People,
        Lack::Leave => HeldBy::TimeAhead,
    }
}

impl Watcher for Recorder<'_> {
    const WATCHING: bool = true;

    fn see(&mut self, at: Time, net: Time, event: Event) {
        let net = self.net_here(at, net);
        let now = (at, net);
        if let Event::CountingBegins = event {
            self.counting = true;
        } else if let Event::Released { unit, model, .. } | Event::Begun { unit, model, .. } = event {
            self.models.insert(unit, model);
        } else if let Event::Moved { unit, to, .. } = event {
            self.leaves(net, unit);
            if let Spot::Bay(place, bay) = to
                && place == self.place
            {
                self.comes(now, unit, bay);
            }
        } else if let Event::Finished { unit }
        | Event::Scrapped { unit }
        | Event::SetAside { unit }
        | Event::Made { unit, .. } = event
        {
            self.leaves(net, unit);
            self.models.remove(&unit);
        } else if let Event::StepStarted { unit, step, place, crew, people, .. } = event {
            self.starts(now, unit, Started { what: Ok(step), place, crew, people });
        } else if let Event::FixStarted { unit, test, place, crew, people, .. } = event {
            self.starts(now, unit, Started { what: Err(test), place, crew, people });
        } else if let Event::StepEnded { unit, step, .. } = event {
            self.ends(now, unit, Ok(step));
        } else if let Event::FixEnded { unit, test, .. } = event {
            self.ends(now, unit, Err(test));
        } else if let Event::Paused { unit, step, test, .. } = event {
            what_of(step, test).into_iter().for_each(|what| self.pauses(net, unit, what, true));
        } else if let Event::WentOn { unit, step, test, .. } = event {
            what_of(step, test).into_iter().for_each(|what| self.pauses(net, unit, what, false));
        } else if let Event::Lacks { unit, what, place, lack } = event {
            if place == self.place {
                self.waits(now, unit, what, held(lack));
            }
        } else if let Event::SetOut { unit, what, place, walkers, .. } = event {
            if place == self.place && walkers != 0 {
                self.waits(now, unit, what, HeldBy::PeopleOnTheWay);
            }
        } else if let Event::PartAmiss { unit, step, .. } = event {
            self.waits(now, unit, Ok(step), HeldBy::Parts);
        } else if let Event::WindowMissed { unit, .. } = event {
            // What is redone waits anew.
            self.visit(unit).into_iter().for_each(|visit| visit.waiting.clear());
        } else if let Event::BayIs { place, bay, state } = event
            && place == self.place
            && let Some(visit) = self.here.get_mut(&bay)
        {
            if state != BayState::Moving {
                visit.has_arrived(now);
            }
            visit.states.push((net - visit.came_net, state));
        }
    }
}

fn what_of(step: Option<StepId>, test: Option<TestId>) -> Option<What> {
    step.map(Ok).or(test.map(Err))
}
