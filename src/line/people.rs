//! Who exists, who is wanted where, and the equipment they share.

use super::{GroupId, PlaceId, SkillId};
use crate::diagnostic::Span;

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
    pub span: Span,
}
