//! From a summary to the report: names for ids, units for numbers, nothing computed twice.

mod around;
mod breaks;
mod costs;
mod measures;
mod outcome;
mod stations;
mod stops;
mod week;

pub use outcome::promise_row;

use super::record::{Caution, Estimate, Report, SCHEMA, Warning};
use super::{cautions, doubts};
use crate::line::{Line, PlaceId};
use crate::stats::{self, Summary};

/// What other parts contribute to a report. Empty where they have nothing to say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Extras {
    /// Loads from balancing, for the places that have a window.
    pub loads: Vec<LoadRow>,
    /// Doubts about the file, before those about the run.
    pub warnings: Vec<Warning>,
    /// Texts beyond those that the line itself calls for.
    pub cautions: Vec<Caution>,
    /// Seconds the run took; `None` where output must be the same byte for byte.
    pub elapsed_s: Option<f64>,
}

/// Load of one place; 1 = the whole window.
#[derive(Clone, PartialEq, Debug)]
pub struct LoadRow {
    pub place: PlaceId,
    /// Window in minutes: bays x pace, less the index where units are pushed.
    pub window_min: f64,
    /// In the order of `Line::models`; `None` where the model has no work there.
    pub by_model: Vec<Option<f64>>,
    /// Weighted by the models' shares.
    pub mean: f64,
    /// The same with retests, fixes in place and work sent back.
    pub mean_with_retests: f64,
}

/// The report of a run.
pub fn build(line: &Line, summary: &Summary, extras: &Extras) -> Report {
    let run = &summary.run;
    let mut report = Report {
        schema: SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: line.name.clone(),
        layout: line.layout.clone(),
        seed: run.seed,
        replications: run.replications,
        horizon_min: run.clock_min,
        warm_up_min: run.warm_up.as_minutes(),
        events: run.events,
        elapsed_s: extras.elapsed_s,
        interrupted: run.interrupted,
        confidence: run.confidence,
        net_min: run.net_min,
        shifts: run.shifts,
        line_measures: measures::line_measures(line, summary),
        stations: stations::stations(line, summary, &extras.loads),
        pushes: stations::pushes(line, summary),
        bottleneck: outcome::bottleneck(line, summary),
        tests: measures::tests(line, summary),
        buffers: stations::buffers(line, summary),
        racks: stations::racks(line, summary),
        week: week::week(line, summary),
        people: measures::people(line, summary),
        floaters: measures::floaters(line, summary),
        helping: measures::helping(line, summary),
        decided_shifts: breaks::decided(line, summary),
        breaks_in_turn: breaks::turns(line),
        equipment: measures::equipment(line, summary),
        stores: measures::stores(line, summary),
        feeders: measures::feeders(line, summary),
        gates: around::gates(line, summary),
        lanes: around::lanes(line, summary),
        carriers: around::carriers(line, summary),
        moved_one_by_one: around::moved_one_by_one(line, summary),
        yard: around::yard(line, summary),
        stops: stops::stops(line, summary),
        costs: costs::costs(line, summary),
        holds: outcome::holds(line, summary),
        windows: outcome::windows(line, summary),
        promises: outcome::promises(line, summary),
        warnings: extras.warnings.clone(),
        cautions: Vec::new(),
    };
    report.warnings.extend(doubts::doubts(line, summary, &report));
    report.cautions = cautions::cautions(line, &report);
    report.cautions.extend(extras.cautions.iter().cloned());
    report
}

/// As printed.
fn shown(estimate: &stats::Banded) -> Estimate {
    estimate.into()
}

fn shown_if(estimate: &Option<stats::Banded>) -> Option<Estimate> {
    estimate.as_ref().map(shown)
}
