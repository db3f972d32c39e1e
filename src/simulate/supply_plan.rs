//! A part's lots, compiled: when they come, and which of them late.

use super::timer::Timer;
use crate::draws::{Purpose, Stream};
use crate::line::{LotsWhen, Part};

/// Draws of a part's lots, compiled.
#[derive(Clone, Debug)]
pub struct SupplyPlan {
    /// Gap between lots that come one after the other; from its order to its coming where lots are ordered.
    pub gap: Option<Timer>,
    /// Which lots are late.
    pub lates: Stream,
    /// By how much, where some may be.
    pub late: Option<Timer>,
}

impl SupplyPlan {
    pub fn new(part: &Part, stream: &impl Fn(Purpose, &str) -> Stream) -> SupplyPlan {
        let timer = |dist, purpose| Timer::plain(dist, stream(purpose, &part.draws_as));
        SupplyPlan {
            gap: match part.origin.lots().map(|lots| &lots.when) {
                Some(LotsWhen::Every { gap, .. } | LotsWhen::AtLevel { lead: gap, .. }) => {
                    Some(timer(gap, Purpose::LotGap))
                }
                Some(LotsWhen::Days(_)) | None => None,
            },
            lates: stream(Purpose::LotLate, &part.draws_as),
            late: part
                .origin
                .lots()
                .and_then(|lots| lots.late.as_ref())
                .map(|late| timer(&late.by, Purpose::LotLate)),
        }
    }
}

/// Whether lots of it are ordered when it is down to a level.
pub fn is_ordered(part: &Part) -> bool {
    part.origin.lots().is_some_and(|lots| matches!(lots.when, LotsWhen::AtLevel { .. }))
}
