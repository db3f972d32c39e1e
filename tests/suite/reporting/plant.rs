//! An invented line of six places and hand-made observations of it, small enough to work out on paper.
//!
//! Front: A01 and A02, pushed every 23 min. Then rack H1, the test bays A10 (two, with two slots) and
//! A11, unpaced. R1 repairs. One shift of 445 net minutes on each of five days; 18 are asked for.

use taktwright::diagnostic::Span;
use taktwright::line::*;
use taktwright::simulate::*;
use taktwright::units::Time;

pub const NET_OF_A_SHIFT: i64 = 445;
/// Shifts counted by each replication.
pub const SHIFTS: i64 = 4;

pub const A01: usize = 0;
pub const A02: usize = 1;
pub const H1: usize = 2;
pub const A10: usize = 3;
pub const A11: usize = 4;

fn minutes(m: i64) -> Time {
    Time::from_minutes(m)
}

fn dist(m: i64) -> Dist {
    Dist::constant(minutes(m))
}

pub fn calendar() -> Calendar {
    let at = |day: i64, hour: i64, minute: i64| Time::DAY * day + Time::HOUR * hour + minutes(minute);
    let pause = |day, from: (i64, i64), length: i64| Pause {
        start: at(day, from.0, from.1),
        end: at(day, from.0, from.1) + minutes(length),
        paid: false,
    };
    let shift = |day| WeekShift {
        name: "day".to_string(),
        start: at(day, 6, 0),
        end: at(day, 14, 30),
        // Meeting 8, break 10, meal 30, break 10, clean-up 7: 510 - 65 = 445 net.
        pauses: vec![
            pause(day, (6, 0), 8),
            pause(day, (8, 30), 10),
            pause(day, (10, 30), 30),
            pause(day, (12, 45), 10),
            pause(day, (14, 23), 7),
        ],
        relieved: Vec::new(),
        home: None,
        overtime: None,
        only_under: None,
        people: Vec::new(),
    };
    Calendar { week: (0..5).map(shift).collect(), first_weekday: 0, first_date: None, closed: Vec::new() }
}

struct Spot {
    name: &'static str,
    label: &'static str,
    kind: PlaceKind,
    bays: u32,
    slots: u32,
    crew: Option<u16>,
    segment: Option<u16>,
}

fn place(spot: Spot) -> Place {
    Place {
        name: spot.name.to_string(),
        label: Some(spot.label.to_string()),
        kind: spot.kind,
        bays: spot.bays,
        slots: spot.slots,
        crew: spot.crew.map(CrewId),
        segment: spot.segment.map(SegmentId),
        returns_first: true,
        times: 1.0,
        walk: Time::ZERO,
        ordered: false,
        drift: Time::ZERO,
        early: Time::ZERO,
        pulls_to: None,
        hours: 0,
        span: Span::default(),
    }
}

fn places() -> Vec<Place> {
    let station = |name, label, crew, segment| Spot {
        name,
        label,
        kind: PlaceKind::Station,
        bays: 1,
        slots: 0,
        crew: Some(crew),
        segment: Some(segment),
    };
    vec![
        place(station("A01", "Base and tray", 0, 0)),
        place(station("A02", "Walls up", 0, 0)),
        place(Spot { kind: PlaceKind::Rack, bays: 4, crew: None, ..station("H1", "Coat rests", 0, 1) }),
        place(Spot { bays: 2, slots: 2, ..station("A10", "Final test", 1, 1) }),
        place(station("A11", "Clean and wrap", 2, 1)),
        place(Spot { kind: PlaceKind::Repair, segment: None, ..station("R1", "Repair bay", 1, 0) }),
    ]
}

fn step(name: &str, label: &str, place: usize, kind: StepKind, time: i64, after: &[u32]) -> Step {
    let people = if kind == StepKind::Task { vec![Need { count: 2, skill: None }] } else { Vec::new() };
    Step {
        name: name.to_string(),
        label: Some(label.to_string()),
        kind,
        place: PlaceId::from_index(place),
        models: vec![true, true],
        options: Vec::new(),
        once_a_lot: false,
        after: after.iter().map(|s| StepId(*s)).collect(),
        times: vec![TimeFor { dist: dist(time), factor: 1.0, own: 1.0 }; 2],
        needs: vec![people; 2],
        exactly: false,
        at_breaks: taktwright::line::AtBreaks::Rests,
        shared: None,
        equipment: Vec::new(),
        uses: Vec::new(),
        zones: Vec::new(),
        sides: Vec::new(),
        travel: None,
        off_line: Vec::new(),
        stays: false,
        may_stand: Vec::new(),
        beside: Vec::new(),
        apart: Vec::new(),
        draws_as: name.to_string(),
        span: Span::default(),
    }
}

