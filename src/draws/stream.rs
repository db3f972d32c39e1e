//! Streams by name: which random words belong to which question.
//!
//! Key, 64 bits: SipHash-2-4 (Aumasson & Bernstein 2012) under the fixed key 00 01 .. 0f of its own
//! test vectors, over the seed (8 bytes, least first), the purpose (1 byte, its number below) and the
//! name (UTF-8). Its low half is Philox's first key word. Counter, 128 bits:
//!
//! | word | holds |
//! |---|---|
//! | 0, 1 | index (unit, k-th stop, day, lot...), low half first |
//! | 2 | replication in the low 20 bits, block of this draw in the high 12 |
//! | 3 | visit: which start of this step on this unit |
//!
//! So a draw depends on nothing but its own name and numbers: a station more or less moves no other
//! draw, and a draw that needs many words takes further blocks of its own counter.

use std::hash::Hasher;

use siphasher::sip::SipHasher24;

use super::philox::words;

/// Replications that the counter can tell apart.
pub const MAX_REPLICATIONS: u32 = 1 << 20;

/// Blocks that one draw may take.
pub const MAX_BLOCKS: u32 = 1 << 12;

/// What a stream is asked about. The numbers go into the key: never reuse or renumber one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[repr(u8)]
pub enum Purpose {
    /// Length of a task; name of the task, unit, start of it on that unit.
    TaskTime = 1,
    /// Length of a hold; likewise.
    HoldTime = 2,
    /// Length of a repair or fix; name of the test, gate or thing that stopped; unit or k-th stop.
    RepairTime = 3,
    /// Gap between two releases; k-th release.
    ReleaseGap = 4,
    /// Model of an order; position in the order bank.
    Model = 5,
    /// Whether a unit has an option; name of the option, unit.
    Option = 6,
    /// Whether a test passes; name of the test, unit, attempt.
    Verdict = 7,
    /// What follows a fail; name of the test, unit, attempt.
    Outcome = 8,
    /// The balancer's fixed draws of a station's load; name of the step, number of the draw.
    Load = 9,
    /// Time to the next stop; name of what stops, k-th stop.
    StopGap = 10,
    /// Absence; name of the group and number of the person, day.
    Absence = 11,
    /// Calls for help: the gap before one, and how long until it is answered; name, k-th call.
    StopCall = 12,
    /// Whether a stop call is solved in time; likewise.
    CallSolved = 13,
    /// Interval between deliveries; name of the part, lot.
    LotGap = 14,
    /// Size and lateness of a lot; likewise.
    LotLate = 15,
    /// Whether a part is short for a unit; name of the part, unit.
    Shortage = 16,
    /// Lane or sample taken where a share decides; name of the split, unit.
    Split = 17,
    /// Items found at a gate; name of the gate, unit.
    GateItems = 18,
    /// Whether a fail was a false alarm or a pass a miss; name of the test, unit, attempt.
    Escape = 19,
    /// Move or transfer time; name of the place left, unit.
    MoveTime = 20,
    /// Age of wear at the start of a run, and whatever else is drawn once at the start.
    Start = 21,
    /// Resampling in `stats`; never part of a run.
    Resample = 22,
    /// Whether a day is bad; name of the weather, day of the run.
    Weather = 23,
}

impl Purpose {
    pub const ALL: [Purpose; 23] = [
        Purpose::TaskTime,
        Purpose::HoldTime,
        Purpose::RepairTime,
        Purpose::ReleaseGap,
        Purpose::Model,
        Purpose::Option,
        Purpose::Verdict,
        Purpose::Outcome,
        Purpose::Load,
        Purpose::StopGap,
        Purpose::Absence,
        Purpose::StopCall,
        Purpose::CallSolved,
        Purpose::LotGap,
        Purpose::LotLate,
        Purpose::Shortage,
        Purpose::Split,
        Purpose::GateItems,
        Purpose::Escape,
        Purpose::MoveTime,
        Purpose::Start,
        Purpose::Resample,
        Purpose::Weather,
    ];
}

/// The words of one name under one seed, in one replication.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stream {
    key: [u32; 2],
    replication: u32,
}

impl Stream {
    /// Hashes seed, purpose and name: once when a line is compiled, never per draw.
    ///
    /// # Panics
    /// Where `replication` is not below [`MAX_REPLICATIONS`]; settings are checked against it.
    pub fn new(seed: u64, replication: u32, purpose: Purpose, name: &str) -> Stream {
        let mut hasher = SipHasher24::new_with_keys(0x0706_0504_0302_0100, 0x0f0e_0d0c_0b0a_0908);
        hasher.write(&seed.to_le_bytes());
        hasher.write(&[purpose as u8]);
        hasher.write(name.as_bytes());
        let key = hasher.finish();
        Stream { key: [key as u32, (key >> 32) as u32], replication: 0 }.of_replication(replication)
    }

