//! Shortest pace for a number of stations: the first aim asked for one capacity after the other.

use super::answer::{Answer, Budget, StoppedBy};
use super::search::fewest_stations;
use super::tasks::Tasks;
use super::weights::up;

/// The best pace found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PaceAnswer {
    /// For each task, from 0.
    pub station_of: Vec<usize>,
    /// The largest load: the shortest pace these stations can keep.
    pub pace: i64,
    /// No assignment to so many stations has a shorter pace.
    pub lower_bound: i64,
    pub steps: u64,
    pub stopped_by: StoppedBy,
}

impl PaceAnswer {
    pub fn is_proven(&self) -> bool {
        self.pace == self.lower_bound
    }
}

/// Assigns `tasks` to `stations` stations (at least 1) so that the largest load is as small as
/// possible. `budget.enough` has no meaning here.
///
/// Halves the range between what is proven too short and what is known to do; where a question stays
/// open within its share of the steps, goes on above it, and the answer is not proven.
pub fn shortest_pace(tasks: &Tasks, stations: usize, budget: &Budget) -> PaceAnswer {
    let stations = stations.max(1);
    let longest = tasks.times().iter().copied().max().unwrap_or(0);
    let mut lower = longest.max(up(tasks.sum(), stations as i64));
    let mut search = Open { tasks, stations, budget, steps: 0 };
    // The sum in one station always does.
    let mut best = (vec![0; tasks.len()], tasks.sum());
    // Everything under this is proven too short or was not settled.
    let mut from = lower;
    let mut stopped_by = StoppedBy::Proof;
    while from < best.1 {
        let gap = best.1 - from;
        // Good answers lie near the bound: look there first, further away each time it was too short.
        let tried =
            if best.1 > lower + lower / 4 { from + (gap / 8).min(lower / 16) } else { from + gap / 2 };
        let Some(answer) = search.ask(tried) else {
            from = tried + 1;
            continue;
        };
        if answer.stations <= stations {
            best = (answer.station_of.clone(), largest(tasks, &answer.station_of));
        } else if answer.lower_bound > stations {
            if lower == from {
                lower = tried + 1;
            }
            from = tried + 1;
        } else {
            stopped_by = answer.stopped_by;
            if answer.stopped_by == StoppedBy::Caller || search.steps >= budget.most_steps {
                break;
            }
            from = tried + 1;
        }
    }
    PaceAnswer {
        station_of: best.0,
        pace: best.1,
        lower_bound: lower.min(best.1),
        steps: search.steps,
        stopped_by: if lower >= best.1 { StoppedBy::Proof } else { stopped_by },
    }
}

/// The questions of one search for a pace.
struct Open<'a, 'b> {
    tasks: &'a Tasks,
    stations: usize,
    budget: &'a Budget<'b>,
    steps: u64,
}

impl Open<'_, '_> {
    /// Do the stations suffice at this capacity? `None` where a task is longer.
    fn ask(&mut self, capacity: i64) -> Option<Answer> {
        let left = self.budget.most_steps.saturating_sub(self.steps);
        let budget = Budget {
            most_steps: left.div_ceil(4),
            most_memory: self.budget.most_memory,
            enough: self.stations,
            most_stations: Some(self.stations),
            stop: self.budget.stop,
        };
        let answer = fewest_stations(self.tasks, capacity, &budget).ok()?;
        self.steps += answer.steps;
        Some(answer)
    }
}

fn largest(tasks: &Tasks, station_of: &[usize]) -> i64 {
    let mut loads = vec![0; station_of.iter().max().map_or(0, |s| s + 1)];
    station_of.iter().zip(tasks.times()).for_each(|(s, t)| loads[*s] += t);
    loads.into_iter().max().unwrap_or(0)
}
