//! Parts and their stores: cases worked by hand to the microsecond, and textbook queues.

use crate::by_hand::{at, ended, min};
use crate::follow::text::{follow, line_of, record, settings_of};
use crate::published::rule::{Length, THROUGHPUT, Value, WAIT, must_give, per_minute};
use statrs::distribution::{Discrete, DiscreteCDF, Poisson};
use taktwright::line::Release;
use taktwright::simulate::{
    BayState, Event, Horizon, PartCounts, Replication, RunErrorKind, replicate_plainly,
};
use taktwright::units::Time;

/// One station, 5 min of work that takes two nuts; three nuts every 10 min into a store of four.
///
/// At 10 three come, unit 0 takes two: 10 to 15; one is left, unit 1 waits from 15. At 20 three come
/// to the one: four, unit 1 takes two: 20 to 25; unit 2 takes the other two: 25 to 30. At 30 unit 3
/// takes two of three: 30 to 35; unit 4 waits. At 40 it takes two of four: 40 to 45; unit 5 45 to 50.
/// Short of parts 10 + 5 + 5 of 50 min. In the store: nothing 0 to 10, one 10 to 20, two 20 to 25,
/// nothing 25 to 30, one 30 to 40, two 40 to 45, nothing 45 to 50: 10 + 10 + 10 + 10 piece-minutes,
/// empty 10 + 5 + 5. (The four of 20 and 40 are there for no time: it is never full.)
#[test]
fn a_task_waits_until_all_its_parts_are_there() {
    let line = line_of(
        "line \"nuts\"\nmodel A 100 %\nrelease saturated\nsupply nuts in lots of 3 every 10 min, store of 4\n\
         station S1  crew 1\ntask t  takes 5 min  by 1  uses 2 nuts  at S1\n",
    );
    let (report, events) = record(&line, Horizon::For(min(50)));
    let starts: Vec<Time> = ended(&line, &events, "t").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [min(10), min(20), min(25), min(30), min(40)]);
    assert_eq!(report.places[0].states[BayState::ShortOfParts as usize], min(20).0);
    assert_eq!(report.places[0].states[BayState::Working as usize], min(30).0);
    let store = PartCounts {
        level: i128::from(min(40).0),
        empty: min(20),
        full: Time::ZERO,
        came: 12,
        used: 12,
        starts: 6,
        waits: 3,
        lots: 4,
        // At 25 and 45.
        ran_out: 2,
        ..PartCounts::default()
    };
    assert_eq!(report.parts, [store]);
}

/// One station, 5 min of work that takes two nuts; four are there, lots of three are ordered at two and come after 12 min.
///
/// At 0 unit 0 takes two, two are left: a lot is ordered, for 12. At 5 unit 1 takes the rest; with three on their way
/// that is more than two. At 10 unit 2 waits for two: three on their way less two: a lot for 22. At 12 three come, unit 2
/// takes two: 12 to 17. At 17 unit 3 waits for two: one there and three on their way less two: a lot for 29. At 22 unit 3
/// takes two of four, and at 27 unit 4 the other two, with three on their way. At 29 those come: nothing is on its way
/// any more, and three are more than two. At 32 unit 5 takes two of them: a lot for 44. At 37 unit 6 waits: one for 49.
#[test]
fn lots_are_ordered_when_what_is_there_and_on_its_way_is_down_to_the_level() {
    let line = line_of(
        "line \"ordered\"\nmodel A 100 %\nrelease saturated\n\
         supply nuts in lots of 3 ordered at 2, arriving in 12 min, store of 9, 4 at start\n\
         station S1  crew 1\ntask t  takes 5 min  by 1  uses 2 nuts  at S1\n",
    );
    let (report, events) = record(&line, Horizon::For(min(50)));
    let starts: Vec<Time> = ended(&line, &events, "t").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [0, 5, 12, 22, 27, 32, 44].map(min));
    let ordered: Vec<(Time, Time)> = events
        .iter()
        .filter_map(|(at, event)| match event {
            Event::LotOrdered { arrives, .. } => Some((*at, *arrives)),
            _ => None,
        })
        .collect();
    let first = [(0, 12), (10, 22), (17, 29), (32, 44), (37, 49)];
    assert_eq!(ordered[..5], first.map(|(at, arrives)| (min(at), min(arrives))));
    assert_eq!((report.parts[0].came, report.parts[0].lots), (15, 5));
    // Each lot of three is on order for 12 min, the last ones up to the end.
    let on_order: Time = ordered.iter().map(|(at, arrives)| (*arrives).min(min(50)) - *at).sum();
    assert_eq!(report.parts[0].on_order, 3 * i128::from(on_order.0));
    assert_eq!(report.parts[0].orders, ordered.len() as u64);
}

