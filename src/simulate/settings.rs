//! What a run is asked to do, and why one may fail.

use crate::units::Time;

/// How long a replication is counted, after its warm-up.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Horizon {
    /// Whole shifts; needs a calendar.
    Shifts(u32),
    /// Until so many units have finished.
    Units(u64),
    /// Clock time.
    For(Time),
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub enum WarmUp {
    None,
    /// Clock time cut from the front (in shifts where the horizon is in shifts: rounded up to the
    /// next shift start).
    For(Time),
    /// Whole shifts cut from the front.
    Shifts(u32),
    /// So many finished units cut from the front.
    Units(u64),
}

impl WarmUp {
    /// Nothing is cut.
    pub fn is_none(self) -> bool {
        match self {
            WarmUp::None | WarmUp::Units(0) | WarmUp::Shifts(0) => true,
            WarmUp::For(time) => time.is_zero(),
            WarmUp::Shifts(_) | WarmUp::Units(_) => false,
        }
    }
}

#[derive(Clone, PartialEq, Debug)]
pub struct Settings {
    pub seed: u64,
    /// Replications `first .. first + count`.
    pub first: u32,
    pub count: u32,
    pub horizon: Horizon,
    pub warm_up: WarmUp,
    /// Keep the time of every finish (to find the warm-up).
    pub record_finishes: bool,
    /// Factor on attended work at one place (place index, factor): what a faster station would buy.
    /// Holds are never touched.
    pub faster: Option<(crate::line::PlaceId, f64)>,
}

/// A run that could not go on; it names the replication, seed, simulated time and the parties.
#[derive(Clone, PartialEq, Debug)]
pub struct RunError {
    pub replication: u32,
    pub seed: u64,
    /// Clock time of the run.
    pub at: Time,
    pub kind: RunErrorKind,
}

#[derive(Clone, PartialEq, Debug)]
pub enum RunErrorKind {
    /// Units none of which can go on unless another of them does: unit number, where it stands
    /// (place name), what it waits for (words).
    LockUp { waiting: Vec<(u64, String, String)> },
    /// No order among those in the bank keeps the spacing rules.
    NoLegalOrder { looked_at: u32 },
    /// The line starts full, and none of so many orders may stand in a lane.
    NobodyStands { looked_at: u32 },
    /// A stated limit of the program: what, how many.
    OverLimit { what: &'static str, limit: u64 },
    /// Work that is begun only if it fits before a break, and fits before none.
    NeverFits { step: String, takes: Time, longest: Time },
    /// A unit has missed one window so often that it will never keep it: the step that closes it.
    NeverInTime { unit: u64, closing: String, times: u32 },
    /// Nothing is left to happen before the horizon: units are asked for that never come, or some stand in the line for
    /// good: unit number and place name of each, the furthest first; and stores that are full, some of what waits for them lacking its own.
    Dried { finished: u64, standing: Vec<(u64, String)>, full: Vec<String> },
}
