//! Parts that are amiss: short, for the wrong model, or taken by a unit out of its turn.
//!
//! A unit finds it when its task would start. Its parts lie at it from then on, and the task waits: for what is
//! missing by the clock, for a re-kit in net time. Owns who waits so, and the row of units that have still to
//! take a part built for them. Costs nothing where the file says nothing of it.

use super::compiled::Compiled;
use super::feeders::FeederState;
use super::hours::Nets;
use super::queue::{Class, Entry, PART_RIGHT, REKIT_END};
use super::run::Run;
use super::timer::Timer;
use super::units::{NONE, Row, Unit, Units, WHOLE};
use super::watcher::{Event, Flaw, Watcher};
use crate::draws::{Purpose, Stream};
use crate::line::{Line, PartId, StepId};
use crate::schedule::{Looked, Node, NodeKind};
use crate::units::Time;

/// Draws of one start of a step: whether something is amiss, how long a piece is missing, how long a re-kit takes.
const DRAWS: u32 = 3;

/// What may be amiss with a part that a step takes, compiled.
#[derive(Clone, Debug)]
pub struct AmissPlan {
    part: u16,
    draws: Stream,
    short: Option<(f64, Timer)>,
    wrong: Option<(f64, Timer)>,
    /// Index of the feeder, where its parts come in the order of the units.
    in_turn: Option<u16>,
    /// The hours in which a part is re-kitted: those of its feeder.
    hours: u16,
}

/// Per step: what may be amiss with its parts. Empty where nothing ever is.
pub fn amiss_plans(line: &Line, stream: &impl Fn(Purpose, &str) -> Stream) -> Vec<Vec<AmissPlan>> {
    if line.parts.iter().all(|part| part.short.is_none() && part.wrong.is_none()) {
        return Vec::new();
    }
    let plan = |part: PartId, step: &str| {
        let stated = &line.parts[part.index()];
        if stated.short.is_none() && stated.wrong.is_none() {
            return None;
        }
        let draws = stream(Purpose::Shortage, &format!("{} for {step}", stated.draws_as));
        let timer = |amiss: &crate::line::Amiss| (amiss.share, Timer::plain(&amiss.time, draws));
        let feeder = line.feeders.iter().position(|feeder| feeder.part == part);
        Some(AmissPlan {
            part: part.0,
            draws,
            short: stated.short.as_ref().map(timer),
            wrong: stated.wrong.as_ref().map(timer),
            hours: feeder.map_or(0, |f| line.feeders[f].hours),
            in_turn: feeder.filter(|_| line.comes_in_turn(part)).map(|f| f as u16),
        })
    };
    let of = |step: &crate::line::Step| {
        step.uses.iter().filter_map(|(part, _)| plan(*part, &step.draws_as)).collect()
    };
    line.steps.iter().map(of).collect()
}

/// What a unit finds.
#[derive(Clone, Copy, Default, Debug)]
struct Found {
    short: bool,
    wrong: bool,
    /// It was overtaken, and its re-kit is over at this net time, which is to come.
    out_of_turn: Option<i64>,
}

impl AmissPlan {
    /// What a unit finds at a start of the step that is yet to be made.
    fn finds(&self, run: u32, unit: &Unit, visit: u32, (feeders, nets): (&[FeederState], Nets)) -> Found {
        let (short, wrong) = self.draws.of_replication(run).two_uniforms(unit.number, DRAWS * visit, 0);
        let is =
            |amiss: &Option<(f64, Timer)>, draw: f64| amiss.as_ref().is_some_and(|(share, _)| draw < *share);
        let overtaken = self.in_turn.and_then(|f| feeders[f as usize].overtaken(unit.number));
        let ready = overtaken.map(|since| since + self.rekit(run, unit.number, visit));
        Found {
            short: is(&self.short, short),
            wrong: is(&self.wrong, wrong),
            out_of_turn: ready.filter(|ready| *ready > nets.of(self.hours)),
        }
    }

    fn rekit(&self, run: u32, unit: u64, visit: u32) -> i64 {
        self.wrong.as_ref().map_or(0, |(_, time)| time.length(run, unit, DRAWS * visit + 2))
    }
}

/// A unit that has still to take its part, where the order matters.
#[derive(Clone, Copy, Debug)]
pub(super) struct ToTake {
    number: u64,
    model: u16,
    /// Net time at which one of another model that entered after it took its own; -1 if none has.
    overtaken: i64,
}

impl Compiled<'_> {
    /// Is anything amiss with what the step takes?
    pub(super) fn finds_amiss(
        &self,
        units: &Units,
        (row, step): (Row, u32),
        feeders: (&[FeederState], Nets),
        replication: u32,
    ) -> bool {
        let Some(plans) = self.amiss.get(step as usize) else { return false };
        let (unit, visit) = (&units.rows[row as usize], units.visits(row, step));
        plans.iter().any(|plan| {
            let found = plan.finds(replication, unit, visit, feeders);
            found.short || found.wrong || found.out_of_turn.is_some()
        })
    }
}