/// A store of which lots of q are ordered as it is down to r, for customers who come by chance and wait: what is there and
/// on its way, less what is waited for, is each of r + 1 ... r + q equally often, and what is left of it are the parts,
/// less what was asked for in one lead (Hadley & Whitin, Analysis of Inventory Systems, 1963, chapter 4; from memory). The
/// Poisson distribution is that of `statrs`. Sixty bays and people: nobody waits but for parts.
#[test]
fn lots_ordered_at_a_level_are_the_textbook_store() {
    let text = "line \"level\"\nmodel A 100 %\nrelease every exponential mean 10 min\n\
                supply x in lots of 5 ordered at 6, arriving in 60 min, store of 20, 8 at start\n\
                station S1  crew 60  bays 60\ntask t  takes 1 s  by 1  uses 1 x  at S1\n";
    let asked_for = Poisson::new(6.0).expect("a mean above 0");
    let over = |of: &dyn Fn(u64) -> f64| (7..=11).map(of).sum::<f64>() / 5.0;
    let empty = over(&|parts| 1.0 - asked_for.cdf(parts - 1));
    let left = |parts: u64| (0..parts).map(|d| (parts - d) as f64 * asked_for.pmf(d)).sum::<f64>();
    let values = [
        Value { what: "share empty", exact: empty, cap: WAIT, of: |r| share(r.parts[0].empty, r) },
        Value {
            what: "share of units that wait",
            exact: empty,
            cap: WAIT,
            of: |r| r.parts[0].waits as f64 / r.parts[0].starts as f64,
        },
        Value {
            what: "mean level",
            exact: over(&left),
            cap: WAIT,
            of: |r| r.parts[0].level as f64 / r.clock.0 as f64,
        },
        // One part every 10 min, each an hour on order (Little 1961).
        Value {
            what: "mean on order",
            exact: 6.0,
            cap: WAIT,
            of: |r| r.parts[0].on_order as f64 / r.clock.0 as f64,
        },
    ];
    must_give(text, Length { replications: 20, warm_up: 500, units: 20_000 }, &values);
}

/// Lots of five every 10 min into a store of six, 4 min of work that takes one.
///
/// At 10 five come, one is taken: four; three from 14, two from 18. At 20 five come, four fit: six and
/// one outside. At 22 one is taken and the one outside goes in: six up to 26, then five.
#[test]
fn what_does_not_fit_waits_outside_and_goes_in_as_places_become_free() {
    let line = line_of(
        "line \"bolts\"\nmodel A 100 %\nrelease saturated\nsupply bolts in lots of 5 every 10 min store of 6\n\
         station S1  crew 1\ntask t  takes 4 min  by 1  uses 1 bolts  at S1\n",
    );
    let (report, _) = record(&line, Horizon::For(min(28)));
    let store = &report.parts[0];
    assert_eq!((store.came, store.used, store.lots, store.lots_kept_out), (10, 5, 2, 1));
    assert_eq!((store.full, store.empty), (min(6), min(10)));
    let level = 4 * 4 + 4 * 3 + 2 * 2 + 6 * 6 + 2 * 5;
    assert_eq!(store.level, i128::from(min(level).0));
}

/// One part every 10 min. a at S1 takes one (2 min), S2 works c (3 min), then b that takes one (1 min).
///
/// At 10 unit 0 starts a, is at S2 at 12, c up to 15; b waits from 15. Unit 1 waits at S1 since 12: it
/// gets the part of 20, though S2 stands nearer to the end of the line. b gets that of 30.
#[test]
fn between_crews_who_waits_longest_is_served_first() {
    let line = line_of(
        "line \"turn\"\nmodel A 100 %\nrelease saturated\nsupply x in lots of 1 every 10 min store of 5\n\
         station S1  crew 1\nstation S2  crew 1\ntask a  takes 2 min  by 1  uses x  at S1\n\
         task c  takes 3 min  by 1  after a  at S2\ntask b  takes 1 min  by 1  after c  uses x  at S2\n",
    );
    let (report, events) = record(&line, Horizon::For(min(40)));
    assert_eq!(ended(&line, &events, "a"), [(0, min(10), min(12)), (1, min(20), min(22))]);
    assert_eq!(ended(&line, &events, "b"), [(0, min(30), min(31))]);
    // a waits from 0 and 12, b from 15, a again from 31, b from 34.
    assert_eq!((report.parts[0].waits, report.parts[0].starts), (5, 3));
}

