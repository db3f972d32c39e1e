//! An independent checker of runs: it hears every event and re-derives what must hold.
//!
//! It shares no code with the engine and knows the line only as data: the calendar, the places of
//! units, who works where, what each step waits for, what every state of a bay must be, are worked
//! out here a second time. What is wrong is gathered as sentences with time, unit and place.

mod amiss;
mod apart;
mod around;
mod attendance;
mod breaks;
mod broken;
mod drift;
mod early;
mod feeders;
mod fetching;
mod helping;
mod hours;
mod in_turn;
mod lanes;
mod learning;
mod lots;
mod manned;
mod movers;
mod moves;
mod one_by_one;
mod order;
mod overtime;
mod parts;
mod people;
mod presence;
mod pulling;
mod push;
mod settle;
mod sharing;
mod standing;
mod states;
mod stops;

pub mod text;
mod totals;
mod travel;
mod unit;
mod verdict;
mod visitors;
mod walking;
mod work;

use attendance::Attendance;
use people::Gang;
use push::SegmentNow;
use std::collections::{BTreeMap, VecDeque};
use taktwright::line::{Line, PlaceId, StartState, StepId};
use taktwright::simulate::{BayState, Event, Settings, Watcher};
use taktwright::units::Time;
use totals::{Totals, Window};
use unit::Unit;

/// Sentences kept; more are counted only.
const SAID_AT_MOST: usize = 12;
/// More events than any followed run should need: the engine turns in a circle.
const EVENTS_AT_MOST: u64 = 200_000;

/// What stands at a place.
struct PlaceNow {
    bays: Vec<Option<u64>>,
    slots: VecDeque<u64>,
    /// Waiting outside, in the order of their coming: new units before the first place, returning
    /// units before any.
    outside: Vec<u64>,
    /// In a pushed segment: the bays in the order in which they will be left.
    rotation: VecDeque<u16>,
    states: Vec<BayState>,
    said: Vec<bool>,
}

/// Follows one replication.
pub struct Follower<'a> {
    line: &'a Line,
    days: Attendance,
    /// Of the feeders that have hours of their own.
    own_days: Vec<Attendance>,
    now: Time,
    net: Time,
    units: BTreeMap<u64, Unit>,
    places: Vec<PlaceNow>,
    /// Per place: when something was last heard of it.
    heard_of: Vec<Time>,
    segments: Vec<SegmentNow>,
    gangs: Vec<Vec<Gang>>,
    helpers: Vec<helping::HelperNow>,
    last: walking::Last,
    /// What is heard now is no start: its people set out for it.
    sets_out: bool,
    stops: stops::StopsNow,
    in_use: Vec<u32>,
    /// Per kind of equipment: where its free pieces stand, the longest first.
    stands: Vec<Vec<Option<PlaceId>>>,
    passed: Vec<fetching::Passed>,
    /// Starts of this instant.
    went_first: Vec<(Time, StepId)>,
    stores: Vec<parts::StoreNow>,
    joins: parts::Joins,
    laid: Vec<amiss::Laid>,
    /// Units that were overtaken, by part, and when.
    overtaken: BTreeMap<(u64, taktwright::line::PartId), Time>,
    carriers: Vec<around::CarriersNow>,
    /// Units in the yard.
    yard: u32,
    decided: overtime::Decided,
    feeders: Vec<feeders::FeederNow>,
    lots: Vec<lots::LotsNow>,
    movers: Vec<movers::MoversNow>,
    suspects: Vec<people::Suspect>,
    shared: Vec<sharing::Started>,
    learned: learning::Learned,
    models_released: Vec<taktwright::line::ModelId>,
    /// Units that stand in the line at the start.
    from_start: u64,
    totals: Totals,
    window: Window,
    heard: u64,
    pub faults: Vec<String>,
    pub fault_count: usize,
}

