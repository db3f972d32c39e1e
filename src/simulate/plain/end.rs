//! The window has ended: what is still under way is booked.

use super::bays::Row;
use super::flow::{Flow, State};
use super::window::{Passage, UNKNOWN};
use crate::simulate::observations::Replication;
use crate::units::Time;

impl Flow<'_> {
    /// The window has ended: books what is still under way.
    pub(super) fn settle(mut self) -> Option<Replication> {
        if self.window.end == UNKNOWN {
            return None;
        }
        let window = self.window;
        let mut ends = 0;
        // From the end: what a part waits for upstream is asked before that is settled.
        for part in (0..self.parts.len()).rev() {
            let waiting: Vec<Row> = match &self.parts[part] {
                State::Head(_) | State::Tail(_) => Vec::new(),
                State::Bays(bays) => bays.slots.iter().chain(&bays.returns).copied().collect(),
            };
            let mut waited: i128 = 0;
            for unit in waiting {
                waited += i128::from(window.part(self.units[unit as usize].waits_since, window.end));
            }
            if part > 0 && part < self.plan.on_line {
                let upstream: Vec<i64> = match &self.parts[part - 1] {
                    State::Head(head) => head.waits.then(|| head.passage().1).into_iter().collect(),
                    State::Tail(_) => Vec::new(),
                    State::Bays(bays) => {
                        let units = bays.done.iter().map(|bay| bays.bays[*bay as usize].unit);
                        units.map(|unit| self.units[unit as usize].waits_since).collect()
                    }
                };
                waited +=
                    upstream.iter().map(|since| i128::from(window.part(*since, window.end))).sum::<i128>();
            }
            let inside: Vec<Row> = match &mut self.parts[part] {
                State::Head(head) => {
                    ends += head.settle(&window, &mut self.seen);
                    self.undecided |= head.no_length;
                    Vec::new()
                }
                State::Tail(tail) => {
                    ends += tail.settle(&window, &mut self.seen);
                    self.undecided |= tail.no_length;
                    Vec::new()
                }
                State::Bays(bays) => {
                    bays.queue += waited;
                    ends += bays.settle(&window, &mut self.seen);
                    bays.inside().collect()
                }
            };
            for unit in inside {
                Passage { on: self.units[unit as usize].on, off: UNKNOWN }.book(&window, &mut self.seen);
            }
        }
        if self.undecided {
            return None;
        }
        // A unit is released when it comes onto the line.
        self.seen.flow_from_release = self.seen.flow.clone();
        self.seen.clock = Time(window.end - window.cut);
        self.seen.net = self.seen.clock;
        self.seen.events = ends + window.marks_taken();
        Some(self.seen)
    }
}
