//! What the time of a station goes into: of all its cycles, of a typical one and of a bad one, as one record.
//!
//! A cycle is one visit of a unit to a bay of the station, from its arrival to the end of the last work there, in
//! net time. Published as `taktwright.cycles/1`: fields are added, never renamed or dropped, without a new number.

use super::record::{Caution, Estimate};
use super::wording::{banded_percent, length, percent_of};
use crate::units::{decimals, join_and};
use schemars::JsonSchema;
use serde::Serialize;

/// Name and number of the JSON form.
pub const CYCLES_SCHEMA: &str = "taktwright.cycles/1";

/// The cycles of a station.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CyclesReport {
    /// `taktwright.cycles/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    pub line: String,
    pub layout: String,
    pub seed: u64,
    /// Watched.
    pub replications: u32,
    /// How each was run, in words.
    pub run: String,
    pub confidence: f64,
    pub station: String,
    pub label: Option<String>,
    /// How long one unit may take; null where nothing says how fast the line shall go.
    pub window_min: Option<f64>,
    /// Cycles seen from start to end.
    pub cycles: u64,
    pub length_min: Option<Estimate>,
    /// Half of the cycles, and 95 of 100, are no longer.
    pub p50_min: f64,
    pub p95_min: f64,
    /// Share of the cycles that are longer than the window; null without one.
    pub over_window: Option<Estimate>,
    /// Minutes of a cycle by what held the unit, on average; they add up to the mean length.
    pub made_of: Vec<MadeOf>,
    /// The steps that held the unit, with what they waited for, most first.
    pub steps: Vec<StepShare>,
    /// Models by their share of the cycles; empty where all units are alike.
    pub models: Vec<ModelShare>,
    /// The cycle that half of all are shorter than.
    pub typical: Option<Cycle>,
    /// The cycle that 95 of 100 are shorter than.
    pub bad: Option<Cycle>,
    /// What follows, in a sentence.
    pub sentence: String,
    /// What the reader must know before acting on any figure.
    pub cautions: Vec<Caution>,
}

/// What a part of a cycle goes to.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct MadeOf {
    pub held_by: HeldBy,
    /// A cycle, on average.
    pub mean_min: f64,
    /// A cycle of the slowest tenth.
    pub slowest_min: f64,
}

/// How many of the cycles are of a model.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ModelShare {
    pub model: String,
    pub share: f64,
    pub share_of_slowest: f64,
}

/// What a step holds the unit for.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct StepShare {
    pub id: String,
    pub label: Option<String>,
    /// Minutes a cycle for which its own time held the unit, on average and in the slowest tenth.
    pub own_min: f64,
    pub own_slowest_min: f64,
    /// The same for what it waited for.
    pub waits_min: f64,
    pub waits_slowest_min: f64,
}

/// One cycle as it was.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Cycle {
    /// Share of all cycles that are shorter.
    pub longer_than: f64,
    pub replication: u32,
    /// Units are numbered from 1 in the order in which they were released.
    pub unit: u64,
    pub model: String,
    /// When it came, in words.
    pub came: String,
    pub length_min: f64,
    /// By the clock, with pauses and nights.
    pub clock_min: f64,
    /// Net time until it left, after its work was done.
    pub stood_done_min: f64,
    /// Every step that was begun, in the order of their starts.
    pub bars: Vec<CycleBar>,
    /// From its coming to the end of its work without a gap: what held it.
    pub path: Vec<PathPiece>,
}

/// A step of a cycle.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CycleBar {
    pub step: String,
    pub label: Option<String>,
    /// How many people.
    pub people: u32,
    /// What it waited for, was worked on and stood still for, in turn. Minutes since the unit came.
    pub pieces: Vec<CyclePiece>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CyclePiece {
    pub from_min: f64,
    pub to_min: f64,
    pub held_by: HeldBy,
    /// Where the people it waits for are at work, as the wait begins; null where nobody is at work elsewhere.
    pub they_are_at: Option<String>,
}

/// A piece of what held the unit.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PathPiece {
    pub from_min: f64,
    pub to_min: f64,
    pub held_by: HeldBy,
    /// The step that ran or waited; null where none did.
    pub step: Option<String>,
    pub they_are_at: Option<String>,
}

/// What holds a unit at its place.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HeldBy {
    /// People work, or a task without people runs.
    Work,
    /// What a test has found is mended.
    Fix,
    Hold,
    /// The people are elsewhere, or absent.
    People,
    /// They have set out.
    PeopleOnTheWay,
    Parts,
    Equipment,
    /// As many as may be in a zone, or on the unit, are there; or other work keeps it away.
    Room,
    /// It would not fit before the next pause, or not keep its window.
    TimeAhead,
    Stopped,
    /// The crew has gone home.
    OffShift,
    EarlierStep,
}

impl HeldBy {
    pub const ALL: [HeldBy; 12] = [
        HeldBy::Work,
        HeldBy::Fix,
        HeldBy::Hold,
        HeldBy::People,
        HeldBy::PeopleOnTheWay,
        HeldBy::Parts,
        HeldBy::Equipment,
        HeldBy::Room,
        HeldBy::TimeAhead,
        HeldBy::Stopped,
        HeldBy::OffShift,
        HeldBy::EarlierStep,
    ];

