//! Stores: how full they are, what went through them, and who had to wait.

use super::bands::{mean_of, share_of};
use super::flow::each;
use super::quantiles::Banded;
use crate::line::{Line, LotsWhen, PartId};
use crate::simulate::{Observations, PartCounts, Replication};
use crate::units::Time;

/// One store, in the order of the file.
#[derive(Clone, PartialEq, Debug)]
pub struct StoreFigures {
    pub part: PartId,
    /// Pieces in the store, averaged over clock time.
    pub level: Option<Banded>,
    /// Shares of clock time.
    pub empty: Option<Banded>,
    pub full: Option<Banded>,
    /// Per replication: pieces that came in, pieces taken, and how often a task began to wait.
    pub came: Option<Banded>,
    pub used: Option<Banded>,
    pub waits: Option<Banded>,
    /// All replications: lots, those that were late, those that did not fit at once.
    pub lots: u64,
    pub late_lots: u64,
    pub lots_kept_out: u64,
    /// Where lots are ordered at a level.
    pub ordering: Option<OrderFigures>,
    /// All replications: starts of tasks that found the part short or for another model, and units that were
    /// overtaken.
    pub short: u64,
    pub wrong: u64,
    pub out_of_turn: u64,
    /// Clock minutes until what was missing arrived, and net minutes of a re-kit, on average.
    pub missing: Option<f64>,
    pub rekitting: Option<f64>,
}

/// Pieces on order, averaged over clock time; per replication lots ordered, and how often the store ran empty.
#[derive(Clone, PartialEq, Debug)]
pub struct OrderFigures {
    pub on_order: Option<Banded>,
    pub orders: Option<Banded>,
    pub ran_out: Option<Banded>,
}

pub fn stores(line: &Line, observed: &Observations) -> Vec<StoreFigures> {
    let runs = &observed.replications;
    let figures = |p: usize| {
        let over_time = |of: &dyn Fn(&PartCounts) -> f64| {
            each(runs, |r: &Replication| (r.clock > Time::ZERO).then(|| of(&r.parts[p]) / r.clock.0 as f64))
        };
        let count = |of: &dyn Fn(&PartCounts) -> u64| {
            let values: Vec<f64> = runs.iter().map(|r| of(&r.parts[p]) as f64).collect();
            mean_of(&values, line.confidence)
        };
        let all = |of: &dyn Fn(&PartCounts) -> u64| runs.iter().map(|r| of(&r.parts[p])).sum();
        let total =
            |of: &dyn Fn(&PartCounts) -> Time| runs.iter().map(|r| of(&r.parts[p]).as_minutes()).sum();
        let each_of = |minutes: f64, times: u64| (times > 0).then(|| minutes / times as f64);
        StoreFigures {
            part: PartId::from_index(p),
            level: mean_of(&over_time(&|c| c.level as f64), line.confidence),
            empty: share_of(&over_time(&|c| c.empty.0 as f64), line.confidence),
            full: share_of(&over_time(&|c| c.full.0 as f64), line.confidence),
            came: count(&|c| c.came),
            used: count(&|c| c.used),
            waits: count(&|c| c.waits),
            lots: all(&|c| c.lots),
            late_lots: all(&|c| c.late_lots),
            lots_kept_out: all(&|c| c.lots_kept_out),
            ordering: at_a_level(line, p).then(|| OrderFigures {
                on_order: mean_of(&over_time(&|c| c.on_order as f64), line.confidence),
                orders: count(&|c| c.orders),
                ran_out: count(&|c| c.ran_out),
            }),
            short: all(&|c| c.short),
            wrong: all(&|c| c.wrong),
            out_of_turn: all(&|c| c.out_of_turn),
            missing: each_of(total(&|c| c.missing), all(&|c| c.short)),
            rekitting: each_of(total(&|c| c.rekitting), all(&|c| c.wrong + c.out_of_turn)),
        }
    };
    (0..line.parts.len()).map(figures).collect()
}

fn at_a_level(line: &Line, part: usize) -> bool {
    let lots = line.parts[part].origin.lots();
    lots.is_some_and(|lots| matches!(lots.when, LotsWhen::AtLevel { .. }))
}
