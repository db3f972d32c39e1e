//! What gates find: known from the unit's number, counted when it comes there.

use super::run::Run;
use super::timer::Timer;
use super::units::{Row, Unit};
use super::watcher::{Event, Watcher};
use crate::draws::{Purpose, Stream};
use crate::line::{Gate, Line, ModelId};

/// A gate, compiled.
pub struct GatePlan {
    place: usize,
    /// Options that its units have, all of them.
    options: u64,
    /// Per model, where it has this gate: what is found.
    finds: Vec<Option<Timer>>,
}

impl GatePlan {
    pub fn new(line: &Line, gate: &Gate, stream: &impl Fn(Purpose, &str) -> Stream) -> GatePlan {
        let step = &line.steps[gate.step.index()];
        let finds = |(m, time): (usize, &crate::line::TimeFor)| {
            let stream = stream(Purpose::TaskTime, &step.draws_as);
            step.applies_to(ModelId::from_index(m)).then(|| Timer::plain(&time.dist, stream))
        };
        GatePlan {
            place: gate.place.index(),
            options: step.options.iter().fold(0, |mask, o| mask | 1 << o.0),
            finds: step.times.iter().enumerate().map(finds).collect(),
        }
    }

    /// Faults of a unit; `None` where the gate is not for it.
    fn faults(&self, replication: u32, unit: &Unit) -> Option<u32> {
        let timer = self.finds[unit.model as usize].as_ref()?;
        (self.options & !unit.options == 0).then_some(timer.faults(replication, unit.number)?.0)
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

    /// A unit comes to a place for the first time.
    pub(super) fn count_faults(&mut self, row: Row, place: usize) {
        for (g, gate) in self.c.gates.iter().enumerate().filter(|(_, gate)| gate.place == place) {
            let Some(found) = gate.faults(self.replication, &self.units.rows[row as usize]) else { continue };
            let (here, left) = self.c.line.gates[g].split(found);
            let counts = &mut self.seen.gates[g];
            counts.units += 1;
            counts.clear += u64::from(found == 0);
            counts.mended_here += u64::from(here);
            counts.went_on += u64::from(left);
        }
    }
}