    pub fn words(self) -> &'static str {
        match self {
            HeldBy::Work => "work",
            HeldBy::Fix => "mending after a fail",
            HeldBy::Hold => "hold",
            HeldBy::People => "waiting for people",
            HeldBy::PeopleOnTheWay => "people on their way",
            HeldBy::Parts => "waiting for parts",
            HeldBy::Equipment => "waiting for equipment",
            HeldBy::Room => "waiting for room",
            HeldBy::TimeAhead => "too little time before the next pause",
            HeldBy::Stopped => "stopped",
            HeldBy::OffShift => "crew gone home",
            HeldBy::EarlierStep => "waiting for another step",
        }
    }

    /// The unit is not waiting: what it is here for goes on.
    pub fn goes_on(self) -> bool {
        match self {
            HeldBy::Work | HeldBy::Fix | HeldBy::Hold => true,
            HeldBy::People
            | HeldBy::PeopleOnTheWay
            | HeldBy::Parts
            | HeldBy::Equipment
            | HeldBy::Room
            | HeldBy::TimeAhead
            | HeldBy::Stopped
            | HeldBy::OffShift
            | HeldBy::EarlierStep => false,
        }
    }
}

/// A model to which most of the slowest cycles belong, and far more than its share.
fn one_model(report: &CyclesReport) -> String {
    let most = report.models.iter().max_by(|a, b| a.share_of_slowest.total_cmp(&b.share_of_slowest));
    match most.filter(|row| row.share_of_slowest >= 0.5 && row.share_of_slowest - row.share >= 0.2) {
        Some(row) => format!(
            " {} of the slowest tenth are {}, which has {} of all.",
            percent_of(row.share_of_slowest),
            row.model,
            percent_of(row.share)
        ),
        None => String::new(),
    }
}

/// What the time goes into, and what makes slow cycles slow.
pub fn cycles_sentence(report: &CyclesReport) -> String {
    let Some(mean) = &report.length_min else {
        return format!("Too little was seen of {}: watch more, or longer.", report.station);
    };
    let minutes = |x: f64| decimals(x, 1);
    let window = match (report.window_min, &report.over_window) {
        (Some(window), Some(over)) => {
            format!("; it has {}, and {} of its cycles take longer", length(window), banded_percent(over))
        }
        (Some(_), None) | (None, _) => String::new(),
    };
    let first = format!(
        "A cycle of {} takes {} min on average, 95 of 100 no more than {}{window}.",
        report.station,
        minutes(mean.mean),
        minutes(report.p95_min)
    );
    let most = report.made_of.iter().filter(|part| part.mean_min >= 0.05).take(3);
    let most: Vec<String> =
        most.map(|part| format!("{} min go to {}", minutes(part.mean_min), part.held_by.words())).collect();
    let grows = |part: &&MadeOf| part.slowest_min - part.mean_min;
    let slow = report.made_of.iter().max_by(|a, b| grows(a).total_cmp(&grows(b)));
    let slow = match slow.filter(|part| grows(part) >= 0.05) {
        Some(part) => format!(
            " What makes the slowest tenth slow is most of all {}: {} min more than on average.",
            part.held_by.words(),
            minutes(part.slowest_min - part.mean_min)
        ),
        None => " No cycle is much slower than the others.".to_string(),
    };
    let slow = format!("{slow}{}", one_model(report));
    match most.is_empty() {
        true => first,
        false => format!("{first} On average {}.{slow}", join_and(&most)),
    }
}

impl Cycle {
    /// `24.9 min (model A, unit 312, came Tue 10:42 of week 2), then 1.2 min until it left`
    pub fn words(&self) -> String {
        let minutes = |x: f64| decimals(x, 1);
        let by_clock = match self.clock_min - self.length_min >= 0.05 {
            true => format!(", {} by the clock", length(self.clock_min)),
            false => String::new(),
        };
        let model = match self.model.is_empty() {
            true => String::new(),
            false => format!("model {}, ", self.model),
        };
        format!(
            "{} min{by_clock} ({model}unit {} of replication {}, came {}), then {} min until it left",
            minutes(self.length_min),
            self.unit,
            self.replication + 1,
            self.came,
            minutes(self.stood_done_min)
        )
    }

    /// It has a piece of that.
    pub fn shows(&self, held_by: HeldBy) -> bool {
        self.path.iter().any(|piece| piece.held_by == held_by)
            || self.bars.iter().any(|bar| bar.pieces.iter().any(|piece| piece.held_by == held_by))
    }
}

impl CycleBar {
    /// From the start of its run to its end, minutes since the unit came.
    pub fn span(&self) -> (f64, f64) {
        let from = self.pieces.iter().find(|piece| piece.held_by.goes_on());
        (from.map_or(0.0, |piece| piece.from_min), self.pieces.last().map_or(0.0, |piece| piece.to_min))
    }

    /// What it waited for: `waiting for people 3.1 min, at A16`.
    pub fn waits(&self) -> Vec<String> {
        let waits = self.pieces.iter().filter(|piece| !piece.held_by.goes_on());
        let worth = waits.filter(|piece| piece.to_min - piece.from_min >= 0.05);
        worth
            .map(|piece| {
                let at = piece.they_are_at.as_ref().map_or_else(String::new, |at| format!(", at {at}"));
                format!("{} {} min{at}", piece.held_by.words(), decimals(piece.to_min - piece.from_min, 1))
            })
            .collect()
    }
}
