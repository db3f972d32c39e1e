//! Stops by their causes: how many, how long, what share of the time they took.

use super::bands::{mean_of, share_of};
use super::flow::each;
use super::own_shifts_in;
use super::quantiles::Banded;
use crate::line::{Comes, Line};
use crate::simulate::{Observations, Replication};

/// One cause, in the order of `Line::stops`.
#[derive(Clone, PartialEq, Debug)]
pub struct StopFigures {
    /// Stops that began, all replications.
    pub count: u64,
    /// Calls answered, all replications; `None` where the cause is none of calls.
    pub calls: Option<u64>,
    /// Stops per shift's worth of net time; `None` without a calendar.
    pub per_shift: Option<Banded>,
    /// Net minutes stopped, per replication.
    pub lost: Option<Banded>,
    /// Share of net time.
    pub stopped: Option<Banded>,
    /// Clock minutes per stop, all replications; `None` without stops.
    pub length: Option<f64>,
}

pub fn stops(line: &Line, observed: &Observations) -> Vec<StopFigures> {
    let runs = &observed.replications;
    let confidence = line.confidence;
    let figures = |s: usize| {
        let mean = |value: &dyn Fn(&Replication) -> Option<f64>| mean_of(&each(runs, value), confidence);
        let count: u64 = runs.iter().map(|r| r.stops[s].count).sum();
        let clock: f64 = runs.iter().map(|r| r.stops[s].clock.as_minutes()).sum();
        let hours = line.hours_of_stop(&line.stops[s]);
        let share = |r: &Replication| {
            let net = r.net_of(hours).0;
            (net > 0).then(|| r.stops[s].net.0 as f64 / net as f64)
        };
        StopFigures {
            count,
            calls: matches!(line.stops[s].comes, Comes::Calls { .. })
                .then(|| runs.iter().map(|r| r.stops[s].calls).sum()),
            per_shift: mean(&|r| Some(r.stops[s].count as f64 / own_shifts_in(line, hours, r)?)),
            lost: mean(&|r| Some(r.stops[s].net.as_minutes())),
            stopped: share_of(&each(runs, share), confidence),
            length: (count > 0).then(|| clock / count as f64),
        }
    };
    (0..line.stops.len()).map(figures).collect()
}
