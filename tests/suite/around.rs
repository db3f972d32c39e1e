//! Gates, samples, carriers and the yard: cases worked by hand, and textbook formulas.

use crate::by_hand::{at, ended, min};
use crate::follow::text::{line_of, record};
use crate::published::rule::{Length, THROUGHPUT, Value, WAIT, must_give, per_minute};
use taktwright::simulate::{CarrierCounts, Event, Horizon, Replication};
use taktwright::units::Time;

fn finishes(events: &[(Time, Event)]) -> Vec<Time> {
    let of = |(time, event): &(Time, Event)| matches!(event, Event::Finished { .. }).then_some(*time);
    events.iter().filter_map(of).collect()
}

/// Work of 10 min, then 6 min for each fault: a unit with n faults leaves 10 + 6 n after the one before.
#[test]
fn each_fault_takes_its_time_and_a_unit_without_takes_none() {
    let line = line_of(
        "line \"gate\"\nrelease saturated\nstation S1 crew 1\ntask a takes 10 min by 1\n\
         gate g finds 0.7 per unit takes 6 min by 1 after a\n",
    );
    let (report, events) = record(&line, Horizon::Units(300));
    let found: Vec<i64> = events
        .iter()
        .filter_map(|(_, event)| match event {
            Event::Found { here, left: 0, .. } => Some(i64::from(*here)),
            _ => None,
        })
        .collect();
    let mut due = Time::ZERO;
    for (finish, faults) in finishes(&events).iter().zip(&found) {
        due += min(10 + 6 * faults);
        assert_eq!(*finish, due);
    }
    let mended = ended(&line, &events, "g").len();
    assert_eq!(mended, found[..300].iter().filter(|n| **n > 0).count(), "only units with faults are mended");
    let counts = report.gates[0];
    assert_eq!(counts.units, 301, "the unit that has come when the last one goes is counted");
    assert_eq!((counts.mended_here + counts.went_on) as i64, found[..301].iter().sum::<i64>());
    assert_eq!(counts.clear, found[..301].iter().filter(|n| **n == 0).count() as u64);
}

/// At most two of a unit's faults go on, the others are mended at the gate.
#[test]
fn what_goes_on_is_mended_at_the_later_station() {
    let line = line_of(
        "line \"gate\"\nrelease saturated\nstation S1 crew 1\ntask a takes 10 min by 1\n\
         gate g finds 1.5 per unit takes 2 min by 1 after a at most 2 go on to S2\n\
         station S2 crew 1 bays 50\n",
    );
    let (report, events) = record(&line, Horizon::Units(500));
    let minutes = |name: &str, unit: u64| -> i64 {
        let of = |(n, from, to): &(u64, Time, Time)| (*n == unit).then_some((*to - *from).0 / min(1).0);
        ended(&line, &events, name).iter().filter_map(of).sum()
    };
    let mut seen = [0; 2];
    for (_, event) in events.iter().filter(|(time, _)| *time < min(4_000)) {
        if let Event::Found { unit, here, left, .. } = event {
            assert_eq!(minutes("g", *unit), 2 * i64::from(*here), "unit {unit}");
            assert_eq!(minutes("g left", *unit), 2 * i64::from(*left), "unit {unit}");
            seen[0] += i32::from(*here > 0);
            seen[1] += i32::from(*left > 0);
        }
    }
    assert!(seen[0] > 20 && seen[1] > 100, "{seen:?}");
    assert!(report.gates[0].went_on > report.gates[0].mended_here);
}

