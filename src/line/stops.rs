//! What stops, when and for how long: breakdowns and short stops of stations, equipment, groups of
//! stations and the whole line.

use super::{Dist, EquipmentId, GroupId, PlaceId};
use crate::diagnostic::Span;

/// One cause of stops. A thing may have several.
#[derive(Clone, PartialEq, Debug)]
pub struct Stopping {
    /// Of the station or equipment that stops, or of the `stops` statement.
    pub name: String,
    pub label: Option<String>,
    /// Key of its draws; a second cause of one thing has another.
    pub draws_as: String,
    pub what: Stopped,
    /// Time from the end of the last stop (at first: from the start of the run) to the next one.
    pub gap: Dist,
    /// What runs the gap down.
    pub runs: GapTime,
    /// Whether every gap ends in a stop.
    pub comes: Comes,
    /// Length of the repair.
    pub repair: Dist,
    pub mending: Mending,
    pub span: Span,
}

/// How a stop comes about.
#[derive(Clone, PartialEq, Debug)]
pub enum Comes {
    /// At the end of each gap.
    ByItself,
    /// Each gap ends in a call for help; `answered` later (net time) a share of them is solved, the
    /// others stop what they are about.
    Calls { answered: Dist, solved: f64 },
    /// By the date: on this share of the days, drawn day by day, for the whole of the day.
    Days { share: f64 },
}

/// What stands still while it is stopped.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Stopped {
    /// One station, rack or repair bay place; or those of a group; or every place on the line.
    Places(Vec<PlaceId>),
    /// All its pieces.
    Equipment(EquipmentId),
}

/// The time in which the gap to the next stop is counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum GapTime {
    Clock,
    Net,
    /// Net time during which a bay of it works or holds, or a piece of it is taken.
    Use,
}

/// Who ends a stop.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Mending {
    /// It lasts so long on the clock.
    OnTheClock,
    /// It lasts so long in net time.
    InNetTime,
    /// So many people of a group, of those who are in no crew, work on it in net time; stops wait for
    /// them in the order in which they began.
    By { count: u32, group: GroupId },
}
