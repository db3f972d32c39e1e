//! What gates find: known from the unit's number, counted when it comes there.

use super::compiled::Compiled;
use super::run::Run;
use super::timer::Timer;
use super::units::{Row, Unit};
use super::watcher::{Event, Watcher};
use crate::draws::{Purpose, Stream};
use crate::line::{Finder, Line, ModelId};

/// A gate, compiled.
pub struct GatePlan {
    place: usize,
    /// Options that its units have, all of them.
    options: u64,
    /// Per model, where it has this gate: what is found.
    finds: Vec<Option<Timer>>,
    /// Steps that mend, here and later.
    steps: (u32, Option<u32>),
    /// Tests whose escapes it finds.
    let_through: u64,
}

impl GatePlan {
    pub fn new(line: &Line, g: usize, stream: &impl Fn(Purpose, &str) -> Stream) -> GatePlan {
        let gate = &line.gates[g];
        let step = &line.steps[gate.step.index()];
        let finds = |(m, time): (usize, &crate::line::TimeFor)| {
            let stream = stream(Purpose::TaskTime, &step.draws_as);
            step.applies_to(ModelId::from_index(m)).then(|| Timer::plain(&time.dist, stream))
        };
        GatePlan {
            place: gate.place.index(),
            options: step.options.iter().fold(0, |mask, o| mask | 1 << o.0),
            finds: step.times.iter().enumerate().map(finds).collect(),
            steps: (gate.step.0, gate.goes_on.map(|on| on.step.0)),
            let_through: line
                .let_through_to(Finder::Gate(g as u16))
                .fold(0, |mask, (test, _)| mask | 1 << test.0),
        }
    }

    /// Faults of a unit; `None` where the gate is not for it.
    fn faults(&self, replication: u32, unit: &Unit) -> Option<u32> {
        let timer = self.finds[unit.model as usize].as_ref()?;
        (self.options & !unit.options == 0).then_some(timer.faults(replication, unit.number, 0)?.0)
    }
}

impl Compiled<'_> {
    /// Of what gates have `found` in a unit that tests had let through: that of the gate whose faults a step mends.
    pub(super) fn found_by_gate_of(&self, found: u64, step: u32) -> u32 {
        if found == 0 {
            return 0;
        }
        let of = |gate: &&GatePlan| gate.steps.0 == step || gate.steps.1 == Some(step);
        self.gates.iter().find(of).map_or(0, |gate| (found & gate.let_through).count_ones())
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Shows what every gate will find in a unit that exists from now on.
    pub(super) fn show_faults(&mut self, row: Row) {
        if !W::WATCHING {
            return;
        }
        for (g, gate) in self.c.gates.iter().enumerate() {
            let unit = &self.units.rows[row as usize];
            let last = self.c.line.ends_of(self.c.line.gates[g].place).map(|(first, _)| first.index());
            let own_line = last.is_some_and(|first| self.c.line_of[first] == unit.line);
            if let Some(found) = gate.faults(self.replication, unit).filter(|_| own_line) {
                let (here, left) = self.c.line.gates[g].split(found);
                self.see(Event::Found { unit: self.shown(row), gate: g as u16, here, left });
            }
        }
    }

    /// A unit has come to a place with faults that tests have let through: its gates there find theirs, unless their
    /// work is done already.
    pub(super) fn find_what_was_let_through(&mut self, row: Row, place: usize) {
        for (g, gate) in self.c.gates.iter().enumerate().filter(|(_, gate)| gate.place == place) {
            let unit = self.units.rows[row as usize];
            let these = unit.escaped & gate.let_through;
            let own = gate.faults(self.replication, &unit).filter(|_| these != 0);
            let Some(own) = own.filter(|_| !self.units.is_done(row, gate.steps.0)) else { continue };
            let split =
                |found: u64| self.c.line.gates[g].split(own + (found & gate.let_through).count_ones());
            let (before, after) = (split(unit.found), split(unit.found | these));
            let counts = &mut self.seen.gates[g];
            counts.let_through += u64::from(these.count_ones());
            counts.mended_here += u64::from(after.0 - before.0);
            counts.went_on += u64::from(after.1 - before.1);
            let now = &mut self.units.rows[row as usize];
            (now.escaped, now.found) = (unit.escaped & !these, unit.found | these);
            let (unit, faults) = (self.shown(row), these.count_ones());
            self.see(Event::FoundLetThrough { unit, gate: g as u16, faults });
        }
    }

    /// A unit comes to a place for the first time.
    pub(super) fn count_faults(&mut self, row: Row, place: usize) {
        for (g, gate) in self.c.gates.iter().enumerate().filter(|(_, gate)| gate.place == place) {
            let unit = &self.units.rows[row as usize];
            let Some(found) = gate.faults(self.replication, unit) else { continue };
            let brings = unit.escaped & gate.let_through != 0;
            let (here, left) = self.c.line.gates[g].split(found);
            let counts = &mut self.seen.gates[g];
            counts.units += 1;
            counts.clear += u64::from(found == 0 && !brings);
            counts.mended_here += u64::from(here);
            counts.went_on += u64::from(left);
        }
    }
}
