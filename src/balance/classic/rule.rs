//! Which loads of a station are worth keeping.

use super::set::Set;
use super::way::Way;
use super::weights::WEIGHTS;

/// Which loads are worth keeping.
pub(super) struct Rule<'a, const W: usize> {
    pub way: &'a Way<W>,
    /// Stations after this one.
    pub stations: usize,
    /// Weights of all that was left before this station.
    pub sums: [i64; WEIGHTS],
    /// Tasks that can't come later.
    pub must: Set<W>,
    /// Something is left that others wait for.
    pub wants_followed: bool,
}

impl<const W: usize> Rule<'_, W> {
    pub fn keeps(&self, load: &[u16], room: i64, free: &Set<W>) -> bool {
        let way = self.way;
        let mut must = self.must;
        let mut sums = self.sums;
        let mut followed = false;
        for &task in load {
            let task = task as usize;
            must.take(task);
            followed |= way.followed.has(task);
            for (s, w) in sums.iter_mut().zip(&way.weight[task]) {
                *s -= w;
            }
        }
        // A station of tasks that nothing waits for can as well be the last (Sewell & Jacobson).
        if !must.is_empty() || (self.wants_followed && !followed) {
            return false;
        }
        if sums.iter().zip(&way.cap).any(|(s, cap)| *s > self.stations as i64 * cap) {
            return false;
        }
        load.iter().all(|&task| {
            let better = way.better[task as usize].and(free);
            better.is_empty() || better.misses(way.fitting(room + way.time[task as usize]))
        })
    }
}
