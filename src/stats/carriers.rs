//! Carriers and the yard: how many are in use, how often none is free, how full the yard is.

use super::bands::{mean_of, share_of};
use super::flow::each;
use super::quantiles::Banded;
use crate::line::Line;
use crate::simulate::{Observations, Replication};
use crate::units::Time;

/// Carriers of one statement, in the order of the file; averages over clock time.
#[derive(Clone, PartialEq, Debug)]
pub struct CarrierFigures {
    /// Under a unit, and on the way back.
    pub on: Option<Banded>,
    pub back: Option<Banded>,
    /// Share of the time in which none was free.
    pub none_free: Option<Banded>,
}

pub fn carriers(line: &Line, observed: &Observations) -> Vec<CarrierFigures> {
    let figures = |k: usize| CarrierFigures {
        on: level(line, observed, |r| r.carriers[k].on),
        back: level(line, observed, |r| r.carriers[k].back),
        none_free: share(line, observed, |r| r.carriers[k].none_free),
    };
    (0..line.carriers.len()).map(figures).collect()
}

/// The yard; averages over clock time.
#[derive(Clone, PartialEq, Debug)]
pub struct YardFigures {
    /// Units that stood there.
    pub level: Option<Banded>,
    pub full: Option<Banded>,
    /// Units on a lorry; without a band where none came in some run.
    pub load: Option<Banded>,
    /// All replications.
    pub lorries: u64,
    pub part_loads: u64,
}

/// `None` where the line has no yard.
pub fn yard(line: &Line, observed: &Observations) -> Option<YardFigures> {
    line.yard.as_ref()?;
    let runs = &observed.replications;
    let load = |r: &Replication| (r.yard.lorries > 0).then(|| r.yard.taken as f64 / r.yard.lorries as f64);
    Some(YardFigures {
        level: level(line, observed, |r| r.yard.level),
        full: share(line, observed, |r| r.yard.full),
        load: mean_of(&each(runs, load), line.confidence),
        lorries: runs.iter().map(|r| r.yard.lorries).sum(),
        part_loads: runs.iter().map(|r| r.yard.part_loads).sum(),
    })
}

fn level(line: &Line, observed: &Observations, of: impl Fn(&Replication) -> i128) -> Option<Banded> {
    let mean = |r: &Replication| (r.clock > Time::ZERO).then(|| of(r) as f64 / r.clock.0 as f64);
    mean_of(&each(&observed.replications, mean), line.confidence)
}

fn share(line: &Line, observed: &Observations, of: impl Fn(&Replication) -> Time) -> Option<Banded> {
    let share = |r: &Replication| (r.clock > Time::ZERO).then(|| of(r).0 as f64 / r.clock.0 as f64);
    share_of(&each(&observed.replications, share), line.confidence)
}
