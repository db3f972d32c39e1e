//! Fewest stations: first answers, then branch, bound and remember from both ends by turns.

use super::answer::{Answer, Best, Budget, StoppedBy};
use super::fill::Filler;
use super::first::{filled, tastes};
use super::memory::{Memory, Met, NONE};
use super::rule::Rule;
use super::set::Set;
use super::tasks::Tasks;
use super::way::Way;
use super::weights::need;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Assigns `tasks` to as few stations of `capacity` as possible; `Err` holds the first task that no
/// station can take.
///
/// # Errors
/// A task longer than the capacity (or a capacity that is not above 0).
pub fn fewest_stations(tasks: &Tasks, capacity: i64, budget: &Budget) -> Result<Answer, usize> {
    if let Some(task) = tasks.times().iter().position(|t| *t > capacity || capacity <= 0) {
        return Err(task);
    }
    Ok(match tasks.len() {
        0 => Answer {
            station_of: Vec::new(),
            stations: 0,
            lower_bound: 0,
            steps: 0,
            stopped_by: StoppedBy::Proof,
        },
        1..=64 => Both::<1>::new(tasks, capacity).solve(budget),
        65..=128 => Both::<2>::new(tasks, capacity).solve(budget),
        129..=256 => Both::<4>::new(tasks, capacity).solve(budget),
        257..=1024 => Both::<16>::new(tasks, capacity).solve(budget),
        _ => Both::<160>::new(tasks, capacity).solve(budget),
    })
}

/// The line from both ends.
struct Both<const W: usize> {
    ways: [Way<W>; 2],
    lower_bound: usize,
}

/// Steps of listing loads for one station of a first answer.
const FIRST_STEPS: u64 = 2_000;
/// Steps of a direction's first turn; each next one is twice as long.
const FIRST_TURN: u64 = 20_000;

impl<const W: usize> Both<W> {
    fn new(tasks: &Tasks, capacity: i64) -> Both<W> {
        let ways = [Way::new(tasks, capacity), Way::new(&tasks.reversed(), capacity)];
        // A task's own station, those that must follow and those that must precede it.
        let through = (0..tasks.len()).map(|k| ways[0].tail[k] + ways[1].tail[k] + 1).max().unwrap_or(0);
        let packed = need(tasks.times(), capacity) as usize;
        let lower_bound = packed.max(through).max(ways[0].needed).max(ways[1].needed).max(1);
        Both { ways, lower_bound }
    }

    fn solve(&self, budget: &Budget) -> Answer {
        let aim = self.lower_bound.max(budget.enough);
        let of_interest = budget.most_stations.unwrap_or(usize::MAX - 1);
        let mut best = Best { station_of: Vec::new(), stations: usize::MAX };
        let mut steps = 0;
        for taste in tastes() {
            for (backwards, way) in self.ways.iter().enumerate() {
                let go_on = best.stations > aim && self.lower_bound <= of_interest && !(budget.stop)();
                if go_on || best.stations == usize::MAX {
                    let mut filler = Filler::new(way);
                    let (station_of, stations) = filled(way, &mut filler, taste, FIRST_STEPS);
                    steps += filler.steps;
                    best.offer(&station_of, stations, backwards == 1);
                }
            }
        }
        let mut lower_bound = self.lower_bound;
        let mut stopped_by = StoppedBy::Proof;
        if best.stations > aim && self.lower_bound <= of_interest {
            let states = budget.most_memory / 2 / Memory::<W>::bytes_each();
            let mut searches = self.ways.each_ref().map(|way| Search::new(way, states));
            let mut better =
                Best { station_of: Vec::new(), stations: best.stations.min(of_interest.saturating_add(1)) };
            stopped_by = turns(&mut searches, &mut better, aim, budget, &mut steps);
            if stopped_by == StoppedBy::Proof && better.stations > aim {
                lower_bound = better.stations;
            }
            if !better.station_of.is_empty() {
                best = better;
            }
        }
        Answer {
            station_of: best.station_of,
            stations: best.stations,
            lower_bound: lower_bound.min(best.stations),
            steps,
            stopped_by,
        }
    }
}

