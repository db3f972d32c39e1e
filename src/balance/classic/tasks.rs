//! What is to be assigned: tasks with times and precedence, checked once.

/// Most tasks that are taken.
pub const MOST_TASKS: usize = 10_240;

/// Tasks with whole-number times; who comes before whom has no circle.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tasks {
    times: Vec<i64>,
    /// Direct predecessors of each task, rising, each once.
    before: Vec<Vec<usize>>,
    /// Every task after its predecessors.
    order: Vec<usize>,
}

/// Why tasks can't be taken.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum TasksFault {
    NegativeTime {
        task: usize,
    },
    /// Times so long that sums of them could not be told apart from nonsense.
    TimesTooLong,
    NoSuchTask {
        task: usize,
    },
    /// Each before the next, the last before the first.
    Circle {
        tasks: Vec<usize>,
    },
    TooMany {
        found: usize,
        most: usize,
    },
}

impl Tasks {
    /// `arcs` are pairs (earlier, later) of task numbers from 0.
    ///
    /// # Errors
    /// A time under 0, times that sum to 2^53 or more, an arc to nowhere, a circle, or more tasks
    /// than the limit.
    pub fn new(times: Vec<i64>, arcs: &[(usize, usize)]) -> Result<Tasks, TasksFault> {
        let n = times.len();
        if n > MOST_TASKS {
            return Err(TasksFault::TooMany { found: n, most: MOST_TASKS });
        }
        if let Some(task) = times.iter().position(|t| *t < 0) {
            return Err(TasksFault::NegativeTime { task });
        }
        if times.iter().try_fold(0i64, |sum, t| sum.checked_add(*t)).is_none_or(|sum| sum >= 1 << 53) {
            return Err(TasksFault::TimesTooLong);
        }
        let mut before = vec![Vec::new(); n];
        for &(first, later) in arcs {
            for task in [first, later] {
                if task >= n {
                    return Err(TasksFault::NoSuchTask { task });
                }
            }
            before[later].push(first);
        }
        for list in &mut before {
            list.sort_unstable();
            list.dedup();
        }
        let order = order_of(&before)?;
        Ok(Tasks { times, before, order })
    }

    pub fn len(&self) -> usize {
        self.times.len()
    }

    pub fn is_empty(&self) -> bool {
        self.times.is_empty()
    }

    pub fn times(&self) -> &[i64] {
        &self.times
    }

    pub fn before(&self, task: usize) -> &[usize] {
        &self.before[task]
    }

    /// Every task after its predecessors; among those free to go, the lowest number first.
    pub fn order(&self) -> &[usize] {
        &self.order
    }

    pub fn sum(&self) -> i64 {
        self.times.iter().sum()
    }

    /// Direct followers of each task, rising.
    pub fn followers(&self) -> Vec<Vec<usize>> {
        followers_of(&self.before)
    }

    /// The same line seen from its end.
    pub fn reversed(&self) -> Tasks {
        Tasks {
            times: self.times.clone(),
            before: self.followers(),
            order: self.order.iter().rev().copied().collect(),
        }
    }

    /// Does every task stand in one of `stations` stations, none before a predecessor's, and is no
    /// station over `capacity`?
    pub fn accepts(&self, station_of: &[usize], stations: usize, capacity: i64) -> bool {
        let mut loads = vec![0i64; stations];
        if station_of.len() != self.len() || station_of.iter().any(|s| *s >= stations) {
            return false;
        }
        for (task, station) in station_of.iter().enumerate() {
            loads[*station] += self.times[task];
            if self.before[task].iter().any(|p| station_of[*p] > *station) {
                return false;
            }
        }
        loads.iter().all(|load| *load <= capacity)
    }
}

fn followers_of(before: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut after = vec![Vec::new(); before.len()];
    for (later, list) in before.iter().enumerate() {
        for first in list {
            after[*first].push(later);
        }
    }
    after
}

fn order_of(before: &[Vec<usize>]) -> Result<Vec<usize>, TasksFault> {
    let n = before.len();
    let after = followers_of(before);
    let mut open: Vec<usize> = before.iter().map(Vec::len).collect();
    let mut free: std::collections::BTreeSet<usize> = (0..n).filter(|k| open[*k] == 0).collect();
    let mut order = Vec::with_capacity(n);
    while let Some(task) = free.pop_first() {
        order.push(task);
        for later in &after[task] {
            open[*later] -= 1;
            if open[*later] == 0 {
                free.insert(*later);
            }
        }
    }
    match order.len() == n {
        true => Ok(order),
        false => Err(TasksFault::Circle { tasks: circle(before, &open) }),
    }
}

/// Walks back from task to open predecessor until one comes again.
fn circle(before: &[Vec<usize>], open: &[usize]) -> Vec<usize> {
    let mut path: Vec<usize> = open.iter().position(|o| *o > 0).into_iter().collect();
    while let Some(last) = path.last() {
        let Some(next) = before[*last].iter().copied().find(|p| open[*p] > 0) else { break };
        if let Some(from) = path.iter().position(|p| *p == next) {
            path.drain(..from);
            path.reverse();
            return path;
        }
        path.push(next);
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_is_refused_with_its_path() {
        let found = Tasks::new(vec![1; 5], &[(0, 1), (1, 2), (2, 3), (3, 1), (3, 4)]);
        assert_eq!(found, Err(TasksFault::Circle { tasks: vec![2, 3, 1] }));
        assert_eq!(Tasks::new(vec![1], &[(0, 0)]), Err(TasksFault::Circle { tasks: vec![0] }));
    }

    #[test]
    fn times_that_are_no_times_are_refused() {
        assert_eq!(Tasks::new(vec![1, -1], &[]), Err(TasksFault::NegativeTime { task: 1 }));
        assert_eq!(Tasks::new(vec![i64::MAX, 1], &[]), Err(TasksFault::TimesTooLong));
        assert_eq!(Tasks::new(vec![1], &[(0, 3)]), Err(TasksFault::NoSuchTask { task: 3 }));
        assert!(Tasks::new(vec![0; MOST_TASKS + 1], &[]).is_err());
    }
}
