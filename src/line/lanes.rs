//! Lanes: ways side by side on the line, and which of them a unit takes.

use super::{Line, PlaceId};
use crate::diagnostic::Span;

/// Lanes side by side between two places of the line.
#[derive(Clone, PartialEq, Debug)]
pub struct Lanes {
    pub name: String,
    pub label: Option<String>,
    pub chosen: Chosen,
    /// Two or more, in file order. Their places follow one another in `Line::places`: those of the first lane, then
    /// those of the next.
    pub lanes: Vec<Lane>,
    pub draws_as: String,
    pub span: Span,
}

/// One way.
#[derive(Clone, PartialEq, Debug)]
pub struct Lane {
    pub name: String,
    pub label: Option<String>,
    pub first: PlaceId,
    pub last: PlaceId,
    /// Per model: its units may take this lane.
    pub models: Vec<bool>,
    /// Share of the units, where a share decides; otherwise 0.
    pub share: f64,
    pub span: Span,
}

/// What decides.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Chosen {
    /// Each model has its lane.
    ByModel,
    /// Drawn by the name of the lanes and the number of the unit.
    ByShare,
    /// The lane with the fewest units before its first place and in its bays, once one of them has room.
    ByShortestQueue,
}

impl Lane {
    pub fn has(&self, place: PlaceId) -> bool {
        self.first <= place && place <= self.last
    }
}

impl Lanes {
    /// The first place of the first lane.
    pub fn first(&self) -> PlaceId {
        self.lanes[0].first
    }

    /// The last place of the last lane.
    pub fn last(&self) -> PlaceId {
        self.lanes[self.lanes.len() - 1].last
    }

    /// The lane in which a place stands.
    pub fn lane_of(&self, place: PlaceId) -> Option<usize> {
        self.lanes.iter().position(|lane| lane.has(place))
    }

    /// Share of a model's units that take a lane. Lanes between which the queues decide count as taken alike: only a
    /// run knows better.
    pub fn share_of(&self, lane: usize, model: usize) -> f64 {
        let lane = &self.lanes[lane];
        match self.chosen {
            Chosen::ByShare => lane.share,
            Chosen::ByModel | Chosen::ByShortestQueue if lane.models[model] => {
                1.0 / self.lanes.iter().filter(|lane| lane.models[model]).count() as f64
            }
            Chosen::ByModel | Chosen::ByShortestQueue => 0.0,
        }
    }
}

impl Line {
    /// The lanes among which a place stands, and in which of them.
    pub fn lane_at(&self, place: PlaceId) -> Option<(&Lanes, usize)> {
        self.lanes.iter().find_map(|lanes| lanes.lane_of(place).map(|lane| (lanes, lane)))
    }

    /// The lanes that begin behind a place of the line.
    pub fn lanes_behind(&self, place: PlaceId) -> Option<usize> {
        let begins = |lanes: &Lanes| lanes.first().index() == place.index() + 1;
        self.lanes.iter().position(begins).filter(|_| place.index() < self.on_line)
    }

    /// Some lane is for some models only.
    pub fn has_lanes_for_some(&self) -> bool {
        self.lanes.iter().flat_map(|lanes| &lanes.lanes).any(|lane| lane.models.contains(&false))
    }

    /// Share of a model's units that come to a place: all of them, outside lanes.
    pub fn lane_share(&self, place: PlaceId, model: usize) -> f64 {
        self.lane_at(place).map_or(1.0, |(lanes, lane)| lanes.share_of(lane, model))
    }

    /// Share of the units that come to a place, of those of the models that may.
    pub fn share_of_lane(&self, place: PlaceId) -> f64 {
        let Some((lanes, lane)) = self.lane_at(place) else { return 1.0 };
        let may = || self.models.iter().enumerate().filter(|(m, _)| lanes.lanes[lane].models[*m]);
        let all: f64 = may().map(|(_, model)| model.share).sum();
        let taken: f64 = may().map(|(m, model)| model.share * lanes.share_of(lane, m)).sum();
        if all > 0.0 && taken > 0.0 { taken / all } else { 1.0 }
    }

    /// The places from which units come to one along the line, first lane first.
    pub fn places_before(&self, place: PlaceId) -> Vec<PlaceId> {
        let Some(before) = place.index().checked_sub(1).map(PlaceId::from_index) else { return Vec::new() };
        if let Some((lanes, lane)) = self.lane_at(place) {
            if lanes.lanes[lane].first == place {
                let before = lanes.first().index().checked_sub(1);
                return before.map(PlaceId::from_index).into_iter().collect();
            }
        } else if let Some((lanes, _)) = self.lane_at(before) {
            return lanes.lanes.iter().map(|lane| lane.last).collect();
        }
        let joined = self.place_after(before) == Some(place);
        if joined { vec![before] } else { Vec::new() }
    }

    /// Moves along the line from one of two places to the other, by the shortest way; `None` where no unit passes both.
    pub fn moves_between(&self, one: PlaceId, other: PlaceId) -> Option<u32> {
        let (from, to) = (one.min(other), one.max(other));
        let (mut at, mut moves) = (vec![to], 0);
        while !at.contains(&from) {
            at = at.into_iter().flat_map(|place| self.places_before(place)).filter(|p| *p >= from).collect();
            at.dedup();
            if at.is_empty() {
                return None;
            }
            moves += 1;
        }
        Some(moves)
    }
}
