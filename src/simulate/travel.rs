//! Work that travels with its unit: cut off at a push, gone on with at a later place.

use super::compiled::off_line;
use super::lengths::{Start, longer};
use super::run::{Fate, Run};
use super::timer::Timer;
use super::units::{NONE, Row, WHOLE, Way};
use super::watcher::{Event, Watcher};
use crate::draws::{Purpose, Stream};
use crate::line::{Line, PlaceId, StepId};
use crate::schedule::{Node, Shop, Status};
use crate::units::{Time, whole_half_even};

/// A step that may be gone on with elsewhere, compiled.
pub struct TravelPlan {
    /// The last place of the line where it may be.
    pub to: usize,
    /// On its time elsewhere.
    pub factor: f64,
    /// The places off the line where it may be.
    pub off_line: Vec<usize>,
    /// Per model: all of it, done elsewhere.
    pub whole: Vec<Timer>,
}

pub(super) fn travel_plans(
    line: &Line,
    shop: &Shop,
    stream: &impl Fn(Purpose, &str) -> Stream,
) -> Vec<TravelPlan> {
    let steps = shop.travelling.iter().map(|step| &line.steps[*step as usize]);
    steps
        .map(|step| {
            let factor = step.travel.map_or(1.0, |travel| travel.factor);
            let whole = step.times.iter().map(|time| {
                let stream = stream(Purpose::TaskTime, &step.draws_as);
                Timer::new(&time.dist, time.factor * factor, 0, stream)
            });
            let to = step.travel.map_or(step.place, |travel| travel.to).index();
            let off_line = step.off_line.iter().map(|place| place.index()).collect();
            TravelPlan { to, factor, off_line, whole: whole.collect() }
        })
        .collect()
}