/// Work of 4 min, a test of it that lets half of the faulty through, 10 min more, then 6 min for each fault: its own and
/// the one that came through the test. At most one goes on, to S3 with bays enough, and takes 6 min there.
#[test]
fn what_a_test_lets_through_is_one_more_fault_at_the_gate() {
    let line = line_of(
        "line \"gate\"\nrelease saturated\nstation S1 crew 1\ntask a takes 4 min by 1\n\
         test early of a passes 100 % escapes 50 % to g\n\
         station S2 crew 1\ntask b takes 10 min by 1 after a\n\
         gate g finds 0.7 per unit takes 6 min by 1 after b at most 1 go on to S3\nstation S3 crew 30 bays 30\n",
    );
    let (report, events) = record(&line, Horizon::Units(300));
    let (mut faults, mut through) = ([0i64; 1000], [0i64; 1000]);
    for (_, event) in &events {
        match event {
            Event::Found { unit, here, left, .. } => faults[*unit as usize] += i64::from(here + left),
            Event::Escaped { unit, .. } => through[*unit as usize] = 1,
            _ => {}
        }
    }
    // S1 is never late, so S2 works without a gap from 4 min on: b and what is mended here, in the order of units.
    let mut due = min(4);
    let ends_of_b: Vec<Time> = ended(&line, &events, "b").iter().map(|(_, _, end)| *end).collect();
    for (unit, end) in ends_of_b.iter().enumerate() {
        assert_eq!(*end, due + min(10), "unit {unit}");
        let all = faults[unit] + through[unit];
        due += min(10 + 6 * (all - all.min(1)));
        let later = ended(&line, &events, "g left");
        let later =
            later.iter().filter(|(number, ..)| *number == unit as u64).map(|(_, from, to)| *to - *from);
        let wanted = if all > 0 { min(6) } else { min(0) };
        assert!(unit >= 280 || later.fold(Time::ZERO, |a, b| a + b) == wanted, "unit {unit}");
    }
    let counts = report.gates[0];
    let found: Vec<usize> = (0..1000).filter(|unit| through[*unit] == 1).collect();
    assert!(counts.let_through > 100 && found.len() as u64 - counts.let_through <= 1);
    assert_eq!(report.tests[0].escaped, found.len() as u64);
}

/// The same M/G/1 with a fault more on every tenth unit: E(S) = 10 + 6 (0.6 + 0.1), and var(S) = 36 (0.6 + 0.1 x 0.9), of a
/// Poisson number and a Bernoulli one. Without a fault are e^-0.6 x 0.9 of the units, of at most one a unit goes on the rest.
#[test]
fn a_gate_that_finds_escapes_waits_as_pollaczek_and_khinchine_say() {
    let (rate, mean, variance) = (1.0 / 20.0, 10.0 + 6.0 * 0.7, 36.0 * (0.6 + 0.1 * 0.9));
    let second = variance + mean * mean;
    let exact = rate * second / (2.0 * (1.0 - rate * mean));
    let text = "line \"gate\"\nrelease every exponential mean 20 min\nstation S0 crew 60 bays 60\n\
                test early takes 1 min by 1 passes 100 % escapes 10 % to g\n\
                station S1 crew 1 slots 500\n\
                test a takes 10 min by 1 after early passes 100 %\n\
                gate g finds 0.6 per unit takes 6 min by 1 after a\n";
    let length = Length { replications: 20, warm_up: 500, units: 60_000 };
    let wait = |r: &Replication| r.tests[1].waits.mean().expect("units came") / 60e6;
    let clear = |r: &Replication| r.gates[0].clear as f64 / r.gates[0].units as f64;
    let through = |r: &Replication| r.gates[0].let_through as f64 / r.gates[0].units as f64;
    let values = [
        Value { what: "wait, min", exact, cap: WAIT, of: wait },
        Value { what: "clear", exact: (-0.6f64).exp() * 0.9, cap: THROUGHPUT, of: clear },
        Value { what: "let through", exact: 0.1, cap: WAIT, of: through },
    ];
    must_give(text, length, &values);
}

/// Poisson arrivals each 20 min, work of 10 min, and a Poisson number (mean 0.6) of faults of 6 min, each of
/// them in no time where there is none: M/G/1. Its mean wait is a E(S^2) / 2 (1 - a E(S)) (Pollaczek and
/// Khinchine; Gross & Harris, Fundamentals of Queueing Theory), with E(S) = 10 + 0.6 x 6 and, of a compound
/// Poisson sum, var(S) = 0.6 x 36.
#[test]
fn a_station_with_a_gate_waits_as_pollaczek_and_khinchine_say() {
    let (rate, mean, variance) = (1.0 / 20.0, 10.0 + 0.6 * 6.0, 0.6 * 36.0);
    let second = variance + mean * mean;
    let exact = rate * second / (2.0 * (1.0 - rate * mean));
    let text = "line \"gate\"\nrelease every exponential mean 20 min\nstation S1 crew 1\n\
                test a takes 10 min by 1 passes 100 %\ngate g finds 0.6 per unit takes 6 min by 1 after a\n";
    let length = Length { replications: 20, warm_up: 500, units: 60_000 };
    let wait = |r: &Replication| r.tests[0].waits.mean().expect("units came") / 60e6;
    must_give(text, length, &[Value { what: "wait, min", exact, cap: WAIT, of: wait }]);
}

