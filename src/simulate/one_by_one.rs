//! Units that people move one at a time: every move into a place of a segment that isn't pushed and says `by`, be it
//! into a bay or a slot, takes its people, and the next one may have to wait for them.
//!
//! Moves that wait are looked at again at every instant, the place nearest to the end of the line first, as all moves
//! are. A unit that a pushed segment brings comes with that push. Costs nothing where units move by themselves.

use super::run::Run;
use super::watcher::Watcher;

impl<W: Watcher> Run<'_, W> {
    /// Everything is there for a move into a place: are its people? When crews go home nothing is moved.
    #[inline]
    pub(super) fn has_movers_into(&mut self, place: usize) -> bool {
        self.movers.is_none() || self.looks_for_movers_into(place)
    }

    fn looks_for_movers_into(&mut self, place: usize) -> bool {
        let Some(stretch) = self.moved_one_by_one(place) else { return true };
        if self.going_home {
            self.movers_are_not_wanted(place);
            return false;
        }
        self.movers_are_ready(stretch, place)
    }

    /// The stretch of a place the units of which people move one by one.
    fn moved_one_by_one(&self, place: usize) -> Option<usize> {
        let stretch = self.c.stretch_of[place];
        let moved = self.c.movers.get(stretch).is_some_and(Option::is_some);
        (moved && !self.c.stretches[stretch].pushed).then_some(stretch)
    }

    /// A unit is about to go to a place: those who move it take hold.
    #[inline]
    pub(super) fn movers_go_into(&mut self, place: usize, travel: i64) {
        if travel > 0
            && !self.movers.is_none()
            && let Some(stretch) = self.moved_one_by_one(place)
        {
            self.seen.segments[stretch].moves += 1;
            self.movers_begin(stretch, place, self.clock.now() + travel);
        }
    }

    /// A unit has arrived at a place: whoever moved it is free.
    #[inline]
    pub(super) fn movers_have_come(&mut self, place: usize) {
        if !self.movers.is_none() {
            self.movers_end(self.c.stretch_of[place]);
        }
    }

    /// Moves that wait for people may go now.
    #[inline]
    pub(super) fn look_at_moves_that_wait(&mut self) {
        if !self.movers.is_none() && self.clock.attended() {
            self.move_again();
        }
    }

    fn move_again(&mut self) {
        let c = self.c;
        for (s, stretch) in c.stretches.iter().enumerate().filter(|(_, stretch)| !stretch.pushed) {
            if self.movers.are_wanted(stretch) {
                self.let_movers_begin(s);
                for place in stretch.first..=stretch.last {
                    if self.movers.are_wanted_at(place) {
                        self.touch(place);
                    }
                }
            }
        }
    }
}