/// A shift from 06:00 to 14:00; a lot is due every 5 h of net time and comes 4 h late by the clock.
///
/// Due at 11:00: it comes at 15:00, when nobody is there; work starts at 06:00. The next is due after 10
/// h net, at 08:00 of the second day, and comes at 12:00.
#[test]
fn lots_fall_due_in_net_time_and_are_late_by_the_clock() {
    let text = "line \"late\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
                supply x in lots of 1 every 5 h, 100 % late by 4 h, store of 5\n\
                station S1  crew 1\ntask t  takes 30 min  by 1  uses 1 x  at S1\n";
    let line = line_of(text);
    let (report, events) = record(&line, Horizon::Shifts(2));
    assert_eq!(
        ended(&line, &events, "t"),
        [(0, at(1, 6, 0), at(1, 6, 30)), (1, at(1, 12, 0), at(1, 12, 30))]
    );
    // The third is due at 13:00 of the second day and comes at 17:00.
    assert_eq!((report.parts[0].lots, report.parts[0].late_lots), (3, 3));
    // On the clock: due at 05:00, 10:00, 15:00 ..., there at 09:00, 14:00, 19:00.
    let line = line_of(&text.replace("every 5 h", "every 5 h on the clock"));
    let (_, events) = record(&line, Horizon::Shifts(1));
    assert_eq!(ended(&line, &events, "t"), [(0, at(0, 9, 0), at(0, 9, 30))]);
}

/// Lots on Tuesdays and Thursdays at 09:00; the run begins on a Wednesday, 2026-12-02.
///
/// The first comes on Thursday, the second day, at 09:00; the next on Tuesday, the seventh, and Thursday,
/// the ninth. Always late by 1 h 30: work starts at 10:30.
#[test]
fn lots_come_on_their_days() {
    let text = "line \"days\"\nmodel A 100 %\nrelease saturated\nstart empty on 2026-12-02\n\
                shift day 06:00 to 14:00 on mon to fri\n\
                supply x in lots of 1 on tue, thu at 09:00, store of 5\n\
                station S1  crew 1\ntask t  takes 30 min  by 1  uses 1 x  at S1\n";
    let starts = |text: &str| {
        let line = line_of(text);
        let (_, events) = record(&line, Horizon::Shifts(7));
        ended(&line, &events, "t").iter().map(|(_, start, _)| *start).collect::<Vec<Time>>()
    };
    assert_eq!(starts(text), [at(1, 9, 0), at(6, 9, 0), at(8, 9, 0)]);
    let late = text.replace("09:00, store", "09:00, 100 % late by 1.5 h, store");
    assert_eq!(starts(&late), [at(1, 10, 30), at(6, 10, 30), at(8, 10, 30)]);
}

#[test]
fn a_store_starts_empty_or_full_or_as_it_is_stated() {
    let text = |start: &str, stock: &str| {
        format!(
            "line \"stock\"\nmodel A 100 %\nrelease saturated\nstart {start}\n\
             supply x in lots of 9 every 100 h store of 7{stock}\n\
             station S1  crew 1\ntask t  takes 10 min  by 1  uses 1 x  at S1\n"
        )
    };
    let cases =
        [("empty", "", 0), ("full", "", 7), ("empty", ", 3 at start", 3), ("full", ", 3 at start", 3)];
    for (start, stock, there) in cases {
        let line = line_of(&text(start, stock));
        let (report, _) = record(&line, Horizon::For(Time::HOUR * 9));
        assert_eq!(report.parts[0].used, there, "start {start}{stock}");
    }
}

/// A task that waits for three keeps its claim against one that wants a single part.
///
/// Both stations full, lots of one every 10 min. At S1 a waits for three from 0 on; at S2 c runs up to 5,
/// then b waits for one. The parts of 10, 20 and 30 are for a: 30 to 32; b gets that of 40.
#[test]
fn a_large_need_is_not_passed_by_for_ever() {
    let line = line_of(
        "line \"claim\"\nmodel A 100 %\nrelease saturated\nstart full\n\
         supply x in lots of 1 every 10 min store of 5, 0 at start\n\
         station S1  crew 1\nstation S2  crew 1\ntask a  takes 2 min  by 1  uses 3 x  at S1\n\
         task c  takes 5 min  by 1  after a  at S2\ntask b  takes 2 min  by 1  uses 1 x  after c  at S2\n",
    );
    let (_, events) = record(&line, Horizon::For(min(44)));
    assert_eq!(ended(&line, &events, "a"), [(1, min(30), min(32))]);
    assert_eq!(ended(&line, &events, "b"), [(0, min(40), min(42))]);
}

