//! Lanes: which one each unit takes, and whose turn it is where they meet.

use super::Follower;
use super::unit::Unit;
use taktwright::line::{Chosen, Lanes, Line, PlaceId};
use taktwright::units::Time;

/// The group whose lanes begin behind a place.
pub fn begin_behind(line: &Line, place: PlaceId) -> Option<usize> {
    line.lanes.iter().position(|lanes| lanes.lanes[0].first.index() == place.index() + 1)
}

/// The group, and which of its lanes, in which a place stands.
fn lane_with(line: &Line, place: PlaceId) -> Option<(usize, usize)> {
    let of = |lanes: &Lanes| lanes.lanes.iter().position(|lane| lane.first <= place && place <= lane.last);
    line.lanes.iter().enumerate().find_map(|(g, lanes)| Some((g, of(lanes)?)))
}

/// The place behind all lanes of a group, where a place ends one of them.
pub fn behind(line: &Line, place: PlaceId) -> Option<usize> {
    let (group, lane) = lane_with(line, place)?;
    let lanes = &line.lanes[group].lanes;
    (lanes[lane].last == place)
        .then(|| lanes.iter().map(|lane| lane.last.index()).max())?
        .map(|last| last + 1)
}

/// Where a unit that is done at a place goes, where that is known.
pub fn next_for(line: &Line, unit: &Unit, place: PlaceId) -> Option<PlaceId> {
    match begin_behind(line, place) {
        Some(group) => unit.lanes[group].map(|lane| line.lanes[group].lanes[lane].first),
        None => super::moves::next_of(line, place),
    }
}

impl Unit {
    /// A place stands in no lane, or in one that the unit takes, as far as that is known.
    pub fn comes_to(&self, line: &Line, place: PlaceId) -> bool {
        lane_with(line, place).is_none_or(|(group, lane)| self.lanes[group].is_none_or(|own| own == lane))
    }

    /// It stands there from the start.
    pub fn takes_lane_of(&mut self, line: &Line, place: PlaceId) {
        for (group, lanes) in line.lanes.iter().enumerate() {
            match lane_with(line, place) {
                Some((own, lane)) if own == group => self.lanes[group] = Some(lane),
                // Which lane it took before is of no account any more: any will do.
                _ if lanes.lanes[0].first < place => self.lanes[group] = Some(usize::MAX),
                _ => {}
            }
        }
    }
}

