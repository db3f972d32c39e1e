//! People of no crew who lend a hand, and which of a group they are.

use super::{GroupId, Line, Mending, PlaceId};
use crate::diagnostic::Span;
use crate::units::{Time, whole_half_even};
use std::ops::Range;

/// `people leads 4 can plumb, helping up to 30 %, covering A01 to A17`: where a crew lacks only people, one
/// of these may be taken as well, in whole tasks and for no more than a share of the shift's net time.
#[derive(Clone, PartialEq, Debug)]
pub struct Helping {
    pub group: GroupId,
    /// Of the net time of every shift, for each of them.
    pub share: f64,
    /// Where they help; `None`: wherever there is a crew.
    pub covering: Option<Vec<PlaceId>>,
    /// How long it takes them to come to a unit when they are called; zero if they are at hand.
    pub answering: Time,
    pub span: Span,
}

impl Helping {
    pub fn covers(&self, place: PlaceId) -> bool {
        self.covering.as_ref().is_none_or(|all| all.contains(&place))
    }

    /// What each of them may help in a shift of so much net time.
    pub fn budget(&self, net: Time) -> Time {
        Time(whole_half_even(net.0 as f64 * self.share))
    }
}

impl Line {
    /// Who helps of the group of a statement, by their numbers within it: whoever sits in no crew. The first of them sit
    /// in for those of the crews who are absent.
    pub fn who_helps(&self, helping: &Helping) -> Range<u32> {
        let count = self.groups[helping.group.index()].count;
        count - self.spare_people()[helping.group.index()]..count
    }

    /// Those who help of a group sit in crews, too, and may have to sit in for somebody there.
    pub fn helpers_sit_in(&self, helping: &Helping) -> bool {
        self.people_come_and_go() && self.who_helps(helping).start > 0
    }

    /// People of this group mend some stop.
    pub fn mends(&self, group: GroupId) -> bool {
        self.stops.iter().any(|stop| matches!(stop.mending, Mending::By { group: by, .. } if by == group))
    }
}