impl<W: Watcher> Run<'_, W> {
    /// What is not done on the unit in the bay, there.
    pub(super) fn open_nodes(&self, bay: usize) -> impl Iterator<Item = &Node> {
        let base = self.c.shop.bay_node0[bay] as usize;
        let nodes = self.c.shop.nodes_of(self.c.shop.bay_place[bay] as usize).iter().enumerate();
        let is_open = move |local: usize| {
            self.floor.status[base + local] != Status::Done && !self.floor.skip[base + local]
        };
        nodes.filter(move |(local, _)| is_open(*local)).map(|(_, node)| node)
    }

    /// All that is not done on the unit may travel beyond this place, and it is not too much.
    pub(super) fn may_go_open(&self, bay: usize, most: u32) -> bool {
        let state = &self.bays[bay];
        let place = self.c.shop.bay_place[bay] as usize;
        let last = self.stretch(place).is_none_or(|stretch| place >= stretch.last);
        if state.unit == NONE || state.moving || state.fate != Fate::Stays || last {
            return false;
        }
        // On its way back a unit goes nowhere but to its next stop.
        if self.next_stop(state.unit).is_some_and(|stop| stop.index() != place + 1) {
            return false;
        }
        let mut open = self.units.open(state.unit).iter().filter(|left| **left != 0).count() as u32;
        for node in self.open_nodes(bay) {
            match node.travels {
                Some(k) if self.c.travel[k as usize].to > place => open += u32::from(!node.brought),
                Some(_) | None => return false,
            }
        }
        open <= most
    }

    /// The unit is about to be pushed on: what runs is cut off, what is open goes with it.
    pub(super) fn take_along(&mut self, bay: usize) {
        let stretch = self.c.stretch_of[self.c.shop.bay_place[bay] as usize];
        self.seen.segments[stretch].taken_along += self.cut_off_what_is_open(bay);
    }

    /// What runs on the unit ends here, and all that is open goes with it; how much that is, in tasks.
    pub(super) fn cut_off_what_is_open(&mut self, bay: usize) -> u64 {
        let mut tasks = 0;
        let shop = &self.c.shop;
        let (place, base) = (shop.bay_place[bay] as usize, shop.bay_node0[bay] as usize);
        let row = self.bays[bay].unit;
        let now = self.clock.now();
        for (local, node) in shop.nodes_of(place).iter().enumerate() {
            let Some(k) = node.travels else { continue };
            let status = self.floor.status[base + local];
            if status == Status::Done || self.floor.skip[base + local] {
                continue;
            }
            let left = match (status, node.brought) {
                // What people were only on their way to has not begun.
                (Status::Running, brought) if self.walks.is_on(base + local) => {
                    self.turn_back(bay, local);
                    if brought { self.units.open(row)[k as usize] } else { WHOLE }
                }
                (Status::Running, _) => self.cut_off(bay, local, k),
                (Status::Waiting | Status::Ready | Status::Done, true) => self.units.open(row)[k as usize],
                (Status::Waiting | Status::Ready | Status::Done, false) => WHOLE,
            };
            self.units.set_open(row, k, left);
            tasks += 1;
            if W::WATCHING {
                let (unit, step) = (self.number(bay), StepId(node.step));
                let left = if left == WHOLE { Time::NEVER } else { Time(left) };
                let (place, bay) = (PlaceId::from_index(place), self.bay_in_place(bay));
                self.see(Event::TakenAlong { unit, step, place, bay, left });
            }
        }
        self.floor.unqueue(shop, bay);
        if !self.floor.stock.notes.is_empty() {
            self.note_who_waits();
        }
        self.units.rows[row as usize].waits_since = now;
        tasks
    }

    /// What runs ends here; what is left of it, for all the people that the step names, where it goes as travelling
    /// step `k`.
    fn cut_off(&mut self, bay: usize, local: usize, k: u16) -> i64 {
        let shop = &self.c.shop;
        let brought = shop.node(bay, local).brought;
        let others = self.floor.begun_by_others(shop, bay, local);
        let (left, paused) = match self.pauses.take_off(bay, shop.bay_node0[bay] as usize + local) {
            Ok(due) => (self.left_until(bay, local, due), false),
            Err(left) => (left, true),
        };
        let people = self.floor.end_work(shop, bay, local, self.clock.now());
        self.overrun_ends(bay, local as u16, people);
        let gang = shop.bay_gang[bay] as usize;
        if people != 0 && !paused {
            self.people_end(gang, people);
        }
        self.visitors_end(gang, people);
        if brought && !paused {
            self.works_elsewhere(bay, -1);
        }
        let factor = if brought { 1.0 } else { self.c.travel[k as usize].factor };
        let share = others.map(|others| match others {
            (began, named) if began <= named => f64::from(began) / f64::from(named),
            _ => self.share_of_time(bay, local, others).recip(),
        });
        match (share, brought) {
            (None, true) => left,
            (None, false) => whole_half_even(left as f64 * factor).max(1),
            (Some(share), _) => whole_half_even(left as f64 * factor * share).max(1),
        }
    }

    /// A unit comes to a place: what it has taken along from there, not begun, is done there as if it never had.
    pub(super) fn comes_home(&mut self, row: Row, place: usize) {
        for node in self.c.shop.nodes_of(place).iter().filter(|node| !node.brought) {
            if let Some(k) = node.travels.filter(|k| self.units.open(row)[usize::from(*k)] == WHOLE) {
                self.units.set_open(row, k, 0);
            }
        }
    }

    /// A unit has arrived: the copies of what it brings are to be done here, where somebody can.
    pub(super) fn call_what_is_brought(&mut self, bay: usize, fresh: &mut Vec<u16>) {
        let shop = &self.c.shop;
        let place = shop.bay_place[bay] as usize;
        let row = self.bays[bay].unit;
        // A unit that a test has sent off the line takes it along; only who was pulled off goes there to have it done.
        if off_line(self.c.line, place) && !matches!(self.units.rows[row as usize].way, Way::PulledOff { .. })
        {
            return;
        }
        let open = self.units.open(row);
        let mut brought = std::mem::take(&mut self.brought);
        brought.clear();
        let due = |node: &crate::schedule::Node| {
            node.brought && node.travels.is_some_and(|k| open[k as usize] != 0)
        };
        let nodes = shop.nodes_of(place).iter().enumerate();
        brought.extend(nodes.filter(|(_, node)| due(node)).map(|(local, _)| local as u16));
        self.floor.call_besides(shop, bay, &brought, fresh);
        self.brought = brought;
    }

    /// A step has ended: what is left may be little enough for the push.
    pub(super) fn look_what_travels(&mut self, bay: usize, local: u16) {
        let node = self.c.shop.node(bay, local as usize);
        if let Some(k) = node.travels {
            self.units.set_open(self.bays[bay].unit, k, 0);
        }
        if node.brought {
            self.works_elsewhere(bay, -1);
        }
        if let Some(stretch) = self.stretches.get_mut(self.c.stretch_of[self.c.shop.bay_place[bay] as usize])
        {
            stretch.check = true;
        }
    }

    /// Work on a brought step begins or goes on (`1`), pauses, ends or is cut off again (`-1`): it
    /// enters the account with minus now and leaves it with plus now. Off the line the place has its own.
    pub(super) fn works_elsewhere(&mut self, bay: usize, sign: i64) {
        let stretch = self.c.stretch_of[self.c.shop.bay_place[bay] as usize];
        if let Some(state) = self.stretches.get_mut(stretch) {
            state.elsewhere += sign;
            self.seen.segments[stretch].done_elsewhere -= Time(sign * self.clock.net());
        }
    }

    /// The counted window begins or ends: what is worked on now is counted from (`-1`) or up to (`1`) it.
    pub(super) fn settle_elsewhere(&mut self, sign: i64) {
        for (state, counts) in self.stretches.iter().zip(&mut self.seen.segments) {
            counts.done_elsewhere += Time(sign * state.elsewhere * self.clock.net());
        }
    }

    /// Length of a brought step that starts now, and how often the step was started before on the unit
    /// (going on with one that was cut off is no new start: the `pace` of whoever began it stands in what is left).
    pub(super) fn length_of_brought(&mut self, bay: usize, local: u16, pace: Option<f64>) -> (i64, u32) {
        let node = self.c.shop.node(bay, local as usize);
        let row = self.bays[bay].unit;
        let k = node.travels.map_or(0, usize::from);
        let left = self.units.open(row)[k];
        let others = self.floor.begun_by_others(&self.c.shop, bay, local as usize);
        if left != WHOLE {
            let visit = self.units.visits(row, node.step).saturating_sub(1);
            let length = match others {
                None => left,
                Some(others) if others.0 <= others.1 => longer(left, others),
                Some(others) => {
                    let share = self.share_of_time(bay, usize::from(local), others);
                    whole_half_even(left as f64 * share).max(1)
                }
            };
            return (length, visit);
        }
        let visit = self.units.visit(row, node.step);
        let unit = &self.units.rows[row as usize];
        let timer = &self.c.travel[k].whole[unit.model as usize];
        let start = Start { replication: self.replication, unit: unit.number, visit, more: 0 };
        let at = self.c.shop.places[self.c.shop.bay_place[bay] as usize].node0 as usize + usize::from(local);
        let shared = at * self.c.shop.models + unit.model as usize;
        let length = self.c.length_by((timer, Some(shared)), start, others, pace);
        (length, visit)
    }

    /// What so many people make of the time of a step that runs, or goes on, on the unit, as a share of it.
    fn share_of_time(&self, bay: usize, local: usize, others: (u32, u32)) -> f64 {
        let place = &self.c.shop.places[self.c.shop.bay_place[bay] as usize];
        let row = self.bays[bay].unit;
        let unit = &self.units.rows[row as usize];
        let visit = self.units.visits(row, self.c.shop.node(bay, local).step).saturating_sub(1);
        let start = Start { replication: self.replication, unit: unit.number, visit, more: 0 };
        let at = (place.node0 as usize + local) * self.c.shop.models + unit.model as usize;
        self.c.share_of_time(at, start, others)
    }
}
