//! What of a run a paired comparison of counts needs: a few bytes where its whole record takes megabytes.

use super::observations::{Observations, Replication};
use crate::units::Time;

/// What one replication made.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Made {
    /// Number of the replication: its random days.
    pub index: u32,
    /// Finished units.
    pub finished: u64,
    /// Length counted, in net time.
    pub net: Time,
}

impl Replication {
    pub fn made(&self) -> Made {
        Made { index: self.index, finished: self.finished, net: self.net }
    }
}

impl Observations {
    /// In the order of the replications.
    pub fn made(&self) -> impl Iterator<Item = Made> + '_ {
        self.replications.iter().map(Replication::made)
    }
}
