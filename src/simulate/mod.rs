//! The discrete-event run: a line and its settings in, raw observations out.
//!
//! Owns the clock and event queue, the physics of stations, the replications. Counts exactly and
//! computes no means; reads nothing and prints nothing.

mod accounts;
mod amiss;
mod around;
mod arriving;
mod begin;
mod blank;
mod blocked;
mod breaks;
mod calendar;
mod carriers;
mod clock;
mod compiled;
mod dried;
mod drift;
mod early;
mod entering;
mod feeders;
mod floaters;
mod gates;
mod helping;
mod hours;
mod lanes;
mod learning;
mod lengths;
mod lock_up;
mod made;
mod marks;
mod mending;
mod movers;
mod moves;
mod observations;
mod one_by_one;
mod orders;
mod overtime;
mod pauses;
mod plain;
mod presence;
mod pulling;
mod push_account;
mod pushes;
mod queue;
mod replications;
mod run;
mod settings;
mod sharing;
mod shown;
mod slots;
mod solo;
mod stop_plans;
mod stops;
mod stores;
mod supply_plan;
mod test_plan;
mod test_queue;
mod timer;
mod travel;
mod units;
mod verdicts;
mod visitors;
mod walks;
mod warmth;
mod watcher;
mod week;
mod windows;
mod work;
mod yard;

pub use clock::Clock;
pub use feeders::FeederCounts;
pub use made::Made;
pub use observations::{
    BayState, CarrierCounts, CrewCounts, FloaterCounts, GateCounts, HelpCounts, HoldCounts, Observations,
    PlaceCounts, Replication, SegmentCounts, StopCounts, TestCounts, WindowCounts, YardCounts,
};
pub use replications::{Oversight, Unattended, replicate, replicate_plainly, simulate, simulate_each};
pub use settings::{Horizon, RunError, RunErrorKind, Settings, WarmUp};
pub use shown::PARTS_FROM;
pub use stores::PartCounts;
pub use watcher::{Event, Flaw, Spot, Unwatched, Watcher};
pub use week::HOURS;
