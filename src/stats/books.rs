//! Do the books of a run balance? Two identities that hold to the microsecond or not at all.
//!
//! Little's law as an identity: the integral of units present equals the sum of the units' times
//! inside the line and the window (Little, "A proof for the queuing formula L = lambda W", Operations
//! Research 9, 1961). And the states of a place fill its bays' net time. A difference is a fault of
//! the program, never of the line, and the report says so.

use crate::line::{Line, PlaceId};
use crate::simulate::{Observations, Replication};

#[derive(Clone, PartialEq, Debug, Default)]
pub struct Books {
    /// Sum over replications of |integral of units present - sum of unit times|, unit-microseconds.
    pub little_residual: i128,
    /// Units inside at the start and the end of the windows, all replications: the end terms.
    pub present_at_start: u64,
    pub present_at_end: u64,
    /// Places whose states do not fill bays x net time, with the first difference (microseconds).
    pub states_off: Vec<(PlaceId, i128)>,
}

impl Books {
    pub fn balance(&self) -> bool {
        self.little_residual == 0 && self.states_off.is_empty()
    }
}

pub fn books(line: &Line, observed: &Observations) -> Books {
    let runs = &observed.replications;
    let states_off = (0..line.places.len())
        .filter_map(|p| {
            let first = runs.iter().map(|r| states_residual(line, r, p)).find(|d| *d != 0)?;
            Some((PlaceId::from_index(p), first))
        })
        .collect();
    Books {
        little_residual: runs.iter().map(|r| (r.presence - r.unit_time).abs()).sum(),
        present_at_start: runs.iter().map(|r| r.present_at_start).sum(),
        present_at_end: runs.iter().map(|r| r.present_at_end).sum(),
        states_off,
    }
}

fn states_residual(line: &Line, run: &Replication, place: usize) -> i128 {
    let filled: i128 = run.places[place].states.iter().map(|t| i128::from(*t)).sum();
    filled - i128::from(line.places[place].bays) * i128::from(run.net_of(line.places[place].hours).0)
}