impl Follower<'_> {
    /// The places to which a unit may go from one.
    pub fn ways_on(&self, unit: &Unit, place: PlaceId) -> Vec<PlaceId> {
        let line = self.line;
        let Some(group) = begin_behind(line, place) else {
            return super::moves::next_of(line, place).into_iter().collect();
        };
        let lanes = &line.lanes[group];
        let may = |lane: &usize| match unit.lanes[group] {
            Some(own) => *lane == own,
            None => lanes.lanes[*lane].models[unit.model.index()],
        };
        (0..lanes.lanes.len()).filter(may).map(|lane| lanes.lanes[lane].first).collect()
    }

    /// It is said which lane a unit takes.
    pub fn lane_chosen(&mut self, number: u64, group: usize, lane: usize) {
        let line = self.line;
        let (Some(lanes), Some(unit)) = (line.lanes.get(group), self.units.get(&number)) else {
            return self.fault(Some(number), None, "takes a lane and is not there");
        };
        let mut wrong = Vec::new();
        let Some((place, _)) = unit.bay().filter(|(place, _)| begin_behind(line, *place) == Some(group))
        else {
            return self.fault(Some(number), None, "takes a lane that does not begin here");
        };
        if !unit.is_done_at(line, place) {
            wrong.push("takes a lane before it is done".to_string());
        }
        if !lanes.lanes[lane].models[unit.model.index()] {
            wrong.push(format!("takes lane {}, which is not for its model", lanes.lanes[lane].name));
        }
        match lanes.chosen {
            Chosen::ByShare => {
                if unit.lanes[group].is_some_and(|before| before != lane) {
                    wrong.push("takes another lane than it was drawn for".to_string());
                }
                if lanes.lanes[lane].share <= 0.0 {
                    wrong.push("takes a lane that nobody takes".to_string());
                }
            }
            Chosen::ByModel => {}
            Chosen::ByShortestQueue => self.check_choice(unit, lanes, lane, &mut wrong),
        }
        for text in wrong {
            self.fault(Some(number), Some(place), text);
        }
        if lanes.chosen == Chosen::ByShortestQueue {
            self.waited_in_row(number, lanes.lanes[lane].first);
        }
        if let Some(unit) = self.units.get_mut(&number) {
            unit.lanes[group] = Some(lane);
        }
    }

    /// Of the lanes that have room, the one with the fewest units before its first place and in its bays; the first
    /// of several.
    fn shortest_of(&self, unit: &Unit, lanes: &Lanes) -> Option<usize> {
        let open = |lane: &usize| {
            let first = lanes.lanes[*lane].first;
            let slot = || {
                let now = &self.places[first.index()];
                now.slots.len() < self.line.places[first.index()].slots as usize
            };
            lanes.lanes[*lane].models[unit.model.index()]
                && self.has_place_for_new(first)
                && (slot() || self.goes_before_returns(unit, first))
                && self.has_carriers(Some(unit), first)
        };
        let length = |lane: usize| {
            let now = &self.places[lanes.lanes[lane].first.index()];
            now.bays.iter().flatten().count() + now.slots.len() + now.outside.len()
        };
        (0..lanes.lanes.len()).filter(open).min_by_key(|lane| (length(*lane), *lane))
    }

    /// The lane that a unit would choose now, done behind which the queues decide.
    pub fn choice_now(&self, unit: &Unit, place: PlaceId) -> Option<Option<PlaceId>> {
        let group = begin_behind(self.line, place)?;
        let lanes = &self.line.lanes[group];
        let decides = lanes.chosen == Chosen::ByShortestQueue && unit.lanes[group].is_none();
        decides.then(|| self.shortest_of(unit, lanes).map(|lane| lanes.lanes[lane].first))
    }

    /// Its lane is as `shortest_of` says; and nobody chooses while a unit in the lanes could still go on.
    fn check_choice(&self, unit: &Unit, lanes: &Lanes, lane: usize, wrong: &mut Vec<String>) {
        let line = self.line;
        let best = self.shortest_of(unit, lanes);
        if best != Some(lane) {
            let name = |lane: usize| lanes.lanes[lane].name.as_str();
            let said = best.map_or("none has room", name);
            wrong.push(format!("takes lane {} and should take: {said}", name(lane)));
        }
        for place in lanes.lanes.iter().flat_map(|lane| lane.first.index()..=lane.last.index()) {
            let place = PlaceId::from_index(place);
            let stands = self.places[place.index()].bays.iter().flatten().map(|u| (u, &self.units[u]));
            let ready = |unit: &Unit| {
                unit.arrives <= self.now
                    && unit.route.is_empty()
                    && !self.is_halted(place)
                    && unit.is_done_at(line, place)
            };
            if let Some((other, _)) = stands.into_iter().find(|(_, u)| ready(u) && self.goes_now(u, place)) {
                wrong.push(format!("chooses its lane before unit {other} has gone on"));
            }
        }
    }

    /// Up to now it waited for whichever lane: from now on, and for all that time, for one with a test.
    fn waited_in_row(&mut self, number: u64, first: PlaceId) {
        let Some(since) = self.units.get(&number).and_then(|unit| unit.done_at) else { return };
        let from = since.max(self.counted_from());
        for (test, sum) in self.line.tests.iter().zip(&mut self.totals.tests) {
            if test.place == first {
                sum.queue += i128::from((self.now - from).0.max(0));
            }
        }
    }

    /// Where lanes meet, who has been done longest goes first, of several the one in the first lane.
    pub fn check_other_lanes(&self, at: PlaceId, own: Option<Time>, wrong: &mut Vec<String>) {
        let Some((group, _)) = lane_with(self.line, at) else { return };
        if behind(self.line, at).is_none() {
            return;
        }
        for last in self.line.lanes[group].lanes.iter().map(|lane| lane.last) {
            if last == at || self.is_halted(last) || self.line.places[last.index()].ordered {
                continue;
            }
            for number in self.places[last.index()].bays.iter().flatten() {
                let unit = &self.units[number];
                let waits =
                    unit.route.is_empty() && unit.arrives <= self.now && unit.is_done_at(self.line, last);
                if waits && (unit.done_at < own || unit.done_at == own && last < at) {
                    wrong.push(format!("goes before unit {number} of another lane, whose turn it is"));
                }
            }
        }
    }
}