/// Lets both directions search in turn until one of them has seen everything.
fn turns<const W: usize>(
    searches: &mut [Search<W>; 2],
    best: &mut Best,
    aim: usize,
    budget: &Budget,
    steps: &mut u64,
) -> StoppedBy {
    let mut turn = FIRST_TURN;
    loop {
        let mut full = 0;
        for (backwards, search) in searches.iter_mut().enumerate() {
            let before = search.filler.steps;
            let left = budget.most_steps.saturating_sub(*steps);
            let end = search.run(turn.min(left), best, aim, backwards == 1, budget.stop);
            *steps += search.filler.steps - before;
            match end {
                End::Seen => return StoppedBy::Proof,
                End::Turn if *steps >= budget.most_steps => return StoppedBy::Steps,
                End::Turn => {}
                End::Full => full += 1,
                End::Stopped => return StoppedBy::Caller,
            }
        }
        if full == searches.len() {
            return StoppedBy::Memory;
        }
        turn = (2 * turn).min(5_000_000);
    }
}

/// How one turn of a direction ended.
enum End {
    /// No better answer is left, or the aim is reached.
    Seen,
    Turn,
    /// No room for more states.
    Full,
    Stopped,
}

/// A state that waits for its loads to be listed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Waiting {
    /// Lowest first.
    key: i64,
    id: u32,
    stations: u16,
}

/// A state whose listing was cut, to be listed again with more steps.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Cut {
    most: u64,
    waiting: Waiting,
}

/// One direction.
struct Search<'a, const W: usize> {
    way: &'a Way<W>,
    filler: Filler<'a, W>,
    memory: Memory<W>,
    most_states: usize,
    /// By stations used: the states that wait.
    levels: Vec<BinaryHeap<Reverse<Waiting>>>,
    cut: BinaryHeap<Reverse<Cut>>,
    level: usize,
    found: Vec<(Waiting, Set<W>)>,
}

/// Steps for the loads of one state at first, and by how much more when they did not do.
const LISTING: u64 = 20_000;
const LONGER: u64 = 20;

