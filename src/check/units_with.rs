//! Units by what is known of them: is there one that has some work and lacks other work?
//!
//! Models, options, the first unit of a lot, feeders and lanes decide which work a unit has; in which order it is done
//! is of no account here.

use super::places::Ground;
use crate::line::{Lanes, OptionId, PlaceId, Step};

/// The units of one model that pass some places and have some steps.
#[derive(Clone)]
pub(super) struct UnitsWith<'a> {
    groups: &'a [Lanes],
    ground: &'a Ground,
    model: usize,
    /// The feeder in which they are built, or the line itself; not known before they pass a place.
    built_in: Option<Option<usize>>,
    /// Per group of lanes: the one they take, where that is known.
    takes: Vec<Option<usize>>,
    options: Vec<OptionId>,
    once_a_lot: bool,
    /// There is none: a lane that the model doesn't take, two lanes of one group, the line and a feeder.
    none: bool,
}

impl<'a> UnitsWith<'a> {
    pub fn of_model(model: usize, groups: &'a [Lanes], ground: &'a Ground) -> UnitsWith<'a> {
        UnitsWith {
            groups,
            ground,
            model,
            built_in: None,
            takes: vec![None; groups.len()],
            options: Vec::new(),
            once_a_lot: false,
            none: false,
        }
    }

    /// Those of them that pass a place.
    pub fn at(mut self, place: PlaceId) -> UnitsWith<'a> {
        let here = self.ground.feeder_of(place);
        self.none |= *self.built_in.get_or_insert(here) != here;
        if let Some((group, lane)) = self.lane_at(place) {
            self.none |= self.groups[group].share_of(lane, self.model) <= 0.0;
            self.none |= self.takes[group].is_some_and(|other| other != lane);
            self.takes[group] = Some(lane);
        }
        self
    }

    /// Those of them that have a step.
    pub fn with(self, step: &Step) -> UnitsWith<'a> {
        let mut units = self.at(step.place);
        units.none |= !step.models[units.model];
        units.options.extend(&step.options);
        units.once_a_lot |= step.once_a_lot;
        units
    }

    /// Is there one that has none of these steps? Options are had or not one by one, and so is the lane of each group
    /// taken: a unit with no option more than it must have lacks the most, and each group is asked alone.
    pub fn any_without<'s>(&self, steps: impl Iterator<Item = &'s Step>) -> bool {
        let mut barred = Vec::new();
        for step in steps.filter(|step| self.have_where_it_is(step)) {
            match self.lane_at(step.place) {
                None => return false,
                Some(lane) => barred.push(lane),
            }
        }
        let open = |group: usize, lane: usize| {
            self.groups[group].share_of(lane, self.model) > 0.0 && !barred.contains(&(group, lane))
        };
        let ways = |group: usize| match self.takes[group] {
            Some(lane) => open(group, lane),
            None => (0..self.groups[group].lanes.len()).any(|lane| open(group, lane)),
        };
        !self.none && (0..self.groups.len()).all(ways)
    }

    /// All of them that come to the place of a step have it.
    fn have_where_it_is(&self, step: &Step) -> bool {
        let built_here = |built_in: Option<usize>| built_in == self.ground.feeder_of(step.place);
        step.models[self.model]
            && self.built_in.is_none_or(built_here)
            && step.options.iter().all(|option| self.options.contains(option))
            && (self.once_a_lot || !step.once_a_lot)
    }

    fn lane_at(&self, place: PlaceId) -> Option<(usize, usize)> {
        self.groups.iter().enumerate().find_map(|(group, lanes)| Some((group, lanes.lane_of(place)?)))
    }
}
