//! Gates: what they find in a unit, and how much of it goes on.

use super::bands::{mean_of, ratio_of};
use super::flow::each;
use super::quantiles::Banded;
use crate::line::Line;
use crate::simulate::{GateCounts, Observations, Replication};

/// One gate, in the order of the file.
#[derive(Clone, PartialEq, Debug)]
pub struct GateFigures {
    /// Index into `Line::gates`.
    pub gate: usize,
    /// Per unit that came: faults found, and those of them that went on.
    pub found: Option<Banded>,
    pub went_on: Option<Banded>,
    /// Those of them that tests had let through.
    pub let_through: Option<Banded>,
    /// Share of the units without a fault.
    pub clear: Option<Banded>,
    /// All replications.
    pub units: u64,
}

pub fn gates(line: &Line, observed: &Observations) -> Vec<GateFigures> {
    let runs = &observed.replications;
    let figures = |g: usize| {
        let per_unit = |of: &dyn Fn(&GateCounts) -> u64| {
            let of_run = |r: &Replication| {
                let counts = &r.gates[g];
                (counts.units > 0).then(|| of(counts) as f64 / counts.units as f64)
            };
            mean_of(&each(runs, of_run), line.confidence)
        };
        GateFigures {
            gate: g,
            found: per_unit(&|counts| counts.mended_here + counts.went_on),
            went_on: per_unit(&|counts| counts.went_on),
            let_through: per_unit(&|counts| counts.let_through),
            clear: ratio_of(runs, line.confidence, |r| (r.gates[g].clear, r.gates[g].units)),
            units: runs.iter().map(|r| r.gates[g].units).sum(),
        }
    };
    (0..line.gates.len()).map(figures).collect()
}
