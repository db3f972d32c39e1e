//! What tells how long something takes: a fixed length, or a law and the stream of its draws.

use super::lengths::Start;
use crate::draws::{Purpose, Sampler, Scaled, Stream};
use crate::line::{Dist, Line, StepKind};
use crate::schedule::{Node, NodeKind};
use crate::units::whole_half_even;

/// How long a node takes.
#[derive(Clone, Debug)]
pub enum Timer {
    /// Microseconds; nothing is drawn.
    Fixed(i64),
    Drawn(Box<Drawn>),
}

#[derive(Clone, Debug)]
pub struct Drawn {
    pub time: Scaled,
    pub stream: Stream,
}

impl Timer {
    /// `factor` acts on what is drawn, `least` microseconds it takes whatever is drawn.
    pub fn new(dist: &Dist, factor: f64, least: i64, stream: Stream) -> Timer {
        match dist.as_constant() {
            Some(value) => Timer::Fixed(whole_half_even(value * factor).max(least)),
            None => {
                let time = Scaled { sampler: Sampler::new(dist), factor, least };
                Timer::Drawn(Box::new(Drawn { time, stream }))
            }
        }
    }

    /// Of a node of the shop; `faster` is the factor on the attended times of its place.
    pub fn of_node(
        line: &Line,
        node: &Node,
        model: usize,
        faster: f64,
        stream: &impl Fn(Purpose, &str) -> Stream,
    ) -> Timer {
        match node.kind {
            NodeKind::Verdict { .. } => Timer::Fixed(0),
            NodeKind::Fix { test, outcome } => {
                let test = &line.tests[test as usize];
                match test.outcomes[outcome as usize].kind.fix() {
                    Some(fix) => {
                        Timer::new(&fix.time, faster, 0, stream(Purpose::RepairTime, &test.draws_as))
                    }
                    None => Timer::Fixed(0),
                }
            }
            NodeKind::Work | NodeKind::Hold { .. } => {
                let step = &line.steps[node.step as usize];
                let time = &step.times[model];
                match &step.kind {
                    // Pace, crew and access never act on a hold: only the factor that names its model.
                    StepKind::Hold(hold) => Timer::new(
                        &time.dist,
                        time.factor,
                        hold.minimum.0,
                        stream(Purpose::HoldTime, &step.draws_as),
                    ),
                    StepKind::Task => Timer::new(
                        &time.dist,
                        time.factor * faster,
                        0,
                        stream(Purpose::TaskTime, &step.draws_as),
                    ),
                }
            }
        }
    }

    /// A time with nothing acting on it.
    pub fn plain(dist: &Dist, stream: Stream) -> Timer {
        Timer::new(dist, 1.0, 0, stream)
    }

    /// Its length in microseconds, if it is never drawn.
    pub fn fixed(&self) -> Option<i64> {
        match self {
            Timer::Fixed(length) => Some(*length),
            Timer::Drawn(_) => None,
        }
    }

    /// Faults of the unit, `more` besides its own, and those of them that this one mends; `None` where none are found.
    pub fn faults(&self, replication: u32, unit: u64, more: u32) -> Option<(u32, u32)> {
        match self {
            Timer::Fixed(_) => None,
            Timer::Drawn(drawn) => {
                drawn.time.sampler.faults(&drawn.stream.of_replication(replication), unit, more)
            }
        }
    }

    /// Microseconds; `visit` says which start of the step on the unit.
    #[inline]
    pub fn length(&self, replication: u32, unit: u64, visit: u32) -> i64 {
        match self {
            Timer::Fixed(length) => *length,
            Timer::Drawn(drawn) => drawn.time.draw(&drawn.stream.of_replication(replication), unit, visit),
        }
    }

    /// As `length`, not rounded where it is drawn.
    pub fn micros(&self, start: Start) -> f64 {
        match self {
            Timer::Fixed(length) => *length as f64,
            Timer::Drawn(drawn) => {
                let stream = drawn.stream.of_replication(start.replication);
                let drew = drawn.time.sampler.draw_with(&stream, (start.unit, start.visit), start.more);
                drew * drawn.time.factor
            }
        }
    }
}