#[test]
fn a_line_that_has_run_dry_says_so_though_lots_still_come() {
    let mut line = line_of(
        "line \"dry\"\nmodel A 100 %\nrelease every 10 min\nsupply x in lots of 1 every 5 min store of 5\n\
         station S1  crew 1\ntask t  takes 5 min  by 1  uses 1 x  at S1\n",
    );
    line.release = Release::List(vec![(min(10), None), (min(20), None)]);
    let Err((error, faults)) = follow(&line, &settings_of(1, Horizon::Units(3))) else {
        panic!("two units can't be three");
    };
    assert_eq!(error.kind, RunErrorKind::Dried { finished: 2, standing: Vec::new(), full: Vec::new() });
    assert_eq!(faults, Vec::<String>::new());
}

/// a uses a kit, b another within half an hour of a's end, and one comes every hour: each miss uses up the next.
#[test]
fn a_window_that_can_never_be_kept_ends_the_run_with_its_name() {
    let line = line_of(
        "line \"late\"\nmodel A 100 %\nrelease saturated\nsupply kits in lots of 1 every 60 min store of 5\n\
         station S1  crew 1\ntask a  takes 1 min  by 1  uses kits  at S1\n\
         task b  takes 1 min  by 1  uses kits  after a  at S1\n\
         window a end to b start within 30 min, else redo a\n",
    );
    let Err((error, faults)) = follow(&line, &settings_of(1, Horizon::Units(3))) else {
        panic!("no unit is ever done");
    };
    // Begun once, missed a thousand times and begun anew 999 times, an hour each from the first kit on.
    assert_eq!(error.kind, RunErrorKind::NeverInTime { unit: 0, closing: "b".to_string(), times: 1_000 });
    assert_eq!(faults, Vec::<String>::new());
}

/// B keeps the rig from a at S1 to b at S2, where A needs it once its part is there.
///
/// A leaves S1 at 5 and waits at S2 for the part of 60. B does e 5 to 10 and a, with the rig, 10 to 15, and
/// waits for S2. The part comes at 60, the rig does not: neither can go on, whatever still arrives.
#[test]
fn a_lock_up_is_noticed_though_lots_go_on_for_ever() {
    let text = "line \"circle\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\n\
                equipment rig 1\nsupply x in lots of 1 every 60 min store of 5\nstation S1  crew 1\n\
                station S2  crew 1\ntask e  takes 5 min  by 1  at S1\n\
                task a  takes 5 min  by 1  with rig  after e  only B  at S1\n\
                task d  takes 5 min  by 1  with rig  uses 1 x  after e  at S2\n\
                task b  takes 5 min  by 1  after a, d  only B  at S2\nkeep rig from a to b\n";
    for horizon in [Horizon::Units(3), Horizon::For(Time::HOUR * 1000)] {
        let Err((error, faults)) = follow(&line_of(text), &settings_of(1, horizon)) else {
            panic!("nobody can go on");
        };
        assert_eq!(error.at, min(60));
        assert!(matches!(&error.kind, RunErrorKind::LockUp { waiting } if waiting.len() == 2), "{error:?}");
        assert_eq!(faults, Vec::<String>::new());
    }
}

#[test]
fn the_plain_way_refuses_a_line_with_parts() {
    let text = "line \"nuts\"\nmodel A 100 %\nrelease saturated\nstation S1\ntask t  takes exponential mean 5 min  at S1\n";
    let settings = settings_of(1, Horizon::Units(5));
    assert!(replicate_plainly(&line_of(text), &settings, 0).expect("it runs").is_some());
    let with = format!("{text}supply x in lots of 1 every 5 min store of 5\n");
    assert!(replicate_plainly(&line_of(&with), &settings, 0).expect("it runs").is_none());
}

fn share(of: Time, report: &Replication) -> f64 {
    of.0 as f64 / report.clock.0 as f64
}