    /// The same name in another replication; costs nothing.
    ///
    /// # Panics
    /// As [`Stream::new`].
    pub fn of_replication(self, replication: u32) -> Stream {
        assert!(replication < MAX_REPLICATIONS, "replication {replication} does not fit the counter");
        Stream { replication, ..self }
    }

    /// The 64 bits that seed, purpose and name were hashed to.
    pub fn key(&self) -> u64 {
        u64::from(self.key[1]) << 32 | u64::from(self.key[0])
    }

    /// Block number `block`, below [`MAX_BLOCKS`], of one draw.
    #[inline]
    pub fn block(&self, index: u64, visit: u32, block: u32) -> (u64, u64) {
        debug_assert!(block < MAX_BLOCKS, "one draw took {block} blocks");
        let counter = [index as u32, (index >> 32) as u32, self.replication | block << 20, visit];
        words(counter, self.key)
    }

    /// Uniform on the multiples of 2^-53 strictly between 0 and 1 (a zero becomes 2^-54).
    #[inline]
    pub fn uniform(&self, index: u64, visit: u32) -> f64 {
        open_unit(self.block(index, visit, 0).0)
    }

    /// Both uniforms of one block, for a question with two halves; the first is [`Stream::uniform`].
    #[inline]
    pub fn two_uniforms(&self, index: u64, visit: u32, block: u32) -> (f64, f64) {
        let (first, second) = self.block(index, visit, block);
        (open_unit(first), open_unit(second))
    }
}

