//! What is to be looked at again at this instant: places that may take a unit, and bays whose state may have
//! changed.

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
            let mut bits = self.dirty_places[word];
            if self.has_own_hours() {
                bits &= self.attended_marks(word);
            }
            if bits != 0 {
                let top = 63 - bits.leading_zeros() as usize;
                self.dirty_places[word] &= !(1 << top);
                return Some(word * 64 + top);
            }
        }
        None
    }

    pub fn moves_are_due(&self) -> bool {
        let pushes = || self.c.pushed.iter().any(|s| self.stretches[*s].check);
        let marked = |word: usize| match self.has_own_hours() {
            true => self.dirty_places[word] & self.attended_marks(word) != 0,
            false => self.dirty_places[word] != 0,
        };
        (0..self.dirty_places.len()).any(marked)
            || self.somebody_leaves()
            || (!self.c.pushed.is_empty() && self.clock.attended() && pushes())
    }

    /// Of 64 places and exits those where somebody is there.
    fn attended_marks(&self, word: usize) -> u64 {
        let mut rest = self.dirty_places[word];
        let mut attended = 0;
        while rest != 0 {
            let bit = rest.trailing_zeros() as usize;
            rest &= rest - 1;
            attended |= u64::from(self.mark_is_attended(word * 64 + bit)) << bit;
        }
        attended
    }

    /// A unit that does not simply move on can leave its bay.
    #[inline]
    pub fn somebody_leaves(&self) -> bool {
        let there = |bay: &u32| self.clock_in(*bay as usize).attended();
        !self.leavers.is_empty() && (!self.has_own_hours() || self.leavers.iter().any(there))
    }

    #[inline]
    pub fn book(&mut self, bay: usize) {
        if !self.bays[bay].booked {
            self.bays[bay].booked = true;
            self.dirty_bays.push(bay as u32);
        }
    }
}
