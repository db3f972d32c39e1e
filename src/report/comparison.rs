//! Layouts set side by side, as one record: what every format prints, field by field.
//!
//! Published as `taktwright.compare/1`: fields are added, never renamed or dropped, without a new
//! number. Times are minutes, shares 0..1; what does not exist is null, never 0.

use super::record::{Caution, Estimate};
use super::rows::Verdict;
use schemars::JsonSchema;
use serde::Serialize;

/// Name and number of the JSON form.
pub const COMPARE_SCHEMA: &str = "taktwright.compare/1";

/// Layouts that were run on the same random days.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CompareReport {
    /// `taktwright.compare/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    pub line: String,
    pub seed: u64,
    /// Of each layout; the fewest, where they differ.
    pub replications: u32,
    /// How each layout was run, in words.
    pub run: String,
    /// Fewer replications than asked for: the run was stopped.
    pub interrupted: bool,
    /// With which all differences of one measure hold together.
    pub confidence: f64,
    /// Differences below this share of the older mean are not worth deciding.
    pub ignored: f64,
    /// What the advice goes by.
    pub judged_on: String,
    /// The layout that the others are set against.
    pub base: String,
    pub advice: Advice,
    /// In the order asked for, the base first.
    pub layouts: Vec<LayoutRow>,
    /// Every other layout against the base, measure by measure.
    pub differences: Vec<DifferenceRow>,
    /// Every pair of layouts on the measure that the advice goes by.
    pub pairs: Vec<DifferenceRow>,
    /// What the reader must know before acting on any figure.
    pub cautions: Vec<Caution>,
}

/// What follows for whoever has to choose.
#[derive(Clone, PartialEq, Debug, Default, Serialize, JsonSchema)]
pub struct Advice {
    /// The layout to take; null where the runs cannot tell.
    pub take: Option<String>,
    /// The layout with the highest mean; null where nothing was finished.
    pub most: Option<String>,
    /// Layouts that make as much within the differences that are ignored.
    pub equals: Vec<String>,
    /// Layouts that cannot be told from the one with the highest mean.
    pub open: Vec<String>,
    /// So many more replications would tell, where that can be said.
    pub more: Option<u32>,
    /// The same in a sentence.
    pub sentence: String,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LayoutRow {
    pub layout: String,
    pub units_per_shift: Option<Estimate>,
    pub units_per_hour: Option<Estimate>,
    /// Shifts a week by the calendar, and good units in them; null without shifts.
    pub shifts_per_week: Option<u32>,
    pub units_per_week: Option<f64>,
    /// Share of shifts that make the count asked for; null where no count is asked for.
    pub chance_of_count: Option<Estimate>,
    pub flow_time_min: Option<Estimate>,
    pub work_in_process: Option<Estimate>,
    pub labour_min_per_unit: Option<Estimate>,
    /// Everybody of a shift: seats of all crews, floaters, and people of the house in no crew.
    pub people: u32,
    /// Bays, slots and rack places, repair places among them.
    pub places: u32,
    /// Of bays, slots, racks and repair places; null where none is stated.
    pub floor_m2: Option<f64>,
    /// Cost of a year per good unit, in the money of the file; null where it states no costs.
    pub cost_per_unit: Option<Estimate>,
    pub promises_kept: u32,
    pub promises_broken: u32,
    pub promises_undecided: u32,
    /// Every hold kept its minimum.
    pub holds_kept: bool,
}

/// One layout less another, on the same random days.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct DifferenceRow {
    pub layout: String,
    pub against: String,
    pub measure: String,
    pub unit: String,
    pub verdict: Difference,
    /// Null where too few replications show the measure; `confidence` is that of this one interval.
    pub difference: Option<Estimate>,
    /// Of the mean of the layout that it is set against; null where that is 0.
    pub share: Option<f64>,
    /// Half-width of the same interval, had each layout been run on days of its own.
    pub half_width_unpaired: Option<f64>,
    /// So many more replications would tell, where that can be said.
    pub more: Option<u32>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Difference {
    Better,
    Worse,
    /// The whole interval lies within the differences that are ignored.
    Equal,
    CannotTell,
}

impl Difference {
    pub fn words(self) -> &'static str {
        match self {
            Difference::Better => "better",
            Difference::Worse => "worse",
            Difference::Equal => "equal",
            Difference::CannotTell => "cannot tell",
        }
    }
}

/// Weeks of some layouts have more shifts than those of others, so that a shift of one is no shift of another.
pub fn weeks_differ<'r>(rows: impl Iterator<Item = &'r LayoutRow>) -> bool {
    let mut shifts = rows.map(|row| row.shifts_per_week);
    let first = shifts.next();
    shifts.any(|other| Some(other) != first)
}

impl LayoutRow {
    /// Counts promises by verdict.
    pub fn count_promises(&mut self, verdicts: impl Iterator<Item = Verdict>) {
        for verdict in verdicts {
            match verdict {
                Verdict::Kept => self.promises_kept += 1,
                Verdict::Broken => self.promises_broken += 1,
                Verdict::Undecided => self.promises_undecided += 1,
            }
        }
    }
}