/// Parts that lie at a unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct LaidOut {
    /// `NONE`: the unit has left the line.
    row: Row,
    step: u32,
    /// What is still to be put right.
    open: u16,
}

impl LaidOut {
    fn is_over(&self) -> bool {
        self.row == NONE && self.open == 0
    }
}

impl FeederState {
    /// Since when a unit has been overtaken by one of another model, if it has.
    fn overtaken(&self, number: u64) -> Option<i64> {
        let own = self.to_take.iter().find(|unit| unit.number == number)?;
        (own.overtaken >= 0).then_some(own.overtaken)
    }
}

impl<W: Watcher> Run<'_, W> {
    /// A unit is new on the line: it will take its parts.
    pub(super) fn will_take(&mut self, row: Row) {
        let unit = &self.units.rows[row as usize];
        for (f, state) in self.feeders.iter_mut().enumerate() {
            if self.c.keeps_turn[f] && self.c.takers[f] >> unit.model & 1 == 1 {
                state.to_take.push_back(ToTake { number: unit.number, model: unit.model, overtaken: -1 });
            }
        }
    }

    /// A unit takes no part of a feeder any more.
    pub(super) fn takes_no_more(&mut self, row: Row, feeder: usize) {
        let number = self.units.rows[row as usize].number;
        self.feeders[feeder].to_take.retain(|other| other.number != number);
    }

    /// A task is ready: something may be amiss with its parts, or it has them because it had begun elsewhere.
    pub(super) fn look_at_parts(&mut self, bay: usize, local: u16) {
        let node = self.c.shop.node(bay, local as usize);
        if !matches!(node.kind, NodeKind::Work) || !self.floor.watches_parts() || node.parts.is_empty() {
            return;
        }
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        let row = self.bays[bay].unit;
        if self.has_begun_elsewhere(bay, node) {
            return self.floor.set_looked(at, Looked::Right);
        }
        let laid_out = self.around.laid_out.iter().find(|laid| (laid.row, laid.step) == (row, node.step));
        let looked = match laid_out {
            Some(laid) if laid.open > 0 => Looked::Waits,
            Some(_) => Looked::Right,
            None if self.c.amiss.get(node.step as usize).is_none_or(Vec::is_empty) => Looked::Sound,
            None => Looked::NotYet,
        };
        self.floor.set_looked(at, looked);
    }

    /// Who joined or left the queue of a store; and tasks that have just found something amiss: when it will be
    /// put right.
    pub(super) fn note_parts(&mut self) {
        if !self.floor.stock.notes.is_empty() {
            self.note_who_waits();
        }
        if self.floor.laid_out.is_empty() {
            return;
        }
        let mut found = std::mem::take(&mut self.floor.laid_out);
        for (bay, local) in found.drain(..) {
            self.lay_out(bay as usize, local);
        }
        self.floor.laid_out = found;
    }

    fn lay_out(&mut self, bay: usize, local: u16) {
        self.count_taken(bay, local);
        let step = self.c.shop.node(bay, local as usize).step;
        let row = self.bays[bay].unit;
        let (unit, visit) = (self.units.rows[row as usize], self.units.visits(row, step));
        let slot = self.lie_down(row, step);
        let state = (&self.feeders[..], Nets { line: &self.clock, own: &self.own });
        let c = self.c;
        let plans = &c.amiss[step as usize];
        let found: Vec<Found> =
            plans.iter().map(|plan| plan.finds(self.replication, &unit, visit, state)).collect();
        for (plan, found) in plans.iter().zip(found) {
            let counts = &mut self.seen.parts[plan.part as usize];
            if let Some((_, time)) = plan.short.as_ref().filter(|_| found.short) {
                let missing = time.length(self.replication, unit.number, DRAWS * visit + 1);
                counts.short += 1;
                counts.missing += Time(missing);
                self.comes_right(slot, (bay, step), plan, (Flaw::Short, self.clock.now() + missing));
            }
            if found.wrong {
                let rekit = plan.rekit(self.replication, unit.number, visit);
                let counts = &mut self.seen.parts[plan.part as usize];
                counts.wrong += 1;
                counts.rekitting += Time(rekit);
                let at = self.clock_of_mut(usize::from(plan.hours)).end_of_work(rekit);
                self.comes_right(slot, (bay, step), plan, (Flaw::Wrong, at));
            } else if let Some(ready) = found.out_of_turn {
                let at = self.clock_of_mut(usize::from(plan.hours)).clock_of_net(ready);
                self.comes_right(slot, (bay, step), plan, (Flaw::OutOfTurn, at));
            }
        }
        self.take_turns(row, step);
    }

    /// The parts of a step lie at a unit from now on: where that is noted.
    fn lie_down(&mut self, row: Row, step: u32) -> usize {
        let laid = LaidOut { row, step, open: 0 };
        match self.around.laid_out.iter().position(LaidOut::is_over) {
            Some(slot) => {
                self.around.laid_out[slot] = laid;
                slot
            }
            None => {
                self.around.laid_out.push(laid);
                self.around.laid_out.len() - 1
            }
        }
    }

    /// People who had set out for a task do not begin it: what they took for it stays at the unit. What goes on that had
    /// begun elsewhere has its parts anyhow.
    pub(super) fn leave_parts(&mut self, bay: usize, local: usize) {
        let node = self.c.shop.node(bay, local);
        if !node.parts.is_empty() && !self.has_begun_elsewhere(bay, node) {
            self.lie_down(self.bays[bay].unit, node.step);
        }
    }

    /// It is brought here with less than all of it left.
    fn has_begun_elsewhere(&self, bay: usize, node: &Node) -> bool {
        let left = node.travels.filter(|_| node.brought);
        left.is_some_and(|k| self.units.open(self.bays[bay].unit)[usize::from(k)] != WHOLE)
    }

    fn comes_right(
        &mut self,
        slot: usize,
        (bay, step): (usize, u32),
        plan: &AmissPlan,
        (flaw, at): (Flaw, i64),
    ) {
        self.around.laid_out[slot].open += 1;
        // Fewer units than a u16 counts stand in a line at once.
        let (hours, comes) = match flaw {
            Flaw::Short => (0, PART_RIGHT),
            Flaw::Wrong | Flaw::OutOfTurn => (plan.hours, REKIT_END),
        };
        self.queue.push(Entry::new(at, Class::End, hours, slot as u16, comes));
        let (unit, step) = (self.number(bay), StepId(step));
        self.see(Event::PartAmiss { unit, step, part: PartId(plan.part), flaw, until: Time(at) });
    }

    /// A piece has arrived, or a re-kit is over.
    pub(super) fn part_is_right(&mut self, slot: usize) {
        self.around.laid_out[slot].open -= 1;
        let laid = self.around.laid_out[slot];
        if laid.open > 0 || laid.row == NONE {
            return;
        }
        let Some(bay) = self.bays.iter().position(|bay| bay.unit == laid.row) else { return };
        let place = self.c.shop.bay_place[bay] as usize;
        let base = self.c.shop.bay_node0[bay] as usize;
        for (local, node) in self.c.shop.nodes_of(place).iter().enumerate() {
            if node.step == laid.step && self.floor.looked(base + local) == Looked::Waits {
                self.floor.set_looked(base + local, Looked::Right);
                self.floor.mark(self.c.shop.bay_gang[bay] as usize);
            }
        }
    }

    /// A task starts: what lay at the unit for it is used; true if it did.
    pub(super) fn uses_what_lies_there(&mut self, bay: usize, local: u16) -> bool {
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        if self.floor.looked(at) != Looked::Right {
            return false;
        }
        self.floor.set_looked(at, Looked::Sound);
        let (row, step) = (self.bays[bay].unit, self.c.shop.node(bay, local as usize).step);
        for laid in self.around.laid_out.iter_mut().filter(|laid| (laid.row, laid.step) == (row, step)) {
            laid.row = NONE;
        }
        true
    }

    /// A unit has taken what the step takes: those of other models that entered before it and have not are
    /// overtaken, and their parts re-kitted from now on.
    pub(super) fn take_turns(&mut self, row: Row, step: u32) {
        let taker = self.units.rows[row as usize];
        let c = self.c;
        for plan in c.amiss.get(step as usize).into_iter().flatten() {
            let Some(f) = plan.in_turn else { continue };
            self.takes_no_more(row, f as usize);
            let net = self.net_of(usize::from(plan.hours));
            let counts = &mut self.seen.parts[plan.part as usize];
            let before = self.feeders[f as usize].to_take.iter_mut().take_while(|u| u.number < taker.number);
            for unit in before.filter(|unit| unit.model != taker.model && unit.overtaken < 0) {
                unit.overtaken = net;
                counts.out_of_turn += 1;
                // Where the order matters a unit takes its part once: its first start.
                counts.rekitting += Time(plan.rekit(self.replication, unit.number, 0));
            }
        }
    }

    /// Parts lie at the unit for one of these steps.
    pub(super) fn has_laid_out(&self, row: Row, steps: &[u32]) -> bool {
        self.around.laid_out.iter().any(|laid| laid.row == row && steps.contains(&laid.step))
    }

    /// A unit leaves its line for good, with what lies at it.
    pub(super) fn forget_laid_out(&mut self, row: Row) {
        self.around.laid_out.iter_mut().filter(|laid| laid.row == row).for_each(|laid| laid.row = NONE);
    }

    /// What is missing will arrive, whoever does nothing.
    pub(super) fn parts_are_on_the_way(&self) -> bool {
        self.around.laid_out.iter().any(|laid| laid.open > 0 && laid.row != NONE)
    }
}
