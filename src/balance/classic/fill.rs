//! All ways to fill the next station: loads to which nothing more can be added.

use super::set::Set;
use super::way::Way;

/// Lists the maximal loads of one station, each once.
pub struct Filler<'a, const W: usize> {
    way: &'a Way<W>,
    /// Direct predecessors of each task still to be done.
    open: Vec<u16>,
    /// Tasks that may be taken, in the order in which they became free; those taken stay in it.
    line_up: Vec<u16>,
    load: Vec<u16>,
    /// Free to go and not taken.
    free: Set<W>,
    /// Time of all that is neither done nor taken nor passed over.
    reach: i64,
    pub steps: u64,
}

/// What a load leaves.
pub struct Leaf<'a, const W: usize> {
    pub load: &'a [u16],
    pub room: i64,
    /// Tasks free to go after it.
    pub free: &'a Set<W>,
}

impl<'a, const W: usize> Filler<'a, W> {
    pub fn new(way: &'a Way<W>) -> Filler<'a, W> {
        Filler {
            way,
            open: vec![0; way.len()],
            line_up: Vec::new(),
            load: Vec::new(),
            free: Set::EMPTY,
            reach: 0,
            steps: 0,
        }
    }

    /// Calls `each` with every maximal load that may follow `done` and leaves at most `idle` of the
    /// station, until it says false or `most` steps are made. True: all of them were listed.
    pub fn fill(
        &mut self,
        done: &Set<W>,
        idle: i64,
        most: u64,
        each: &mut impl FnMut(Leaf<W>) -> bool,
    ) -> bool {
        let way = self.way;
        let left = way.all.without(done);
        self.open.copy_from_slice(&way.open_at_start);
        for task in done.iter() {
            for &f in &way.next[task] {
                self.open[f as usize] -= 1;
            }
        }
        self.line_up.clear();
        self.load.clear();
        self.free = Set::EMPTY;
        self.reach = 0;
        for task in left.iter() {
            self.reach += way.time[task];
            if self.open[task] == 0 {
                self.line_up.push(task as u16);
                self.free.add(task);
            }
        }
        let rank = &way.rank;
        self.line_up.sort_unstable_by_key(|k| rank[*k as usize]);
        let stop_at = self.steps + most;
        self.grow(way.capacity, 0, idle, stop_at, each)
    }

    fn grow(
        &mut self,
        room: i64,
        from: usize,
        idle: i64,
        stop_at: u64,
        each: &mut impl FnMut(Leaf<W>) -> bool,
    ) -> bool {
        self.steps += 1;
        if self.steps > stop_at {
            return false;
        }
        let way = self.way;
        let known = self.line_up.len();
        let reach = self.reach;
        let mut go_on = true;
        for at in from..known {
            if room - self.reach > idle {
                break;
            }
            let task = self.line_up[at] as usize;
            let time = way.time[task];
            self.reach -= time;
            if time > room {
                continue;
            }
            self.free.take(task);
            self.load.push(task as u16);
            for &f in &way.next[task] {
                let open = &mut self.open[f as usize];
                *open -= 1;
                if *open == 0 {
                    self.line_up.push(f);
                    self.free.add(f as usize);
                }
            }
            go_on = self.grow(room - time, at + 1, idle, stop_at, each);
            for &f in &way.next[task] {
                self.open[f as usize] += 1;
            }
            for f in self.line_up.drain(known..) {
                self.free.take(f as usize);
            }
            self.load.pop();
            self.free.add(task);
            if !go_on {
                break;
            }
        }
        self.reach = reach;
        if go_on && room <= idle && self.free.misses(way.fitting(room)) {
            go_on = each(Leaf { load: &self.load, room, free: &self.free });
        }
        go_on
    }
}