/// Parts that come one by one at exponential gaps (mean 10 min) to a station that takes one for 8 min,
/// exponential: an M/M/1 queue of parts at load 0.8 (any queueing text). The parts not yet taken are
/// the queue, at least k of them with probability 0.8^(k+1); the store of three holds the first three.
#[test]
fn random_lots_and_random_work_are_the_textbook_queue() {
    let text = "line \"parts queue\"\nmodel A 100 %\nrelease saturated\n\
                supply x in lots of 1 every exponential mean 10 min store of 3\n\
                station S1  crew 1\ntask t  takes exponential mean 8 min  by 1  uses 1 x  at S1\n";
    let rho: f64 = 0.8;
    let at_least = |k: i32| rho.powi(k + 1);
    let values = [
        Value { what: "units per minute", exact: 0.1, cap: THROUGHPUT, of: per_minute },
        Value {
            what: "share short of parts",
            exact: 1.0 - rho,
            cap: WAIT,
            of: |r| r.places[0].states[BayState::ShortOfParts as usize] as f64 / r.net.0 as f64,
        },
        Value {
            what: "share empty",
            exact: 1.0 - at_least(1),
            cap: WAIT,
            of: |r| share(r.parts[0].empty, r),
        },
        Value { what: "share full", exact: at_least(3), cap: WAIT, of: |r| share(r.parts[0].full, r) },
        Value {
            what: "mean level",
            exact: at_least(1) + at_least(2) + at_least(3),
            cap: WAIT,
            of: |r| r.parts[0].level as f64 / r.clock.0 as f64,
        },
    ];
    must_give(text, Length { replications: 20, warm_up: 500, units: 40_000 }, &values);
}

/// P and Q are pushed every 10 min, of which the move takes one: signals at 9, 19, 29 ... Work p of 12 min takes two
/// panels and may travel to Q, where one more minute follows. Two panels are there at first, two come at 25, two at 50.
///
/// Unit 0 is at P from 10: p begins and takes the two; at 19 three minutes are left, done at Q from 20 to 23 without
/// others. Unit 1 is at P from 20 and finds none until 25; at 29 eight minutes are left: Q, 30 to 38, and the last minute to
/// 39. Unit 2 has none at P, from 30 to 39, and waits for some at Q from 40 on, before unit 3, which comes to P at
/// the same time: the line holds until 50, when two come, and on to 63. Short of parts: P 5 + 9, then from 40 on; Q 10.
#[test]
fn what_travels_has_the_parts_that_it_began_with_and_takes_others_where_it_begins() {
    let line = line_of(
        "line \"along\"\nmodel A 100 %\nrelease saturated\nsupply panels in lots of 2 every 25 min, store of 4, 2 at start\n\
         station P  crew 1\nstation Q  crew 1\nsegment all P to Q pushed every 10 min index 1 min, late work travels\n\
         task p  takes 12 min  by 1  uses 2 panels  may travel to Q  at P\ntask q  takes 1 min  by 1  at Q  after p\n",
    );
    let (report, events) = record(&line, Horizon::For(min(64)));
    let starts = |name: &str| -> Vec<(u64, Time)> {
        let wanted = line.steps.iter().position(|s| s.name == name).expect("it is in the line");
        let of = |(at, event): &(Time, Event)| match event {
            Event::StepStarted { unit, step, .. } if step.index() == wanted => Some((*unit, *at)),
            _ => None,
        };
        events.iter().filter_map(of).collect()
    };
    let minutes =
        |list: &[(u64, i64)]| -> Vec<(u64, Time)> { list.iter().map(|(u, m)| (*u, min(*m))).collect() };
    assert_eq!(starts("p"), minutes(&[(0, 10), (0, 20), (1, 25), (1, 30), (2, 50)]));
    assert_eq!(starts("q"), minutes(&[(0, 23), (1, 38), (2, 62)]));
    let (used, began) = (report.parts[0].used, report.parts[0].starts);
    assert_eq!((used, began, report.parts[0].came), (6, 3, 4));
    let short = |place: usize| report.places[place].states[BayState::ShortOfParts as usize];
    assert_eq!((short(0), short(1)), (min(5 + 9 + 23).0, min(10).0));
}

/// With more panels than anybody takes the line does what it does without: the same pushes, starts and ends.
#[test]
fn plenty_of_parts_change_nothing_of_what_travels() {
    let text = |supply: &str, uses: &str| {
        format!(
            "line \"plenty\"\nmodel A 100 %\nrelease saturated\n{supply}station P  crew 1\nstation Q  crew 1\n\
             segment all P to Q pushed every 10 min index 1 min, late work travels\n\
             task p  takes 5/8/16 min  by 1  {uses}  may travel to Q x 1.2  at P\n\
             task q  takes 1/2/5 min  by 1  at Q  after p\n"
        )
    };
    let supply = "supply panels in lots of 5000 every 900 h store of 9000, 9000 at start\n";
    let with = record(&line_of(&text(supply, "uses 2 panels")), Horizon::Units(800)).1;
    let without = record(&line_of(&text("", "")), Horizon::Units(800)).1;
    assert!(with.len() > 4_000 && with == without);
}
