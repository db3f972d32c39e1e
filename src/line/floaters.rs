//! People who stand in where a crew is short.

use super::{Crew, GroupId, Line, PlaceId, VISITOR};
use crate::diagnostic::Span;

/// `floaters 3 can plumb or tile, covering A01 to A17`: people of no crew. One of them takes the seat of
/// an absent person if they can all that the group of that person can.
#[derive(Clone, PartialEq, Debug)]
pub struct Floaters {
    pub label: Option<String>,
    pub count: u32,
    /// Bit k = skill k; every one of them can all of it.
    pub skills: u64,
    /// Where they stand in; `None`: wherever there is a crew.
    pub covering: Option<Vec<PlaceId>>,
    pub span: Span,
}

impl Line {
    /// What a floater must be able to do who takes the seat of somebody of this group: all that the group
    /// can besides what it is called; `None` for people from outside.
    pub fn asked_of_a_floater(&self, group: GroupId) -> Option<u64> {
        let group = &self.groups[group.index()];
        let own = self.skills.iter().position(|skill| *skill == group.name);
        let own = own.map_or(0, |skill| 1u64 << skill);
        (group.skills & VISITOR == 0).then_some(group.skills & !own)
    }

    /// Somebody floats who may sit in this crew for an absent person of this group.
    pub fn has_floater_for(&self, crew: &Crew, group: GroupId) -> bool {
        let Some(asked) = self.asked_of_a_floater(group) else { return false };
        self.floaters.iter().any(|floaters| {
            let covered = crew.places.iter().any(|place| floaters.covers(*place));
            floaters.count > 0 && asked & !floaters.skills == 0 && covered
        })
    }
}

impl Floaters {
    pub fn covers(&self, place: PlaceId) -> bool {
        self.covering.as_ref().is_none_or(|all| all.contains(&place))
    }
}