impl<'a> Follower<'a> {
    pub fn new(line: &'a Line, settings: &Settings) -> Follower<'a> {
        let days = Attendance::of(line.calendar.as_ref());
        let own_days = line.own_hours.iter().map(|calendar| Attendance::of(Some(calendar))).collect();
        let places: Vec<PlaceNow> = line
            .places
            .iter()
            .map(|place| PlaceNow {
                bays: vec![None; place.bays as usize],
                slots: VecDeque::new(),
                outside: Vec::new(),
                rotation: (0..place.bays as u16).collect(),
                states: vec![BayState::Starved; place.bays as usize],
                said: vec![false; place.bays as usize],
            })
            .collect();
        let gangs = line
            .crews
            .iter()
            .map(|crew| {
                let gangs = match crew.per_bay {
                    true => line.places[crew.places[0].index()].bays as usize,
                    false => 1,
                };
                vec![Gang::default(); gangs]
            })
            .collect();
        let from_start = match line.start {
            StartState::Empty => 0,
            StartState::Full => line.places[..line.on_line].iter().map(|p| u64::from(p.bays + p.slots)).sum(),
        };
        let mut follower = Follower {
            window: Window::of(settings, &days),
            days,
            own_days,
            now: Time::ZERO,
            net: Time::ZERO,
            units: BTreeMap::new(),
            heard_of: vec![Time::ZERO; line.places.len()],
            segments: line.segments.iter().map(|_| SegmentNow::default()).collect(),
            gangs,
            helpers: helping::HelperNow::all(line),
            last: walking::Last::new(),
            sets_out: false,
            stops: stops::StopsNow::of(line),
            in_use: vec![0; line.equipment.len()],
            stands: line.equipment.iter().map(|e| vec![None; e.count as usize]).collect(),
            passed: Vec::new(),
            went_first: Vec::new(),
            laid: Vec::new(),
            overtaken: BTreeMap::new(),
            stores: line.parts.iter().map(parts::StoreNow::new).collect(),
            joins: parts::Joins::default(),
            feeders: vec![feeders::FeederNow::default(); line.feeders.len()],
            lots: vec![lots::LotsNow::default(); line.feeders.len()],
            movers: vec![movers::MoversNow::default(); line.segments.len()],
            carriers: vec![around::CarriersNow::default(); line.carriers.len()],
            yard: 0,
            decided: overtime::Decided::default(),
            suspects: Vec::new(),
            shared: Vec::new(),
            learned: learning::Learned::default(),
            models_released: Vec::new(),
            from_start,
            totals: Totals::new(line),
            places,
            line,
            heard: 0,
            faults: Vec::new(),
            fault_count: 0,
        };
        follower.feeders_begin();
        follower
    }

    /// Notes a fault; `what` goes on where "day 1 08:00:00 unit 3 at S2: " leaves off.
    fn fault(&mut self, unit: Option<u64>, place: Option<PlaceId>, what: impl AsRef<str>) {
        self.fault_count += 1;
        if self.faults.len() >= SAID_AT_MOST {
            return;
        }
        let mut text = clock_text(self.now);
        if let Some(unit) = unit {
            text.push_str(&format!(" unit {unit}"));
        }
        if let Some(place) = place {
            text.push_str(&format!(" at {}", self.line.places[place.index()].name));
        }
        self.faults.push(format!("{text}: {}", what.as_ref()));
    }

    /// Runs on to `at`: judges the instant that ends, then lets time pass.
    fn pass_to(&mut self, at: Time) {
        self.days.reach(at);
        self.own_days.iter_mut().for_each(|days| days.reach(at));
        // A shift may begin while everything is stopped.
        let begins = self.days.shifts.iter().map(|s| s.start).find(|start| *start > self.now && *start < at);
        if let Some(start) = begins {
            self.pass_to(start);
            return self.pass_to(at);
        }
        if let Some(decided) = self.decision_before(at) {
            self.pass_to(decided);
            return self.pass_to(at);
        }
        if let Some(edge) = self.hours_before(at) {
            self.pass_to(edge);
            return self.pass_to(at);
        }
        if let Some(over) = self.movers_end_before(at) {
            self.pass_to(over);
            return self.pass_to(at);
        }
        self.judge_decisions();
        self.settle();
        self.let_pass(at);
        self.now = at;
        self.decide();
        self.net = self.days.net(at);
        self.movers_are_free();
        self.shifts_begin();
    }

    fn hear(&mut self, event: Event) {
        self.note_who_joins(&event);
        // Which repairs go on at the start of a shift is said before anything else.
        if self.stops.deals && !matches!(event, Event::MendingPauses { .. } | Event::Spare { .. }) {
            self.deal_menders();
        }
        match event {
            Event::Released { unit, model, options } => self.released(unit, model, options),
            Event::Begun { unit, part, model } => self.part_begun(unit, part, model),
            Event::Made { unit, part } => self.part_made(unit, part),
            Event::Moved { unit, from, to, arrives } => self.moved(unit, from, to, arrives),
            Event::Pushed { segment } => self.pushed(segment),
            Event::StepStarted { unit, step, place, bay, visit, crew, people, length, ends } => {
                let stated = work::Stated { place, bay, crew, people, length, ends };
                self.step_started(unit, step, visit, stated);
            }
            Event::TakenAlong { unit, step, place, bay, left } => {
                self.taken_along(unit, step, (place, bay), left);
            }
            Event::MovesUnits { segment, crew, gang, people, until } => {
                self.moves_units(segment, (crew, gang), people, until);
            }
            Event::Drifted { unit, step, place, bay, left } => self.drifted(unit, step, (place, bay), left),
            Event::SetOut { unit, what, place, bay, crew, people, walkers, arrive } => {
                let what = what.map_or_else(unit::What::Fix, unit::What::Step);
                let (crew, length) = (Some(crew), arrive - self.now);
                let stated = work::Stated { place, bay, crew, people, length, ends: arrive };
                self.set_out(unit, what, stated, walkers);
            }
            Event::StepEnded { unit, step, place, bay } => self.step_ended(unit, step, place, bay),
            Event::FixStarted { unit, test, place, bay, crew, people, length, ends } => {
                let stated = work::Stated { place, bay, crew, people, length, ends };
                self.fix_started(unit, test, stated);
            }
            Event::FixEnded { unit, test, place, bay } => self.fix_ended(unit, test, place, bay),
            Event::Verdict { unit, test, attempt, passed, outcome } => {
                self.verdict(unit, test, verdict::Said { attempt, passed, outcome });
            }
            // What the follower finds out by itself.
            Event::ShiftBegins { .. } | Event::CountingBegins | Event::Lacks { .. } => {}
            Event::OvertimeBegins { by } => self.overtime_begins(by),
            Event::ShiftLeftOut => self.shift_left_out(),
            Event::Escaped { unit, test } => self.escaped(unit, test),
            Event::WindowMissed { unit, window } => self.window_missed(unit, window),
            Event::Finished { unit } => self.finished(unit),
            Event::Scrapped { unit } => self.taken_off(unit, unit::Asked::Scrap),
            Event::SetAside { unit } => self.taken_off(unit, unit::Asked::SetAside),
            Event::BayIs { place, bay, state } => {
                let now = &mut self.places[place.index()];
                if usize::from(bay) >= now.bays.len() {
                    return self.fault(None, Some(place), format!("has no bay {bay}"));
                }
                now.states[usize::from(bay)] = state;
                now.said[usize::from(bay)] = true;
            }
            Event::Came { crew, gang, here } => self.came(crew, gang, here),
            Event::HelpersCame { group, here } => self.helpers_came(group, here),
            Event::HandedOver { unit, what, place, bay, people } => {
                let what = what.map_or_else(unit::What::Fix, unit::What::Step);
                self.handed_over(unit, what, place, bay, people);
            }
            Event::TruckWent { part, pieces } => self.truck_went(part, pieces.into()),
            Event::LotOrdered { part, arrives } => self.lot_ordered(part, arrives),
            Event::LotCame { .. } | Event::Stored { .. } | Event::WaitsForPart { .. } => {
                self.store_changes(event);
            }
            Event::PartAmiss { unit, step, part, flaw, until } => {
                self.part_amiss(unit, step, part, flaw, until);
            }
            Event::Found { unit, gate, here, left } => self.found(unit, gate, here, left),
            Event::FoundLetThrough { unit, gate, faults } => self.found_let_through(unit, gate, faults),
            Event::HoldMoves { unit, step, place, bay } => self.hold_moves(unit, step, (place, bay)),
            Event::LaneChosen { unit, lanes, lane } => self.lane_chosen(unit, lanes.into(), lane.into()),
            Event::CarrierLeft { carriers, length } => self.carrier_left(carriers, length),
            Event::LorryCame { load } => self.lorry_came(load),
            Event::WentHome { crew, gang } => self.went_home(crew, gang),
            Event::Stopped { stop } => self.stop_begins(stop),
            Event::MendingBegins { stop } => self.mending_begins(stop),
            Event::MendingPauses { stop } => self.mending_pauses(stop),
            Event::Spare { group, here } => self.spare_come(group, here),
            Event::Mended { stop } => self.stop_ends(stop),
            Event::Paused { unit, step, test, place, bay } => self.paused(unit, (step, test), (place, bay)),
            Event::WentOn { unit, step, test, place, bay, ends } => {
                self.went_on(unit, (step, test), (place, bay), ends);
            }
        }
    }
}

impl Watcher for Follower<'_> {
    const WATCHING: bool = true;

