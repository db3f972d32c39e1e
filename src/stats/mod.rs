//! From raw observations to figures with bands; promises judged; who holds the line back.
//!
//! Owns every interval and verdict: first the pure numerics (one value per replication; what happens
//! inside a run is never taken for independent), then one file per family of measures. Refuses to
//! sample, to run and to word anything.

pub mod choosing;
pub mod mser;
pub mod precision;
pub mod quantiles;
pub mod queues;
pub mod student;

mod audit;
mod bands;
mod books;
mod bottleneck;
mod carriers;
mod costs;
mod count;
mod decided;
mod feeders;
mod flow;
mod gates;
mod lanes;
mod moving;
mod people;
mod places;
mod promises;
mod stops;
mod stores;
mod summary;
mod test_bays;
mod week;

pub use audit::{HoldFigures, WindowFigures};
pub use bands::{Times, share_of};
pub use books::Books;
pub use bottleneck::{Bottleneck, Finding, Gain, Method, Verdict as BottleneckVerdict, gained};
pub use carriers::{CarrierFigures, YardFigures};
pub use costs::{CostFigures, counts_a_year, floor_m2, year_cost};
pub use count::{
    Asked, AskedFrom, Count, Fraction, HomeTime, PerShift, ShiftsAt, days_with_shifts, demand_per_shift,
};
pub use decided::DecidedShift;
pub use feeders::FeederFigures;
pub use flow::{Flow, labour};
pub use gates::GateFigures;
pub use lanes::LaneFigures;
pub use moving::MoveFigures;
pub use people::{EquipmentFigures, FloaterFigures, HelpFigures, PeopleFigures, Who, heads};
pub use places::{Delay, Levels, PlaceFigures, PushFigures, Shares};
pub use promises::{Judgement, Verdict, judge};
pub use quantiles::{Banded, GROUPS};
pub use stops::StopFigures;
pub use stores::StoreFigures;
pub use student::Estimate;
pub use summary::{Beside, Run, Summary, summarise};
pub use test_bays::{ClosedForm, NoClosedForm, QueueModel, TestFigures};
pub use week::{WeekFigures, attended};

/// The states by which a place's time is divided; the report knows them from here.
pub use crate::simulate::BayState;

use crate::line::{Calendar, Line};
use crate::simulate::Replication;
use crate::units::Time;

/// Microseconds.
const MINUTE: f64 = 60e6;
const HOUR: f64 = 3600e6;

/// How many mean shifts' net time `net` is; `None` without a calendar.
fn shifts_in(line: &Line, net: Time) -> Option<f64> {
    shifts_of(line.calendar.as_ref()?, net)
}

/// Likewise, of what is counted in some hours (`Line::calendar_of`).
fn own_shifts_in(line: &Line, hours: u16, r: &Replication) -> Option<f64> {
    shifts_of(line.calendar_of(hours)?, r.net_of(hours))
}

fn shifts_of(calendar: &Calendar, net: Time) -> Option<f64> {
    let (week, shifts) = calendar.shift_net();
    let per_shift = week.0 as f64 / shifts as f64;
    (shifts > 0 && week > Time::ZERO && net > Time::ZERO).then(|| net.0 as f64 / per_shift)
}
