//! Feeders: cases worked by hand to the microsecond, and a textbook line.

use crate::by_hand::{Events, ended, min};
use crate::follow::text::{follow, line_of, read, record, settings_of};
use crate::published::rule::{Length, THROUGHPUT, Value, WAIT, must_give, per_minute};
use taktwright::line::{Line, PlaceId};
use taktwright::simulate::{BayState, Event, FeederCounts, Horizon, Replication};
use taktwright::units::Time;

fn place(line: &Line, name: &str) -> usize {
    line.places.iter().position(|place| place.name == name).expect("the place stands in the file")
}

fn spent(line: &Line, report: &Replication, name: &str, state: BayState) -> Time {
    Time(report.places[place(line, name)].states[state as usize])
}

/// When trucks came into the store, and with how much.
fn stored(events: &Events) -> Vec<(Time, u32)> {
    let pieces = |(at, event): &(Time, Event)| match event {
        Event::Stored { pieces, .. } => Some((*at, *pieces)),
        _ => None,
    };
    events.iter().filter_map(pieces).collect()
}

/// The line takes one every 12 min, the feeder makes one in 4 min, its store holds two.
///
/// Part 0 is done at 4, unit 0 takes it: 4 to 16. Parts 1 and 2 fill the store at 8 and 12. Part 3 is
/// done at 16, when unit 1 takes one: it goes in at once. Part 4 is done at 20 and keeps its place up to
/// 28, part 5 is done at 32 and keeps it up to 40.
#[test]
fn a_feeder_stops_when_its_store_is_full() {
    let line = line_of(
        "line \"stock\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 12 min  by 1  uses 1 x\n\
         feeder x store of 2 {\n  station P  crew 1\n  task p  takes 4 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(41)));
    let starts: Vec<Time> = ended(&line, &events, "a").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [min(4), min(16), min(28)]);
    assert_eq!(stored(&events), [4, 8, 12, 16, 28, 40].map(|at| (min(at), 1)));
    assert_eq!(spent(&line, &report, "P", BayState::Blocked), min(16));
    assert_eq!(spent(&line, &report, "S", BayState::ShortOfParts), min(4));
    let counts = FeederCounts {
        begun: 7,
        made: 6,
        first_pass: 6,
        lots: 0,
        lost: 0,
        making: min(4 * 6 + 8 + 8),
        trucks: 0,
        on_the_way: 0,
    };
    assert_eq!(report.feeders, [counts]);
    // Parts are no units of the line: at 40 the third unit is done and the fourth one enters.
    assert_eq!((report.released, report.finished, report.present_at_end), (4, 3, 1));
}

/// Parts take 5 min, trucks take two, the store holds three; the line takes one every 6 min.
///
/// Parts 0 and 1 come together at 10: 10 to 16, 16 to 22. Parts 2 and 3 are done at 15 and 20: at 20 the
/// store is empty, both go in; it holds two. Unit 2 takes one: 22 to 28. Part 4 goes onto the truck at
/// 25, part 5 is done at 30: unit 3 has taken the last one at 28, both go in.
#[test]
fn parts_on_a_truck_come_together() {
    let line = line_of(
        "line \"trucks\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 6 min  by 1  uses x\n\
         feeder x in trucks of 2 store of 3 {\n  station P  crew 1\n  task p  takes 5 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(35)));
    assert_eq!(stored(&events), [10, 20, 30].map(|at| (min(at), 2)));
    let starts: Vec<Time> = ended(&line, &events, "a").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [min(10), min(16), min(22), min(28)]);
    assert_eq!(spent(&line, &report, "P", BayState::Blocked), Time::ZERO);
}

