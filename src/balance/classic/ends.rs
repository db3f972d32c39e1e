//! Tails: how many stations must stand after a task's station. Heads are the tails of the line seen
//! from its other end.
//!
//! The one-machine bound with its rounding is that of Scholl & Klein, "SALOME: a bidirectional
//! branch-and-bound procedure for assembly line balancing", INFORMS J. on Computing 9 (1997) (there
//! LM4 and the tails n_j); beside it stand bin packing bounds of a task with all that must follow,
//! and of the tasks between two.

use super::set::Set;
use super::weights::{need, up};

/// Beyond so many tasks the bounds between two tasks are left out: they cost the cube.
const MOST_PAIRED: usize = 128;

/// Stations that must follow each task's own, and those that all tasks together need.
pub struct Tails {
    pub stations: Vec<usize>,
    pub all: usize,
}

/// `after[k]` are all tasks that must follow task k, `order` has every task after its predecessors.
pub fn tails<const W: usize>(times: &[i64], capacity: i64, after: &[Set<W>], order: &[usize]) -> Tails {
    let n = times.len();
    let paired = n <= MOST_PAIRED;
    // Work that must be done after the end of a task, in time, as if stations were one machine.
    let mut rest = vec![0i64; n];
    let mut stations = vec![0usize; n];
    // All tasks before k, for the tasks between two.
    let mut before = vec![Set::<W>::EMPTY; if paired { n } else { 0 }];
    if paired {
        for (k, followers) in after.iter().enumerate() {
            followers.iter().for_each(|f| before[f].add(k));
        }
    }
    for &task in order.iter().rev() {
        let mut longest = one_machine(after[task].iter(), times, &rest);
        let with_own: Vec<i64> = std::iter::once(task).chain(after[task].iter()).map(|k| times[k]).collect();
        longest = longest.max((need(&with_own, capacity) - 1) * capacity);
        if paired {
            for later in after[task].iter() {
                let mut group = after[task].and(&before[later]);
                group.add(task);
                group.add(later);
                let group: Vec<i64> = group.iter().map(|k| times[k]).collect();
                longest = longest.max((stations[later] as i64 + need(&group, capacity) - 1) * capacity);
            }
        }
        // Where the task no longer fits in front of what must follow in the same station, that
        // starts at a station of its own.
        let whole = up(longest, capacity) * capacity;
        rest[task] = if times[task] + longest > whole { whole } else { longest };
        stations[task] = (up(times[task] + rest[task], capacity) - 1).max(0) as usize;
    }
    let all = up(one_machine(0..n, times, &rest), capacity) as usize;
    Tails { stations, all }
}

/// Least time from the start of some jobs to the end of all, each with its rest after it: longest
/// rest first is best.
fn one_machine(tasks: impl Iterator<Item = usize>, times: &[i64], rest: &[i64]) -> i64 {
    let mut jobs: Vec<(i64, i64)> = tasks.map(|k| (rest[k], times[k])).collect();
    jobs.sort_unstable_by(|a, b| b.cmp(a));
    let (mut done, mut longest) = (0, 0);
    for (rest, time) in jobs {
        done += time;
        longest = longest.max(done + rest);
    }
    longest
}
