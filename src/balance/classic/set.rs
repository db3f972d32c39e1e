//! Sets of tasks as words of bits.

/// A set of task numbers below 64 x `W`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Set<const W: usize>([u64; W]);

impl<const W: usize> Set<W> {
    pub const EMPTY: Set<W> = Set([0; W]);

    pub fn has(&self, task: usize) -> bool {
        self.0[task / 64] >> (task % 64) & 1 == 1
    }

    pub fn add(&mut self, task: usize) {
        self.0[task / 64] |= 1 << (task % 64);
    }

    pub fn take(&mut self, task: usize) {
        self.0[task / 64] &= !(1 << (task % 64));
    }

    pub fn and(&self, other: &Set<W>) -> Set<W> {
        Set(std::array::from_fn(|k| self.0[k] & other.0[k]))
    }

    pub fn or(&self, other: &Set<W>) -> Set<W> {
        Set(std::array::from_fn(|k| self.0[k] | other.0[k]))
    }

    pub fn without(&self, other: &Set<W>) -> Set<W> {
        Set(std::array::from_fn(|k| self.0[k] & !other.0[k]))
    }

    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|w| *w == 0)
    }

    /// Is every member also in `other`?
    pub fn is_within(&self, other: &Set<W>) -> bool {
        self.0.iter().zip(&other.0).all(|(a, b)| a & !b == 0)
    }

    /// Have the two no member in common?
    pub fn misses(&self, other: &Set<W>) -> bool {
        self.0.iter().zip(&other.0).all(|(a, b)| a & b == 0)
    }

    pub fn len(&self) -> usize {
        self.0.iter().map(|w| w.count_ones() as usize).sum()
    }

    /// Members in rising order.
    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.0.iter().enumerate().flat_map(|(k, word)| {
            let mut left = *word;
            std::iter::from_fn(move || {
                (left != 0).then(|| {
                    let bit = left.trailing_zeros() as usize;
                    left &= left - 1;
                    64 * k + bit
                })
            })
        })
    }

    /// A fixed mix of all words, for tables.
    pub fn hash(&self) -> u64 {
        // Multipliers of the 64-bit finaliser of MurmurHash3 (Appleby, public domain).
        let mut h = 0x9e37_79b9_7f4a_7c15u64;
        for word in self.0 {
            h = (h ^ word).wrapping_mul(0xff51_afd7_ed55_8ccd);
            h ^= h >> 32;
        }
        h = h.wrapping_mul(0xc4ce_b9fe_1a85_ec53);
        h ^ h >> 29
    }
}

#[cfg(test)]
mod tests {
    use super::Set;

    #[test]
    fn a_set_keeps_what_is_put_in_across_words() {
        let mut set = Set::<2>::EMPTY;
        for task in [0, 63, 64, 127] {
            set.add(task);
        }
        set.take(63);
        assert_eq!(set.iter().collect::<Vec<_>>(), [0, 64, 127]);
        assert_eq!(set.len(), 3);
        let mut part = Set::EMPTY;
        part.add(64);
        assert!(part.is_within(&set) && !set.is_within(&part) && !part.misses(&set));
        assert_eq!(set.without(&part).iter().collect::<Vec<_>>(), [0, 127]);
    }
}
