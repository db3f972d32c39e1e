//! The line put together: parts, the few events between them, units and what they bring to the counts.

use super::Plan;
use super::bays::{Bays, Row};
use super::head::Head;
use super::kinds::Part;
use super::marks::Marks;
use super::tail::Tail;
use super::window::{Passage, UNKNOWN, Window};
use crate::line::OutcomeKind;
use crate::simulate::blank::blank;
use crate::simulate::compiled::Compiled;
use crate::simulate::observations::Replication;
use crate::simulate::queue::{Class, Entry, Queue};
use crate::simulate::settings::Settings;
use crate::units::Time;

/// What an event says, in the step field of its entry.
pub(super) const BAY_IS_DONE: u16 = 0;
pub(super) const HEAD_IS_DONE: u16 = 1;
pub(super) const ROOM_COMES: u16 = 2;

#[derive(Clone, Copy, Debug)]
pub(super) struct Unit {
    pub(super) number: u64,
    pub(super) on: i64,
    pub(super) waits_since: i64,
    /// Part of that wait spent in the bay upstream.
    pub(super) blocked: i64,
    pub(super) first_pass: bool,
    /// Test and outcome it returns from.
    pub(super) returns_from: Option<(u16, u16)>,
}

pub(super) enum State<'a> {
    Head(Box<Head>),
    Tail(Box<Tail>),
    Bays(Box<Bays<'a>>),
}

pub(super) struct Flow<'a> {
    pub(super) plan: &'a Plan,
    pub(super) c: &'a Compiled<'a>,
    pub(super) settings: &'a Settings,
    pub(super) replication: u32,
    pub(super) window: Window,
    pub(super) seen: Replication,
    pub(super) now: i64,
    pub(super) queue: Queue,
    pub(super) parts: Vec<State<'a>>,
    /// Per test: its part, and the part each outcome sends a unit to.
    pub(super) part_of_test: Vec<(usize, Vec<usize>)>,
    pub(super) units: Vec<Unit>,
    pub(super) free_rows: Vec<Row>,
    /// Per unit and test.
    pub(super) attempts: Vec<u16>,
    pub(super) next_number: u64,
    /// Parts at which units may move in.
    pub(super) dirty: Marks,
    pub(super) last_finish: i64,
    /// The order of one instant might matter.
    pub(super) undecided: bool,
}

impl<'a> Flow<'a> {
    pub fn new(plan: &'a Plan, c: &'a Compiled<'a>, settings: &'a Settings, replication: u32) -> Flow<'a> {
        let parts = plan.parts.iter().map(|part| match part {
            Part::Head { last } => State::Head(Box::new(Head::new(c, 0, *last, replication))),
            Part::Tail { first, last } => State::Tail(Box::new(Tail::new(c, *first, *last, replication))),
            Part::Bays(plan) => State::Bays(Box::new(Bays::new(c, plan, replication))),
        });
        let part_of_test = c.line.tests.iter().map(|test| {
            let repair = test.outcomes.iter().map(|outcome| match &outcome.kind {
                OutcomeKind::ToRepair { place, .. } => plan.part_of(*place),
                OutcomeKind::FixedInPlace(_)
                | OutcomeKind::BackTo { .. }
                | OutcomeKind::Scrapped
                | OutcomeKind::Retest { .. } => usize::MAX,
            });
            (plan.part_of(test.place), repair.collect())
        });
        let mut all = Marks::none_of(plan.parts.len());
        (0..plan.parts.len()).for_each(|part| all.set(part));
        Flow {
            parts: parts.collect(),
            part_of_test: part_of_test.collect(),
            window: Window::new(settings).expect("the plan was made for these settings"),
            seen: blank(c.line, replication),
            now: 0,
            queue: Queue::with_capacity(c.shop.bays + plan.parts.len()),
            units: Vec::with_capacity(64),
            free_rows: Vec::with_capacity(64),
            attempts: Vec::with_capacity(64),
            next_number: 0,
            dirty: all,
            last_finish: -1,
            undecided: false,
            plan,
            c,
            settings,
            replication,
        }
    }

    /// To the end of the window; `None` where the order of one instant might matter.
    pub fn go(mut self) -> Option<Replication> {
        if let [State::Tail(_)] = &self.parts[..] {
            self.one_series();
        } else {
            if let State::Head(head) = &self.parts[0] {
                let done = head.passage().1;
                self.push(done, 0, 0, HEAD_IS_DONE);
            }
            self.move_units();
            while let Some(entry) = self.queue.pop() {
                if entry.at() > self.window.last {
                    break;
                }
                if entry.at() <= self.now {
                    return None;
                }
                self.now = entry.at();
                self.take(entry);
                self.move_units();
                if self.undecided {
                    return None;
                }
            }
        }
        self.settle()
    }

    /// Every unit passes every station, one after another.
    pub(super) fn one_series(&mut self) {
        loop {
            let State::Tail(tail) = &mut self.parts[0] else { return };
            let on = tail.room();
            if on > self.window.last {
                return;
            }
            let off = tail.pass(self.next_number, on, &self.window);
            self.next_number += 1;
            self.finish(Passage { on, off }, true);
        }
    }

    /// A unit leaves the line finished, at `passage.off`.
    pub(super) fn finish(&mut self, passage: Passage, first_pass: bool) {
        let Passage { on, off } = passage;
        if self.window.holds(off) {
            self.seen.finished += 1;
            self.seen.finished_first_pass += u64::from(first_pass);
            self.seen.finished_by_model[0] += 1;
            if self.last_finish >= 0 {
                self.seen.intervals.record(off - self.last_finish);
            }
            self.seen.flow.record(off - on);
            if self.settings.record_finishes {
                self.seen.finishes.push(Time(off));
            }
        }
        self.last_finish = off;
        self.window.finished(off, self.seen.finished);
        passage.book(&self.window, &mut self.seen);
    }

    pub(super) fn take(&mut self, entry: Entry) {
        let part = entry.rank() as usize;
        match (entry.step(), &mut self.parts[part]) {
            (BAY_IS_DONE, _) => self.bay_is_done(part, entry.bay() as usize),
            (_, State::Head(head)) => {
                head.waits = true;
                self.joins(part + 1);
            }
            (_, State::Tail(tail)) => {
                tail.opens_at = UNKNOWN;
                self.dirty.set(part);
            }
            (_, State::Bays(_)) => {}
        }
    }

    pub(super) fn push(&mut self, at: i64, part: usize, bay: u16, what: u16) {
        self.queue.push(Entry::new(at, Class::End, part as u16, bay, what));
    }

    pub(super) fn create(&mut self, on: i64) -> Row {
        let unit = Unit {
            number: self.next_number,
            on,
            waits_since: on,
            blocked: 0,
            first_pass: true,
            returns_from: None,
        };
        self.next_number += 1;
        let tests = self.c.tests.len();
        match self.free_rows.pop() {
            Some(row) => {
                self.units[row as usize] = unit;
                self.attempts[row as usize * tests..][..tests].fill(0);
                row
            }
            None => {
                self.units.push(unit);
                self.attempts.resize(self.units.len() * tests, 0);
                (self.units.len() - 1) as Row
            }
        }
    }
}
