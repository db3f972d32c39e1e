//! The summary of a run: every measure with its band, in the order of the line.

use super::{
    audit, books, bottleneck, carriers, costs, count, decided, feeders, flow, gates, lanes, moving, people,
    places, promises, stops, stores, test_bays, week,
};
use crate::line::Line;
use crate::simulate::{Observations, Replication};
use crate::units::Time;

/// What belongs beside the observations and was made by other runs.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Beside {
    /// Units gained from 5 % less attended work, place by place; empty where not asked for.
    pub gains: Vec<bottleneck::Gain>,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Summary {
    pub run: Run,
    pub count: count::Count,
    pub flow: flow::Flow,
    pub books: books::Books,
    pub places: Vec<places::PlaceFigures>,
    /// Pushed segments only.
    pub pushes: Vec<places::PushFigures>,
    /// Segments whose units people move one by one.
    pub moves: Vec<moving::MoveFigures>,
    pub tests: Vec<test_bays::TestFigures>,
    pub people: Vec<people::PeopleFigures>,
    pub floaters: Vec<people::FloaterFigures>,
    pub helping: Vec<people::HelpFigures>,
    pub decided_shifts: Vec<decided::DecidedShift>,
    pub equipment: Vec<people::EquipmentFigures>,
    pub stores: Vec<stores::StoreFigures>,
    pub feeders: Vec<feeders::FeederFigures>,
    /// In the order of `Line::gates`.
    pub gates: Vec<gates::GateFigures>,
    pub lanes: Vec<lanes::LaneFigures>,
    /// In the order of `Line::carriers`.
    pub carriers: Vec<carriers::CarrierFigures>,
    /// `None` where the line has no yard.
    pub yard: Option<carriers::YardFigures>,
    pub holds: Vec<audit::HoldFigures>,
    pub windows: Vec<audit::WindowFigures>,
    /// In the order of `Line::stops`.
    pub stops: Vec<stops::StopFigures>,
    /// `None` where the file states no costs.
    pub costs: Option<costs::CostFigures>,
    pub bottleneck: bottleneck::Bottleneck,
    /// Of places that show the week.
    pub week: Vec<week::WeekFigures>,
    /// In the order of `Line::promises`.
    pub promises: Vec<promises::Judgement>,
}

/// What was run.
#[derive(Clone, PartialEq, Debug)]
pub struct Run {
    pub seed: u64,
    pub replications: u32,
    pub interrupted: bool,
    pub confidence: f64,
    pub warm_up: Time,
    pub events: u64,
    /// Length counted per replication, mean over replications; clock and net minutes.
    pub clock_min: f64,
    pub net_min: f64,
    /// Whole shifts counted in all replications; `None` without a calendar.
    pub shifts: Option<u64>,
}

/// Condenses what was observed into figures and bands.
///
/// # Panics
/// When the observations are not of this line (tables of other lengths): a fault of the program.
pub fn summarise(line: &Line, observed: &Observations, beside: &Beside) -> Summary {
    observed.replications.iter().for_each(|r| check_shape(line, r));
    let places = places::places(line, observed);
    let bottleneck = bottleneck::bottleneck(line, &places, &beside.gains);
    Summary {
        run: run(line, observed),
        count: count::count(line, observed),
        flow: flow::flow(line, observed),
        books: books::books(line, observed),
        pushes: places::pushed_segments(line, observed),
        moves: moving::moved_one_by_one(line, observed),
        tests: test_bays::tests(line, observed),
        people: people::people(line, observed),
        floaters: people::floaters(line, observed),
        helping: people::helping(line, observed),
        decided_shifts: decided::decided_shifts(line, observed),
        equipment: people::equipment(line, observed),
        stores: stores::stores(line, observed),
        feeders: feeders::feeders(line, observed),
        gates: gates::gates(line, observed),
        lanes: lanes::lanes(line, observed),
        carriers: carriers::carriers(line, observed),
        yard: carriers::yard(line, observed),
        holds: audit::holds(line, observed),
        windows: audit::windows(line, observed),
        stops: stops::stops(line, observed),
        costs: costs::costs(line, observed),
        promises: line.promises.iter().map(|p| promises::judge(line, observed, &p.kind)).collect(),
        week: week::week(line, observed),
        places,
        bottleneck,
    }
}

fn run(line: &Line, observed: &Observations) -> Run {
    let runs = &observed.replications;
    let mean_minutes = |of: fn(&Replication) -> Time| match runs.len() {
        0 => 0.0,
        n => runs.iter().map(|r| of(r).as_minutes()).sum::<f64>() / n as f64,
    };
    Run {
        seed: observed.seed,
        replications: u32::try_from(runs.len()).unwrap_or(u32::MAX),
        interrupted: observed.interrupted,
        confidence: line.confidence,
        warm_up: observed.warm_up,
        events: runs.iter().map(|r| r.events).sum(),
        clock_min: mean_minutes(|r| r.clock),
        net_min: mean_minutes(|r| r.net),
        shifts: line.calendar.as_ref().map(|_| runs.iter().map(|r| r.per_shift.len() as u64).sum()),
    }
}

fn check_shape(line: &Line, run: &Replication) {
    let tables = [
        ("places", run.places.len(), line.places.len()),
        ("segments", run.segments.len(), line.segments.len()),
        ("tests", run.tests.len(), line.tests.len()),
        ("crews", run.crews.len(), line.crews.len()),
        ("groups", run.group_busy.len(), line.groups.len()),
        ("equipment", run.equipment_busy.len(), line.equipment.len()),
        ("parts", run.parts.len(), line.parts.len()),
        ("feeders", run.feeders.len(), line.feeders.len()),
        ("gates", run.gates.len(), line.gates.len()),
        ("lanes", run.lane_units.len(), line.lanes.iter().map(|lanes| lanes.lanes.len()).sum()),
        ("carriers", run.carriers.len(), line.carriers.len()),
        ("holds", run.holds.len(), line.steps.iter().filter(|s| s.hold().is_some()).count()),
        ("windows", run.windows.len(), line.windows.len()),
        ("stops", run.stops.len(), line.stops.len()),
        ("models", run.finished_by_model.len(), line.models.len()),
    ];
    for (table, seen, stated) in tables {
        assert_eq!(seen, stated, "replication {} observed another line: table of {table}", run.index);
    }
}
