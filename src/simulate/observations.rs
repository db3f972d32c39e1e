//! What a run counted: exact integrals and counts, no means. Everything that is merged is an
//! integer, so the result does not depend on the order of threads.

use super::feeders::FeederCounts;
use super::stores::PartCounts;
use crate::numbers::Histogram;
use crate::units::Time;

/// What a bay is doing. Of a bay the first that applies, in this order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
#[repr(u8)]
pub enum BayState {
    /// It is stopped, or equipment without which nothing on its unit goes on is.
    Stopped,
    /// A hold runs and nobody works on the unit.
    Holding,
    /// The crew has gone home early.
    OffShift,
    /// A unit is on its way in.
    Moving,
    /// People work on the unit (or a step without people runs).
    Working,
    ShortOfParts,
    ShortOfEquipment,
    ShortOfRoom,
    ShortOfPeople,
    /// Work is left, and all of it follows a step that is not done.
    WaitingForStep,
    /// The unit is done and there is no room for it.
    Blocked,
    /// The unit is done (or the place is empty) and the push has not come.
    WaitingForSignal,
    Starved,
}

impl BayState {
    pub const COUNT: usize = 13;
    pub const ALL: [BayState; BayState::COUNT] = [
        BayState::Stopped,
        BayState::Holding,
        BayState::OffShift,
        BayState::Moving,
        BayState::Working,
        BayState::ShortOfParts,
        BayState::ShortOfEquipment,
        BayState::ShortOfRoom,
        BayState::ShortOfPeople,
        BayState::WaitingForStep,
        BayState::Blocked,
        BayState::WaitingForSignal,
        BayState::Starved,
    ];

    /// As printed in reports and JSON (spaces there, underscores in JSON keys).
    pub fn words(self) -> &'static str {
        match self {
            BayState::Stopped => "stopped",
            BayState::Holding => "holding",
            BayState::OffShift => "off shift",
            BayState::Moving => "moving",
            BayState::Working => "working",
            BayState::ShortOfParts => "short of parts",
            BayState::ShortOfEquipment => "short of equipment",
            BayState::ShortOfRoom => "short of room",
            BayState::ShortOfPeople => "short of people",
            BayState::WaitingForStep => "waiting for another step",
            BayState::Blocked => "blocked",
            BayState::WaitingForSignal => "waiting for the signal",
            BayState::Starved => "starved",
        }
    }
}

/// Everything counted, replication by replication, in their order.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Observations {
    pub seed: u64,
    /// Clock time cut from the front of every replication.
    pub warm_up: Time,
    pub replications: Vec<Replication>,
    /// Fewer replications than asked for: the run was interrupted.
    pub interrupted: bool,
}

