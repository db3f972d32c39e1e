//! Lanes: how many units take each.

use super::bands::ratio_of;
use super::quantiles::Banded;
use crate::line::Line;
use crate::simulate::{Observations, Replication};

/// One lane, in the order of the line.
#[derive(Clone, PartialEq, Debug)]
pub struct LaneFigures {
    /// Index into `Line::lanes`, and of the lane among them.
    pub lanes: usize,
    pub lane: usize,
    /// Of the units that took any lane of its group.
    pub share: Option<Banded>,
    /// All replications.
    pub units: u64,
}

pub fn lanes(line: &Line, observed: &Observations) -> Vec<LaneFigures> {
    let runs = &observed.replications;
    let mut found = Vec::new();
    let mut before = 0;
    for (g, lanes) in line.lanes.iter().enumerate() {
        let group = before..before + lanes.lanes.len();
        let all = |r: &Replication| r.lane_units[group.clone()].iter().sum::<u64>();
        for lane in 0..lanes.lanes.len() {
            found.push(LaneFigures {
                lanes: g,
                lane,
                share: ratio_of(runs, line.confidence, |r| (r.lane_units[before + lane], all(r))),
                units: runs.iter().map(|r| r.lane_units[before + lane]).sum(),
            });
        }
        before = group.end;
    }
    found
}