fn steps() -> Vec<Step> {
    let hold = |minimum| {
        StepKind::Hold(Hold {
            minimum: minutes(minimum),
            safety: true,
            attended: false,
            may_move: false,
            warm: None,
        })
    };
    let mut base = step("a01", "Set base frame, level", A01, StepKind::Task, 20, &[]);
    base.times.iter_mut().for_each(|t| t.dist.timings = Some(6));
    vec![
        base,
        step("a02", "Coat the tray", A02, StepKind::Task, 21, &[0]),
        step("h1", "Coat rests", H1, hold(120), 120, &[1]),
        step("a10", "Water under pressure", A10, hold(15), 15, &[2]),
        step("a11", "Clean", A11, StepKind::Task, 18, &[3]),
    ]
}

fn crew(name: &str, people: u32, places: &[usize], per_bay: bool) -> Crew {
    Crew {
        name: name.to_string(),
        members: vec![(people, GroupId(0))],
        per_bay,
        places: places.iter().map(|p| PlaceId::from_index(*p)).collect(),
        span: Span::default(),
    }
}

fn promise(text: &str, kind: PromiseKind) -> Promise {
    Promise { text: text.to_string(), kind, span: Span::default() }
}

fn mean_shift(limit: f64) -> PromiseKind {
    PromiseKind::Measure {
        measure: Measure::UnitsPerShift,
        statistic: Statistic::Mean,
        at_least: true,
        limit,
    }
}

fn promises() -> Vec<Promise> {
    let wait = PromiseKind::Measure {
        measure: Measure::Wait(TestId(0)),
        statistic: Statistic::P95,
        at_least: false,
        limit: 20.0,
    };
    vec![
        promise("mean units per shift at least 17", mean_shift(17.0)),
        promise("mean units per shift at least 17.5", mean_shift(17.5)),
        promise(
            "at least 18 units per shift on 80 % of shifts",
            PromiseKind::CountOnShare { count: 18.0, share: 0.8 },
        ),
        promise("wait at final p95 at most 20 min", wait),
        promise("no hold under its minimum", PromiseKind::NoHoldShort),
    ]
}

pub fn line() -> Line {
    let model = |name: &str, label: &str, share| Model {
        name: name.to_string(),
        label: Some(label.to_string()),
        share,
        draws_as: name.to_string(),
        span: Span::default(),
    };
    let segment = |name: &str, first: usize, last: usize, rule| Segment {
        name: name.to_string(),
        first: PlaceId::from_index(first),
        last: PlaceId::from_index(last),
        rule,
        movers: Vec::new(),
        span: Span::default(),
    };
    let (net, demand) = (i128::from(minutes(NET_OF_A_SHIFT).0), 18);
    Line {
        own_hours: Vec::new(),
        lanes: Vec::new(),
        name: "Bath pod hall".to_string(),
        layout: "today".to_string(),
        calendar: Some(calendar()),
        demand: Some(Demand { units: demand, denominator: 1, period: Period::Shift }),
        takt: Some(Ratio { numerator: net, denominator: i128::from(demand) }),
        pace: Some(Ratio { numerator: i128::from(minutes(23).0), denominator: 1 }),
        models: vec![model("S", "Shower room", 0.7), model("T", "Tub room", 0.3)],
        options: Vec::new(),
        sequence: Sequence {
            kind: SequenceKind::Random,
            rules: Vec::new(),
            look_ahead: 50,
            span: Span::default(),
        },
        release: Release::Saturated,
        start: StartState::Full,
        skills: vec!["plumb".to_string()],
        groups: vec![Group {
            name: "fitters".to_string(),
            label: None,
            count: 10,
            skills: 1,
            span: Span::default(),
        }],
        people_stated: true,
        absence: None,
        visitors: Vec::new(),
        floaters: Vec::new(),
        helping: Vec::new(),
        learning: Vec::new(),
        crews: vec![
            crew("front", 3, &[A01, A02], false),
            crew("testers", 1, &[A10], true),
            crew("A11", 2, &[A11], false),
        ],
        equipment: vec![Equipment {
            name: "hoist".to_string(),
            label: Some("Hall hoist".to_string()),
            count: 1,
            serves: Vec::new(),
            moving: Time::ZERO,
            first: Vec::new(),
            span: Span::default(),
        }],
        zones: Vec::new(),
        feeders: Vec::new(),
        gates: Vec::new(),
        carriers: Vec::new(),
        yard: None,
        temperatures: Vec::new(),
        relief: None,
        parts: Vec::new(),
        room_caps: Vec::new(),
        places: places(),
        on_line: 5,
        segments: vec![
            segment(
                "front",
                A01,
                A02,
                MoveRule::PushedEvery {
                    every: minutes(23),
                    index: minutes(1),
                    on_the_grid: false,
                    late_work: taktwright::line::LateWork::HoldsTheLine,
                },
            ),
            segment("", H1, A11, MoveRule::WhenReady { moving: Time::ZERO }),
        ],
        steps: steps(),
        tests: vec![Test {
            name: "final".to_string(),
            label: Some("Final test".to_string()),
            place: PlaceId::from_index(A10),
            steps: vec![StepId(3)],
            passes: vec![(0.9, 0.96); 2],
            outcomes: Vec::new(),
            wrong: taktwright::line::WrongVerdicts::default(),
            most_tries: None,
            safety: true,
            draws_as: "final".to_string(),
            span: Span::default(),
        }],
        windows: vec![Window {
            opens: StepId(1),
            opens_at_end: true,
            closes: StepId(3),
            judged_at_end: false,
            limit: minutes(24 * 60),
            redo: vec![StepId(1)],
            undone: vec![StepId(1), StepId(2)],
            redo_time: None,
            redo_needs: None,
            redo_shared: None,
            span: Span::default(),
        }],
        exclusions: Vec::new(),
        orientations: Vec::new(),
        costs: None,
        space: None,
        stops: Vec::new(),
        keeps: Vec::new(),
        promises: promises(),
        confidence: 0.95,
    }
}

