//! Studies: a line, what is asked of it, the runs that answer, and scenario files with their verdicts.
//!
//! Owns the defaults of a run, the warm-up, runs that stop themselves, gains by station, scenario
//! files (the only user of YAML) and baselines. Refuses to read files or to print: text comes in and
//! goes out as values.

mod baseline;
mod choose;
mod compare;
mod cycles;
mod edits;
mod error;
mod levers;
mod losses;
mod means;
mod node;
mod plan;
mod replan;
mod replay;
mod run;
mod scenario;
mod schema;
mod side_by_side;
mod sweep;
mod together;
mod values;
mod verdicts;
mod verify;
mod warm_up;

pub use baseline::{Baseline, LayoutResult};
pub use choose::{ChoiceTerms, FIRST_STAGE, choose};
pub use compare::{Compared, Comparison, Side, compare, measure_named};
pub use cycles::{WATCHED, cycles};
pub use edits::LineFile;
pub use error::StudyError;
pub use levers::{Lever, Purse, SCREENING, levers, lines as lever_lines, rank_levers};
pub use losses::losses;
pub use means::{Means, times};
pub use plan::{
    GAIN_REPLICATIONS, LEAST_SHIFTS, MOST_REPLICATIONS, PILOT_REPLICATIONS, Plan, Precision, REPLICATIONS,
    RunChoices, UNITS, WarmUpChoice, horizon_words, warm_up_words,
};
pub use replan::simulate_plan;
pub use replay::replay;
pub use run::{Attendant, FASTER, GainRun, Outcome, run, run_after};
pub use scenario::{BAND, Expectation, ExpectationKind, KEYS, Placed, RUN_KEYS, Scenario, read_scenario};
pub use schema::scenario_schema;
pub use side_by_side::{Candidate, side_by_side};
pub use sweep::{Axis, Point, Sweep, fit_together, point_lines, points, readable_promise, sweep};
pub use values::{nearest, read_share, read_time};
pub use verdicts::{Judged, VerdictForm, render_verdicts};
pub use verify::{Bench, Finding, Verdict, Verified, prepare, verify};
pub use warm_up::find as find_warm_up;
