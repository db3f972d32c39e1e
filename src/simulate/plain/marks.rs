//! A set of parts, walked from the end of the line, or of bays, taken from the first.

#[derive(Clone, Debug)]
pub(super) struct Marks {
    /// Most lines have no more parts than these.
    first: u64,
    /// Of part 64 and on.
    others: Vec<u64>,
}

impl Marks {
    pub fn none_of(parts: usize) -> Marks {
        Marks { first: 0, others: vec![0; parts.div_ceil(64).saturating_sub(1)] }
    }

    #[inline]
    pub fn set(&mut self, part: usize) {
        let word = match part.checked_sub(64) {
            None => &mut self.first,
            Some(other) => &mut self.others[other / 64],
        };
        *word |= 1 << (part % 64);
    }

    /// Takes the first one out.
    #[inline]
    pub fn take_first(&mut self) -> Option<usize> {
        for (at, word) in std::iter::once(&mut self.first).chain(&mut self.others).enumerate() {
            if *word != 0 {
                let bit = word.trailing_zeros() as usize;
                *word &= *word - 1;
                return Some(at * 64 + bit);
            }
        }
        None
    }

    /// Takes the last one out.
    #[inline]
    pub fn take_last(&mut self) -> Option<usize> {
        for (at, word) in self.others.iter_mut().enumerate().rev() {
            if let Some(bit) = last_of(word) {
                return Some((at + 1) * 64 + bit);
            }
        }
        last_of(&mut self.first)
    }
}

#[inline]
fn last_of(word: &mut u64) -> Option<usize> {
    let bit = word.checked_ilog2()?;
    *word &= !(1 << bit);
    Some(bit as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_part_comes_out_first() {
        let mut marks = Marks::none_of(200);
        [3, 64, 63, 199, 128, 3].into_iter().for_each(|part| marks.set(part));
        let out: Vec<usize> = std::iter::from_fn(|| marks.take_last()).collect();
        assert_eq!(out, [199, 128, 64, 63, 3]);
    }

    #[test]
    fn the_first_part_comes_out_first_where_asked_so() {
        let mut marks = Marks::none_of(200);
        [64, 3, 63, 199, 128, 3].into_iter().for_each(|part| marks.set(part));
        let out: Vec<usize> = std::iter::from_fn(|| marks.take_first()).collect();
        assert_eq!(out, [3, 63, 64, 128, 199]);
    }
}
