//! Lanes: where units part and meet.
//!
//! Who goes by model or share waits for its lane like for any next place. Units that the queues decide about wait in
//! one row, kept with the first place of the first lane, and choose when they go, once nothing else in the lanes moves
//! at that instant; so nobody waits for a full lane while another has room. Lines without lanes know nothing of this.

use super::run::Run;
use super::units::Row;
use super::watcher::{Event, Watcher};
use crate::draws::{Purpose, Stream};
use crate::line::{Chosen, Line, PlaceId};

/// A group of lanes, compiled.
#[derive(Clone, Debug)]
struct Group {
    chosen: Chosen,
    /// Per lane: its first place, and per model whether its units may take it.
    firsts: Vec<usize>,
    models: Vec<Vec<bool>>,
    /// Per lane: the share that goes by it or by one before it.
    up_to: Vec<f64>,
    draw: Stream,
    /// Lanes of the groups before it.
    earlier: usize,
}

/// The lanes of a line, compiled; all of it empty where there are none.
#[derive(Clone, Debug)]
pub struct LanesPlan {
    groups: Vec<Group>,
    /// Per place: the group that begins behind it, and the group and the lane that begin with it.
    behind: Vec<Option<usize>>,
    begins: Vec<Option<(usize, usize)>>,
    /// Per place: where its units come from, first lane first.
    before: Vec<Vec<usize>>,
}

impl LanesPlan {
    pub fn new(line: &Line, stream: &impl Fn(Purpose, &str) -> Stream) -> LanesPlan {
        let earlier = |g: usize| line.lanes[..g].iter().map(|lanes| lanes.lanes.len()).sum();
        let group = |(g, lanes): (usize, &crate::line::Lanes)| Group {
            earlier: earlier(g),
            chosen: lanes.chosen,
            firsts: lanes.lanes.iter().map(|lane| lane.first.index()).collect(),
            models: lanes.lanes.iter().map(|lane| lane.models.clone()).collect(),
            up_to: lanes
                .lanes
                .iter()
                .scan(0.0, |sum, lane| {
                    *sum += lane.share;
                    Some(*sum)
                })
                .collect(),
            draw: stream(Purpose::Split, &lanes.draws_as),
        };
        let places = || line.places_in_order().filter(|_| !line.lanes.is_empty());
        let begins = |place: PlaceId| {
            let of = |(g, lanes): (usize, &crate::line::Lanes)| {
                let lane = lanes.lanes.iter().position(|lane| lane.first == place);
                lane.map(|lane| (g, lane))
            };
            line.lanes.iter().enumerate().find_map(of)
        };
        LanesPlan {
            groups: line.lanes.iter().enumerate().map(group).collect(),
            behind: places().map(|place| line.lanes_behind(place)).collect(),
            begins: places().map(begins).collect(),
            before: places()
                .map(|place| line.places_before(place).into_iter().map(PlaceId::index).collect())
                .collect(),
        }
    }

    #[inline]
    pub fn is_empty(&self) -> bool {
        self.groups.is_empty()
    }

    /// The group whose units wait for a place in one row with those for other lanes.
    fn row_of(&self, place: usize) -> Option<usize> {
        let (group, _) = self.begins[place]?;
        (self.groups[group].chosen == Chosen::ByShortestQueue).then_some(group)
    }

    /// The place with which the row of those who wait for one is kept.
    pub fn kept_with(&self, place: usize) -> usize {
        if self.is_empty() {
            return place;
        }
        self.row_of(place).map_or(place, |group| self.groups[group].firsts[0])
    }

    /// First places of the lanes that begin behind a place, or the place that follows it.
    pub fn ways_on(&self, place: usize, next: usize) -> Vec<usize> {
        let group = self.behind.get(place).copied().flatten();
        group.map_or_else(|| vec![next], |group| self.groups[group].firsts.clone())
    }
}

