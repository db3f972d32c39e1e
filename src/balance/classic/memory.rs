//! Every state met: which tasks are done, in how many stations, and from which state.

use super::set::Set;

/// No state.
pub const NONE: u32 = u32::MAX;

/// States in flat arrays, found again by their set of tasks.
pub struct Memory<const W: usize> {
    pub done: Vec<Set<W>>,
    pub stations: Vec<u16>,
    pub from: Vec<u32>,
    /// Open addressing; a power of two.
    slots: Vec<u32>,
}

/// What came of offering a state.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Met {
    New(u32),
    /// Known with more stations until now.
    Better(u32),
    /// Known with as few.
    Known,
}

impl<const W: usize> Memory<W> {
    pub fn new() -> Memory<W> {
        Memory { done: Vec::new(), stations: Vec::new(), from: Vec::new(), slots: vec![NONE; 1 << 12] }
    }

    pub fn len(&self) -> usize {
        self.done.len()
    }

    /// Bytes that one state takes, table included.
    pub const fn bytes_each() -> usize {
        8 * W + 2 + 4 + 3 * 4
    }

    pub fn meet(&mut self, done: &Set<W>, stations: u16, from: u32) -> Met {
        if 2 * (self.len() + 1) > self.slots.len() {
            self.grow();
        }
        let mask = self.slots.len() - 1;
        let mut at = done.hash() as usize & mask;
        loop {
            match self.slots[at] {
                NONE => {
                    let id = self.len() as u32;
                    self.slots[at] = id;
                    self.done.push(*done);
                    self.stations.push(stations);
                    self.from.push(from);
                    return Met::New(id);
                }
                id if self.done[id as usize] == *done => {
                    if self.stations[id as usize] <= stations {
                        return Met::Known;
                    }
                    self.stations[id as usize] = stations;
                    self.from[id as usize] = from;
                    return Met::Better(id);
                }
                _ => at = (at + 1) & mask,
            }
        }
    }

    fn grow(&mut self) {
        let mask = 2 * self.slots.len() - 1;
        let mut slots = vec![NONE; mask + 1];
        for (id, done) in self.done.iter().enumerate() {
            let mut at = done.hash() as usize & mask;
            while slots[at] != NONE {
                at = (at + 1) & mask;
            }
            slots[at] = id as u32;
        }
        self.slots = slots;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::balance::classic::way::set_of;

    #[test]
    fn a_state_is_kept_once_with_its_fewest_stations() {
        let mut memory = Memory::<1>::new();
        for k in 0..5_000u64 {
            let set = set_of((0..13).filter(|b| k >> b & 1 == 1));
            assert_eq!(memory.meet(&set, 5, NONE), Met::New(k as u32));
        }
        let set = set_of([0, 1].into_iter());
        assert_eq!(memory.meet(&set, 5, 0), Met::Known);
        assert_eq!(memory.meet(&set, 4, 2), Met::Better(3));
        assert_eq!((memory.stations[3], memory.from[3], memory.len()), (4, 2, 5_000));
    }
}
