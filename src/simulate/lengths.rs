//! How long a start of a node takes: what is drawn, who takes it, at what pace.

use super::compiled::Compiled;
use super::run::Run;
use super::timer::Timer;
use super::watcher::Watcher;
use crate::schedule::{NodeKind, heads};
use crate::units::whole_half_even;

/// What a length is drawn by.
#[derive(Clone, Copy, Debug)]
pub struct Start {
    pub replication: u32,
    pub unit: u64,
    /// Which start of the step on it.
    pub visit: u32,
    /// Faults that tests have let through and its gate has found.
    pub more: u32,
}

impl<W: Watcher> Run<'_, W> {
    /// Length of a node that starts now, and how often the step was started before on this unit.
    #[inline]
    pub(super) fn length(&mut self, bay: usize, local: u16) -> (i64, u32) {
        let shop = &self.c.shop;
        let place = shop.bay_place[bay] as usize;
        let at = shop.places[place].node0 as usize + local as usize;
        let row = self.bays[bay].unit;
        let node = &shop.nodes[at];
        let who = self.floor.people[shop.bay_node0[bay] as usize + local as usize];
        let pace = self.pace_of(bay, usize::from(local), who);
        let pace = match self.overtime_factor(bay).filter(|_| who != 0) {
            Some(factor) => Some(pace.unwrap_or(1.0) * factor),
            None => pace,
        };
        if node.brought {
            return self.length_of_brought(bay, local, pace);
        }
        let unit = &mut self.units.rows[row as usize];
        let (number, model) = (unit.number, unit.model as usize);
        let people = heads(who);
        // Fewer than named, where the crew is too small in this shift; or more, who share it.
        let short = (people != node.heads[model]).then_some((people, node.heads[model]));
        let visit = match node.kind {
            NodeKind::Fix { test, .. } => self.units.attempts(row, test as usize),
            NodeKind::Work | NodeKind::Hold { .. } | NodeKind::Verdict { .. } => {
                if node.copy_of_window == Some(unit.redo_of) {
                    let window = unit.redo_of;
                    let redone = self.c.line.windows[window as usize].redo_of(node.step).is_some();
                    if redone && let Some(timer) = &self.c.redo_timers[window as usize] {
                        unit.redo_of = u16::MAX;
                        let visit = self.units.visit(row, node.step);
                        let start = Start { replication: self.replication, unit: number, visit, more: 0 };
                        let shared = at * shop.models + model;
                        let length = self.c.length_by((timer, Some(shared)), start, short, pace);
                        return (length, visit);
                    }
                }
                self.units.visit(row, node.step)
            }
        };
        let more = match node.mends {
            true => self.c.found_by_gate_of(self.units.rows[row as usize].found, node.step),
            false => 0,
        };
        if short.is_none() && pace.is_none() && more == 0 {
            return (self.draw(at, model, number, visit), visit);
        }
        let timer = at * shop.models + model;
        let start = Start { replication: self.replication, unit: number, visit, more };
        let length = self.c.length_by((&self.c.timers[timer], Some(timer)), start, short, pace);
        (length, visit)
    }

    /// Length of a node of the shop on a unit; `visit` says which start of the step on it.
    #[inline]
    pub(super) fn draw(&mut self, at: usize, model: usize, unit: u64, visit: u32) -> i64 {
        match &self.c.timers[at * self.c.shop.models + model] {
            Timer::Drawn(_) if self.c.ahead_of[at] != u32::MAX => {
                self.aheads[self.c.ahead_of[at] as usize].draw(unit, visit)
            }
            timer => timer.length(self.replication, unit, visit),
        }
    }
}

impl Compiled<'_> {
    /// Microseconds, rounded once, of a start that others take than all the people named, or at another
    /// pace than theirs. `others`: how many take it and how many are named, where they differ: fewer take
    /// `named / taken` times as long, more share it as the file says (`shared`, a node of the shop and
    /// model). `pace` is the factor of new people.
    pub(super) fn length_by(
        &self,
        (timer, shared): (&Timer, Option<usize>),
        start: Start,
        others: Option<(u32, u32)>,
        pace: Option<f64>,
    ) -> i64 {
        let micros = match (others, shared) {
            (None, _) if pace.is_none() && start.more == 0 => {
                return timer.length(start.replication, start.unit, start.visit);
            }
            (None, _) => timer.micros(start),
            (Some((taken, named)), Some(at)) if taken > named => self.shared_micros(at, start, taken),
            (Some((taken, named)), _) => timer.micros(start) * f64::from(named) / f64::from(taken),
        };
        whole_half_even(micros * pace.unwrap_or(1.0))
    }
}

/// A time for all `named` people where `taken` of them do the work, rounded once.
pub(super) fn longer(time: i64, (taken, named): (u32, u32)) -> i64 {
    whole_half_even(time as f64 * f64::from(named) / f64::from(taken))
}
