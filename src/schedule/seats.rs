//! The people of a set, one after another: bit p is seat p of a gang.

/// Seats in the order of the file. Two halves: a set of 128 is dear to shift at every step.
#[derive(Clone, Copy, Debug)]
pub struct Seats {
    low: u64,
    high: u64,
}

#[inline]
pub fn seats(people: u128) -> Seats {
    Seats { low: people as u64, high: (people >> 64) as u64 }
}

/// How many they are: few, most often, so they are counted one by one.
#[inline]
pub fn heads(people: u128) -> u32 {
    seats(people).count() as u32
}

/// Whether seat `p` is in the set.
#[inline]
pub fn sits(people: u128, p: usize) -> bool {
    let half = if p < 64 { people as u64 } else { (people >> 64) as u64 };
    half >> (p % 64) & 1 == 1
}

impl Iterator for Seats {
    type Item = usize;

    #[inline]
    fn next(&mut self) -> Option<usize> {
        let (half, base) = if self.low != 0 { (&mut self.low, 0) } else { (&mut self.high, 64) };
        if *half == 0 {
            return None;
        }
        let p = half.trailing_zeros() as usize;
        *half &= *half - 1;
        Some(base + p)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_seat_comes_once_and_in_order() {
        let people = 1u128 | 1 << 5 | 1 << 63 | 1 << 64 | 1 << 127;
        assert_eq!(seats(people).collect::<Vec<_>>(), [0, 5, 63, 64, 127]);
        assert!((0..128).all(|p| sits(people, p) == (people >> p & 1 == 1)));
        assert_eq!((seats(0).next(), heads(people), heads(0)), (None, 5, 0));
    }
}
