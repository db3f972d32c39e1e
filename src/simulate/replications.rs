//! Replications over threads, collected in their order.

use super::compiled::Compiled;
use super::plain::Plan;
use super::{Observations, Replication, RunError, RunErrorKind, Settings, Unwatched, Watcher, run};
use crate::line::Line;
use crate::units::Time;
use rayon::prelude::*;

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
    let compiled = compile(line, settings, settings.first)?;
    let plan = Plan::of(&compiled, settings);
    let numbers: Vec<u32> = (settings.first..settings.first + settings.count).collect();
    let results: Vec<Option<Result<Replication, RunError>>> = numbers
        .into_par_iter()
        .map(|number| {
            if oversight.stop() {
                return None;
            }
            let quick = plan.as_ref().and_then(|plan| plan.replicate(&compiled, settings, number));
            let result = match quick {
                Some(replication) => Ok(replication),
                None => run::replicate(&compiled, settings, number, &mut Unwatched),
            };
            oversight.finished_one();
            Some(result)
        })
        .collect();
    let mut seen = Observations {
        seed: settings.seed,
        warm_up: Time::ZERO,
        replications: Vec::with_capacity(results.len()),
        interrupted: false,
    };
    for result in results {
        match result {
            Some(result) => seen.replications.push(result?),
            None => seen.interrupted = true,
        }
    }
    Ok(seen)
}

/// Runs the line under each of several settings, with nobody idle in between, and keeps of each run what `keep`
/// says.
///
/// # Errors
/// As `simulate`, of the first settings that failed.
pub fn simulate_each<T: Send>(
    line: &Line,
    all: &[Settings],
    oversight: &impl Oversight,
    keep: impl Fn(Observations) -> T + Sync,
) -> Result<Vec<T>, RunError> {
    let run = |settings: &Settings| simulate(line, settings, oversight).map(&keep);
    let runs: Vec<Result<T, RunError>> = all.par_iter().map(run).collect();
    runs.into_iter().collect()
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
    run::replicate(&compile(line, settings, replication)?, settings, replication, watcher)
}

fn compile<'a>(line: &'a Line, settings: &Settings, replication: u32) -> Result<Compiled<'a>, RunError> {
    let failed = |kind: RunErrorKind| RunError { replication, seed: settings.seed, at: Time::ZERO, kind };
    Compiled::new(line, settings).map_err(failed)
}

/// Runs one replication the quicker way that lines without heavy machinery allow (`plain`); `None` where
/// the line, the settings or two ends at one instant ask for the general run. `simulate` uses it by
/// itself: this is for holding the two against each other.
///
/// # Errors
/// The line is larger than the engine's fixed widths.
pub fn replicate_plainly(
    line: &Line,
    settings: &Settings,
    replication: u32,
) -> Result<Option<Replication>, RunError> {
    let compiled = compile(line, settings, replication)?;
    Ok(Plan::of(&compiled, settings).and_then(|plan| plan.replicate(&compiled, settings, replication)))
}