    fn see(&mut self, at: Time, net: Time, event: Event) {
        if at < self.now {
            self.fault(None, None, format!("an event of {} comes after it", clock_text(at)));
            return;
        }
        if at > self.now {
            self.pass_to(at);
        }
        if net != self.net {
            let own = self.net;
            self.fault(None, None, format!("net time is called {} and is {}", net.0, own.0));
        }
        self.heard += 1;
        self.note_where(&event);
        if self.heard >= EVENTS_AT_MOST {
            let missed: u64 = self.totals.windows.iter().map(|window| window.missed).sum();
            let parts_are_waited_for = missed > 200 && !self.line.parts.is_empty();
            assert!(!parts_are_waited_for, "{SELDOM_IN_TIME}");
            panic!("the run goes on for ever at {}: {event:?}", clock_text(at));
        }
        self.hear(event);
    }
}

/// Windows are missed again and again for want of parts, and each redo takes more of them.
pub const SELDOM_IN_TIME: &str = "windows are seldom kept, for what they wait for comes seldom";

/// `day 2 08:30:00` or with the microseconds where there are any.
pub fn clock_text(at: Time) -> String {
    let (day, rest) = (at.0.div_euclid(Time::DAY.0), at.0.rem_euclid(Time::DAY.0));
    let (seconds, micros) = (rest / 1_000_000, rest % 1_000_000);
    let clock = format!("{:02}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60);
    match micros {
        0 => format!("day {day} {clock}"),
        micros => format!("day {day} {clock}.{micros:06}"),
    }
}