/// One replication, counted from the end of its warm-up to its end.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Replication {
    pub index: u32,
    /// Entries taken from the event queue, warm-up included.
    pub events: u64,
    /// Length counted, in clock time.
    pub clock: Time,
    /// Length counted, in net time; and in that of every feeder with hours of its own (`Line::own_hours`).
    pub net: Time,
    pub own_net: Vec<Time>,
    /// Clock time counted of each hour of the week; empty where no place shows the week.
    pub hours: Vec<i64>,
    pub released: u64,
    pub line_on: u64,
    pub finished: u64,
    pub scrapped: u64,
    pub set_aside: u64,
    /// Finished units that passed every test at the first attempt.
    pub finished_first_pass: u64,
    /// Per shift of the week: how often it began, how often it lasted longer, and how often it was left out.
    pub begun: Vec<u32>,
    pub overtime: Vec<u32>,
    pub left_out: Vec<u32>,
    /// Finished units of every whole shift counted; empty without a calendar.
    pub per_shift: Vec<u32>,
    /// Shifts that made their `home after` count: minutes from the shift's start to the last crew's leaving.
    pub home_at: Vec<Time>,
    /// Net time between one finished unit and the next.
    pub intervals: Histogram,
    /// Clock time from line-on to finish of the units finished.
    pub flow: Histogram,
    /// Clock time from release to finish of the units finished.
    pub flow_from_release: Histogram,
    /// Little's identity: integral of units present over clock time (unit-microseconds) ...
    pub presence: i128,
    /// ... and the sum over units of their time inside the line and the window.
    pub unit_time: i128,
    /// Units present at the start and the end of the window.
    pub present_at_start: u64,
    pub present_at_end: u64,
    /// In the order of `Line::places`.
    pub places: Vec<PlaceCounts>,
    /// In the order of `Line::segments`.
    pub segments: Vec<SegmentCounts>,
    /// In the order of `Line::tests`.
    pub tests: Vec<TestCounts>,
    /// In the order of `Line::crews`.
    pub crews: Vec<CrewCounts>,
    /// In the order of `Line::groups`: person-microseconds of net time at work.
    pub group_busy: Vec<i64>,
    /// In the order of `Line::groups`: person-microseconds of net time on the way to a unit.
    pub group_walking: Vec<i64>,
    /// In the order of `Line::groups`: person-microseconds of net time at moving the units of a segment.
    pub group_moving: Vec<i64>,
    /// In the order of `Line::groups`: person-microseconds of net time of those who are absent.
    pub group_absent: Vec<i64>,
    /// In the order of `Line::groups`: person-microseconds of net time off shift, where somebody visits;
    /// elsewhere it follows from the crews and stays 0.
    pub group_off: Vec<i64>,
    /// In the order of `Line::gates`.
    pub gates: Vec<GateCounts>,
    /// Units that went into each lane from the place before; in the order of `Line::lanes` and the lanes of each.
    pub lane_units: Vec<u64>,
    /// In the order of `Line::carriers`.
    pub carriers: Vec<CarrierCounts>,
    /// At zero without a yard.
    pub yard: YardCounts,
    /// In the order of `Line::floaters`.
    pub floaters: Vec<FloaterCounts>,
    /// In the order of `Line::helping`.
    pub helping: Vec<HelpCounts>,
    /// In the order of `Line::equipment`: piece-microseconds of net time in use (kept counts as use).
    pub equipment_busy: Vec<i64>,
    /// In the order of `Line::parts`.
    pub parts: Vec<PartCounts>,
    /// In the order of `Line::feeders`.
    pub feeders: Vec<FeederCounts>,
    /// One entry per step of `Line::steps` that is a hold, in that order.
    pub holds: Vec<HoldCounts>,
    /// In the order of `Line::windows`.
    pub windows: Vec<WindowCounts>,
    /// In the order of `Line::stops`.
    pub stops: Vec<StopCounts>,
    /// In the order of `Line::models`: units finished.
    pub finished_by_model: Vec<u64>,
    /// Net time of every finish since the start of the replication (only where asked for).
    pub finishes: Vec<Time>,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct PlaceCounts {
    /// Net time of its bays by `BayState`, microseconds, summed over bays: sums to bays x net.
    pub states: [i64; BayState::COUNT],
    /// Clock time outside net time during which a bay was holding.
    pub holding_outside: Time,
    /// Units that entered a bay.
    pub visits: u64,
    /// Clock time during which exactly k bays were occupied, k = 0..=bays.
    pub bay_levels: Vec<i64>,
    /// Units times clock time in each hour of the week; empty where it is not asked (`Line::places_over_the_week`).
    pub by_hour: Vec<i64>,
    /// Clock time during which exactly k slots were occupied, k = 0..=slots.
    pub slot_levels: Vec<i64>,
    /// Pushes at which this place was ready last (ties share: millionths of a push).
    pub last_millionths: u64,
    /// Delay it caused: its ready time less the later of signal and next-to-last (ties share).
    pub delay_caused: Time,
    /// Pushes at which it was not moved because a returning unit took a place downstream.
    pub held_for_return: u64,
    /// Units that were pulled off the line here.
    pub pulled_off: u64,
    /// Units that were pushed on from here with work left, and the longest of it, net time, unit by unit.
    pub drifted: u64,
    pub drifted_left: Time,
    /// Units that its crew had begun before they came here, and how long before their push, net time, unit by unit.
    pub early: u64,
    pub early_by: Time,
    /// Person time beyond net time of work that people finish first.
    pub overrun: Time,
    /// Uninterrupted stretches in which a bay was working, holding or moving: how many, how long
    /// in net time together, and the longest.
    pub active_periods: u64,
    pub active_time: Time,
    pub longest_active: Time,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct SegmentCounts {
    pub pushes: u64,
    /// Moves of one unit, where people move the units one by one.
    pub moves: u64,
    /// Pushes that went at the signal (or, pushed when ready, all of them).
    pub on_time: u64,
    /// Net time by which pushes went after their signal, and which they, or moves of one unit, waited for people alone.
    pub delay: Time,
    pub waited_for_people: Time,
    /// Tasks that a unit took along unfinished, push by push, and the net time worked on them elsewhere.
    pub taken_along: u64,
    pub done_elsewhere: Time,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct TestCounts {
    /// Units that came to the test's bays (each visit to a bay).
    pub arrivals: u64,
    /// Verdicts given, and first verdicts of a unit, and those that passed.
    pub attempts: u64,
    pub first_attempts: u64,
    pub first_passes: u64,
    /// Units that went on (passed).
    pub passed: u64,
    /// Fails that were none, passes that were none, and units in which it found what another test had let
    /// through.
    pub alarms: u64,
    pub escaped: u64,
    pub found: u64,
    /// Wait in clock time: from done upstream (or ready to return) to entry of the bay.
    pub waits: Histogram,
    pub waited: u64,
    /// Part of the waits spent blocked in an upstream bay.
    pub wait_blocked: Time,
    /// Integral over clock time of the units waiting (unit-microseconds).
    pub queue: i128,
    /// Integral over clock time of bays occupied (bay-microseconds).
    pub busy: i128,
    /// Clock time a visit holds a bay.
    pub service: Histogram,
    /// Clock time between arrivals to the queue.
    pub gaps: Histogram,
    /// Visits during which attended time stopped at least once.
    pub visits_over_breaks: u64,
    /// Clock time during which the waiting places before the test were full (0 where there are none
    /// and nothing was blocked).
    pub full: Time,
}

impl TestCounts {
    /// A verdict on an attempt (1 is the first).
    pub fn judge(&mut self, attempt: u32, passed: bool) {
        self.attempts += 1;
        self.first_attempts += u64::from(attempt == 1);
        self.first_passes += u64::from(attempt == 1 && passed);
        self.passed += u64::from(passed);
    }
}

/// What a gate found.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct GateCounts {
    /// Units that came to it, the first time, and those of them without a fault.
    pub units: u64,
    pub clear: u64,
    /// Their faults: mended there, and mended later.
    pub mended_here: u64,
    pub went_on: u64,
    /// Those of them that tests had let through.
    pub let_through: u64,
}

/// Of the carriers of one statement, over clock time.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct CarrierCounts {
    /// Carrier-microseconds under a unit, and on the way back.
    pub on: i128,
    pub back: i128,
    /// Time during which none was free.
    pub none_free: Time,
}

