//! Who exists, who is wanted where, and the equipment they share.

use super::{GroupId, PlaceId, SkillId, StepId};
use crate::diagnostic::Span;
use crate::units::Time;

/// `people fitters 18 can plumb`: a group of people who are alike. Without any `people` statement
/// every crew is simply there, and its people form one nameless group per crew (named as the crew).
#[derive(Clone, PartialEq, Debug)]
pub struct Group {
    pub name: String,
    pub label: Option<String>,
    pub count: u32,
    /// Bit k = skill k. The group's own name is a skill too.
    pub skills: u64,
    pub span: Span,
}

/// A crew: a named number of people that serves one or more stations.
#[derive(Clone, PartialEq, Debug)]
pub struct Crew {
    /// The team's name, or the station's where the crew is its own.
    pub name: String,
    pub members: Vec<(u32, GroupId)>,
    /// A crew of that size for every bay (then `places` is one station).
    pub per_bay: bool,
    pub places: Vec<PlaceId>,
    pub span: Span,
}

impl Crew {
    /// People in one crew (one bay's, if per bay).
    pub fn size(&self) -> u32 {
        self.members.iter().map(|(n, _)| n).sum()
    }

    /// In how many gangs it works: one for each bay, if per bay. `bays` says how many a place has.
    pub fn gangs(&self, bays: impl FnOnce(PlaceId) -> u32) -> u32 {
        match (self.per_bay, self.places.first()) {
            (true, Some(place)) => bays(*place),
            (true, None) | (false, _) => 1,
        }
    }
}

/// How many of each of `groups` groups all crews together want. `bays` says how many a place has.
pub fn wanted(groups: usize, crews: &[Crew], bays: impl Fn(PlaceId) -> u32) -> Vec<u32> {
    let mut wanted = vec![0u32; groups];
    for crew in crews {
        let gangs = crew.gangs(&bays);
        for (count, group) in &crew.members {
            let sum = &mut wanted[group.index()];
            *sum = sum.saturating_add(count.saturating_mul(gangs));
        }
    }
    wanted
}

/// People that a step takes, all at once, for its whole time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Need {
    pub count: u32,
    /// Anybody of the crew if `None`.
    pub skill: Option<SkillId>,
}

/// `absent 6 %, mon 9 %`: the chance of every person to be away for a shift, by the weekday on which
/// the shift starts, 0 = Monday.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Absence {
    pub by_weekday: [f64; 7],
    pub span: Span,
}

/// Shared equipment: a pool of equal pieces.
#[derive(Clone, PartialEq, Debug)]
pub struct Equipment {
    pub name: String,
    pub label: Option<String>,
    pub count: u32,
    /// The places it reaches; empty: all of them.
    pub serves: Vec<PlaceId>,
    /// How long a piece is on its way from one place to another.
    pub moving: Time,
    /// Tasks that get it before others, those of the first list before all.
    pub first: Vec<Vec<StepId>>,
    pub span: Span,
}

impl Equipment {
    /// It may be used at a place.
    pub fn reaches(&self, place: PlaceId) -> bool {
        self.serves.is_empty() || self.serves.contains(&place)
    }
}
