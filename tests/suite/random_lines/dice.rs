//! A small generator of numbers for the tests alone (Steele, Lea & Flood 2014, SplitMix64).

/// Throws the same numbers for the same seed, for ever.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5851_F42D_4C95_7F2D)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From `low` to `high`, both included.
    pub fn from(&mut self, low: u32, high: u32) -> u32 {
        low + (self.next() % u64::from(high - low + 1)) as u32
    }

    /// True in so many of a hundred cases.
    pub fn chance(&mut self, percent: u32) -> bool {
        self.from(1, 100) <= percent
    }

    pub fn one_of<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        &items[self.from(0, items.len() as u32 - 1) as usize]
    }
}