/// The upper 53 bits as a number inside (0, 1). With `1 - u` exact, tails are alike at both ends.
#[inline]
pub(super) fn open_unit(word: u64) -> f64 {
    const STEP: f64 = 1.0 / (1_u64 << 53) as f64;
    ((word >> 11) as f64).max(0.5) * STEP
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::philox4x32_10;
    use std::collections::BTreeSet;

    #[test]
    fn the_hash_gives_its_published_answer() {
        // Source: Aumasson & Bernstein, "SipHash: a fast short-input PRF" (2012), appendix A.
        let mut hasher = SipHasher24::new_with_keys(0x0706_0504_0302_0100, 0x0f0e_0d0c_0b0a_0908);
        hasher.write(&(0..15).collect::<Vec<u8>>());
        assert_eq!(hasher.finish(), 0xa129_ca61_49be_45e5);
    }

    #[test]
    fn keys_and_counters_are_laid_out_as_documented() {
        let stream = Stream::new(0x0706_0504_0302_0100, 3, Purpose::Option, "ab");
        let mut hasher = SipHasher24::new_with_keys(0x0706_0504_0302_0100, 0x0f0e_0d0c_0b0a_0908);
        hasher.write(&[0, 1, 2, 3, 4, 5, 6, 7, 6, b'a', b'b']);
        let key = hasher.finish();
        assert_eq!(stream.key(), key);
        let counter = [0x89ab_cdef, 0x0123_4567, 3 | 5 << 20, 9];
        let [a, b, c, d] = philox4x32_10(counter, [key as u32, (key >> 32) as u32]).map(u64::from);
        assert_eq!(stream.block(0x0123_4567_89ab_cdef, 9, 5), (b << 32 | a, d << 32 | c));
    }

    #[test]
    fn pinned_keys_and_uniforms_stay() {
        // Our own pins: if one moves, every published number of every run moves with it.
        let stream = Stream::new(1, 0, Purpose::TaskTime, "weld frame");
        assert_eq!(stream.key(), 0xb507_858d_93df_9453);
        assert_eq!(stream.uniform(0, 0).to_bits(), 0x3fe2_e30a_b10a_1b94);
        assert_eq!(stream.of_replication(7).uniform(41, 2).to_bits(), 0x3fe6_5e32_c0e7_13f2);
    }

    #[test]
    fn uniforms_stay_strictly_inside() {
        assert_eq!(open_unit(0), libm::exp2(-54.0));
        assert_eq!(open_unit(1 << 11), libm::exp2(-53.0));
        assert_eq!(open_unit(u64::MAX), 1.0 - libm::exp2(-53.0));
    }

    #[test]
    fn every_part_of_the_question_changes_the_answer() {
        let base = Stream::new(1, 0, Purpose::TaskTime, "a");
        let others = [
            Stream::new(2, 0, Purpose::TaskTime, "a"),
            Stream::new(1, 1, Purpose::TaskTime, "a"),
            Stream::new(1, 0, Purpose::HoldTime, "a"),
            Stream::new(1, 0, Purpose::TaskTime, "b"),
            Stream::new(1, 0, Purpose::TaskTime, ""),
        ];
        let mut seen: BTreeSet<(u64, u64)> = others.iter().map(|s| s.block(5, 0, 0)).collect();
        for (index, visit, block) in [(5, 0, 0), (6, 0, 0), (5 + (1 << 32), 0, 0), (5, 1, 0), (5, 0, 1)] {
            seen.insert(base.block(index, visit, block));
        }
        assert_eq!(seen.len(), 10);
    }

    #[test]
    #[should_panic(expected = "does not fit the counter")]
    fn a_replication_too_many_is_refused() {
        Stream::new(1, MAX_REPLICATIONS, Purpose::Load, "x");
    }

    #[test]
    fn a_hundred_thousand_names_get_as_many_keys() {
        let mut keys = BTreeSet::new();
        for n in 0..50_000 {
            keys.insert(Stream::new(1, 0, Purpose::TaskTime, &format!("task {n}")).key());
            keys.insert(Stream::new(1, 0, Purpose::HoldTime, &format!("task {n}")).key());
        }
        assert_eq!(keys.len(), 100_000);
        let low: BTreeSet<u32> = keys.iter().map(|k| *k as u32).collect();
        // Of 1e5 random 32-bit words about 1.16 pairs collide; eight would be one chance in 1e5.
        assert!(low.len() > 100_000 - 8, "{}", low.len());
    }

    fn correlation(pairs: impl Iterator<Item = (f64, f64)>) -> (f64, f64) {
        let (mut n, mut sum) = (0.0, 0.0);
        for (x, y) in pairs {
            n += 1.0;
            sum += (x - 0.5) * (y - 0.5);
        }
        // Variance of a uniform is 1/12; the estimate's standard error is 1/sqrt(n).
        (12.0 * sum / n, 1.0 / f64::sqrt(n))
    }

    #[test]
    fn neighbours_in_every_direction_are_uncorrelated() {
        // Bound 4.5 standard errors per pair: one chance in 1.5e5 each, six pairings of 2e5 draws.
        let n = 200_000_u64;
        let one = Stream::new(7, 0, Purpose::TaskTime, "S1");
        let two = Stream::new(7, 0, Purpose::TaskTime, "S2");
        let hold = Stream::new(7, 0, Purpose::HoldTime, "S1");
        let next_seed = Stream::new(8, 0, Purpose::TaskTime, "S1");
        let next_day = one.of_replication(1);
        let u = |s: Stream, i, v| s.uniform(i, v);
        let found = [
            ("consecutive units", correlation((0..n).map(|i| (u(one, i, 0), u(one, i + 1, 0))))),
            ("similar names", correlation((0..n).map(|i| (u(one, i, 0), u(two, i, 0))))),
            ("purposes", correlation((0..n).map(|i| (u(one, i, 0), u(hold, i, 0))))),
            ("seeds", correlation((0..n).map(|i| (u(one, i, 0), u(next_seed, i, 0))))),
            ("replications", correlation((0..n).map(|i| (u(one, i, 0), u(next_day, i, 0))))),
            ("visits", correlation((0..n).map(|i| (u(one, i, 0), u(one, i, 1))))),
            ("halves of a block", correlation((0..n).map(|i| one.two_uniforms(i, 0, 0)))),
        ];
        for (what, (r, error)) in found {
            assert!(r.abs() < 4.5 * error, "{what}: correlation {r}, standard error {error}");
        }
    }

    #[test]
    fn many_similar_names_are_uncorrelated_pairwise() {
        // 100 names, 4950 pairs, 1000 units: the sum of n r^2 is chi-square with 4950 degrees of
        // freedom, standard deviation 99.5.
        let rows: Vec<Vec<f64>> = (0..100)
            .map(|k| Stream::new(1, 0, Purpose::TaskTime, &format!("a{k:02}")))
            .map(|s| (0..1000).map(|i| s.uniform(i, 0)).collect())
            .collect();
        let mut total = 0.0;
        for (k, row) in rows.iter().enumerate() {
            for other in &rows[..k] {
                let (r, error) = correlation(row.iter().copied().zip(other.iter().copied()));
                total += r * r / (error * error);
            }
        }
        assert!((total - 4950.0).abs() < 4.5 * 99.5, "{total}");
    }

    #[test]
    fn cells_of_consecutive_pairs_fill_evenly() {
        // 64 x 64 cells over 4e5 pairs of consecutive units: chi-square, 4095 degrees of freedom,
        // standard deviation 90.5; a counter that shows through would fill stripes.
        let stream = Stream::new(3, 2, Purpose::Verdict, "flood test");
        let mut cells = vec![0_u32; 4096];
        for i in 0..400_000_u64 {
            let (x, y) = (stream.uniform(2 * i, 0), stream.uniform(2 * i + 1, 0));
            cells[(x * 64.0) as usize * 64 + (y * 64.0) as usize] += 1;
        }
        let expected = 400_000.0 / 4096.0;
        let total: f64 = cells.iter().map(|c| (f64::from(*c) - expected) * (f64::from(*c) - expected)).sum();
        let chi = total / expected;
        assert!((chi - 4095.0).abs() < 4.5 * 90.5, "{chi}");
    }
}
