//! A set of parts, walked from the end of the line.

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
}