/// The yard, over clock time.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct YardCounts {
    /// Unit-microseconds.
    pub level: i128,
    pub full: Time,
    /// Lorries that came, those of them that were not filled, and units that they took.
    pub lorries: u64,
    pub part_loads: u64,
    pub taken: u64,
}

/// Of the floaters of one statement: person-microseconds of net time.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct FloaterCounts {
    /// In the seat of somebody who is absent.
    pub standing_in: i64,
    pub absent: i64,
}

/// Of those who help, of one statement. Their time at work is that of their group.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct HelpCounts {
    /// Tasks that began with one of them.
    pub tasks: u64,
    /// Person-microseconds of net time at work for a crew, and on the way to a unit.
    pub busy: i64,
    pub walking: i64,
    /// In the seat of somebody of their group who is absent; at mending; absent.
    pub standing_in: i64,
    pub mending: i64,
    pub absent: i64,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct CrewCounts {
    /// Person-microseconds of net time at work.
    pub busy: i64,
    /// Person-microseconds of net time after going home early.
    pub off_shift: i64,
    /// Person-microseconds of net time on the way to a unit, and at moving the units of a segment.
    pub walking: i64,
    pub moving: i64,
    /// Person-microseconds of net time of seats that nobody sits in because somebody is absent.
    pub absent: i64,
    /// The same of seats whose people are not on the shift, whoever sits there.
    pub not_on_shift: i64,
    /// Shifts that began in the window, and those of them in which such a seat was empty; counted
    /// only where people may be absent.
    pub shifts: u64,
    pub short_shifts: u64,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct HoldCounts {
    pub minimum: Time,
    /// Start of the uninterrupted hold to the first start of a step that follows, or the move.
    /// `Time::NEVER` when none ended.
    pub shortest: Time,
    pub count: u64,
    pub restarts: u64,
    /// Pushes with which one went on.
    pub moved: u64,
    /// How much longer they took because it was too cold, clock time.
    pub cold: Time,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct WindowCounts {
    pub judged: u64,
    pub missed: u64,
}

/// Stops of one cause.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct StopCounts {
    /// Stops that began.
    pub count: u64,
    /// Calls answered, those that stopped nothing included; 0 where none are made.
    pub calls: u64,
    /// Time stopped, on the clock and in net time, from the stop's beginning to its end.
    pub clock: Time,
    pub net: Time,
}
