//! Levers of a line, ranked, as one record: what every format prints, field by field.
//!
//! Published as `taktwright.levers/1`: fields are added, never renamed or dropped, without a new number.
//! Shares are 0..1; what does not exist is null, never 0.

use super::comparison::Difference;
use super::record::{Caution, Estimate};
use schemars::JsonSchema;
use serde::Serialize;

/// Name and number of the JSON form.
pub const LEVERS_SCHEMA: &str = "taktwright.levers/1";

/// What one more of each thing buys.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LeversReport {
    /// `taktwright.levers/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    pub line: String,
    pub layout: String,
    pub seed: u64,
    /// How the levers that were looked at closely were run, in words.
    pub run: String,
    /// Of every lever, in the first round.
    pub screening_replications: u32,
    /// Of every lever that was looked at closely.
    pub replications: u32,
    /// Stopped by the user: some levers are missing, or rest on the first round.
    pub interrupted: bool,
    /// With which all bands hold together.
    pub confidence: f64,
    /// Gains below this share of the line's mean are not worth deciding.
    pub ignored: f64,
    /// What is gained: `units per shift`, or `units per hour` where there are no shifts.
    pub judged_on: String,
    /// The line as it stands.
    pub base: Option<Estimate>,
    /// How many levers of each kind were made, in words.
    pub made: String,
    /// What follows, in a sentence.
    pub sentence: String,
    /// Money word of the file; null where it states no costs.
    pub money: Option<String>,
    /// What a good unit earns above what is bought for it, as stated; null where nobody says.
    pub earns: Option<f64>,
    /// Best first.
    pub levers: Vec<LeverRow>,
    /// Levers that the file or the language does not allow, or that could not be run.
    pub left_out: Vec<LeftOut>,
    /// What the reader must know before acting on any figure.
    pub cautions: Vec<Caution>,
}

/// One lever.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LeverRow {
    /// 1 is the best.
    pub rank: u32,
    pub kind: LeverKind,
    /// What it is; the name of the layout in `edit`.
    pub lever: String,
    pub verdict: Difference,
    /// The same count on every replication of the round it was last looked at in.
    pub no_effect: bool,
    /// It was looked at in the first round only.
    pub screened_out: bool,
    /// Units gained against the line as it stands, on the same random days.
    pub gained: Option<Estimate>,
    /// Of the mean of the line as it stands; null where that is 0.
    pub share: Option<f64>,
    /// So many more replications would tell, where that can be said.
    pub more: Option<u32>,
    /// By the costs of the file; null where it says nothing of what this lever costs.
    pub cost_per_year: Option<f64>,
    /// That over the units gained in a year: the band is that of the gain. Null where the gain is not sure.
    pub cost_per_unit_gained: Option<Estimate>,
    /// What it costs once, as stated; null where nobody says.
    pub once: Option<f64>,
    /// Shifts (hours, where there are no shifts) after which its gain has paid that back: the band is that of the
    /// gain. Null where the gain is not sure, or never pays.
    pub payback: Option<Estimate>,
    /// It costs something once, and gains nothing worth deciding, or no more than it costs to run.
    pub never_pays: bool,
    /// The layout that it is, to be put into the file.
    pub edit: String,
}

#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct LeftOut {
    pub lever: String,
    pub why: String,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LeverKind {
    Bay,
    RackPlace,
    RepairPlace,
    Slot,
    Person,
    /// One more in no crew.
    SparePerson,
    Floater,
    Equipment,
    /// 5 % off the work of a station.
    Work,
    /// Half the fails of a test gone.
    Yield,
    Store,
    Carrier,
    /// Room for one more lorry in the yard.
    Yard,
    Move,
}

impl LeversReport {
    /// What payback is counted in.
    pub fn periods(&self) -> &'static str {
        if self.judged_on == "units per shift" { "shifts" } else { "hours" }
    }

    /// The word for money, with a space before it where there is one.
    pub fn of_money(&self) -> String {
        self.money.as_ref().map_or_else(String::new, |money| format!(" {money}"))
    }
}

impl LeverKind {
    pub const ALL: [LeverKind; 14] = [
        LeverKind::Bay,
        LeverKind::RackPlace,
        LeverKind::RepairPlace,
        LeverKind::Slot,
        LeverKind::Person,
        LeverKind::SparePerson,
        LeverKind::Floater,
        LeverKind::Equipment,
        LeverKind::Work,
        LeverKind::Yield,
        LeverKind::Store,
        LeverKind::Carrier,
        LeverKind::Yard,
        LeverKind::Move,
    ];

    /// One of them, as a noun.
    pub fn words(self) -> &'static str {
        match self {
            LeverKind::Bay => "bay",
            LeverKind::RackPlace => "rack place",
            LeverKind::RepairPlace => "repair place",
            LeverKind::Slot => "slot",
            LeverKind::Person => "crew seat",
            LeverKind::SparePerson => "spare worker",
            LeverKind::Floater => "floater",
            LeverKind::Equipment => "shared tool",
            LeverKind::Work => "quicker station",
            LeverKind::Yield => "better test",
            LeverKind::Store => "larger store",
            LeverKind::Carrier => "carrier",
            LeverKind::Yard => "larger yard",
            LeverKind::Move => "moved task",
        }
    }
}
