//! What stands around the line in a run: carriers, the yard, whose turn an option is, and what lies
//! at units.

use super::amiss::LaidOut;
use super::carriers::CarrierState;
use super::yard::YardState;
use crate::line::Line;

pub(super) struct Around {
    pub carriers: Vec<CarrierState>,
    pub yard: YardState,
    /// Per option: units so far that may have it, where every n-th does.
    pub turns: Vec<u64>,
    /// Parts that lie at units, in the order in which they were found amiss.
    pub laid_out: Vec<LaidOut>,
    /// Per bay, in lines with lanes: since when its unit waits for what follows.
    pub lane_waits: Vec<i64>,
    /// The line is being filled, and lanes for some models decide who comes: nothing is ordered ahead.
    pub filling: bool,
}

impl Around {
    pub fn new(line: &Line) -> Around {
        let bays: u32 = line.places.iter().map(|place| place.bays).sum();
        Around {
            carriers: line.carriers.iter().map(|carriers| CarrierState::all(carriers.count)).collect(),
            yard: YardState::default(),
            turns: vec![0; line.options.len()],
            laid_out: Vec::new(),
            lane_waits: vec![0; if line.lanes.is_empty() { 0 } else { bays as usize }],
            filling: false,
        }
    }
}
