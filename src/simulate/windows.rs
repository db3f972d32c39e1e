//! Windows: opened and judged at starts and ends of steps; what a missed one undoes.

use super::run::Run;
use super::settings::RunErrorKind;
use super::timer::Timer;
use super::units::{Row, Units};
use super::watcher::{Event, Watcher};
use crate::draws::{Purpose, Stream};
use crate::line::{Line, Window};

/// Whoever has missed one window so often never keeps it: parts that come too seldom, say, are used up by the redo.
const MOST_MISSED: u32 = 1_000;

impl<W: Watcher> Run<'_, W> {
    /// The window is open on the unit, and its limit has passed.
    fn is_missed(&self, row: Row, window: u16) -> bool {
        has_passed(self.c.line, &self.units, self.clock.now(), row, window)
    }

    /// Copies of steps that a missed window undid and that are still to be done at this place: the
    /// unit left it in between.
    pub(super) fn copies_due(&self, place: usize, row: Row) -> Vec<u16> {
        let pending = self.units.rows[row as usize].pending;
        let Some(window) = self.c.shop.windows.get(pending as usize).filter(|w| w.place as usize == place)
        else {
            return Vec::new();
        };
        let nodes = self.c.shop.nodes_of(place);
        let due = |k: &u16| {
            let node = &nodes[*k as usize];
            node.copy_of_window == Some(pending) && !self.units.is_done(row, node.step)
        };
        window.undone.iter().copied().filter(due).collect()
    }

    /// Opens and judges windows at the end of a step; true if one was missed.
    pub(super) fn judge_at_end(&mut self, bay: usize, local: u16) -> bool {
        let node = self.c.shop.node(bay, local as usize);
        let (row, now) = (self.bays[bay].unit, self.clock.now());
        let mut missed = false;
        for w in &node.judges_at_end {
            let opened = self.units.opened(row, *w);
            if opened >= 0 {
                let counts = &mut self.seen.windows[*w as usize];
                counts.judged += 1;
                if now - opened > self.c.line.windows[*w as usize].limit.0 {
                    counts.missed += 1;
                    missed = true;
                } else {
                    self.units.set_opened(row, *w, -1);
                    self.units.rows[row as usize].pending = u16::MAX;
                }
            }
        }
        if !missed {
            for w in &node.opens_at_end {
                self.open_window(bay, *w);
            }
        }
        missed
    }

    /// The step that closes it ranks above everything from now on, even if it was ready before: with `start full` the
    /// holds between are done.
    pub(super) fn open_window(&mut self, bay: usize, window: u16) {
        let c = self.c;
        self.units.set_opened(self.bays[bay].unit, window, self.clock.now());
        for (local, node) in c.shop.nodes_of(c.shop.bay_place[bay] as usize).iter().enumerate() {
            if node.judges_at_start.contains(&window) || node.judges_at_end.contains(&window) {
                self.floor.rank_anew(&c.shop, bay, local as u16, 0);
            }
        }
    }

    /// The closing step may not start (or has ended too late): undo what lies between, redo.
    pub(super) fn undo_window(&mut self, bay: usize, closes: u16, at_end: bool, fresh: &mut Vec<u16>) {
        if let Some(window) = self.mark_undone(bay, closes, at_end) {
            self.floor.call_again(&self.c.shop, bay, &self.c.shop.windows[window as usize].undone, fresh);
        }
    }

    /// Marks the steps that the first missed window undoes; which one it is.
    pub(super) fn mark_undone(&mut self, bay: usize, closes: u16, at_end: bool) -> Option<u16> {
        let node = self.c.shop.node(bay, closes as usize);
        let row = self.bays[bay].unit;
        let judged = if at_end { &node.judges_at_end } else { &node.judges_at_start };
        for w in judged {
            let window = &self.c.line.windows[*w as usize];
            if !self.is_missed(row, *w) {
                continue;
            }
            self.units.set_opened(row, *w, -1);
            let number = self.number(bay);
            self.see(Event::WindowMissed { unit: number, window: *w });
            let times = window.redo.first().map_or(0, |step| self.units.visits(row, step.0));
            if times >= MOST_MISSED {
                let closing = self.c.line.steps[window.closes.index()].name.clone();
                self.failed = Some(RunErrorKind::NeverInTime { unit: number, closing, times });
            }
            for step in &window.undone {
                self.units.set_done(row, step.0, false);
            }
            let unit = &mut self.units.rows[row as usize];
            unit.pending = *w;
            if window.redo_time.is_some() {
                unit.redo_of = *w;
            }
            return Some(*w);
        }
        None
    }

    pub(super) fn is_missed_at_start(&self, bay: usize, local: u16) -> bool {
        let row = self.bays[bay].unit;
        self.c.shop.node(bay, local as usize).judges_at_start.iter().any(|w| self.is_missed(row, *w))
    }

    pub(super) fn count_missed_at_start(&mut self, bay: usize, local: u16) {
        let row = self.bays[bay].unit;
        for w in &self.c.shop.node(bay, local as usize).judges_at_start {
            if self.is_missed(row, *w) {
                self.seen.windows[*w as usize].judged += 1;
                self.seen.windows[*w as usize].missed += 1;
            }
        }
    }
}

/// As `is_missed`, where the run itself is lent out.
pub(super) fn has_passed(line: &Line, units: &Units, now: i64, row: Row, window: u16) -> bool {
    let opened = units.opened(row, window);
    opened >= 0 && now - opened > line.windows[window as usize].limit.0
}

/// Per window: how long what is done again takes, where that is stated; `faster` is a factor by place.
pub(super) fn redo_timers(
    line: &Line,
    faster: impl Fn(usize) -> f64,
    stream: &impl Fn(Purpose, &str) -> Stream,
) -> Vec<Option<Timer>> {
    let timer = |window: &Window| {
        let step = &line.steps[window.redo.first().unwrap_or(&window.opens).index()];
        let factor = faster(line.steps[window.closes.index()].place.index());
        let dist = window.redo_time.as_ref()?;
        Some(Timer::new(dist, factor, 0, stream(Purpose::TaskTime, &step.draws_as)))
    };
    line.windows.iter().map(timer).collect()
}
