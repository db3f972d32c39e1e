//! Where the units go, as one record: from the time of a shift down to its good units.
//!
//! Published as `taktwright.losses/1`: fields are added, never renamed or dropped, without a new number.
//! Amounts that must add up are whole thousandths of a unit; what does not exist is null, never 0.

use super::record::{Caution, Estimate};
use super::wording::{banded, length};
use crate::units::decimals;
use schemars::JsonSchema;
use serde::Serialize;

/// Name and number of the JSON form.
pub const LOSSES_SCHEMA: &str = "taktwright.losses/1";

/// From the time of a shift (of an hour where there are no shifts) to its good units.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LossesReport {
    /// `taktwright.losses/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    pub line: String,
    pub layout: String,
    pub seed: u64,
    /// Of every row.
    pub replications: u32,
    /// How each was run, in words.
    pub run: String,
    /// With which all bands hold together.
    pub confidence: f64,
    /// What is lost: `units per shift`, or `units per hour` where there are no shifts.
    pub judged_on: String,
    /// What the line is planned at; null where nothing says how fast it shall go.
    pub pace_min: Option<f64>,
    /// Length of the mean shift; null without shifts.
    pub shift_min: Option<f64>,
    /// What there is room for, in thousandths of a unit: at the pace where one is known, else with
    /// nothing going wrong.
    pub start_thousandths: i64,
    /// What is lost, from the top: `start_thousandths` less all of it is `good_thousandths`, exactly.
    pub losses: Vec<LossRow>,
    pub good_thousandths: i64,
    /// Good units of the line as it stands.
    pub good: Option<Estimate>,
    /// In the order in which they were switched off, each on top of those before.
    pub switched_off: Vec<LossCause>,
    /// What follows, in a sentence.
    pub sentence: String,
    /// Causes without which the line could not be run.
    pub left_out: Vec<LossLeftOut>,
    /// What the reader must know before acting on any figure.
    pub cautions: Vec<Caution>,
}

/// One cause.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LossRow {
    pub cause: LossCause,
    /// Below 0 where the line makes more with it than without.
    pub lost_thousandths: i64,
    /// What is left below it.
    pub left_thousandths: i64,
    /// The same loss with its band, on the same random days; null where no runs are behind it.
    pub lost: Option<Estimate>,
}

#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct LossLeftOut {
    pub cause: LossCause,
    pub why: String,
}

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LossCause {
    /// Meals, breaks, meeting, clean-up: attended time that is not net time.
    PlannedStops,
    /// What the line makes less than its pace allows with nothing going wrong.
    Balance,
    /// People who are not there.
    Absence,
    /// People from outside who keep hours of their own.
    Visitors,
    /// People who are new.
    NewPeople,
    /// Breakdowns and short stops.
    Stops,
    /// Calls for help that stop the line.
    Calls,
    Weather,
    /// Tests that fail, and what is done about it.
    Fails,
    /// Faults that gates find, and mending them.
    Faults,
    /// Windows that are missed, and what is redone.
    Windows,
    /// Parts that are not there.
    Parts,
    /// Carriers of which none is free.
    Carriers,
    /// A yard that is full.
    Yard,
    /// Times that are not always the same.
    Spread,
    /// Going home after the count.
    HomeEarly,
}

impl LossCause {
    pub const ALL: [LossCause; 16] = [
        LossCause::PlannedStops,
        LossCause::Balance,
        LossCause::Absence,
        LossCause::Visitors,
        LossCause::NewPeople,
        LossCause::Stops,
        LossCause::Calls,
        LossCause::Weather,
        LossCause::Fails,
        LossCause::Faults,
        LossCause::Windows,
        LossCause::Parts,
        LossCause::Carriers,
        LossCause::Yard,
        LossCause::Spread,
        LossCause::HomeEarly,
    ];

    pub fn words(self) -> &'static str {
        match self {
            LossCause::PlannedStops => "meals, breaks, meeting, clean-up",
            LossCause::Balance => "balance, crews, moves and holds",
            LossCause::Absence => "people who are away",
            LossCause::Visitors => "people from outside and their hours",
            LossCause::NewPeople => "people who are new",
            LossCause::Stops => "breakdowns and short stops",
            LossCause::Calls => "stop calls",
            LossCause::Weather => "weather",
            LossCause::Fails => "failed tests",
            LossCause::Windows => "missed windows",
            LossCause::Parts => "parts that are not there",
            LossCause::Faults => "faults found at gates",
            LossCause::Carriers => "carriers that are not back",
            LossCause::Yard => "a full yard",
            LossCause::Spread => "times that are not always the same",
            LossCause::HomeEarly => "going home after the count",
        }
    }
}

impl LossesReport {
    pub fn unit(&self) -> &'static str {
        if self.judged_on == "units per shift" { "units a shift" } else { "units an hour" }
    }

    /// What the first row starts from.
    pub fn start_words(&self) -> String {
        match (self.pace_min, self.shift_min) {
            (Some(pace), Some(shift)) => {
                format!("a shift of {} at a pace of {}", length(shift), length(pace))
            }
            (Some(pace), None) => format!("an hour at a pace of {}", length(pace)),
            (None, _) => "with nothing going wrong".to_string(),
        }
    }
}

/// Thousandths of a unit as units: `17.25`.
pub fn units(thousandths: i64) -> String {
    decimals(thousandths as f64 / 1000.0, 3)
}

/// Where most of it goes, for whoever reads one sentence.
pub fn losses_sentence(report: &LossesReport) -> String {
    let good = report.good.as_ref().map_or_else(|| units(report.good_thousandths), banded);
    let unit = report.unit();
    let start = units(report.start_thousandths);
    let first = match report.pace_min {
        Some(_) => format!("There is room for {start} {unit} ({}); {good} are made.", report.start_words()),
        None => format!("With nothing going wrong there would be {start} {unit}; {good} are made."),
    };
    // Pauses and going home are meant so.
    let unmeant = |row: &&LossRow| !matches!(row.cause, LossCause::PlannedStops | LossCause::HomeEarly);
    let most = report.losses.iter().filter(unmeant).max_by_key(|row| row.lost_thousandths);
    match most.filter(|row| row.lost_thousandths > 0) {
        None => format!("{first} Nothing else is lost."),
        Some(row) => {
            let lost = row.lost.as_ref().map_or_else(|| units(row.lost_thousandths), banded);
            format!("{first} Most is lost to {}: {lost}.", row.cause.words())
        }
    }
}
