//! Which places may take a unit: marked when something changes, looked through from the end of the line.

use super::run::Run;
use super::watcher::Watcher;

impl<W: Watcher> Run<'_, W> {
    #[inline]
    pub fn touch(&mut self, place: usize) {
        self.dirty_places[place / 64] |= 1 << (place % 64);
    }

    /// Every place and every exit.
    pub fn touch_all(&mut self) {
        for place in 0..=self.c.line.places.len() + self.feeders.len() {
            self.touch(place);
        }
    }

    /// The place nearest to the end that may take a unit.
    #[inline]
    pub fn next_dirty_place(&mut self) -> Option<usize> {
        for word in (0..self.dirty_places.len()).rev() {
            let bits = self.dirty_places[word];
            if bits != 0 {
                let top = 63 - bits.leading_zeros() as usize;
                self.dirty_places[word] &= !(1 << top);
                return Some(word * 64 + top);
            }
        }
        None
    }

    pub fn moves_are_due(&self) -> bool {
        let pushes = || self.stretches.iter().zip(&self.c.stretches).any(|(s, c)| c.pushed && s.check);
        self.dirty_places.iter().any(|w| *w != 0)
            || !self.leavers.is_empty()
            || (self.c.has_pushed && pushes())
    }
}