/// Bay time of one place by state; what is left of `bays` x net goes to the last state named.
fn states(bays: i64, parts: &[(BayState, i64)]) -> [i64; BayState::COUNT] {
    let mut states = [0; BayState::COUNT];
    let mut left = minutes(NET_OF_A_SHIFT * SHIFTS).0 * bays;
    for (state, thousandths) in &parts[..parts.len() - 1] {
        let time = minutes(NET_OF_A_SHIFT * SHIFTS).0 * bays / 1000 * thousandths;
        states[*state as usize] = time;
        left -= time;
    }
    states[parts[parts.len() - 1].0 as usize] = left;
    states
}

fn place_counts(k: u32) -> Vec<PlaceCounts> {
    use BayState::*;
    let odd = i64::from(k % 2);
    let active = |working: i64, periods: u64| PlaceCounts {
        visits: 71,
        bay_levels: vec![200_000_000, 800_000_000],
        active_periods: periods,
        active_time: minutes(NET_OF_A_SHIFT * SHIFTS * working / 1000),
        longest_active: minutes(60),
        ..PlaceCounts::default()
    };
    vec![
        // Ready last at 20 of 80 pushes, 40 min of delay: 10 min a shift.
        PlaceCounts {
            states: states(1, &[(Moving, 45), (Working, 815 - 10 * odd), (WaitingForSignal, 0)]),
            last_millionths: 20_000_000,
            delay_caused: minutes(40),
            ..active(860, 80)
        },
        // Ready last at 60 (even) or 40 (odd) of 80 pushes, 96 min of delay: 24 min a shift.
        PlaceCounts {
            states: states(
                1,
                &[(Moving, 45), (Working, 810), (ShortOfPeople, 90), (Blocked, 20), (WaitingForSignal, 0)],
            ),
            last_millionths: 60_000_000 - 20_000_000 * odd as u64,
            delay_caused: minutes(96),
            held_for_return: 1,
            ..active(855, 80)
        },
        PlaceCounts {
            states: states(4, &[(Holding, 600), (Blocked, 50), (Starved, 0)]),
            holding_outside: minutes(300),
            // Of 1000: 100 at 0, 200 at 1, 300 at 2, 340 at 3, 60 at 4: mean 2.06, p95 4.
            bay_levels: vec![100_000_000, 200_000_000, 300_000_000, 340_000_000, 60_000_000],
            ..active(600, 70)
        },
        PlaceCounts {
            states: states(2, &[(Holding, 300), (Working, 200), (Starved, 0)]),
            bay_levels: vec![300_000_000, 400_000_000, 300_000_000],
            // Of 1000: 900 empty, 96 at 1, 4 full: mean 0.104, p95 1.
            slot_levels: vec![900_000_000, 96_000_000, 4_000_000],
            ..active(500, 100)
        },
        PlaceCounts { states: states(1, &[(Working, 720), (Starved, 0)]), ..active(720, 70) },
        PlaceCounts {
            states: states(1, &[(Working, 60), (Starved, 0)]),
            visits: 6,
            active_periods: 6,
            active_time: minutes(107),
            bay_levels: vec![940_000_000, 60_000_000],
            ..PlaceCounts::default()
        },
    ]
}

