//! The event queue: a binary heap over (instant, class, place, bay, step).
//!
//! Everything that falls on one microsecond is ordered by what it is, never by when it was
//! scheduled: the whole order stands in the key. So the key is also the event.

use crate::units::Time;
use std::hint::select_unpredictable;

/// Classes of one instant, in their order; moves and starts follow when the queue has no more of
/// the instant.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
#[repr(u8)]
pub enum Class {
    /// The window counted begins or ends: before anything of that instant.
    Horizon = 0,
    /// Ends of tasks, holds, fixes, moves and stops.
    End = 1,
    /// Stops begin.
    Stop = 2,
    /// Shifts and attended stretches begin, the time before which nobody goes home is over.
    Calendar = 3,
    /// Lots come to the door of their store.
    Delivery = 4,
    Release = 5,
    Signal = 6,
}

/// What stands in the step field of an `End` that is no step.
pub const MOVE_END: u16 = u16::MAX;
pub const SLOT_ARRIVAL: u16 = u16::MAX - 1;
pub const PUSH_END: u16 = u16::MAX - 2;
/// The cause stands in the bay field.
pub const REPAIR_END: u16 = u16::MAX - 3;
/// Which carriers, stands in the bay field.
pub const CARRIER_BACK: u16 = u16::MAX - 4;
/// What was amiss with parts is put right; which ones, stands in the bay field.
pub const PART_RIGHT: u16 = u16::MAX - 5;
/// The same, by work of net time.
pub const REKIT_END: u16 = u16::MAX - 6;

/// One entry: instant, then class, rank of the place counted from the end of the line, bay, step.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Entry(u128);

impl Entry {
    #[inline]
    pub fn new(at: i64, class: Class, rank: u16, bay: u16, step: u16) -> Entry {
        debug_assert!(at >= 0, "time does not run backwards past the start");
        Entry(
            (at as u128) << 64
                | (class as u128) << 48
                | u128::from(rank) << 32
                | u128::from(bay) << 16
                | u128::from(step),
        )
    }

    #[inline]
    pub fn at(self) -> i64 {
        (self.0 >> 64) as i64
    }

    #[inline]
    pub fn class(self) -> u8 {
        (self.0 >> 48) as u8
    }

    #[inline]
    pub fn rank(self) -> u16 {
        (self.0 >> 32) as u16
    }

    #[inline]
    pub fn bay(self) -> u16 {
        (self.0 >> 16) as u16
    }

    #[inline]
    pub fn step(self) -> u16 {
        self.0 as u16
    }
}

/// Earliest entry first.
#[derive(Clone, Debug, Default)]
pub struct Queue {
    heap: Vec<u128>,
}

impl Queue {
    pub fn with_capacity(n: usize) -> Queue {
        Queue { heap: Vec::with_capacity(n) }
    }

    #[inline]
    pub fn push(&mut self, entry: Entry) {
        let hole = self.heap.len();
        self.heap.push(entry.0);
        rise(&mut self.heap, hole, entry.0);
    }

    /// Everything, in no order.
    pub fn entries(&self) -> impl Iterator<Item = Entry> {
        self.heap.iter().copied().map(Entry)
    }

    /// Everything, in no order; the queue is empty from now on.
    pub fn take_all(&mut self) -> Vec<Entry> {
        std::mem::take(&mut self.heap).into_iter().map(Entry).collect()
    }

    #[inline]
    pub fn next_at(&self) -> Time {
        self.heap.first().map_or(Time::NEVER, |e| Entry(*e).time())
    }

    #[inline]
    pub fn pop(&mut self) -> Option<Entry> {
        let last = self.heap.pop()?;
        let Some(first) = self.heap.first().copied() else {
            return Some(Entry(last));
        };
        // The hole goes down to the end of the heap, where the last entry most often belongs, and takes the earlier
        // child without a branch: which of two it is, nobody can foretell.
        let heap = &mut self.heap[..];
        let (mut hole, mut child) = (0, 1);
        while let Some(&[left, right]) = heap.get(child..child + 2) {
            let right_first = right < left;
            heap[hole] = select_unpredictable(right_first, right, left);
            hole = child + usize::from(right_first);
            child = 2 * hole + 1;
        }
        if let Some(only) = heap.get(child).copied() {
            heap[hole] = only;
            hole = child;
        }
        rise(heap, hole, last);
        Some(Entry(first))
    }
}

/// Puts an entry into the hole, or above.
#[inline]
fn rise(heap: &mut [u128], mut hole: usize, entry: u128) {
    while hole > 0 {
        let parent = (hole - 1) / 2;
        if heap[parent] <= entry {
            break;
        }
        heap[hole] = heap[parent];
        hole = parent;
    }
    heap[hole] = entry;
}

impl Entry {
    /// The same at another instant.
    pub fn moved_to(self, at: i64) -> Entry {
        Entry((at as u128) << 64 | self.0 & u128::from(u64::MAX))
    }

    #[inline]
    fn time(self) -> Time {
        Time(self.at())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_instant_has_one_order_whatever_was_scheduled_first() {
        let entries = [
            Entry::new(5, Class::Signal, 0, 0, 0),
            Entry::new(5, Class::End, 1, 0, 2),
            Entry::new(5, Class::End, 0, 1, 0),
            Entry::new(5, Class::End, 0, 0, 1),
            Entry::new(4, Class::Release, 9, 0, 0),
            Entry::new(5, Class::Horizon, 0, 0, 0),
        ];
        let mut queue = Queue::default();
        for entry in entries {
            queue.push(entry);
        }
        let mut out = Vec::new();
        while let Some(entry) = queue.pop() {
            out.push(entry);
        }
        assert_eq!(out, [entries[4], entries[5], entries[3], entries[2], entries[1], entries[0]]);
    }

    #[test]
    fn many_entries_come_out_in_order_while_others_come() {
        let mut queue = Queue::default();
        let scattered = |k: u64| (k.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40) as i64;
        let mut inside = Vec::new();
        for k in 0..2_000 {
            let entry = Entry::new(scattered(k), Class::End, 0, 0, k as u16);
            queue.push(entry);
            inside.push(entry);
            // Sizes up to 400 and down again, several times.
            let takes = if k % 800 < 400 { 0 } else { 2 };
            for _ in 0..takes {
                inside.sort_unstable();
                let first = (!inside.is_empty()).then(|| inside.remove(0));
                assert_eq!(queue.pop(), first);
            }
        }
    }
}
