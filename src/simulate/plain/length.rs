//! How long a step takes, whatever the unit: always the same, drawn ahead, or drawn when it starts.

use crate::draws::{Ahead, BLOCK};
use crate::simulate::compiled::Compiled;
use crate::simulate::timer::Timer;

pub(super) enum Length {
    Fixed(i64),
    Ahead(Box<Ahead>),
    /// Of the replication.
    Drawn(Timer, u32),
}

impl Length {
    /// Of a node of the shop, in a line of one model.
    pub fn new(c: &Compiled, node: usize, replication: u32) -> Length {
        let timer = &c.timers[node];
        match (timer.fixed(), c.aheads.get(c.ahead_of[node] as usize)) {
            (Some(length), _) => Length::Fixed(length),
            (None, Some((time, stream))) => {
                Length::Ahead(Box::new(Ahead::new(time.clone(), stream.of_replication(replication))))
            }
            (None, None) => Length::Drawn(timer.clone(), replication),
        }
    }

    /// Microseconds, on the unit with this number; `visit` says which start of the step on it.
    #[inline]
    pub fn of(&mut self, number: u64, visit: u32) -> i64 {
        match self {
            Length::Ahead(ahead) => ahead.draw(number, visit),
            Length::Fixed(length) => *length,
            Length::Drawn(timer, replication) => timer.length(*replication, number, visit),
        }
    }

    /// The same of the first starts on `BLOCK` units from `first` on, which is a multiple of that.
    pub fn of_block(&mut self, first: u64) -> [i64; BLOCK] {
        match self {
            Length::Ahead(ahead) => *ahead.block(first),
            Length::Fixed(length) => [*length; BLOCK],
            Length::Drawn(timer, replication) => {
                std::array::from_fn(|at| timer.length(*replication, first + at as u64, 0))
            }
        }
    }
}