fn test_counts(k: u32) -> TestCounts {
    let mut counts = TestCounts {
        arrivals: 80,
        attempts: 80,
        first_attempts: 72,
        first_passes: 64 + u64::from(k % 2),
        passed: 71,
        waited: 20,
        wait_blocked: minutes(25),
        queue: i128::from(minutes(100).0),
        busy: i128::from(minutes(80 * 20).0),
        visits_over_breaks: 4,
        ..TestCounts::default()
    };
    // 60 visits did not wait; 20 waited 5 (even) or 7 (odd) minutes.
    for visit in 0..80 {
        let wait = if visit < 60 { 0 } else { 5 + 2 * i64::from(k % 2) };
        counts.waits.record(minutes(wait).0);
        counts.service.record(minutes(if visit % 2 == 0 { 15 } else { 25 }).0);
        counts.gaps.record(minutes(if visit % 2 == 0 { 40 } else { 80 }).0);
    }
    counts
}

/// Counts per shift: 17 18 18 19 in even replications (mean 18), 16 17 18 18 in odd ones (17.25).
pub fn replication(k: u32) -> Replication {
    let odd = k % 2 == 1;
    let per_shift = if odd { vec![16, 17, 18, 18] } else { vec![17, 18, 18, 19] };
    let finished: u64 = per_shift.iter().map(|u| u64::from(*u)).sum();
    let clock = Time::DAY * SHIFTS;
    let presence = i128::from(clock.0) * 6;
    let mut run = Replication {
        index: k,
        events: 5000,
        clock,
        net: minutes(NET_OF_A_SHIFT * SHIFTS),
        released: finished + 2,
        line_on: finished + 2,
        finished,
        scrapped: u64::from(odd),
        set_aside: 0,
        finished_first_pass: finished - 7,
        per_shift,
        presence,
        unit_time: presence,
        present_at_start: 6,
        present_at_end: 6,
        places: place_counts(k),
        segments: vec![
            SegmentCounts { pushes: 80, on_time: 50, delay: minutes(136), ..SegmentCounts::default() },
            SegmentCounts::default(),
        ],
        tests: vec![test_counts(k)],
        crews: vec![
            CrewCounts { busy: minutes(3738).0, off_shift: minutes(0).0, ..CrewCounts::default() },
            CrewCounts { busy: minutes(1780).0, off_shift: minutes(0).0, ..CrewCounts::default() },
            CrewCounts { busy: minutes(2492).0, off_shift: minutes(178).0, ..CrewCounts::default() },
        ],
        group_busy: vec![minutes(3738 + 1780 + 2492).0],
        group_walking: vec![0],
        group_moving: vec![0],
        group_absent: vec![0],
        equipment_busy: vec![minutes(445).0],
        holds: vec![
            HoldCounts {
                minimum: minutes(120),
                shortest: minutes(121),
                count: 70,
                restarts: 0,
                moved: 0,
                cold: Time::ZERO,
            },
            HoldCounts {
                minimum: minutes(15),
                shortest: minutes(15),
                count: 80,
                restarts: 2,
                moved: 0,
                cold: Time::ZERO,
            },
        ],
        windows: vec![WindowCounts { judged: 70, missed: u64::from(k == 0) }],
        finished_by_model: vec![finished - 21, 21],
        ..Replication::default()
    };
    // Intervals of 20, 24 and 28 minutes in turn.
    for unit in 0..finished as i64 {
        run.intervals.record(minutes(20 + 4 * (unit % 3)).0);
        run.flow.record(minutes(400 + unit % 5).0);
        run.flow_from_release.record(minutes(430 + unit % 5).0);
    }
    run
}

pub fn observations(replications: u32) -> Observations {
    Observations {
        seed: 7,
        warm_up: Time::DAY,
        replications: (0..replications).map(replication).collect(),
        interrupted: false,
    }
}

/// The same line, attended round the clock: no shift to count by.
pub fn without_calendar() -> (Line, Observations) {
    let line = Line { calendar: None, demand: None, promises: Vec::new(), ..line() };
    let mut observed = observations(20);
    observed.replications.iter_mut().for_each(|r| r.per_shift.clear());
    (line, observed)
}
