//! Lengths drawn some units ahead: the same bits, at about half the cost.
//!
//! The draws of one step for consecutive units are consecutive counters, so nothing is lost or shifted
//! by making a block of them at once and handing them out as they are asked for. Owns no meaning:
//! whatever is asked out of turn is drawn on the spot.

use super::sampler::Sampler;
use super::stream::Stream;
use crate::units::{all_whole_half_even, whole_half_even};

/// Draws made at once: a block starts at a multiple of this.
pub const BLOCK: usize = 8;
/// Blocks kept at hand: units that overtake one another stay within them.
const KEPT: usize = 4;

/// A drawn time, the factors on it, and the least it may be.
#[derive(Clone, Debug)]
pub struct Scaled {
    pub sampler: Sampler,
    pub factor: f64,
    /// Never shorter (holds), microseconds.
    pub least: i64,
}

impl Scaled {
    /// Microseconds, rounded half to even after all factors.
    #[inline]
    pub fn length(&self, micros: f64) -> i64 {
        whole_half_even(micros * self.factor).max(self.least)
    }

    /// The same of several.
    #[inline]
    fn lengths(&self, micros: [f64; BLOCK]) -> [i64; BLOCK] {
        all_whole_half_even(micros.map(|micros| micros * self.factor)).map(|length| length.max(self.least))
    }

    /// One length, drawn on the spot.
    #[inline]
    pub fn draw(&self, stream: &Stream, index: u64, visit: u32) -> i64 {
        self.length(self.sampler.draw(stream, index, visit))
    }
}

/// A step's time and stream with the first visits of some units in hand. One per step and
/// replication.
#[derive(Clone, Debug)]
pub struct Ahead {
    scaled: Scaled,
    stream: Stream,
    /// Which block each of `lengths` is; `u64::MAX` before it is filled.
    blocks: [u64; KEPT],
    lengths: [[i64; BLOCK]; KEPT],
}

impl Ahead {
    pub fn new(scaled: Scaled, stream: Stream) -> Ahead {
        Ahead { scaled, stream, blocks: [u64::MAX; KEPT], lengths: [[0; BLOCK]; KEPT] }
    }

    /// Exactly [`Scaled::draw`] for this stream, in any order of asking.
    #[inline]
    pub fn draw(&mut self, index: u64, visit: u32) -> i64 {
        let block = index / BLOCK as u64;
        let kept = (block % KEPT as u64) as usize;
        if visit == 0 && self.blocks[kept] == block {
            return self.lengths[kept][(index % BLOCK as u64) as usize];
        }
        self.elsewhere(index, visit)
    }

    fn elsewhere(&mut self, index: u64, visit: u32) -> i64 {
        let block = index / BLOCK as u64;
        let kept = (block % KEPT as u64) as usize;
        // A block that was given up for a later one is not worth filling again.
        let behind = self.blocks[kept] != u64::MAX && block < self.blocks[kept];
        if visit != 0 || behind {
            return self.scaled.draw(&self.stream, index, visit);
        }
        self.fill(block)[(index % BLOCK as u64) as usize]
    }

    /// The lengths of the first visits of `BLOCK` units from `first` on, which is a multiple of that, in any order of
    /// asking.
    pub fn block(&mut self, first: u64) -> &[i64; BLOCK] {
        self.fill(first / BLOCK as u64)
    }

    fn fill(&mut self, block: u64) -> &[i64; BLOCK] {
        let kept = (block % KEPT as u64) as usize;
        let mut draws = [0.0; BLOCK];
        self.scaled.sampler.fill(&self.stream, block * BLOCK as u64, 0, &mut draws);
        self.lengths[kept] = self.scaled.lengths(draws);
        self.blocks[kept] = block;
        &self.lengths[kept]
    }
}
