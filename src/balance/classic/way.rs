//! A balancing question seen from one end of the line, with all that a search looks up.

use super::ends::tails;
use super::set::Set;
use super::tasks::Tasks;
use super::weights::{WEIGHTS, chosen};

pub struct Way<const W: usize> {
    pub capacity: i64,
    pub time: Vec<i64>,
    /// Direct followers and how many direct predecessors.
    pub next: Vec<Vec<u16>>,
    pub open_at_start: Vec<u16>,
    /// All followers.
    pub after: Vec<Set<W>>,
    pub all: Set<W>,
    /// Tasks that something follows.
    pub followed: Set<W>,
    /// Stations that must follow the task's own, from longest to shortest tail in `by_tail`.
    pub tail: Vec<usize>,
    pub by_tail: Vec<u16>,
    /// `at_least[s]`: tasks with s or more stations after their own.
    pub at_least: Vec<Set<W>>,
    /// Tasks that may take this task's seat with profit: not shorter, followed by all that follow it
    /// (Jackson 1956, as widened by Scholl & Klein 1997). Equal tasks: the lower number is better.
    pub better: Vec<Set<W>>,
    /// Tasks by rising time: those up to each time.
    short: Vec<(i64, Set<W>)>,
    pub weight: Vec<[i64; WEIGHTS]>,
    pub cap: [i64; WEIGHTS],
    /// Place of a task in the order in which loads are tried: longest first.
    pub rank: Vec<u32>,
    /// Stations that all tasks need, by tails alone.
    pub needed: usize,
}

impl<const W: usize> Way<W> {
    /// `tasks` all fit a station of `capacity` > 0 and number at most 64 x W.
    pub fn new(tasks: &Tasks, capacity: i64) -> Way<W> {
        let n = tasks.len();
        let time = tasks.times().to_vec();
        let next = tasks.followers();
        let mut after = vec![Set::EMPTY; n];
        for &task in tasks.order().iter().rev() {
            let mut all = Set::EMPTY;
            for &f in &next[task] {
                all = all.or(&after[f]);
                all.add(f);
            }
            after[task] = all;
        }
        let ends = tails(&time, capacity, &after, tasks.order());
        let tail = ends.stations;
        let longest = tail.iter().copied().max().unwrap_or(0);
        let at_least = (0..=longest).map(|s| set_of((0..n).filter(|k| tail[*k] >= s))).collect();
        let mut by_tail: Vec<u16> = (0..n as u16).collect();
        by_tail.sort_by_key(|k| (std::cmp::Reverse(tail[*k as usize]), *k));
        let weights = chosen(&time, capacity);
        let mut by_time: Vec<usize> = (0..n).collect();
        by_time.sort_by_key(|k| (std::cmp::Reverse((time[*k], after[*k].len())), *k));
        let mut rank = vec![0; n];
        by_time.iter().enumerate().for_each(|(place, task)| rank[*task] = place as u32);
        Way {
            capacity,
            open_at_start: (0..n).map(|k| tasks.before(k).len() as u16).collect(),
            next: next.iter().map(|list| list.iter().map(|k| *k as u16).collect()).collect(),
            all: set_of(0..n),
            followed: set_of((0..n).filter(|k| !next[*k].is_empty())),
            better: better(&time, &after),
            short: short(&time),
            weight: (0..n).map(|k| std::array::from_fn(|w| weights[w].of[k])).collect(),
            cap: std::array::from_fn(|w| weights[w].cap),
            needed: ends.all,
            tail,
            by_tail,
            at_least,
            after,
            time,
            rank,
        }
    }

    pub fn len(&self) -> usize {
        self.time.len()
    }

    /// Tasks no longer than `room` >= 0.
    pub fn fitting(&self, room: i64) -> &Set<W> {
        let at = self.short.partition_point(|(time, _)| *time <= room);
        &self.short[at - 1].1
    }

    /// Tasks with at least so many stations after their own.
    pub fn with_tail(&self, stations: usize) -> Set<W> {
        self.at_least.get(stations).copied().unwrap_or(Set::EMPTY)
    }

    /// Sum of every weight over some tasks.
    pub fn weigh(&self, tasks: impl Iterator<Item = usize>) -> [i64; WEIGHTS] {
        let mut sum = [0; WEIGHTS];
        for task in tasks {
            for (s, w) in sum.iter_mut().zip(&self.weight[task]) {
                *s += w;
            }
        }
        sum
    }

    /// Can `left` be done in `stations` more stations, for all that the weights and tails say?
    pub fn may_do(&self, left: &Set<W>, stations: usize) -> bool {
        let mut sum = [0; WEIGHTS];
        for &task in &self.by_tail {
            let task = task as usize;
            if !left.has(task) {
                continue;
            }
            let tail = self.tail[task];
            if tail + 1 > stations {
                return false;
            }
            let room = (stations - tail) as i64;
            let mut over = false;
            for ((s, w), cap) in sum.iter_mut().zip(&self.weight[task]).zip(&self.cap) {
                *s += w;
                over |= *s > room * cap;
            }
            if over {
                return false;
            }
        }
        true
    }
}

pub fn set_of<const W: usize>(tasks: impl Iterator<Item = usize>) -> Set<W> {
    let mut set = Set::EMPTY;
    tasks.for_each(|k| set.add(k));
    set
}

fn better<const W: usize>(time: &[i64], after: &[Set<W>]) -> Vec<Set<W>> {
    let n = time.len();
    let beats = |j: usize, i: usize| {
        let same = time[i] == time[j] && after[i] == after[j];
        time[j] >= time[i] && after[i].is_within(&after[j]) && (!same || j < i)
    };
    (0..n).map(|i| set_of((0..n).filter(|j| *j != i && beats(*j, i)))).collect()
}

fn short<const W: usize>(time: &[i64]) -> Vec<(i64, Set<W>)> {
    let mut order: Vec<usize> = (0..time.len()).collect();
    order.sort_by_key(|k| time[*k]);
    // An empty first entry, so that every room >= 0 finds one.
    let mut steps: Vec<(i64, Set<W>)> = vec![(-1, Set::EMPTY)];
    let mut set = Set::EMPTY;
    for task in order {
        set.add(task);
        match steps.last_mut() {
            Some(last) if last.0 == time[task] => last.1 = set,
            Some(_) | None => steps.push((time[task], set)),
        }
    }
    steps
}
