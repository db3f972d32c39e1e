//! A line with one or two of its numbers varied, as one record: what every format prints, field by field.
//!
//! Published as `taktwright.sweep/1`: fields are added, never renamed or dropped, without a new number.
//! Times are minutes, shares 0..1; what does not exist is null, never 0.

use super::comparison::{Advice, Difference, DifferenceRow, LayoutRow};
use super::record::Caution;
use super::rows::PromiseRow;
use super::wording::{banded, quoted};
use crate::units::{count_of, join_and, percent};
use schemars::JsonSchema;
use serde::Serialize;

/// Name and number of the JSON form.
pub const SWEEP_SCHEMA: &str = "taktwright.sweep/1";

/// Points that were run on the same random days.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct SweepReport {
    /// `taktwright.sweep/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    pub line: String,
    /// What is varied, one or two things.
    pub axes: Vec<AxisRow>,
    pub seed: u64,
    /// Of each point; the fewest, where they differ.
    pub replications: u32,
    /// How each point was run, in words.
    pub run: String,
    /// Stopped by the user: points are missing, or rest on fewer replications.
    pub interrupted: bool,
    /// With which all differences hold together.
    pub confidence: f64,
    /// Differences below this share of the older mean are not worth deciding.
    pub ignored: f64,
    /// What the advice goes by.
    pub judged_on: String,
    /// The line as it stands.
    pub base: PointRow,
    /// What follows, by the names of points.
    pub advice: Advice,
    /// In rising order, the second axis within the first.
    pub points: Vec<PointRow>,
    /// For each promise the point with the fewest people that keeps it.
    pub fewest: Vec<FewestRow>,
    /// Points that the file does not allow, or that could not be run.
    pub left_out: Vec<PointLeftOut>,
    /// What the reader must know before acting on any figure.
    pub cautions: Vec<Caution>,
}

/// One thing that is varied.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct AxisRow {
    /// As it is asked for: `bays of A10`.
    pub name: String,
    /// `min`, or null for a count.
    pub unit: Option<String>,
    /// The setting of the line as it stands.
    pub today: f64,
    pub settings: Vec<f64>,
    /// All of it in words: `bays of A10 1 to 4`.
    pub words: String,
}

/// One point.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct PointRow {
    /// One for each axis.
    pub settings: Vec<f64>,
    /// The same in words: `22.5 min`.
    pub said: Vec<String>,
    /// It is the line as it stands.
    pub as_it_stands: bool,
    /// What it does and takes; `layout` is its name.
    pub does: LayoutRow,
    /// Against the line as it stands.
    pub against_base: Option<DifferenceRow>,
    /// Against the point with the highest mean.
    pub against_most: Option<DifferenceRow>,
    /// The rate curve: each count with the share of shifts that make at least so many. Empty without
    /// shifts.
    pub curve: Vec<ChanceAt>,
    pub promises: Vec<PromiseRow>,
    /// The layout that it is, to be put into the file; null for the line as it stands.
    pub edit: Option<String>,
}

#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ChanceAt {
    pub units: u32,
    pub chance: f64,
}

/// Who keeps a promise with the fewest people.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct FewestRow {
    pub promise: String,
    /// Null where no point keeps it.
    pub point: Option<String>,
    pub people: Option<u32>,
    /// Points with fewer people (all, where none keeps it) for which these runs cannot tell.
    pub undecided: Vec<String>,
}

#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct PointLeftOut {
    pub point: String,
    pub why: String,
}

impl PointRow {
    /// The highest count that at least this share of the shifts makes; `None` where that is below what any
    /// shift made, or nothing was counted.
    pub fn made_on(&self, share: f64) -> Option<u32> {
        self.curve.iter().rev().find(|at| at.chance >= share).map(|at| at.units)
    }

    /// Its count: of a shift, or of an hour where there are no shifts.
    pub fn count(&self) -> Option<&super::Estimate> {
        self.does.units_per_shift.as_ref().or(self.does.units_per_hour.as_ref())
    }
}

impl SweepReport {
    pub fn point(&self, name: &str) -> Option<&PointRow> {
        self.points.iter().find(|point| point.does.layout == name)
    }

    pub fn unit(&self) -> &'static str {
        if self.judged_on == "units per shift" { "units a shift" } else { "units an hour" }
    }
}

/// `, 0.8 (0.6 to 1.0) more than “today”`
fn against(row: &DifferenceRow, report: &SweepReport) -> String {
    let base = quoted(&report.base.does.layout);
    match (row.verdict, &row.difference) {
        (Difference::Better, Some(more)) => format!(", {} more than {base}", banded(more)),
        (Difference::Worse, _) => format!(", less than {base}"),
        (Difference::Equal, _) => format!(", the same within {} as {base}", percent(report.ignored)),
        (Difference::Better | Difference::CannotTell, _) => {
            format!(", which these runs cannot tell from {base}")
        }
    }
}

/// What the points come to, for whoever reads one sentence.
pub fn sweep_sentence(report: &SweepReport) -> String {
    let advice = &report.advice;
    let Some(most) = advice.most.as_deref().and_then(|name| report.point(name)) else {
        return "Nothing was finished at any point, so nothing can be compared.".to_string();
    };
    let made = most.count().map_or_else(|| "nothing".to_string(), banded);
    let mut said = format!("Most good units: {}, {made} {}", quoted(&most.does.layout), report.unit());
    match &most.against_base {
        _ if most.as_it_stands => said.push_str(", which is the line as it stands"),
        Some(row) => said.push_str(&against(row, report)),
        None => {}
    }
    said.push('.');
    let names = |names: &[String]| join_and(&names.iter().map(|name| quoted(name)).collect::<Vec<_>>());
    let alike: Vec<String> = report
        .points
        .iter()
        .filter(|point| point.does.layout != most.does.layout)
        .filter(|point| point.against_most.as_ref().is_some_and(|row| row.verdict == Difference::Equal))
        .map(|point| point.does.layout.clone())
        .collect();
    if !alike.is_empty() {
        let ignored = percent(report.ignored);
        said.push_str(&format!(" The same within {ignored}: {}.", names(&alike)));
        if let Some(take) = advice.take.as_ref().filter(|take| **take != most.does.layout) {
            said.push_str(&format!(" {} does it with the fewest people and places.", quoted(take)));
        }
    }
    if !advice.open.is_empty() {
        let how = advice.more.map_or_else(String::new, |more| {
            format!("; about {} of each would tell", count_of(more as usize, "more replication"))
        });
        said.push_str(&format!(" These runs cannot tell it from {}{how}.", names(&advice.open)));
    }
    said
}
