//! Gates, carriers and the yard: what is found in units, who stands on what, what lorries take.

use super::Follower;
use super::moves::place_of;
use super::unit::Unit;
use super::work::bounds;
use taktwright::line::{Carriers, Finder, Line, PlaceId, StepId, Taken, TestId};
use taktwright::simulate::{Replication, Spot};
use taktwright::units::Time;

/// Carriers of one statement that are on their way back: when each is there.
#[derive(Clone, Default, Debug)]
pub struct CarriersNow {
    back: Vec<Time>,
    /// Ways back that were said and not yet taken, and carriers left whose way back is not said yet.
    said: Vec<Time>,
    owed: u32,
}

#[derive(Clone, Copy, Default, Debug)]
pub struct GateSum {
    units: u64,
    clear: u64,
    here: u64,
    left: u64,
    let_through: u64,
}

#[derive(Clone, Copy, Default, Debug)]
pub struct CarrierSum {
    on: i128,
    back: i128,
    none_free: i64,
}

#[derive(Clone, Copy, Default, Debug)]
pub struct YardSum {
    level: i128,
    full: i64,
    lorries: u64,
    part_loads: u64,
    taken: u64,
}

#[derive(Clone, Default, Debug)]
pub struct AroundSums {
    gates: Vec<GateSum>,
    carriers: Vec<CarrierSum>,
    yard: YardSum,
}

impl AroundSums {
    pub fn new(line: &Line) -> AroundSums {
        AroundSums {
            gates: vec![GateSum::default(); line.gates.len()],
            carriers: vec![CarrierSum::default(); line.carriers.len()],
            yard: YardSum::default(),
        }
    }
}

/// Whether a unit stands on one there.
fn carries(carriers: &Carriers, place: PlaceId) -> bool {
    carriers.first <= place && place <= carriers.last
}

