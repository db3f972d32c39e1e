//! All steps done at a bay: what follows, verdicts, ways out of a bay.

use super::bays::Row;
use super::flow::{Flow, State, Unit};
use super::window::Passage;
use crate::line::OutcomeKind;

impl Flow<'_> {
    pub(super) fn bay_is_done(&mut self, part: usize, bay: usize) {
        let State::Bays(bays) = &self.parts[part] else { return };
        let (unit, plan) = (bays.bays[bay].unit, bays.plan);
        if plan.off_line {
            let test = self.units[unit as usize].returns_from.map(|(test, _)| test);
            let test = test.expect("only failed units come to a repair place");
            self.go_outside(part, bay, self.part_of_test[test as usize].0);
            return;
        }
        match plan.test {
            Some(test) => self.verdict(part, bay, test),
            None => self.done(part, bay),
        }
    }

    /// Steps done, test passed: the unit waits for what follows, or leaves the line.
    pub(super) fn done(&mut self, part: usize, bay: usize) {
        let State::Bays(bays) = &mut self.parts[part] else { return };
        if part + 1 < self.plan.on_line {
            bays.done.push_back(bay as u16);
            let unit = bays.bays[bay].unit as usize;
            self.units[unit].waits_since = self.now;
            self.joins(part + 1);
        } else {
            let unit = self.leave(part, bay);
            let Unit { on, first_pass, .. } = self.units[unit as usize];
            self.finish(Passage { on, off: self.now }, first_pass);
            self.free_rows.push(unit);
        }
    }

    pub(super) fn verdict(&mut self, part: usize, bay: usize, t: usize) {
        let State::Bays(bays) = &self.parts[part] else { return };
        let row = bays.bays[bay].unit;
        let plan = &self.c.tests[t];
        let at = row as usize * self.c.tests.len() + t;
        self.attempts[at] += 1;
        let attempt = u32::from(self.attempts[at]);
        let number = self.units[row as usize].number;
        let passed = plan.passes(self.replication, 0, (number, false), attempt);
        if self.window.holds(self.now) {
            self.seen.tests[t].judge(attempt, passed);
        }
        if passed {
            self.done(part, bay);
            return;
        }
        self.units[row as usize].first_pass = false;
        if attempt >= plan.most_tries {
            let counted = u64::from(self.window.holds(self.now));
            self.seen.set_aside += counted;
            self.gone(part, bay);
            return;
        }
        let outcome = plan.outcome(self.replication, number, attempt);
        match &self.c.line.tests[t].outcomes[outcome].kind {
            OutcomeKind::ToRepair { .. } => {
                self.units[row as usize].returns_from = Some((t as u16, outcome as u16));
                self.go_outside(part, bay, self.part_of_test[t].1[outcome]);
            }
            OutcomeKind::Scrapped => {
                self.seen.scrapped += u64::from(self.window.holds(self.now));
                self.gone(part, bay);
            }
            OutcomeKind::FixedInPlace(_) | OutcomeKind::BackTo { .. } | OutcomeKind::Retest { .. } => {
                unreachable!("the plan leaves such tests to the general run")
            }
        }
    }

    /// Leaves the line unfinished.
    pub(super) fn gone(&mut self, part: usize, bay: usize) {
        let unit = self.leave(part, bay);
        Passage { on: self.units[unit as usize].on, off: self.now }.book(&self.window, &mut self.seen);
        self.free_rows.push(unit);
    }

    /// Leaves its bay and waits outside another part.
    pub(super) fn go_outside(&mut self, part: usize, bay: usize, to: usize) {
        let unit = self.leave(part, bay);
        let waiting = &mut self.units[unit as usize];
        (waiting.waits_since, waiting.blocked) = (self.now, 0);
        if let State::Bays(bays) = &mut self.parts[to] {
            bays.returns.push_back(unit);
        }
        self.joins(to);
    }

    pub(super) fn leave(&mut self, part: usize, bay: usize) -> Row {
        self.dirty.set(part);
        let State::Bays(bays) = &mut self.parts[part] else { unreachable!("only bays are left so") };
        bays.leave(bay, self.now, &self.window, &mut self.seen)
    }
}