impl<'a, const W: usize> Search<'a, W> {
    fn new(way: &'a Way<W>, most_states: usize) -> Search<'a, W> {
        let mut search = Search {
            way,
            filler: Filler::new(way),
            memory: Memory::new(),
            most_states,
            levels: vec![BinaryHeap::new()],
            cut: BinaryHeap::new(),
            level: 0,
            found: Vec::new(),
        };
        search.memory.meet(&Set::EMPTY, 0, NONE);
        search.levels[0].push(Reverse(Waiting { key: 0, id: 0, stations: 0 }));
        search
    }

    /// The next state, level after level, best first within each; then those that were cut.
    fn next(&mut self) -> Option<(Waiting, u64)> {
        for _ in 0..self.levels.len() {
            let level = self.level;
            self.level = (self.level + 1) % self.levels.len();
            if let Some(Reverse(waiting)) = self.levels[level].pop() {
                return Some((waiting, LISTING));
            }
        }
        self.cut.pop().map(|Reverse(cut)| (cut.waiting, cut.most))
    }

    fn run(
        &mut self,
        steps: u64,
        best: &mut Best,
        aim: usize,
        backwards: bool,
        stop: &dyn Fn() -> bool,
    ) -> End {
        let until = self.filler.steps + steps;
        let mut asked = self.filler.steps;
        while best.stations > aim {
            if self.memory.len() >= self.most_states {
                return End::Full;
            }
            if self.filler.steps >= asked {
                if stop() {
                    return End::Stopped;
                }
                asked = self.filler.steps + 50_000;
            }
            if self.filler.steps >= until {
                return End::Turn;
            }
            let Some((waiting, most)) = self.next() else { return End::Seen };
            if self.memory.stations[waiting.id as usize] < waiting.stations {
                continue;
            }
            self.expand(waiting, most, best, backwards);
        }
        End::Seen
    }

    /// Lists the loads of the next station after a state and keeps what may still lead to a better
    /// answer.
    fn expand(&mut self, waiting: Waiting, most: u64, best: &mut Best, backwards: bool) {
        let way = self.way;
        let done = self.memory.done[waiting.id as usize];
        let used = waiting.stations as usize;
        // Stations that a better answer may still use, this one included.
        let stations = (best.stations - 1).saturating_sub(used);
        let left = way.all.without(&done);
        if stations == 0 || !way.may_do(&left, stations) {
            return;
        }
        let sums = way.weigh(left.iter());
        let idle = stations as i64 * way.capacity - sums[0];
        let rule = Rule {
            way,
            stations: stations - 1,
            sums,
            must: way.with_tail(stations - 1).and(&left),
            wants_followed: !left.misses(&way.followed),
        };
        let (memory, found) = (&mut self.memory, &mut self.found);
        let most_states = self.most_states;
        found.clear();
        let mut finished: Option<Vec<u16>> = None;
        let whole = self.filler.fill(&done, idle, most, &mut |leaf| {
            if !rule.keeps(leaf.load, leaf.room, leaf.free) {
                return true;
            }
            let mut next = done;
            leaf.load.iter().for_each(|k| next.add(*k as usize));
            if next == way.all {
                finished = Some(leaf.load.to_vec());
                return false;
            }
            if memory.len() >= most_states {
                return false;
            }
            match memory.meet(&next, waiting.stations + 1, waiting.id) {
                Met::Known => {}
                Met::New(id) | Met::Better(id) => {
                    found.push((Waiting { key: 0, id, stations: waiting.stations + 1 }, next));
                }
            }
            true
        });
        if let Some(load) = finished {
            self.conclude(waiting, &load, best, backwards);
            // What else follows here can't be better: one more station was enough.
            return;
        }
        if !whole {
            let most = most.saturating_mul(LONGER);
            self.cut.push(Reverse(Cut { most, waiting }));
        }
        self.line_up(stations - 1);
    }

    /// Puts the states just found where they wait, unless they can't lead to a better answer.
    fn line_up(&mut self, stations: usize) {
        let way = self.way;
        for (mut waiting, done) in self.found.drain(..) {
            let left = way.all.without(&done);
            if !way.may_do(&left, stations) {
                continue;
            }
            let used = waiting.stations as usize;
            let rest: i64 = left.iter().map(|k| way.time[k]).sum();
            let total: i64 = way.time.iter().sum();
            let idle = used as i64 * way.capacity - (total - rest);
            waiting.key = key(idle, way.capacity, used, left.len());
            if self.levels.len() <= used {
                self.levels.resize_with(used + 1, BinaryHeap::new);
            }
            self.levels[used].push(Reverse(waiting));
        }
    }

    /// Writes down the answer that ends with `load` after a state.
    fn conclude(&mut self, waiting: Waiting, load: &[u16], best: &mut Best, backwards: bool) {
        let mut chain = vec![waiting.id];
        while let Some(id) = chain.last().map(|id| self.memory.from[*id as usize]).filter(|id| *id != NONE) {
            chain.push(id);
        }
        chain.reverse();
        let mut station_of = vec![0; self.way.len()];
        for (station, pair) in chain.windows(2).enumerate() {
            let now = self.memory.done[pair[1] as usize];
            for task in now.without(&self.memory.done[pair[0] as usize]).iter() {
                station_of[task] = station;
            }
        }
        load.iter().for_each(|task| station_of[*task as usize] = chain.len() - 1);
        best.offer(&station_of, chain.len(), backwards);
    }
}

/// Order of states in a level: little idle time per station first, and among like ones that with
/// the more, so the smaller, tasks left (Sewell & Jacobson 2012: idle / stations - 0.02 x tasks, here
/// with the capacity as 1000).
fn key(idle: i64, capacity: i64, stations: usize, left: usize) -> i64 {
    let idle = 50_000.0 * idle as f64 / (capacity as f64 * stations as f64);
    (1_000.0 * (idle - left as f64)) as i64
}
