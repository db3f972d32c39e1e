//! The best of many layouts, chosen with a stated probability, as one record: what every format prints,
//! field by field.
//!
//! Published as `taktwright.choice/1`: fields are added, never renamed or dropped, without a new number.
//! Times are minutes, shares 0..1; what does not exist is null, never 0.

use super::comparison::LayoutRow;
use super::record::Caution;
use super::sweep::PointLeftOut;
use super::wording::{quoted, thousands};
use crate::units::{count_of, decimals, join_and, percent};
use schemars::JsonSchema;
use serde::Serialize;

/// Name and number of the JSON form.
pub const CHOICE_SCHEMA: &str = "taktwright.choice/1";

/// Layouts that were run on the same random days until one was left.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ChoiceReport {
    /// `taktwright.choice/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    pub line: String,
    pub seed: u64,
    /// How each layout was run, in words.
    pub run: String,
    /// Stopped by the user before the choice was made.
    pub interrupted: bool,
    /// Probability of taking the best, where it leads by the indifference or more.
    pub confidence: f64,
    /// The least lead that is worth finding, in units a shift (or an hour).
    pub indifference: f64,
    /// Where nobody said what is worth finding: this share of the mean of the first layout.
    pub indifference_share: Option<f64>,
    /// Replications on days of their own that found the indifference; 0 where it was stated.
    pub replications_apart: u32,
    /// What the choice goes by.
    pub judged_on: String,
    /// The layout to take; null where it is not decided.
    pub chosen: Option<String>,
    /// Made exactly as much as the chosen one in every replication, and took more people or places.
    pub alike: Vec<String>,
    /// Layouts that are still in the race, where it is not decided.
    pub open: Vec<String>,
    /// Replications of each that is still in the race after which it would be decided, whatever comes.
    pub decided_after: u32,
    /// The same in a sentence.
    pub sentence: String,
    /// Replications of each before anything is dropped.
    pub first_stage: u32,
    /// Replications of all layouts together.
    pub spent: u64,
    /// What they would have been, had every layout as many as the one with the most.
    pub same_for_all: u64,
    /// What the probability rests on.
    pub rests_on: Vec<String>,
    /// In the order asked for.
    pub layouts: Vec<ChoiceRow>,
    /// Layouts that the file does not allow, or that could not be run.
    pub left_out: Vec<PointLeftOut>,
    /// What the reader must know before acting on any figure.
    pub cautions: Vec<Caution>,
}

/// A layout, by the replications that it had.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ChoiceRow {
    /// Each figure with a band of its own, which does not allow for the race.
    pub does: LayoutRow,
    pub replications: u32,
    /// Replications after which it was dropped; null for those that never were.
    pub dropped_after: Option<u32>,
    /// The layout that beat it.
    pub dropped_by: Option<String>,
    /// What the layout that leads makes more, on average over the replications that both had.
    pub behind: Option<f64>,
}

impl ChoiceReport {
    pub fn unit(&self) -> &'static str {
        if self.judged_on == "units per shift" { "units a shift" } else { "units an hour" }
    }

    fn row(&self, layout: &str) -> Option<&ChoiceRow> {
        self.layouts.iter().find(|row| row.does.layout == layout)
    }

    /// `0.1 units a shift`
    pub fn lead(&self) -> String {
        let unit = match self.indifference == 1.0 {
            true => self.unit().replacen("units", "unit", 1),
            false => self.unit().to_string(),
        };
        format!("{} {unit}", decimals(self.indifference, 3))
    }
}

/// The choice, for whoever reads one sentence.
pub fn choice_sentence(report: &ChoiceReport) -> String {
    let names = |all: &[String]| join_and(&all.iter().map(|name| quoted(name)).collect::<Vec<_>>());
    let Some(row) = report.chosen.as_deref().and_then(|name| report.row(name)) else {
        let most = report.layouts.iter().map(|row| row.replications).max().unwrap_or(0);
        let how = match report.interrupted {
            true => "Interrupted before the choice was made".to_string(),
            false => "Not decided".to_string(),
        };
        return format!(
            "{how}: after {} {} are still in the race. At most {} of each decide it (`--replications {}`); a \
             larger `--indifference` takes fewer.",
            count_of(most as usize, "replication"),
            names(&report.open),
            thousands(u64::from(report.decided_after)),
            report.decided_after
        );
    };
    let made = row.does.units_per_shift.or(row.does.units_per_hour);
    let made = made.map_or_else(|| "nothing".to_string(), |e| decimals(e.mean, 2));
    let mut said = format!("Take {}: it makes {made} {}", quoted(&row.does.layout), report.unit());
    if !report.alike.is_empty() {
        let others = names(&report.alike);
        said.push_str(&format!(", exactly as {others} in every replication, with no more people or places"));
    }
    said.push_str(&format!(
        ". Where the best of these {} leads every other by {} or more, it is taken with a probability of at \
         least {}. This took {}; as many for all would have been {}.",
        count_of(report.layouts.len(), "layout"),
        report.lead(),
        percent(report.confidence),
        count_of(usize::try_from(report.spent).unwrap_or(usize::MAX), "replication"),
        thousands(report.same_for_all)
    ));
    if row.does.promises_broken > 0 {
        let broken = count_of(row.does.promises_broken as usize, "promise");
        said.push_str(&format!(" It breaks {broken}."));
    }
    said
}
