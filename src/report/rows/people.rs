//! People: at work, absent, floating.

use crate::report::record::Estimate;
use schemars::JsonSchema;
use serde::Serialize;

#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PeopleKind {
    Crew,
    Group,
}

impl PeopleKind {
    pub fn word(self) -> &'static str {
        match self {
            PeopleKind::Crew => "crew",
            PeopleKind::Group => "group",
        }
    }
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PeopleRow {
    pub id: String,
    pub label: Option<String>,
    pub kind: PeopleKind,
    /// Heads, all bays together.
    pub count: u32,
    /// Shares of their net time.
    pub shares: Option<PeopleShares>,
    pub shares_plus_minus: Option<PeopleShares>,
    /// Who was there; only where the file says who may be absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub presence: Option<PresenceRow>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PresenceRow {
    /// People there on average: all of them less those absent.
    pub present: f64,
    /// Share of net time.
    pub absent: f64,
    pub absent_plus_minus: Option<f64>,
    /// Of a crew: share of its shifts in which a seat was empty; null of a group.
    pub short_shifts: Option<f64>,
    pub short_shifts_low: Option<f64>,
    pub short_shifts_high: Option<f64>,
}

#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PeopleShares {
    pub working: f64,
    pub waiting: f64,
    /// On the way to a unit; only where the file says that people walk.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walking: Option<f64>,
    /// At moving the units of a segment; only where the file says who does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moving_units: Option<f64>,
    /// Gone home early; visitors: outside their hours.
    pub off_shift: f64,
}

/// A group of people of no crew who lend a hand.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct HelpRow {
    pub id: String,
    pub label: Option<String>,
    /// Those of the group who sit in no crew.
    pub count: u32,
    /// Share of the net time of a shift that each of them may help.
    pub at_most: f64,
    pub shares: Option<HelpShares>,
    pub shares_plus_minus: Option<HelpShares>,
    /// Tasks of all replications that began with one of them.
    pub tasks: u64,
}

/// Of their net time.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct HelpShares {
    pub helping: f64,
    /// Work of their own, which is no part of the line.
    pub own: f64,
    pub absent: f64,
    /// In the seat of somebody absent; only where some of their group sit in crews.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standing_in: Option<f64>,
    /// At mending what is stopped; only where the file says that they do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mending: Option<f64>,
}

/// The floaters of one statement.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct FloaterRow {
    pub label: Option<String>,
    pub count: u32,
    pub shares: Option<FloaterShares>,
    pub shares_plus_minus: Option<FloaterShares>,
}

/// Of their net time.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct FloaterShares {
    /// In the seat of somebody who is absent.
    pub standing_in: f64,
    /// There, and nobody to stand in for.
    pub spare: f64,
    pub absent: f64,
}

/// A shift that may last longer than planned, or not be worked at all.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct DecidedRow {
    pub shift: String,
    /// How much longer, and the share of such shifts that did; left out where there is no overtime.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overtime_min: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with_overtime: Option<Estimate>,
    /// Share of such shifts that were worked; left out where all are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worked: Option<Estimate>,
}

/// A break that people take in turn, while others sit in for them.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct TurnRow {
    pub shift: String,
    /// When the first ones go: `08:30`.
    pub at: String,
    /// Those who take it, and how many of them at a time.
    pub people: u32,
    pub at_a_time: u32,
    pub length_min: f64,
    pub turns: u32,
    /// Until the last ones are back, and until the next pause.
    pub takes_min: f64,
    pub room_min: f64,
}
