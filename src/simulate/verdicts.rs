//! Verdicts of tests and what follows a fail: fix in place, the way back, repair, scrap.

use super::compiled::off_line;
use super::run::{Fate, Run};
use super::settings::RunErrorKind;
use super::units::{Row, Way};
use super::watcher::{Event, Spot, Watcher};
use crate::line::{Finder, Line, OutcomeKind, PlaceId, Revisit, TestId};
use crate::schedule::NodeKind;

/// A stop on the way of a returning unit.
enum Stop<'l> {
    Repair(PlaceId),
    Visit(&'l Revisit),
    /// Its test again.
    Test(PlaceId),
}

impl<W: Watcher> Run<'_, W> {
    /// The procedure of a test is done: does the unit pass?
    pub(super) fn verdict(&mut self, bay: usize, local: u16, test: u16, fresh: &mut Vec<u16>) {
        let t = test as usize;
        let c = self.c;
        let plan = &c.tests[t];
        let row = self.bays[bay].unit;
        let unit = self.units.rows[row as usize];
        if self.nothing_applies(bay, t) {
            self.floor.done(&c.shop, bay, local, fresh);
            return;
        }
        let attempt = self.units.attempt(row, t);
        let judged = (unit.number, plan.judges_wrongly() && unit.alarmed >> t & 1 == 1);
        let found = self.finds_escaped(row, test);
        let passed = !found && plan.passes(self.replication, unit.model as usize, judged, attempt);
        self.seen.tests[t].judge(attempt, passed);
        let outcome = (!passed && attempt < plan.most_tries).then(|| match found {
            true => plan.outcome_of_fault(self.replication, unit.number, attempt) as u16,
            false => plan.outcome(self.replication, unit.number, attempt) as u16,
        });
        let alarm = outcome.is_some_and(|outcome| plan.is_alarm(outcome as usize));
        self.seen.tests[t].alarms += u64::from(alarm);
        if plan.judges_wrongly() {
            let now = &mut self.units.rows[row as usize];
            now.alarmed = now.alarmed & !(1 << t) | u64::from(alarm) << t;
        }
        self.see(Event::Verdict { unit: self.shown(row), test: TestId(test), attempt, passed, outcome });
        if passed {
            self.look_what_escapes(row, test, judged, attempt);
            self.floor.done(&c.shop, bay, local, fresh);
            return;
        }
        self.units.rows[row as usize].first_pass = false;
        let Some(outcome) = outcome else {
            self.decide(bay, Fate::SetAside);
            return;
        };
        self.floor.hold_verdict(&c.shop, bay, local);
        match &c.line.tests[t].outcomes[outcome as usize].kind {
            OutcomeKind::FixedInPlace(_) => {
                if let Some(fix) = plan.fix[outcome as usize] {
                    self.floor.call_again(&c.shop, bay, &[fix], fresh);
                }
            }
            OutcomeKind::Retest { in_place: true } => self.fixed(bay, t, fresh),
            OutcomeKind::Retest { in_place: false }
            | OutcomeKind::BackTo { .. }
            | OutcomeKind::ToRepair { .. } => {
                if !self.units.set_out(row, Way::Returning { test, outcome, at: 0 }) {
                    self.failed = Some(RunErrorKind::OverLimit {
                        what: "ways back inside one another",
                        limit: super::units::MOST_WAYS as u64,
                    });
                }
                self.decide(bay, Fate::NextStop);
            }
            OutcomeKind::Scrapped => self.decide(bay, Fate::Scrap),
        }
    }

    /// Something that an earlier test has let through is found: the unit fails, and carries it no further.
    fn finds_escaped(&mut self, row: Row, test: u16) -> bool {
        let escaped = self.units.rows[row as usize].escaped;
        if escaped == 0 {
            return false;
        }
        let sources = self.c.line.let_through_to(Finder::Test(TestId(test)));
        let found = escaped & sources.fold(0, |mask, (source, _)| mask | 1 << source.0);
        self.units.rows[row as usize].escaped &= !found;
        self.seen.tests[test as usize].found += u64::from(found != 0);
        found != 0
    }

    /// A unit has passed: whether it should have.
    fn look_what_escapes(&mut self, row: Row, test: u16, judged: (u64, bool), attempt: u32) {
        let escapes = self.c.tests[test as usize].escapes(self.replication, judged, attempt);
        if self.c.line.tests[test as usize].wrong.escapes.is_none() {
            return;
        }
        let row_of = &mut self.units.rows[row as usize];
        row_of.escaped &= !(1 << test);
        row_of.escaped |= u64::from(escapes) << test;
        self.seen.tests[test as usize].escaped += u64::from(escapes);
        if escapes {
            self.see(Event::Escaped { unit: self.shown(row), test: TestId(test) });
        }
    }

    /// No step of the procedure applies to the unit: there is nothing to judge.
    fn nothing_applies(&self, bay: usize, test: usize) -> bool {
        let base = self.c.shop.bay_node0[bay] as usize;
        let steps = &self.c.tests[test].again;
        !self.c.shop.places[self.c.shop.bay_place[bay] as usize].plain
            && steps.iter().all(|k| {
                matches!(self.c.shop.node(bay, *k as usize).kind, NodeKind::Verdict { .. })
                    || self.floor.skip[base + *k as usize]
            })
    }

    /// Fixed (or nothing was to fix): the whole test again, without leaving the bay.
    pub(super) fn fixed(&mut self, bay: usize, test: usize, fresh: &mut Vec<u16>) {
        let place = self.c.shop.bay_place[bay] as usize;
        if off_line(self.c.line, place) {
            return;
        }
        let row = self.bays[bay].unit;
        for step in &self.c.tests[test].steps {
            self.units.set_done(row, *step, false);
        }
        for local in &self.c.tests[test].again {
            self.audit_hold(bay, *local);
        }
        self.floor.call_again(&self.c.shop, bay, &self.c.tests[test].again, fresh);
    }

    /// The unit will leave its bay; nothing new starts on it.
    fn decide(&mut self, bay: usize, fate: Fate) {
        self.bays[bay].fate = fate;
        self.floor.unqueue(&self.c.shop, bay);
        if !self.floor.stock.notes.is_empty() {
            self.note_who_waits();
        }
        self.look_if_it_may_go(bay);
    }

    pub(super) fn look_if_it_may_go(&mut self, bay: usize) {
        let work = &self.floor.bays[bay];
        if work.running_work == 0 && work.running_holds == 0 && !self.leavers.contains(&(bay as u32)) {
            let row = self.bays[bay].unit;
            self.units.rows[row as usize].waits_since = self.clock.now();
            self.leavers.push(bay as u32);
        }
    }

    /// Where a returning unit goes next.
    pub(super) fn next_stop(&self, row: Row) -> Option<PlaceId> {
        let way = self.units.rows[row as usize].way;
        if let Way::PulledOff { from, is_off } = way {
            return self.way_of_pulled(row, usize::from(from), is_off);
        }
        match stop_at(self.c.line, way)? {
            Stop::Repair(place) | Stop::Test(place) => Some(place),
            Stop::Visit(visit) => Some(visit.place),
        }
    }

    /// Leaves its bay and waits outside the next stop of its way.
    pub(super) fn go_to_next_stop(&mut self, bay: usize) {
        let (from, next) = (self.spot_of(bay), self.next_stop(self.bays[bay].unit));
        if !self.rejoins(bay) {
            return;
        }
        let row = self.leave_bay(bay);
        let Some(place) = next else { return };
        let now = self.clock.now();
        let unit = &mut self.units.rows[row as usize];
        unit.blocked = 0;
        let number = self.shown(row);
        self.join_queue(place.index());
        self.places[place.index()].returns.push_back(row);
        self.touch(place.index());
        self.began_to_wait = true;
        self.see(Event::Moved {
            unit: number,
            from,
            to: Spot::Outside(place),
            arrives: crate::units::Time(now),
        });
    }

    /// A returning unit has reached a stop: says what is to be done (again) there. Returns the fix
    /// of a repair bay.
    pub(super) fn begin_visit(&mut self, bay: usize, place: usize) -> Option<u16> {
        let row = self.bays[bay].unit;
        let way = self.units.rows[row as usize].way;
        let (test, outcome, at) = match way {
            Way::Returning { test, outcome, at } => (test, outcome, at),
            Way::PulledOff { from, .. } => {
                self.is_off(row, from);
                return None;
            }
            Way::Series => return None,
        };
        let undo = |units: &mut super::units::Units, steps: &mut dyn Iterator<Item = u32>| {
            steps.for_each(|s| units.set_done(row, s, false))
        };
        let c = self.c;
        let next = Way::Returning { test, outcome, at: at + 1 };
        match stop_at(c.line, way) {
            Some(Stop::Repair(_)) => {
                debug_assert!(off_line(c.line, place), "repair is done off the line");
                self.units.rows[row as usize].way = next;
                c.tests[test as usize].fix[outcome as usize]
            }
            Some(Stop::Visit(visit)) => {
                undo(&mut self.units, &mut visit.redo.iter().map(|s| s.0));
                self.units.rows[row as usize].way = next;
                None
            }
            Some(Stop::Test(_)) | None => {
                undo(&mut self.units, &mut c.tests[test as usize].steps.iter().copied());
                self.units.come_back(row);
                None
            }
        }
    }

    /// True where a node of a place that a unit visits (again) needs no doing.
    pub(super) fn is_settled(
        units: &super::units::Units,
        row: Row,
        node: &crate::schedule::Node,
        tests: &[super::test_plan::TestPlan],
    ) -> bool {
        match node.kind {
            NodeKind::Verdict { test } => tests[test as usize].steps.iter().all(|s| units.is_done(row, *s)),
            NodeKind::Work | NodeKind::Hold { .. } => units.is_done(row, node.step),
            NodeKind::Fix { .. } => false,
        }
    }
}

/// The stop a returning unit goes to next.
fn stop_at(line: &Line, way: Way) -> Option<Stop<'_>> {
    let Way::Returning { test, outcome, at } = way else { return None };
    let test = &line.tests[test as usize];
    let at = at as usize;
    let (repair, route): (Option<PlaceId>, &[Revisit]) = match &test.outcomes[outcome as usize].kind {
        OutcomeKind::BackTo { route } => (None, route),
        OutcomeKind::ToRepair { place, route, .. } => (Some(*place), route),
        OutcomeKind::Retest { .. } | OutcomeKind::FixedInPlace(_) | OutcomeKind::Scrapped => (None, &[]),
    };
    let at = match repair {
        Some(place) if at == 0 => return Some(Stop::Repair(place)),
        Some(_) => at - 1,
        None => at,
    };
    Some(route.get(at).map_or(Stop::Test(test.place), Stop::Visit))
}