/// Three of 5 min that fill a truck, and a store of three that still holds one: the third keeps its place.
///
/// The store begins with two; unit 0 takes one at 0, unit 1 at 20, unit 2 waits from 40. Part 2 is done
/// at 15; the store has room for three only at 20.
#[test]
fn the_part_that_fills_a_truck_waits_until_the_store_has_room_for_all() {
    let line = line_of(
        "line \"full\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 20 min  by 1  uses x\n\
         feeder x in trucks of 3 store of 3, 2 at start {\n  station P  crew 1\n  task p  takes 5 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(30)));
    assert_eq!(stored(&events), [(min(20), 3)]);
    assert_eq!(spent(&line, &report, "P", BayState::Blocked), min(5));
    // Begun at 0, 5, 10, 20 and 25.
    assert_eq!((report.feeders[0].begun, report.feeders[0].made), (5, 4));
}

/// Pattern A B; A's part takes 3 min, B's 9; each is built for its unit, one unit ahead.
///
/// At 0 the orders of units 0 and 1 are there... and of none more: unit 0 enters at 0, which brings the
/// order of unit 1. Part 0 (A): 0 to 3, work 3 to 13. Part 1 (B): 3 to 12. Unit 1 enters at 13 and brings
/// the order of unit 2: its work 13 to 23, part 2 (A) 13 to 16, work 23 to 33; part 3 (B) from 23 to 32.
#[test]
fn parts_are_built_for_the_units_that_follow_in_their_order() {
    let line = line_of(
        "line \"ahead\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\n\
         station S  crew 1\ntask a  takes 10 min  by 1  uses 1 x\n\
         feeder x builds 1 units ahead, store of 5 {\n  station P  crew 1\n  task p  takes 3 min  for B 9 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(34)));
    let ran = |name: &str| -> Vec<(Time, Time)> {
        ended(&line, &events, name).iter().map(|(_, start, end)| (*start, *end)).collect()
    };
    assert_eq!(ran("p"), [(0, 3), (3, 12), (13, 16), (23, 32)].map(|(a, b)| (min(a), min(b))));
    assert_eq!(ran("a"), [(3, 13), (13, 23), (23, 33)].map(|(a, b)| (min(a), min(b))));
    assert_eq!(spent(&line, &report, "P", BayState::Starved), min(1 + 7 + 1));
}

/// Two bays at P, B's part takes 20 min and A's, begun with it, 2. Unit 0 is a B: the part of unit 1 waits
/// for its turn, both come into the store at 20.
#[test]
fn parts_come_in_the_order_of_their_units() {
    let line = line_of(
        "line \"own\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern B A\nrelease saturated\n\
         station S  crew 1\ntask a  takes 5 min  by 1  uses 1 x\n\
         feeder x builds 4 units ahead, store of 9 {\n  station P  crew 2  bays 2  ordered\n\
         task p  takes 2 min  for B 20 min  by 1\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(min(31)));
    assert_eq!(ended(&line, &events, "a"), [(0, min(20), min(25)), (1, min(25), min(30))]);
    assert_eq!(stored(&events)[..2], [(min(20), 1), (min(20), 1)]);
}

/// A's and B's; only B takes a part: nothing is built for A.
#[test]
fn nothing_is_built_for_units_that_take_no_part() {
    let line = line_of(
        "line \"some\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\n\
         station S  crew 1\ntask s  takes 10 min  by 1\ntask a  takes 1 min  by 1  uses 1 x  only B  after s\n\
         feeder x builds 3 units ahead, store of 9 {\n  station P  crew 1\n  task p  takes 2 min  by 1\n}\n",
    );
    let (report, _) = record(&line, Horizon::For(min(43)));
    // Units 0 to 4 have entered at 0, 10, 21, 31 and 42; the orders reach unit 7: 1, 3, 5, 7 are B's.
    assert_eq!((report.released, report.feeders[0].begun, report.parts[0].used), (5, 4, 2));
}

/// Every part fails and is scrapped, or passes: the lost one is built again for the same unit.
#[test]
fn a_scrapped_part_is_built_again() {
    let line = line_of(
        "line \"again\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 10 min  by 1  uses 1 x\n\
         feeder x builds 1 units ahead, store of 5 {\n  station P  crew 1\n  task p  takes 3 min  by 1\n\
         test v  of p  passes 60 %  on fail scrapped\n}\n",
    );
    let (report, faults) = follow(&line, &settings_of(1, Horizon::Units(300))).expect("it runs");
    assert_eq!(faults, Vec::<String>::new());
    let feeder = &report.feeders[0];
    assert!(feeder.lost > 100, "{feeder:?}");
    assert!(feeder.made >= report.line_on && feeder.made <= report.line_on + 2, "{feeder:?}");
    assert_eq!(report.scrapped, 0, "no unit of the line is scrapped with its part");
}

/// Units that fail for good leave their part to the next one of their model.
#[test]
fn the_part_of_a_scrapped_unit_goes_to_the_next_one() {
    let line = line_of(
        "line \"spare\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A A B\nrelease saturated\n\
         station S1  crew 1\ntask s  takes 4 min  by 1\ntest v  of s  passes 50 %  on fail scrapped\n\
         station S2  crew 1\ntask a  takes 5 min  by 1  uses 1 x  after s\n\
         feeder x builds 3 units ahead, store of 4 {\n  station P  crew 1\n  task p  takes 3 min  for B 4 min  by 1\n}\n",
    );
    for seed in 1..20 {
        let (report, faults) = follow(&line, &settings_of(seed, Horizon::Units(200))).expect("it runs");
        assert_eq!(faults, Vec::<String>::new());
        assert!(report.scrapped > 100, "{}", report.scrapped);
        // What is built is what is taken, what lies there, and what is ordered ahead.
        let feeder = &report.feeders[0];
        assert!(feeder.made - report.parts[0].used <= 4 + 3, "{feeder:?}");
    }
}

/// A line that starts full: what stands behind the task has its part.
///
/// S1 | S2 with the task | S3: units 2, 1, 0. Unit 0 has its part; unit 1 takes that of the store at 0,
/// unit 2 the other one at 5.
#[test]
fn a_line_that_starts_full_needs_no_parts_for_what_has_passed() {
    let line = line_of(
        "line \"full\"\nmodel A 100 %\nrelease saturated\nstart full\nstation S1  crew 1\ntask s  takes 5 min  by 1\n\
         station S2  crew 1\ntask a  takes 5 min  by 1  uses 1 x  after s\n\
         station S3  crew 1\ntask e  takes 5 min  by 1  after a\n\
         feeder x builds 2 units ahead, store of 2 {\n  station P  crew 1\n  task p  takes 5 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(26)));
    let starts: Vec<(u64, Time)> =
        ended(&line, &events, "a").iter().map(|(u, start, _)| (*u, *start)).collect();
    assert_eq!(starts, [0, 5, 10, 15, 20].map(|at| (1 + at as u64 / 5, min(at))));
    assert_eq!(report.parts[0].waits, 0);
}

/// One feeder takes the parts of another: b from y (7 min each), x from b's (2 min): one every 7 min.
#[test]
fn a_feeder_may_take_parts_of_another_one() {
    let line = line_of(
        "line \"two\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 1 min  by 1  uses 1 x\n\
         feeder x store of 1 {\n  station P  crew 1\n  task p  takes 2 min  by 1  uses 1 y\n}\n\
         feeder y store of 1 {\n  station Q  crew 1\n  task q  takes 7 min  by 1\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(min(32)));
    let starts: Vec<Time> = ended(&line, &events, "a").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [min(9), min(16), min(23), min(30)]);
}

/// Nothing enters or leaves a stopped place of a feeder either, and its work pauses.
#[test]
fn a_feeder_stops_when_its_place_does() {
    let line = line_of(
        "line \"stop\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 3 min  by 1  uses 1 x\n\
         feeder x store of 9 {\n  station P  crew 1  stopping every 12 min of net time for 10 min on the clock\n\
         task p  takes 5 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(31)));
    // Parts at 5 and 10; the third one pauses from 12 to 22 and is done at 25; the next one at 30.
    assert_eq!(stored(&events), [5, 10, 25, 30].map(|at| (min(at), 1)));
    assert_eq!(spent(&line, &report, "P", BayState::Stopped), min(10));
}

/// A feeder, its store and a station that takes one part for each unit are a line of two stations with a
/// buffer. Exponential times, both of mean 8 min, a store of three: the parts made and not used up are a
/// birth-death chain on 0 to 5 (three in the store, one in work, one that keeps its place), all states
/// alike, and the station works in all but one (Buzacott and Shanthikumar 1993, Stochastic Models of
/// Manufacturing Systems, two-station line with blocking after service; from memory). Unequal rates: the
/// chain is geometric with ratio 8 / 10.
#[test]
fn a_feeder_and_a_station_are_the_textbook_line_of_two() {
    let text = |feeder: u32| {
        format!(
            "line \"two stations\"\nmodel A 100 %\nrelease saturated\n\
             station S  crew 1\ntask a  takes exponential mean 8 min  by 1  uses 1 x\n\
             feeder x store of 3 {{\n  station P  crew 1\n  task p  takes exponential mean {feeder} min  by 1\n}}\n"
        )
    };
    let length = Length { replications: 20, warm_up: 500, units: 40_000 };
    for (mean, ratio) in [(8, 1.0), (10, 0.8_f64)] {
        let weights: Vec<f64> = (0..=5).map(|n| ratio.powi(n)).collect();
        let idle = weights[0] / weights.iter().sum::<f64>();
        let blocked = weights[5] / weights.iter().sum::<f64>();
        let values = [
            Value { what: "units per minute", exact: (1.0 - idle) / 8.0, cap: THROUGHPUT, of: per_minute },
            Value {
                what: "share short of parts",
                exact: idle,
                cap: WAIT,
                of: |r| r.places[0].states[BayState::ShortOfParts as usize] as f64 / r.net.0 as f64,
            },
            Value {
                what: "share of the feeder blocked",
                exact: blocked,
                cap: WAIT,
                of: |r| r.places[1].states[BayState::Blocked as usize] as f64 / r.net.0 as f64,
            },
        ];
        must_give(&text(mean), length, &values);
    }
}

#[test]
fn places_of_feeders_follow_those_of_the_line() {
    let line = line_of(
        "line \"order\"\nmodel A 100 %\nfeeder x store of 2 {\n  station P1  crew 1\n  task p  takes 4 min\n  station P2  crew 1\n\
         task q  takes 1 min  after p\n}\nstation S1  crew 1\ntask a  takes 5 min  uses x\nrack H places 2\n\
         station P3  crew 1  after P1\ntask r  takes 1 min  after p\n",
    );
    let names: Vec<&str> = line.places.iter().map(|place| place.name.as_str()).collect();
    assert_eq!(names, ["S1", "H", "P1", "P3", "P2"]);
    assert_eq!(line.on_line, 2);
    assert_eq!(line.ends_of(PlaceId(3)), Some((PlaceId(2), PlaceId(4))));
    assert_eq!((line.place_after(PlaceId(1)), line.place_after(PlaceId(4))), (None, None));
}

#[test]
fn a_layout_takes_a_feeder_away_with_all_that_stands_in_it() {
    let text = "line \"less\"\nmodel A 100 %\nstation S1  crew 1\ntask a  takes 5 min  uses x\n\
                feeder x store of 2 {\n  station P1  crew 1\n  task p  takes 4 min\n}\n\
                layout \"bought\" {\n  remove feeder x\n  supply x in lots of 4 every 20 min store of 8\n}\n\
                layout \"faster\" {\n  change feeder x store of 6\n  change task p takes 3 min\n}\n";
    assert!(read(text).is_ok(), "{:?}", read(text).err());
}

/// A part is done in the instant in which its place stops, and while it is stopped a task takes from the
/// full store: the part waits until the stop is over, and the run goes on.
///
/// Parts of 5 min, done at 5 and 10; at 10 the place stops for 10 min. Unit 0 takes one at 5: 5 to 11, unit
/// 1 waits from 11; the second part goes at 20: 20 to 26. The next one is done at 25.
#[test]
fn a_part_does_not_leave_a_stopped_place_though_the_store_has_room() {
    let line = line_of(
        "line \"held\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 6 min  by 1  uses 1 x\n\
         feeder x store of 1 {\n  station P  crew 1  stopping every 10 min of net time for 10 min on the clock\n\
         task p  takes 5 min  by 1\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(min(27)));
    assert_eq!(stored(&events), [5, 20, 25].map(|at| (min(at), 1)));
    let starts: Vec<Time> = ended(&line, &events, "a").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [min(5), min(20)]);
}

/// Parts take 5 min; the truck takes three and goes every 12 min; the line takes one every 4 min.
///
/// Parts 0 and 1 are done at 5 and 10: the truck of 12 brings two, unit 0 from 12 to 16, unit 1 to 20. Parts of 15
/// and 20 come at 24: unit 2 to 28, unit 3 to 32. Parts of 25, 30 and 35 come at 36. With 4 min of work for a part,
/// three stand on the truck at 12 and that of 12 itself is too late for it: nine by 36.
#[test]
fn a_truck_that_goes_at_times_takes_what_is_on_it() {
    let text = "line \"times\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 4 min  by 1  uses x\n\
                feeder x in trucks of 3 every 12 min  store of 9 {\n  station P  crew 1\n  task p  takes 5 min  by 1\n}\n";
    let line = line_of(text);
    let (report, events) = record(&line, Horizon::For(min(37)));
    assert_eq!(stored(&events), [(min(12), 2), (min(24), 2), (min(36), 3)]);
    let starts: Vec<Time> = ended(&line, &events, "a").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [min(12), min(16), min(24), min(28)]);
    assert_eq!(report.feeders[0].trucks, 3);
    let line = line_of(&text.replace("takes 5 min", "takes 4 min"));
    let (report, events) = record(&line, Horizon::For(min(37)));
    assert_eq!(stored(&events), [(min(12), 2), (min(24), 3), (min(36), 3)]);
    assert_eq!(spent(&line, &report, "P", BayState::Blocked), Time::ZERO);
}

/// A full truck keeps what comes then in its place, a full store what is on the truck.
///
/// Parts take 2 min, the truck two, every 10 min; the store holds three, nobody takes any for an hour. Parts of 2
/// and 4 stand on it, that of 6 keeps its place to 10. Then two go, and those of 6 and 12 go onto the truck. At 20 one
/// finds room, and one stays on it.
#[test]
fn a_truck_that_goes_at_times_brings_no_more_than_there_is_room_for() {
    let line = line_of(
        "line \"full\"\nmodel A 100 %\nrelease every 60 min\nstation S  crew 1\ntask a  takes 4 min  by 1  uses x\n\
         feeder x in trucks of 2 every 10 min  store of 3 {\n  station P  crew 1\n  task p  takes 2 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(40)));
    assert_eq!(stored(&events), [(min(10), 2), (min(20), 1)]);
    assert_eq!(spent(&line, &report, "P", BayState::Blocked), min(4 + 6 + 18));
}

/// Parts take 5 min, the truck takes two and is 12 min on its way; the store has three places.
///
/// The truck of 10 is there at 22. With two on their way there is no room for two more: the part done at 20 keeps its place
/// up to 22, when unit 0 takes one of those that came. That truck is there at 34; the part done at 32 waits for
/// unit 2, at 34, and the one done at 44 for what comes at 46.
#[test]
fn a_truck_is_on_its_way_and_its_places_are_kept() {
    let line = line_of(
        "line \"way\"\nmodel A 100 %\nrelease saturated\nstation S  crew 1\ntask a  takes 6 min  by 1  uses x\n\
         feeder x in trucks of 2, arriving in 12 min  store of 3 {\n  station P  crew 1\n  task p  takes 5 min  by 1\n}\n",
    );
    let (report, events) = record(&line, Horizon::For(min(45)));
    let went: Vec<Time> =
        events.iter().filter(|(_, e)| matches!(e, Event::TruckWent { .. })).map(|(at, _)| *at).collect();
    assert_eq!(went, [10, 22, 34].map(min));
    assert_eq!(stored(&events), [22, 34].map(|at| (min(at), 2)));
    let starts: Vec<Time> = ended(&line, &events, "a").iter().map(|(_, start, _)| *start).collect();
    assert_eq!(starts, [22, 28, 34].map(min));
    assert_eq!(spent(&line, &report, "P", BayState::Blocked), min(2 + 2 + 1));
    assert_eq!(report.feeders[0].on_the_way, i128::from(min(2 * (12 + 12 + 11)).0));
}

/// One place in the store, and 30 min for a part to come: whoever comes takes the part, and the next one sets out.
///
/// So with a unit an hour at random the place is a server of 30 min, and a unit waits as in M/D/1: u S / (2 (1 - u)) with
/// u = 0.5, S = 30 min, 15 min (Pollaczek and Khinchine; any queueing text). On their way are as many parts as come in
/// S: half a part (Little 1961).
#[test]
fn a_store_of_one_and_a_way_are_the_textbook_queue() {
    let text = "line \"one place\"\nmodel A 100 %\nrelease every exponential mean 60 min\nstation S1  bays 90\n\
                task a  takes 1 min  by 0  uses 1 x  at S1\n\
                feeder x store of 1, 1 at start  in trucks of 1, arriving in 30 min {\n  station P  crew 1\n\
                task p  takes 0.001 min  by 1\n}\n";
    let wait = Value {
        what: "wait for a part",
        exact: 15.0,
        cap: WAIT,
        of: |r| r.flow.mean().expect("units came") / 60e6 - 1.0,
    };
    let on_the_way = Value {
        what: "parts on their way",
        exact: 0.5,
        cap: WAIT,
        of: |r| r.feeders[0].on_the_way as f64 / r.clock.0 as f64,
    };
    must_give(text, Length { replications: 20, warm_up: 500, units: 20_000 }, &[wait, on_the_way]);
}
