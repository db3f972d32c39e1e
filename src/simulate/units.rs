//! The units in the line: one row each, rows used again when a unit has left.

/// Row of a unit; `NONE` for no unit.
pub type Row = u32;
pub const NONE: Row = u32::MAX;

/// A travelling step of which nothing is done.
pub const WHOLE: i64 = i64::MAX;

/// Ways back that may be broken off by a fail on the way.
pub const MOST_WAYS: usize = 4;

/// The way of a unit that does not follow the series of places.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// Place after place.
    Series,
    /// Returning from `test`, `outcome`; next to visit: stop `at` of its route (the repair place
    /// counts as stop 0 of its outcome, and the test's own place follows the last one).
    Returning { test: u16, outcome: u16, at: u16 },
    /// Pulled off the line at place `from`: on the way to the place off the line, or there.
    PulledOff { from: u16, is_off: bool },
}

#[derive(Clone, Copy, Debug)]
pub struct Unit {
    pub number: u64,
    /// 0: a unit of the line; k + 1: a part that feeder k makes.
    pub line: u16,
    pub model: u16,
    pub options: u64,
    pub released: i64,
    /// Clock time of line-on; -1 before.
    pub line_on: i64,
    /// Clock time from which it waits for its next bay.
    pub waits_since: i64,
    /// Part of that wait spent in the bay upstream.
    pub blocked: i64,
    /// When it arrives at the slot it moves to.
    pub arrives: i64,
    pub way: Way,
    pub first_pass: bool,
    pub kept: u64,
    /// Carriers it stands on, bit k = `Line::carriers`.
    pub carriers: u64,
    /// Window whose redo is under way and has a time of its own.
    pub redo_of: u16,
    /// Window that was missed and is not closed yet: what it undid is still to be done.
    pub pending: u16,
    /// Faulty, and passed by these tests (bit k = test k): another one finds it.
    pub escaped: u64,
    /// Passed by these tests though it was faulty, as a gate has found.
    pub found: u64,
    /// Failed these tests last by a false alarm.
    pub alarmed: u64,
}

#[derive(Clone, Debug, Default)]
pub struct Units {
    pub rows: Vec<Unit>,
    free: Vec<Row>,
    words: usize,
    steps: usize,
    tests: usize,
    windows: usize,
    /// Bit per step: done (kept only where steps may be done again).
    done: Vec<u64>,
    /// Starts of each step on this unit.
    visits: Vec<u16>,
    attempts: Vec<u16>,
    /// Per window: clock time at which it opened, or -1.
    opened: Vec<i64>,
    /// Per step that may be gone on with elsewhere: 0, or what is left of it that the unit brings along; `WHOLE`: not begun.
    open: Vec<i64>,
    travelling: usize,
    /// Ways broken off by a fail on the way, the innermost last; kept only where units return.
    broken_off: Vec<Vec<Way>>,
}

impl Units {
    /// Room for `steps`, `tests`, `windows` per unit; no step is tracked where nothing is redone.
    pub fn new(steps: usize, tests: usize, windows: usize, travelling: usize) -> Units {
        Units { words: steps.div_ceil(64), steps, tests, windows, travelling, ..Units::default() }
    }

    pub fn add(&mut self, unit: Unit) -> Row {
        match self.free.pop() {
            Some(row) => {
                let r = row as usize;
                self.rows[r] = unit;
                self.done[r * self.words..][..self.words].fill(0);
                self.visits[r * self.steps..][..self.steps].fill(0);
                self.attempts[r * self.tests..][..self.tests].fill(0);
                self.opened[r * self.windows..][..self.windows].fill(-1);
                self.open[r * self.travelling..][..self.travelling].fill(0);
                row
            }
            None => {
                self.rows.push(unit);
                let n = self.rows.len();
                self.done.resize(n * self.words, 0);
                self.visits.resize(n * self.steps, 0);
                self.attempts.resize(n * self.tests, 0);
                self.opened.resize(n * self.windows, -1);
                self.open.resize(n * self.travelling, 0);
                (n - 1) as Row
            }
        }
    }

    pub fn remove(&mut self, row: Row) {
        if let Some(ways) = self.broken_off.get_mut(row as usize) {
            ways.clear();
        }
        self.free.push(row);
    }

    #[inline]
    pub fn is_done(&self, row: Row, step: u32) -> bool {
        self.words > 0 && self.done[row as usize * self.words + step as usize / 64] >> (step % 64) & 1 == 1
    }

    #[inline]
    pub fn set_done(&mut self, row: Row, step: u32, done: bool) {
        if self.words > 0 {
            let word = &mut self.done[row as usize * self.words + step as usize / 64];
            *word = *word & !(1 << (step % 64)) | u64::from(done) << (step % 64);
        }
    }

    /// The start about to be made counts; returns how many were made before.
    #[inline]
    pub fn visit(&mut self, row: Row, step: u32) -> u32 {
        if self.steps == 0 {
            return 0;
        }
        let visits = &mut self.visits[row as usize * self.steps + step as usize];
        *visits += 1;
        u32::from(*visits - 1)
    }

    /// Starts so far.
    pub fn visits(&self, row: Row, step: u32) -> u32 {
        if self.steps == 0 { 0 } else { u32::from(self.visits[row as usize * self.steps + step as usize]) }
    }

    /// A further attempt at a test; returns its number from 1.
    pub fn attempt(&mut self, row: Row, test: usize) -> u32 {
        let attempts = &mut self.attempts[row as usize * self.tests + test];
        *attempts += 1;
        u32::from(*attempts)
    }

    /// Sets out on a way back, keeping the one it was on; false if there are too many.
    pub fn set_out(&mut self, row: Row, way: Way) -> bool {
        let unit = &mut self.rows[row as usize];
        if unit.way != Way::Series {
            if self.broken_off.len() <= row as usize {
                self.broken_off.resize(row as usize + 1, Vec::new());
            }
            let ways = &mut self.broken_off[row as usize];
            if ways.len() == MOST_WAYS {
                return false;
            }
            ways.push(unit.way);
        }
        unit.way = way;
        true
    }

    /// Back at its test: goes on with the way that was broken off, if any.
    pub fn come_back(&mut self, row: Row) {
        let before = self.broken_off.get_mut(row as usize).and_then(Vec::pop);
        self.rows[row as usize].way = before.unwrap_or(Way::Series);
    }

    pub fn attempts(&self, row: Row, test: usize) -> u32 {
        u32::from(self.attempts[row as usize * self.tests + test])
    }

    /// What is left of every travelling step that the unit brings along.
    pub fn open(&self, row: Row) -> &[i64] {
        &self.open[row as usize * self.travelling..][..self.travelling]
    }

    pub fn set_open(&mut self, row: Row, travelling: u16, left: i64) {
        self.open[row as usize * self.travelling + travelling as usize] = left;
    }

    pub fn opened(&self, row: Row, window: u16) -> i64 {
        self.opened[row as usize * self.windows + window as usize]
    }

    pub fn set_opened(&mut self, row: Row, window: u16, at: i64) {
        self.opened[row as usize * self.windows + window as usize] = at;
    }
}

impl Unit {
    pub fn new(number: u64, model: u16, options: u64, released: i64) -> Unit {
        Unit {
            number,
            line: 0,
            model,
            options,
            released,
            line_on: -1,
            waits_since: released,
            blocked: 0,
            arrives: 0,
            way: Way::Series,
            first_pass: true,
            kept: 0,
            carriers: 0,
            redo_of: u16::MAX,
            pending: u16::MAX,
            escaped: 0,
            found: 0,
            alarmed: 0,
        }
    }
}