impl Follower<'_> {
    pub fn found(&mut self, number: u64, gate: u16, here: u32, left: u32) {
        let stated = &self.line.gates[usize::from(gate)];
        let most = stated.goes_on.map_or(0, |on| on.most);
        if left > most || here > 0 && left < most {
            let text = format!("has {here} faults mended at {} and {left} later", stated.name);
            self.fault(Some(number), None, text);
        }
        let later = stated.goes_on.map(|on| on.step);
        let step = stated.step;
        let Some(unit) = self.units.get_mut(&number) else {
            return self.fault(Some(number), None, "has faults and is not there");
        };
        unit.faults[usize::from(gate)].0 = here + left;
        unit.mends[step.index()] = Some(here);
        if let Some(later) = later {
            unit.mends[later.index()] = Some(left);
        }
    }

    /// Tests that have let through what a gate is to find in a unit.
    fn brings_to(&self, unit: &Unit, gate: usize) -> Vec<TestId> {
        let finds = |test: &&TestId| {
            let escapes = self.line.tests[test.index()].wrong.escapes;
            escapes.is_some_and(|(_, finder)| finder == Finder::Gate(gate as u16))
        };
        unit.escaped.iter().filter(finds).copied().collect()
    }

    /// A gate finds what tests have let through: these are faults of the unit like its own, and its last ones.
    pub fn found_let_through(&mut self, number: u64, gate: u16, faults: u32) {
        let g = usize::from(gate);
        let stated = &self.line.gates[g];
        let Some(unit) = self.units.get(&number) else {
            return self.fault(Some(number), None, "brings faults to a gate and is not there");
        };
        let brings = self.brings_to(unit, g);
        let stands =
            matches!(unit.bay(), Some((place, _)) if place == stated.place) && unit.arrives <= self.now;
        let is_due = unit.applies_at_all(self.line, stated.step) && !unit.done[stated.step.index()];
        if brings.len() != faults as usize || faults == 0 || !stands || !is_due {
            let text =
                format!("{} finds {faults} faults that came through tests, of {brings:?}", stated.name);
            self.fault(Some(number), Some(stated.place), text);
        }
        let most = stated.goes_on.map_or(0, |on| on.most);
        let unit = self.units.get_mut(&number).expect("it is there");
        unit.escaped.retain(|test| !brings.contains(test));
        let (own, found) = &mut unit.faults[g];
        let before = *own + found.len() as u32;
        found.retain(|test| !brings.contains(test));
        found.extend(brings);
        let all = *own + found.len() as u32;
        let left = all.min(most);
        unit.mends[stated.step.index()] = Some(all - left);
        if let Some(on) = stated.goes_on {
            unit.mends[on.step.index()] = Some(left);
        }
        let more = u64::from(left - before.min(most));
        let sum = &mut self.totals.around.gates[g];
        sum.let_through += u64::from(faults);
        sum.left += more;
        sum.here += u64::from(all - before) - more;
    }

    /// At the end of an instant: nobody begins a gate's list with a fault that it has not found.
    pub fn judge_gates(&mut self) {
        let mut late = Vec::new();
        for (number, unit) in self.units.iter().filter(|(_, unit)| !unit.escaped.is_empty()) {
            let Some((place, _)) = unit.bay().filter(|_| unit.arrives <= self.now) else { continue };
            for (g, gate) in self.line.gates.iter().enumerate().filter(|(_, gate)| gate.place == place) {
                let is_due = unit.applies_at_all(self.line, gate.step) && !unit.done[gate.step.index()];
                if is_due && !self.brings_to(unit, g).is_empty() {
                    late.push((*number, place, format!("brings what {} does not find", gate.name)));
                }
            }
        }
        for (number, place, text) in late {
            self.fault(Some(number), Some(place), text);
        }
    }

    /// It has come to a bay on its way along the line.
    pub fn come_to_gates(&mut self, number: u64, place: PlaceId) {
        let line = self.line;
        let unit = &self.units[&number];
        for (g, gate) in line.gates.iter().enumerate().filter(|(_, gate)| gate.place == place) {
            if unit.returning || !unit.applies_at_all(line, gate.step) {
                continue;
            }
            let mends = |step: StepId| u64::from(unit.mends[step.index()].unwrap_or(0));
            let (here, left) = (mends(gate.step), gate.goes_on.map_or(0, |on| mends(on.step)));
            let brings = self.brings_to(unit, g);
            let sum = &mut self.totals.around.gates[g];
            sum.units += 1;
            sum.clear += u64::from(here + left == 0 && brings.is_empty());
            sum.here += here;
            sum.left += left;
        }
    }

    fn on_carriers(&self, k: usize) -> usize {
        self.units.values().filter(|unit| unit.carried[k]).count()
    }

    fn free_carriers(&self, k: usize) -> i64 {
        let away = self.carriers[k].back.iter().filter(|at| **at > self.now).count();
        i64::from(self.line.carriers[k].count) - (self.on_carriers(k) + away) as i64
    }

    /// What it needs at a place is free, or it stands on it.
    pub fn has_carriers(&self, unit: Option<&Unit>, place: PlaceId) -> bool {
        let lacks = |k: usize| unit.is_none_or(|unit| !unit.carried[k]);
        (0..self.carriers.len())
            .all(|k| self.line.carriers[k].first != place || !lacks(k) || self.free_carriers(k) > 0)
    }

    /// It takes a spot: on the line it takes the carriers of the place and leaves all others.
    pub fn change_carriers(&mut self, number: u64, to: Spot) {
        let (line, place) = (self.line, place_of(to));
        if matches!(to, Spot::Outside(_)) || line.places[place.index()].segment.is_none() {
            return;
        }
        let from_start = self.units[&number].from_start && self.now == Time::ZERO;
        for (k, carriers) in line.carriers.iter().enumerate() {
            let (held, wanted) = (self.units[&number].carried[k], carries(carriers, place));
            match (held, wanted) {
                (false, true) if carriers.first == place || from_start => {
                    if self.free_carriers(k) < 1 {
                        self.fault(
                            Some(number),
                            Some(place),
                            format!("takes a {} and none is free", carriers.name),
                        );
                    }
                    self.set_carried(number, k, true);
                }
                (false, true) => {
                    self.fault(Some(number), Some(place), format!("comes without a {}", carriers.name));
                }
                (true, false) => self.leave_carrier(number, k),
                (true, true) | (false, false) => {}
            }
        }
    }

    pub fn leave_carriers(&mut self, number: u64) {
        for k in 0..self.carriers.len() {
            if self.units.get(&number).is_some_and(|unit| unit.carried[k]) {
                self.leave_carrier(number, k);
            }
        }
    }

    fn set_carried(&mut self, number: u64, k: usize, carried: bool) {
        if let Some(unit) = self.units.get_mut(&number) {
            unit.carried[k] = carried;
        }
    }

    fn leave_carrier(&mut self, number: u64, k: usize) {
        self.set_carried(number, k, false);
        if self.line.carriers[k].back.is_none() {
            return;
        }
        match self.carriers[k].said.pop() {
            Some(way) => self.sets_out(k, way),
            None => self.carriers[k].owed += 1,
        }
    }

    fn sets_out(&mut self, k: usize, way: Time) {
        let now = self.now;
        self.carriers[k].back.retain(|at| *at > now);
        self.carriers[k].back.push(now + way);
    }

    /// At the end of an instant.
    pub fn judge_carriers(&mut self) {
        for k in 0..self.carriers.len() {
            if self.carriers[k].owed > 0 || !self.carriers[k].said.is_empty() {
                self.fault(
                    None,
                    None,
                    format!("ways back of {} are not those left", self.line.carriers[k].name),
                );
            }
        }
    }

    pub fn carrier_left(&mut self, k: u16, length: Time) {
        let line = self.line;
        let carriers = &line.carriers[usize::from(k)];
        let (low, high) = carriers.back.as_ref().map_or((1.0, 0.0), |dist| bounds(dist, 1.0));
        let length_us = length.0 as f64;
        if length_us < low - 1.0 || length_us > high + 1.0 {
            self.fault(None, None, format!("a {} is on its way for {length}", carriers.name));
        }
        match self.carriers[usize::from(k)].owed {
            0 => self.carriers[usize::from(k)].said.push(length),
            _ => {
                self.carriers[usize::from(k)].owed -= 1;
                self.sets_out(usize::from(k), length);
            }
        }
    }

    pub fn yard_has_room(&self) -> bool {
        self.line.yard.as_ref().is_none_or(|yard| self.yard < yard.places)
    }

    pub fn yard_takes(&mut self, number: u64) {
        if !self.yard_has_room() {
            self.fault(Some(number), None, "finishes though the yard is full");
        }
        self.yard += u32::from(self.line.yard.is_some());
    }

    pub fn lorry_came(&mut self, load: u32) {
        let Some(yard) = &self.line.yard else {
            return self.fault(None, None, "a lorry comes to a line without a yard");
        };
        let monday = self.line.calendar.as_ref().map_or(0, |c| i64::from(c.first_weekday) * Time::DAY.0);
        let in_week = Time((self.now.0 + monday).rem_euclid(Time::WEEK.0));
        if !yard.lorries.contains(&in_week) {
            self.fault(None, None, "a lorry comes at a time that the file does not state");
        }
        if load != self.yard.min(yard.load) {
            self.fault(None, None, format!("a lorry takes {load} of {} units", self.yard));
        }
        self.yard -= load.min(self.yard);
        let sum = &mut self.totals.around.yard;
        sum.lorries += 1;
        sum.part_loads += u64::from(load < yard.load);
        sum.taken += u64::from(load);
    }

    pub fn integrate_around(&mut self, from: Time, to: Time) {
        let clock = (to - from).0;
        for k in 0..self.carriers.len() {
            let on = self.on_carriers(k);
            let ways = self.carriers[k].back.iter().filter(|at| **at > from);
            let back: i64 = ways.clone().map(|at| ((*at).min(to) - from).0).sum();
            // All are away until the first one comes back.
            let first = ways.clone().copied().min().map_or(to, |at| at.min(to));
            let all_away = on + ways.count() == self.line.carriers[k].count as usize;
            let sum = &mut self.totals.around.carriers[k];
            sum.on += i128::from(clock) * on as i128;
            sum.back += i128::from(back);
            sum.none_free += if all_away { (first - from).0 } else { 0 };
        }
        let full = !self.yard_has_room();
        let sum = &mut self.totals.around.yard;
        sum.level += i128::from(clock) * i128::from(self.yard);
        sum.full += if full { clock } else { 0 };
    }

    /// What the report says of them: (what, at least, at most, reported).
    pub fn around_reported(
        &self,
        report: &Replication,
        before: &AroundSums,
        after: &AroundSums,
    ) -> Vec<(String, i128, i128, i128)> {
        let mut rows = Vec::new();
        let now = &self.totals.around;
        let mut count = |what: String, [own, then, later]: [u64; 3], reported: u64| {
            rows.push((what, (own - later).into(), (own - then).into(), reported.into()));
        };
        for (g, counts) in report.gates.iter().enumerate() {
            let name = &self.line.gates[g].name;
            let of = |of: fn(&GateSum) -> u64| [&now.gates[g], &before.gates[g], &after.gates[g]].map(of);
            count(format!("units at {name}"), of(|s| s.units), counts.units);
            count(format!("clear units at {name}"), of(|s| s.clear), counts.clear);
            count(format!("faults mended at {name}"), of(|s| s.here), counts.mended_here);
            count(format!("faults left by {name}"), of(|s| s.left), counts.went_on);
            let let_through = of(|s| s.let_through);
            count(format!("faults that came through tests to {name}"), let_through, counts.let_through);
        }
        let of = |of: fn(&YardSum) -> u64| [&now.yard, &before.yard, &after.yard].map(of);
        count("lorries".to_string(), of(|s| s.lorries), report.yard.lorries);
        count("lorries not filled".to_string(), of(|s| s.part_loads), report.yard.part_loads);
        count("units taken by lorries".to_string(), of(|s| s.taken), report.yard.taken);
        let mut exact = |what: String, own: i128, reported: i128| rows.push((what, own, own, reported));
        if self.line.yard.is_some() {
            exact("units in the yard".to_string(), now.yard.level - before.yard.level, report.yard.level);
            let full = now.yard.full - before.yard.full;
            exact("time with a full yard".to_string(), full.into(), report.yard.full.0.into());
        }
        for (k, counts) in report.carriers.iter().enumerate() {
            let (own, then) = (&now.carriers[k], &before.carriers[k]);
            let name = &self.line.carriers[k].name;
            exact(format!("{name} under units"), own.on - then.on, counts.on);
            exact(format!("{name} on the way back"), own.back - then.back, counts.back);
            let none = own.none_free - then.none_free;
            exact(format!("time without a free {name}"), none.into(), counts.none_free.0.into());
        }
        rows
    }
}

/// Least and greatest time of so many faults.
pub fn bounds_of_faults(faults: &taktwright::line::Faults, mended: Option<u32>, factor: f64) -> (f64, f64) {
    let (low, high) = bounds(&faults.each, factor);
    let most = match faults.taken {
        Taken::UpTo(most) => f64::from(most),
        Taken::All | Taken::Beyond(_) => f64::INFINITY,
    };
    match mended {
        // No fault: the step must not be begun.
        Some(0) => (f64::INFINITY, 0.0),
        Some(n) => (low * f64::from(n), high * f64::from(n)),
        None => (low, high * most),
    }
}
