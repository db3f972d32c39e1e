//! Units that people move one at a time.

use super::bands::mean_of;
use super::flow::each;
use super::quantiles::Banded;
use super::shifts_in;
use crate::line::{Line, SegmentId};
use crate::simulate::{Observations, Replication};

/// One segment that isn't pushed and whose units people move.
#[derive(Clone, PartialEq, Debug)]
pub struct MoveFigures {
    pub segment: SegmentId,
    /// Moves of all replications.
    pub moves: u64,
    pub moves_per_shift: Option<Banded>,
    /// Net minutes per move that it waited for people alone.
    pub waited_for_people: Option<Banded>,
}

/// In line order; empty where units move by themselves.
pub fn moved_one_by_one(line: &Line, observed: &Observations) -> Vec<MoveFigures> {
    let runs = &observed.replications;
    let figures = |s: usize| {
        let waited = |r: &Replication| {
            let counts = &r.segments[s];
            (counts.moves > 0).then(|| counts.waited_for_people.as_minutes() / counts.moves as f64)
        };
        let per_shift = |r: &Replication| Some(r.segments[s].moves as f64 / shifts_in(line, r.net)?);
        MoveFigures {
            segment: SegmentId::from_index(s),
            moves: runs.iter().map(|r| r.segments[s].moves).sum(),
            moves_per_shift: mean_of(&each(runs, per_shift), line.confidence),
            waited_for_people: mean_of(&each(runs, waited), line.confidence),
        }
    };
    let moved = |s: &usize| !line.segments[*s].movers.is_empty() && !line.segments[*s].rule.is_pushed();
    (0..line.segments.len()).filter(moved).map(figures).collect()
}
