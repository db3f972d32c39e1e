//! Draws made a few units ahead: the same bits, at about half the cost.
//!
//! The draws of one step for consecutive units are consecutive counters, so nothing is lost or shifted
//! by making eight at once and handing them out as they are asked for. Owns no meaning: whatever is
//! asked out of turn is drawn on the spot.

use super::sampler::Sampler;
use super::stream::Stream;

/// Draws made at once.
const AHEAD: usize = 8;

/// A sampler and its stream with the next few first visits in hand. One per step and replication.
#[derive(Clone, Debug)]
pub struct Ahead {
    sampler: Sampler,
    stream: Stream,
    /// Index of the first of `draws`; meaningless before the first fill.
    first: u64,
    /// How many of `draws` are good: 0 before the first fill.
    filled: u64,
    draws: [f64; AHEAD],
}

impl Ahead {
    pub fn new(sampler: Sampler, stream: Stream) -> Ahead {
        Ahead { sampler, stream, first: 0, filled: 0, draws: [0.0; AHEAD] }
    }

    pub fn sampler(&self) -> &Sampler {
        &self.sampler
    }

    /// Exactly [`Sampler::draw`] for this stream, in any order of asking.
    #[inline]
    pub fn draw(&mut self, index: u64, visit: u32) -> f64 {
        let place = index.wrapping_sub(self.first);
        if visit == 0 && place < self.filled {
            return self.draws[place as usize];
        }
        self.elsewhere(index, visit)
    }

    /// Units go forward, so an index beyond those in hand is worth filling for; one before them, or a
    /// repeated visit, comes alone.
    fn elsewhere(&mut self, index: u64, visit: u32) -> f64 {
        let behind = self.filled > 0 && index < self.first;
        if visit != 0 || behind || index > u64::MAX - AHEAD as u64 {
            return self.sampler.draw(&self.stream, index, visit);
        }
        self.first = index;
        self.filled = AHEAD as u64;
        self.sampler.fill(&self.stream, index, 0, &mut self.draws);
        self.draws[0]
    }
}
