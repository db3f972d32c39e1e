//! The audit of holds and the tally of windows: proof that nothing was shortened.

use super::bands::ratio_of;
use super::quantiles::Banded;
use crate::line::{Line, StepId};
use crate::simulate::Observations;
use crate::units::Time;

/// One hold, in the order of the file.
#[derive(Clone, PartialEq, Debug)]
pub struct HoldFigures {
    pub step: StepId,
    pub minimum: Time,
    /// From the start of an uninterrupted hold to the first start of a step that follows, or the
    /// move; `None` when none ended.
    pub shortest: Option<Time>,
    pub count: u64,
    pub restarts: u64,
    /// Pushes with which one went on; `None` where it may not move.
    pub moved: Option<u64>,
    /// Clock time by which the cold made one longer, on average; `None` where cold does not matter.
    pub cold: Option<Time>,
}

impl HoldFigures {
    /// No hold that ended was under its minimum.
    pub fn kept(&self) -> bool {
        self.shortest.is_none_or(|shortest| shortest >= self.minimum)
    }
}

/// One window, in the order of the file.
#[derive(Clone, PartialEq, Debug)]
pub struct WindowFigures {
    pub judged: u64,
    pub missed: u64,
    pub share_missed: Option<Banded>,
}

pub fn holds(line: &Line, observed: &Observations) -> Vec<HoldFigures> {
    let holds = line.steps.iter().enumerate().filter_map(|(s, step)| Some((s, step.hold()?.minimum)));
    holds
        .enumerate()
        .map(|(h, (s, stated))| {
            let counts = || observed.replications.iter().map(move |r| &r.holds[h]);
            let shortest =
                counts().filter(|c| c.count > 0).map(|c| c.shortest).min().filter(|t| *t != Time::NEVER);
            HoldFigures {
                step: StepId::from_index(s),
                // The minimum in the file binds, and any greater one that the run says it kept.
                minimum: counts().map(|c| c.minimum).fold(stated, Time::max),
                shortest,
                count: counts().map(|c| c.count).sum(),
                restarts: counts().map(|c| c.restarts).sum(),
                moved: line.steps[s]
                    .hold()
                    .filter(|hold| hold.may_move)
                    .map(|_| counts().map(|c| c.moved).sum()),
                cold: line.steps[s].hold().and_then(|hold| hold.warm.as_ref()).and_then(|_| {
                    let ended: u64 = counts().map(|c| c.count).sum();
                    let cold: Time = counts().map(|c| c.cold).sum();
                    (ended > 0).then(|| Time(cold.0 / ended as i64))
                }),
            }
        })
        .collect()
}

pub fn windows(line: &Line, observed: &Observations) -> Vec<WindowFigures> {
    let figures = |w: usize| {
        let runs = &observed.replications;
        WindowFigures {
            judged: runs.iter().map(|r| r.windows[w].judged).sum(),
            missed: runs.iter().map(|r| r.windows[w].missed).sum(),
            share_missed: ratio_of(runs, line.confidence, |r| (r.windows[w].missed, r.windows[w].judged)),
        }
    };
    (0..line.windows.len()).map(figures).collect()
}
