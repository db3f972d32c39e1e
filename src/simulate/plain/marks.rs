//! A set of parts, walked from the end of the line.

#[derive(Clone, Debug)]
pub(super) struct Marks {
    words: Vec<u64>,
}

impl Marks {
    pub fn none_of(parts: usize) -> Marks {
        Marks { words: vec![0; parts.div_ceil(64)] }
    }

    #[inline]
    pub fn set(&mut self, part: usize) {
        self.words[part / 64] |= 1 << (part % 64);
    }

    /// Takes the last one out.
    #[inline]
    pub fn take_last(&mut self) -> Option<usize> {
        for (at, word) in self.words.iter_mut().enumerate().rev() {
            if *word != 0 {
                let bit = 63 - word.leading_zeros() as usize;
                *word &= !(1 << bit);
                return Some(at * 64 + bit);
            }
        }
        None
    }
}