/// Numbers of a Poisson law: e^-0.6 of the units are without a fault; of at most one a unit goes on
/// 1 - e^-0.6.
#[test]
fn shares_of_units_are_those_of_a_poisson_law() {
    let text = "line \"gate\"\nrelease saturated\nstation S1 crew 1\ntask a takes 1 min by 1\n\
                gate g finds 0.6 per unit takes 1 min by 1 after a at most 1 go on to S2\nstation S2 crew 1\n";
    let length = Length { replications: 20, warm_up: 0, units: 60_000 };
    let clear = |r: &Replication| r.gates[0].clear as f64 / r.gates[0].units as f64;
    let on = |r: &Replication| r.gates[0].went_on as f64 / r.gates[0].units as f64;
    let here = |r: &Replication| r.gates[0].mended_here as f64 / r.gates[0].units as f64;
    let none = (-0.6f64).exp();
    let values = [
        Value { what: "clear", exact: none, cap: THROUGHPUT, of: clear },
        Value { what: "go on", exact: 1.0 - none, cap: THROUGHPUT, of: on },
        Value { what: "mended here", exact: 0.6 - (1.0 - none), cap: WAIT, of: here },
    ];
    must_give(text, length, &values);
}

#[test]
fn every_third_unit_is_every_third_unit_of_its_models() {
    let line = line_of(
        "line \"sample\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B B A\noption o every 3 units only B\n\
         release saturated\nstation S1 crew 1\ntask a takes 1 min by 1\ntask b takes 1 min by 1 only with o\n",
    );
    let (_, events) = record(&line, Horizon::Units(40));
    let with: Vec<u64> = ended(&line, &events, "b").iter().map(|(unit, ..)| *unit).collect();
    // B are units 1, 2, 5, 6, 9, 10, 13, 14, 17...: the third of them, the sixth...
    assert_eq!(with[..5], [5, 10, 17, 22, 29]);
}

/// Two stations of 10 min, 5 min back. One pallet goes round in 25 min: units at 20, 45, 70, 95. Two: at 20 and 30, and
/// again 25 min later. Three and more wait for a station: a unit each 10 min.
#[test]
fn pallets_that_go_round_set_the_rate() {
    for (pallets, units, last) in [(1, 4, 95), (2, 4, 55), (3, 5, 60), (9, 5, 60)] {
        let line = line_of(&format!(
            "line \"pallets\"\nrelease saturated\nstation S1 crew 1\ntask a takes 10 min by 1\n\
             station S2 crew 1\ntask b takes 10 min by 1 after a\n\
             carriers pallet {pallets} from S1 to S2 returning in 5 min\n"
        ));
        let (_, events) = record(&line, Horizon::Units(units));
        assert_eq!(finishes(&events).last(), Some(&min(last)), "{pallets} pallets");
    }
    // One pallet for 75 min: under a unit 20 of 25, on its way 5 of 25, never free while a unit waits for it.
    let line = line_of(
        "line \"pallets\"\nrelease saturated\nstation S1 crew 1\ntask a takes 10 min by 1\n\
         station S2 crew 1\ntask b takes 10 min by 1 after a\n\
         carriers pallet 1 from S1 to S2 returning in 5 min\n",
    );
    let (report, _) = record(&line, Horizon::For(min(75)));
    let counts = CarrierCounts { on: min(60).0.into(), back: min(15).0.into(), none_free: min(75) };
    assert_eq!(report.carriers, [counts]);
}

