//! Feeders: what they made, how it passed its tests, what was lost, and how long it took.

use super::bands::{mean_of, ratio_of};
use super::flow::each;
use super::quantiles::Banded;
use crate::line::{Line, OF_THE_LINE};
use crate::simulate::{Observations, Replication};
use crate::units::Time;

/// One feeder, in the order of the file.
#[derive(Clone, PartialEq, Debug)]
pub struct FeederFigures {
    /// Index into `Line::feeders`.
    pub feeder: usize,
    /// Per net hour of a replication: of its own hours, where it has such.
    pub made_per_hour: Option<Banded>,
    /// Net minutes of a replication in its own hours, on average; `None` where it has those of the line.
    pub own_net: Option<f64>,
    /// Parts on their way to the store, averaged over clock time.
    pub on_the_way: Option<Banded>,
    /// Share of the parts made that passed every test at the first attempt.
    pub first_pass: Option<Banded>,
    /// Clock minutes from the first place to the truck, of the parts made.
    pub making: Option<Banded>,
    /// All replications.
    pub made: u64,
    pub lost: u64,
    /// Lots begun.
    pub lots: u64,
    /// Trucks that went at their time and brought something.
    pub trucks: u64,
}

pub fn feeders(line: &Line, observed: &Observations) -> Vec<FeederFigures> {
    let runs = &observed.replications;
    let figures = |f: usize| {
        let rate = |r: &Replication| {
            let net = r.net_of(line.feeders[f].hours);
            (net > Time::ZERO).then(|| r.feeders[f].made as f64 * Time::HOUR.0 as f64 / net.0 as f64)
        };
        let making = |r: &Replication| {
            let counts = &r.feeders[f];
            (counts.made > 0).then(|| counts.making.as_minutes() / counts.made as f64)
        };
        let way = |r: &Replication| {
            (r.clock > Time::ZERO).then(|| r.feeders[f].on_the_way as f64 / r.clock.0 as f64)
        };
        let all = |of: &dyn Fn(&Replication) -> u64| runs.iter().map(of).sum();
        let hours = line.feeders[f].hours;
        let net = || runs.iter().map(|r| r.net_of(hours).as_minutes()).sum::<f64>() / runs.len() as f64;
        FeederFigures {
            feeder: f,
            own_net: (hours != OF_THE_LINE && !runs.is_empty()).then(net),
            made_per_hour: mean_of(&each(runs, rate), line.confidence),
            on_the_way: mean_of(&each(runs, way), line.confidence),
            first_pass: ratio_of(runs, line.confidence, |r| (r.feeders[f].first_pass, r.feeders[f].made)),
            making: mean_of(&each(runs, making), line.confidence),
            made: all(&|r| r.feeders[f].made),
            lost: all(&|r| r.feeders[f].lost),
            lots: all(&|r| r.feeders[f].lots),
            trucks: all(&|r| r.feeders[f].trucks),
        }
    };
    (0..line.feeders.len()).map(figures).collect()
}