impl<W: Watcher> Run<'_, W> {
    /// Where a unit that is done at a place goes; the first lane, where the queues decide later.
    #[inline]
    pub(super) fn way_on(&self, place: usize, row: Row) -> Option<usize> {
        let next = self.c.next[place].map(usize::from);
        if self.c.lanes.is_empty() { next } else { self.way_in_lanes(place, row).or(next) }
    }

    fn way_in_lanes(&self, place: usize, row: Row) -> Option<usize> {
        let group = &self.c.lanes.groups[self.c.lanes.behind[place]?];
        let unit = &self.units.rows[row as usize];
        let lane = match group.chosen {
            Chosen::ByModel => group.models.iter().position(|models| models[unit.model as usize]),
            Chosen::ByShare => {
                let drawn = group.draw.of_replication(self.replication).uniform(unit.number, 0);
                group.up_to.iter().position(|up_to| drawn < *up_to)
            }
            Chosen::ByShortestQueue => Some(0),
        };
        // Shares sum to 1 but for the last digit.
        Some(group.firsts[lane.unwrap_or(group.firsts.len() - 1)])
    }

    /// A unit is done and goes on to `next`: it comes to the queue of a test there, unless it has not chosen yet.
    #[inline]
    pub(super) fn joins(&mut self, row: Row, next: usize) {
        if self.c.lanes.is_empty() {
            self.join_queue(next);
        } else if self.c.lanes.row_of(next).is_none() {
            self.join_queue(next);
            self.show_lane(row, next);
        }
    }

    fn show_lane(&mut self, row: Row, first: usize) {
        if let (true, Some((group, lane))) = (W::WATCHING, self.c.lanes.begins[first]) {
            let unit = self.shown(row);
            self.see(Event::LaneChosen { unit, lanes: group as u16, lane: lane as u16 });
        }
    }

    /// A unit goes on to a place: it may be into a lane.
    pub(super) fn count_lane(&mut self, place: usize) {
        if let Some((group, lane)) = self.c.lanes.begins[place] {
            self.seen.lane_units[self.c.lanes.groups[group].earlier + lane] += 1;
        }
    }

    /// Among those who wait for a place: behind all but those who began at this instant in a later lane.
    pub(super) fn wait_beside_lanes(&mut self, bay: usize, next: usize) {
        let now = self.clock.now();
        self.around.lane_waits[bay] = now;
        let place = self.c.shop.bay_place[bay];
        let waiting = &self.places[next].blocked;
        let later = |other: &&u32| {
            self.around.lane_waits[**other as usize] == now && self.c.shop.bay_place[**other as usize] > place
        };
        let behind = waiting.len() - waiting.iter().rev().take_while(later).count();
        self.places[next].blocked.insert(behind, bay as u32);
        self.check_row(next);
    }

    /// As `check_full`, for every lane for which the row of a place waits.
    fn check_row(&mut self, next: usize) {
        match self.c.lanes.row_of(next) {
            None => self.check_full(next),
            Some(group) => {
                let c = self.c;
                c.lanes.groups[group].firsts.iter().for_each(|first| self.check_full(*first));
            }
        }
    }

    /// As `upstream`: the first of those who wait that may leave where they stand.
    pub(super) fn upstream_beside_lanes(&self, place: usize) -> Option<u32> {
        if self.c.lanes.row_of(place).is_some() {
            return None;
        }
        let bay = self.places[place].blocked.iter().copied().find(|bay| self.may_leave(*bay as usize))?;
        let held = self.units.rows[self.bays[bay as usize].unit as usize].carriers;
        self.carriers_for(place, held).then_some(bay)
    }

    /// Its place isn't stopped, and nobody there must leave before.
    fn may_leave(&self, bay: usize) -> bool {
        let place = self.c.shop.bay_place[bay] as usize;
        let in_turn = !self.c.ordered[place] || self.places[place].order.front() == Some(&(bay as u32));
        in_turn && !self.is_halted(place)
    }

    /// A unit has left a bay: where nobody may overtake, the next one may go now, whichever its lane.
    pub(super) fn turn_before_lanes(&mut self, place: usize) {
        if let Some(group) = self.c.lanes.behind[place].filter(|_| self.c.ordered[place]) {
            let c = self.c;
            c.lanes.groups[group].firsts.iter().for_each(|first| self.touch(*first));
        }
    }

    /// Units wait in a row to come to a place, or another.
    pub(super) fn is_begun_by_a_row(&self, place: usize) -> bool {
        !self.c.lanes.is_empty() && self.c.lanes.row_of(place).is_some()
    }

    /// Something may have changed where a lane begins; the row is looked at with the first lane, which comes last.
    pub(super) fn look_at_row(&mut self, place: usize) {
        let Some(group) = self.c.lanes.row_of(place) else { return };
        let first = self.c.lanes.groups[group].firsts[0];
        if place != first {
            self.touch(first);
            return;
        }
        if let Some((at, to)) = self.next_of_row(group)
            && let Some(bay) = self.places[first].blocked.remove(at)
        {
            self.check_row(first);
            self.count_lane(to);
            self.join_queue(to);
            let from = self.spot_of(bay as usize);
            self.show_lane(self.bays[bay as usize].unit, to);
            let row = self.leave_blocked(bay as usize);
            let travel = self.travel_into(to);
            self.movers_go_into(to, travel);
            if self.has_bay_for(to, row) {
                self.come_in(row, to, from, travel);
            } else {
                self.enter_slot(row, to, from, travel);
            }
            // The next one chooses when this one has gone as far as it goes now; who returns may have let it go first.
            let c = self.c;
            for place in c.lanes.groups[group].firsts.iter().copied() {
                if place == first || self.takes_in_turn(place) {
                    self.touch(place);
                }
            }
        }
        if !self.movers.is_none() {
            self.forget_moves_of_row(group);
        }
    }

    /// Of those who wait, the first for whom some lane has room, and whom somebody may move there, where people do;
    /// and the first place of that lane.
    fn next_of_row(&mut self, group: usize) -> Option<(usize, usize)> {
        let first = self.c.lanes.groups[group].firsts[0];
        (0..self.places[first].blocked.len()).find_map(|at| {
            let to = self.way_of_row(group, self.places[first].blocked[at])?;
            self.has_movers_into(to).then_some((at, to))
        })
    }

    /// The lane for one of those who wait, if some has room.
    fn way_of_row(&self, group: usize, bay: u32) -> Option<usize> {
        let bay = bay as usize;
        self.shortest(group, self.bays[bay].unit).filter(|_| self.may_leave(bay))
    }

    /// Lanes into which nobody is to be moved any more.
    fn forget_moves_of_row(&mut self, group: usize) {
        let c = self.c;
        let firsts = &c.lanes.groups[group].firsts;
        for first in firsts.iter().copied() {
            let row = &self.places[firsts[0]].blocked;
            let waits = || row.iter().any(|bay| self.way_of_row(group, *bay) == Some(first));
            let free = self.places[first].free > 0 && !self.is_halted(first);
            let returns = || free && self.next_source(first).is_some();
            if self.movers.are_wanted_at(first) && !waits() && !returns() {
                self.movers_are_not_wanted(first);
            }
        }
    }

    /// Of the lanes that have room for a unit, the one with the fewest units before its first place and in its bays.
    fn shortest(&self, group: usize, row: Row) -> Option<usize> {
        let unit = &self.units.rows[row as usize];
        let group = &self.c.lanes.groups[group];
        let may = |lane: &usize| group.models[*lane][unit.model as usize];
        let places = (0..group.firsts.len()).filter(may).map(|lane| group.firsts[lane]);
        let open = places.filter(|place| {
            let slot = self.places[*place].slots.len() < self.slots_of(*place);
            (slot || self.has_bay_for(*place, row)) && self.carriers_for(*place, unit.carriers)
        });
        open.min_by_key(|place| self.queue_length(*place))
    }

    /// Units before a place and in its bays.
    fn queue_length(&self, place: usize) -> usize {
        let state = &self.places[place];
        let in_bays = usize::from(self.c.shop.places[place].bays - state.free);
        in_bays + state.slots.len() + state.returns.len()
    }

    /// A bay that no unit in the slots is to take, and none that returns: unless they go in turn, and the first of
    /// these began to wait later.
    pub(super) fn has_bay_for(&self, place: usize, row: Row) -> bool {
        let state = &self.places[place];
        let before =
            |returning: &Row| self.c.line.places[place].returns_first || !self.waits_longer(row, *returning);
        let free = state.free > 0 && state.slots.is_empty() && !self.is_halted(place);
        free && !state.returns.front().is_some_and(before)
    }

    fn waits_longer(&self, row: Row, other: Row) -> bool {
        self.units.rows[row as usize].waits_since < self.units.rows[other as usize].waits_since
    }

    /// Units wait to return to a place, where they go in turn.
    fn takes_in_turn(&self, place: usize) -> bool {
        !self.c.line.places[place].returns_first && !self.places[place].returns.is_empty()
    }

    /// Somebody in the row may take a bay of the place before a unit that returns to it: until that one has chosen its
    /// lane, the other waits.
    pub(super) fn row_goes_before(&self, place: usize, returning: Row) -> bool {
        if self.c.lanes.is_empty() || !self.takes_in_turn(place) || !self.places[place].slots.is_empty() {
            return false;
        }
        let Some(group) = self.c.lanes.row_of(place).map(|group| &self.c.lanes.groups[group]) else {
            return false;
        };
        let lane = group.firsts.iter().position(|first| *first == place);
        self.places[group.firsts[0]].blocked.iter().any(|bay| {
            let (row, bay) = (self.bays[*bay as usize].unit, *bay as usize);
            let unit = &self.units.rows[row as usize];
            self.waits_longer(row, returning)
                && lane.is_some_and(|lane| group.models[lane][unit.model as usize])
                && self.may_leave(bay)
                && self.carriers_for(place, unit.carriers)
        })
    }

    /// As `waiting_for`, of units that come along the line: done, and on to that place and no other.
    pub(super) fn coming_from_lanes(&self, place: usize) -> Vec<Row> {
        if self.c.lanes.row_of(place).is_some() {
            return Vec::new();
        }
        let bays = self.c.lanes.before[place].iter().flat_map(|before| {
            let compiled = &self.c.shop.places[*before];
            compiled.bay0 as usize..compiled.bay0 as usize + compiled.bays as usize
        });
        let comes = |bay: &usize| {
            let (state, from) = (&self.bays[*bay], self.c.shop.bay_place[*bay] as usize);
            state.done
                && state.fate == super::run::Fate::Stays
                && self.way_on(from, state.unit) == Some(place)
        };
        bays.filter(comes).map(|bay| self.bays[bay].unit).collect()
    }

    /// For whom a unit that is done may wait: every lane it may take, where the queues decide.
    pub(super) fn places_open_to(&self, next: usize, row: Row) -> Vec<usize> {
        let group = if self.c.lanes.is_empty() { None } else { self.c.lanes.row_of(next) };
        let Some(group) = group.map(|group| &self.c.lanes.groups[group]) else { return vec![next] };
        let model = self.units.rows[row as usize].model as usize;
        (0..group.firsts.len())
            .filter(|lane| group.models[*lane][model])
            .map(|lane| group.firsts[lane])
            .collect()
    }
}