/// N pallets, one station (exponential, mean 1 min), the way back exponential with mean 4 min: the machine
/// repair model. P(n at the station) is proportional to N! / (N - n)! x (1/4)^n, throughput 1 - P(0)
/// (Gross & Harris, Fundamentals of Queueing Theory, finite-source queues).
#[test]
fn pallets_that_come_back_at_random_are_a_finite_source_queue() {
    for pallets in [2u32, 5, 9] {
        let mut weight = 1.0;
        let mut all = 1.0;
        for n in 1..=pallets {
            weight *= f64::from(pallets - n + 1) / 4.0;
            all += weight;
        }
        let exact = 1.0 - 1.0 / all;
        let text = format!(
            "line \"finite source\"\nrelease saturated\nstation S1 crew 1 slots 20\n\
             task a takes exponential mean 1 min by 1\n\
             carriers pallet {pallets} from S1 to S1 returning in exponential mean 4 min\n"
        );
        let length = Length { replications: 20, warm_up: 500, units: 40_000 };
        must_give(
            &text,
            length,
            &[Value { what: "units per minute", exact, cap: THROUGHPUT, of: per_minute }],
        );
    }
}

/// A yard of two places, lorries of two at 09:00 and 12:00, a unit each 10 min from 06:00 to 14:00.
///
/// Day 0: units at 6:10 and 6:20, the third is done at 6:30 and stays. 9:00: both go, the third leaves, the
/// fourth 9:10. 12:00: the fifth (done 9:20), the sixth 12:10; the seventh is done at 12:20. Day 1: 9:00 seventh, 9:10 eighth,
/// 12:00, 12:10.
#[test]
fn a_full_yard_holds_the_line_until_a_lorry_comes() {
    let line = line_of(
        "line \"yard\"\nshift day 06:00 to 14:00 on mon to fri\nrelease saturated\nstation S1 crew 1\n\
         task a takes 10 min by 1\nyard lot places 2, lorries of 2 at 09:00, 12:00\n",
    );
    let (report, events) = record(&line, Horizon::Shifts(2));
    let due = [
        at(0, 6, 10),
        at(0, 6, 20),
        at(0, 9, 0),
        at(0, 9, 10),
        at(0, 12, 0),
        at(0, 12, 10),
        at(1, 9, 0),
        at(1, 9, 10),
        at(1, 12, 0),
        at(1, 12, 10),
    ];
    assert_eq!(finishes(&events), due);
    assert_eq!(report.per_shift, [6, 4]);
    assert_eq!((report.yard.lorries, report.yard.part_loads, report.yard.taken), (4, 0, 8));
}

/// The same as a pushed line: the push waits, and the last place is called blocked.
#[test]
fn a_full_yard_holds_a_push() {
    let line = line_of(
        "line \"yard\"\nshift day 06:00 to 14:00 on mon to fri\nrelease saturated\n\
         station S1 crew 1\ntask a takes 10 min by 1\nstation S2 crew 1\ntask b takes 10 min by 1 after a\n\
         segment all S1 to S2 pushed when all are ready\nyard lot places 2, lorries of 1 at 09:00\n",
    );
    let (_, events) = record(&line, Horizon::Shifts(1));
    // Pushed at 6:00, 6:10, 6:20 (the first leaves), 6:30 (the second); the third is ready at 6:40.
    assert_eq!(finishes(&events), [at(0, 6, 20), at(0, 6, 30), at(0, 9, 0)]);
}

/// A lorry takes what stands there, and comes on the days that are said only.
#[test]
fn lorries_come_on_their_days_and_take_what_is_there() {
    let line = line_of(
        "line \"yard\"\nshift day 06:00 to 14:00 on mon to fri\nrelease every 3 h\nstation S1 crew 1\n\
         task a takes 10 min by 1\nyard lot places 20, lorries of 4 at 12:30 on tue, thu\n",
    );
    let (report, _) = record(&line, Horizon::Shifts(4));
    // Units at 9:10 and 12:10 of the first day, then each 3 h of net time.
    assert_eq!(report.yard.lorries, 2);
    assert_eq!(report.yard.taken, 4 + report.yard.taken.saturating_sub(4));
    assert!(report.yard.part_loads <= 1);
}
