//! Lock-ups: waiting units none of which can go on unless another of them does, every alternative
//! being inside the set. Bays and pieces of equipment are alternatives to one another.

use super::run::{Fate, Run};
use super::settings::RunErrorKind;
use super::units::{NONE, Row, Way};
use super::watcher::Watcher;
use crate::schedule::Lack;
use std::collections::BTreeMap;

/// What a unit waits for: any of these units moving on would do.
struct Waiting {
    row: Row,
    place: usize,
    why: Why,
    on: Vec<Row>,
}

/// What it waits for, put into words only when it is told.
enum Why {
    Outside(usize),
    Bay(usize),
    Push(usize),
    Turn,
    Room(usize),
    Lanes(Vec<usize>),
    Carrier(usize),
    Equipment(Vec<u16>),
}

impl<W: Watcher> Run<'_, W> {
    /// # Errors
    /// A lock-up, with its units.
    pub(super) fn look_for_lock_up(&self) -> Result<(), RunErrorKind> {
        // Only waiting for equipment closes a circle, and then the first-ranked task says so.
        let waits = |work: &crate::schedule::BayWork| work.ready > 0 && work.lack == Lack::Equipment;
        if self.pauses.waiting_holds().is_empty() && !self.floor.bays.iter().any(waits) {
            return Ok(());
        }
        let waiting = self.who_waits();
        // Free are those who wait for nobody; whoever waits for a free one is free in time.
        let mut bound: BTreeMap<Row, usize> = waiting.iter().enumerate().map(|(k, w)| (w.row, k)).collect();
        let mut changed = true;
        while changed {
            changed = false;
            for w in &waiting {
                if bound.contains_key(&w.row) && w.on.iter().any(|other| !bound.contains_key(other)) {
                    bound.remove(&w.row);
                    changed = true;
                }
            }
        }
        if bound.is_empty() {
            return Ok(());
        }
        let waiting = bound.values().map(|k| {
            let w = &waiting[*k];
            (
                self.units.rows[w.row as usize].number,
                self.c.line.places[w.place].name.clone(),
                self.say(&w.why),
            )
        });
        Err(RunErrorKind::LockUp { waiting: waiting.collect() })
    }

    fn say(&self, why: &Why) -> String {
        let name = |place: &usize| &self.c.line.places[*place].name;
        match why {
            Why::Outside(place) => format!("a bay of {}, outside it", name(place)),
            Why::Bay(place) => format!("a bay of {}", name(place)),
            Why::Push(place) => format!("the push: {} is not ready", name(place)),
            Why::Turn => "its turn: nobody may overtake".to_string(),
            Why::Room(place) => format!("room at {}", name(place)),
            Why::Lanes(places) => {
                let names: Vec<&str> = places.iter().map(|place| name(place).as_str()).collect();
                format!("room at {}", crate::units::join_or(&names))
            }
            Why::Carrier(k) => self.c.line.carriers[*k].name.clone(),
            Why::Equipment(list) => {
                let names: Vec<&str> =
                    list.iter().map(|e| self.c.line.equipment[*e as usize].name.as_str()).collect();
                crate::units::join_or(&names)
            }
        }
    }

    fn who_waits(&self) -> Vec<Waiting> {
        let mut list = Vec::new();
        for (bay, state) in self.bays.iter().enumerate() {
            if state.unit == NONE || state.moving || state.fate != Fate::Stays {
                continue;
            }
            let place = self.c.shop.bay_place[bay] as usize;
            if state.done {
                self.waits_for_room(bay, place, &mut list);
            } else {
                self.waits_for_equipment(bay, place, &mut list);
            }
        }
        for place in 0..self.places.len() {
            let queues = [(&self.places[place].returns, true), (&self.places[place].slots, false)];
            for (queue, outside) in queues {
                for row in queue {
                    // In a pushed segment the line makes room for it at the next push.
                    if let Some((other, unit)) = self.holds_the_push(place) {
                        list.push(Waiting { row: *row, place, why: Why::Push(other), on: vec![unit] });
                        continue;
                    }
                    let on = self.occupants(place);
                    if self.places[place].free == 0 && !on.is_empty() {
                        let why = if outside { Why::Outside(place) } else { Why::Bay(place) };
                        list.push(Waiting { row: *row, place, why, on });
                    }
                }
            }
        }
        list
    }

    pub(super) fn occupants(&self, place: usize) -> Vec<Row> {
        let compiled = &self.c.shop.places[place];
        let bays = compiled.bay0 as usize..compiled.bay0 as usize + compiled.bays as usize;
        bays.into_iter().map(|b| self.bays[b].unit).filter(|row| *row != NONE).collect()
    }

    /// In a pushed segment: the first place whose unit is not ready, and that unit.
    fn holds_the_push(&self, place: usize) -> Option<(usize, Row)> {
        let stretch = self.stretch(place).filter(|s| s.pushed)?;
        (stretch.first..=stretch.last).find_map(|other| {
            let due = self.c.shop.places[other].bay0 as usize + self.places[other].due as usize;
            let unit = self.bays[due].unit;
            // A unit that may be pulled off holds nobody for good.
            let holds = self.c.line.places[other].pulls_to.is_none();
            (unit != NONE && holds && !self.bays[due].done && self.bays[due].fate == Fate::Stays)
                .then_some((other, unit))
        })
    }

    fn waits_for_room(&self, bay: usize, place: usize, list: &mut Vec<Waiting>) {
        let row = self.bays[bay].unit;
        let series = self.units.rows[row as usize].way == Way::Series;
        let Some(next) = self.way_on(place, row).filter(|_| series) else { return };
        if self.c.ordered[place] && !self.bays[bay].queued {
            let ahead = self.places[place].order.iter().map(|other| *other as usize);
            let mut ahead = ahead.take_while(|other| *other != bay);
            if let Some(other) = ahead.find(|other| !self.bays[*other].done) {
                list.push(Waiting { row, place, why: Why::Turn, on: vec![self.bays[other].unit] });
            }
            return;
        }
        if !self.c.lanes.is_empty() {
            self.waits_beside_lanes(bay, next, list);
            return;
        }
        self.waits_along_the_line(row, place, next, list);
    }

    /// For the push, a carrier, or room at the next place.
    fn waits_along_the_line(&self, row: Row, place: usize, next: usize, list: &mut Vec<Waiting>) {
        let stretch = self.stretch(place);
        let pushed = stretch.is_some_and(|s| s.pushed);
        if pushed && stretch.is_some_and(|s| place < s.last) {
            // It goes with the push: when the others of the segment are ready, never on its own.
            if let Some((other, unit)) = self.holds_the_push(place) {
                list.push(Waiting { row, place, why: Why::Push(other), on: vec![unit] });
            }
            return;
        }
        if let Some((other, unit)) = self.holds_the_push(next) {
            list.push(Waiting { row, place, why: Why::Push(other), on: vec![unit] });
            return;
        }
        let held = self.units.rows[row as usize].carriers;
        if let Some(k) = self.carrier_due(next, held) {
            // One that is on its way back comes whoever waits.
            if !self.around.carriers[k].is_coming() {
                let on = self.who_has_carrier(k);
                list.push(Waiting { row, place, why: Why::Carrier(k), on });
            }
            return;
        }
        let state = &self.places[next];
        if state.slots.len() < self.slots_of(next)
            || (state.free > 0 && !self.c.shop.places[next].pushed && state.returns.is_empty())
        {
            return;
        }
        let mut on = self.occupants(next);
        on.extend(&state.slots);
        if !on.is_empty() && !self.c.shop.places[next].pushed {
            list.push(Waiting { row, place, why: Why::Room(next), on });
        }
    }

    /// In a line with lanes: for its turn, or for room at any of the places that it may go to.
    fn waits_beside_lanes(&self, bay: usize, next: usize, list: &mut Vec<Waiting>) {
        let (row, place) = (self.bays[bay].unit, self.c.shop.bay_place[bay] as usize);
        let first = self.places[place].order.front().map(|first| *first as usize);
        if let Some(first) = first.filter(|first| self.c.ordered[place] && *first != bay) {
            list.push(Waiting { row, place, why: Why::Turn, on: vec![self.bays[first].unit] });
            return;
        }
        let ways = self.places_open_to(next, row);
        if let [only] = ways[..] {
            return self.waits_along_the_line(row, place, only, list);
        }
        let mut each = Vec::new();
        for way in &ways {
            let before = each.len();
            self.waits_along_the_line(row, place, *way, &mut each);
            if each.len() == before {
                return;
            }
        }
        let on = each.into_iter().flat_map(|waiting| waiting.on).collect();
        list.push(Waiting { row, place, why: Why::Lanes(ways), on });
    }

    fn who_has_carrier(&self, k: usize) -> Vec<Row> {
        let in_bays = self.bays.iter().map(|bay| bay.unit).filter(|row| *row != NONE);
        let queued = self.places.iter().flat_map(|p| p.slots.iter().chain(&p.returns)).copied();
        in_bays.chain(queued).filter(|row| self.units.rows[*row as usize].carriers >> k & 1 == 1).collect()
    }

    /// A unit nothing of which runs and whose every ready task waits for kept equipment.
    fn waits_for_equipment(&self, bay: usize, place: usize, list: &mut Vec<Waiting>) {
        let work = &self.floor.bays[bay];
        let listed = self.floor.gangs[self.c.shop.bay_gang[bay] as usize].ready.iter();
        let listed = listed.filter(|e| e.bay as usize == bay).map(|e| e.node);
        let holds = self.pauses.waiting_holds().iter().filter(|(of, _)| *of as usize == bay).map(|(_, k)| *k);
        let mut waits = listed.chain(holds).peekable();
        if work.running_work > 0 || work.running_holds > 0 || waits.peek().is_none() {
            return;
        }
        let mut on = Vec::new();
        let mut wanted: Vec<u16> = Vec::new();
        for local in waits {
            let node = self.c.shop.node(bay, local as usize);
            let opens = (0..self.c.shop.keep_equipment.len())
                .filter(|k| node.opens >> k & 1 == 1)
                .map(|k| self.c.shop.keep_equipment[k]);
            let short = node
                .equipment
                .iter()
                .map(|(e, _)| *e)
                .chain(opens)
                .find(|e| self.floor.free_equipment[*e as usize] == 0);
            let Some(equipment) = short else { return };
            let holders = self.holders(equipment);
            if holders.is_empty() {
                return;
            }
            on.extend(holders);
            wanted.push(equipment);
        }
        wanted.dedup();
        list.push(Waiting { row: self.bays[bay].unit, place, why: Why::Equipment(wanted), on });
    }

    /// Units that keep a piece of the equipment, or work with it now.
    fn holders(&self, equipment: u16) -> Vec<Row> {
        let keeps = |mask: u64| {
            (0..self.c.shop.keep_equipment.len())
                .any(|k| mask >> k & 1 == 1 && self.c.shop.keep_equipment[k] == equipment)
        };
        let mut rows: Vec<Row> = Vec::new();
        for (bay, state) in self.bays.iter().enumerate() {
            let busy = self.floor.bays[bay].running_work > 0;
            if state.unit != NONE && (keeps(self.floor.bays[bay].kept) || busy) {
                rows.push(state.unit);
            }
        }
        let queued = self.places.iter().flat_map(|p| p.slots.iter().chain(&p.returns)).copied();
        rows.extend(queued.filter(|row| keeps(self.units.rows[*row as usize].kept)));
        rows
    }
}
