//! Stops: worked by hand to the microsecond, and against exact values of textbooks.

use crate::follow::text::{line_of, read, record};
use crate::published::rule::{Length, THROUGHPUT, Value, must_give, per_minute};
use taktwright::line::Line;
use taktwright::simulate::{BayState, Event, Horizon, Replication};
use taktwright::units::Time;

type Events = [(Time, Event)];

fn min(minutes: i64) -> Time {
    Time::from_minutes(minutes)
}

/// A time of the first day.
fn at(hour: i64, minute: i64) -> Time {
    min(hour * 60 + minute)
}

fn finishes(events: &Events) -> Vec<Time> {
    let finish = |(time, event): &(Time, Event)| matches!(event, Event::Finished { .. }).then_some(*time);
    events.iter().filter_map(finish).collect()
}

/// (beginning, end) of the stops of a cause that have ended.
fn stops(events: &Events, cause: u16) -> Vec<(Time, Time)> {
    let mut found = Vec::new();
    let mut since = Time::ZERO;
    for (time, event) in events {
        match event {
            Event::Stopped { stop } if *stop == cause => since = *time,
            Event::Mended { stop } if *stop == cause => found.push((since, *time)),
            _ => {}
        }
    }
    found
}

/// When steps of that name ended.
fn ends(line: &Line, events: &Events, name: &str) -> Vec<Time> {
    let wanted = line.steps.iter().position(|s| s.name == name).expect("the step is in the line");
    let end = |(time, event): &(Time, Event)| match event {
        Event::StepEnded { step, .. } if step.index() == wanted => Some(*time),
        _ => None,
    };
    events.iter().filter_map(end).collect()
}

fn state(report: &Replication, place: usize, state: BayState) -> Time {
    Time(report.places[place].states[state as usize])
}

/// Tasks of 30 min, a stop of 7 min every 50 min after the last one.
///
/// Unit 0 from 0 to 30. Unit 1 from 30; at 50 it has 10 min left, goes on at 57, ends at 67. The next
/// stop is due at 57 + 50 = 107: unit 2 from 67 to 97, unit 3 from 97, at 107 it has 20 min left, goes on
/// at 114, ends at 134. Next stop 164: unit 4 ends at 164 sharp, in time, but the station is stopped when
/// units move, so it leaves at 171.
#[test]
fn a_task_paused_by_a_stop_goes_on_with_what_was_left() {
    let line = line_of(
        "line \"pause\"\nmodel A 100 %\nrelease saturated\n\
         station S1  crew 1  stopping every 50 min for 7 min\ntask t1  takes 30 min  by 1  at S1\n",
    );
    let (report, events) = record(&line, Horizon::Units(5));
    assert_eq!(ends(&line, &events, "t1"), [30, 67, 97, 134, 164].map(min));
    assert_eq!(finishes(&events), [30, 67, 97, 134, 171].map(min));
    assert_eq!(stops(&events, 0), [(50, 57), (107, 114), (164, 171)].map(|(a, b)| (min(a), min(b))));
    assert_eq!(state(&report, 0, BayState::Stopped), min(21));
    assert_eq!(state(&report, 0, BayState::Working), min(150));
    // Nobody works while the task is paused.
    assert_eq!(report.crews[0].busy, min(150).0);
    assert_eq!((report.stops[0].count, report.stops[0].clock, report.stops[0].net), (3, min(21), min(21)));
}

/// A hold of 30 min on a rack that stops for 5 min every 50 min after the last stop.
///
/// Unit 0 is on the rack from 1 to 31, unit 1 follows at once and is interrupted at 50: its hold begins
/// again at 55 and ends at 85. The next stop is due at 105: unit 2 holds from 85, is interrupted, holds from
/// 110 to 140.
#[test]
fn a_hold_is_begun_again_whole_after_a_stop() {
    let line = line_of(
        "line \"rest\"\nmodel A 100 %\nrelease saturated\n\
         station S1  crew 1\ntask t1  takes 1 min  by 1  at S1\n\
         rack H1  places 1  stopping every 50 min for 5 min\nhold h1  at least 30 min  safety  after t1  at H1\n",
    );
    let (report, events) = record(&line, Horizon::Units(3));
    assert_eq!(ends(&line, &events, "h1"), [31, 85, 140].map(min));
    let hold = &report.holds[0];
    assert_eq!((hold.count, hold.shortest, hold.restarts), (3, min(30), 2));
    assert_eq!(state(&report, 1, BayState::Stopped), min(10));
}

/// Attended 06:00 to 14:00 with a break from 09:00 to 09:30. Tasks of 100 min; a stop of 60 min on the
/// clock, due 8 h 50 min after midnight, at 08:50.
///
/// Unit 0 06:00 to 07:40, unit 1 from 07:40: at 08:50 it has 30 min left; the stop ends at 09:50, so it
/// ends at 10:20. Stopped in net time: 08:50 to 09:00 and 09:30 to 09:50, 30 min. The next stop is
/// due at 09:50 + 8 h 50 min = 18:40, after the shift, and ends at 19:40 without taking any net time.
#[test]
fn a_stop_over_a_break_takes_net_time_only_on_both_sides() {
    let line = line_of(
        "line \"break\"\nmodel A 100 %\nrelease saturated\n\
         shift day 06:00 to 14:00 on mon to fri\n  break 09:00 lasting 30 min\n\
         station S1  crew 1  stopping every 530 min for 60 min\ntask t1  takes 100 min  by 1  at S1\n",
    );
    let (report, events) = record(&line, Horizon::Shifts(1));
    assert_eq!(ends(&line, &events, "t1"), [at(7, 40), at(10, 20), at(12, 0), at(13, 40)]);
    assert_eq!(stops(&events, 0)[..2], [(at(8, 50), at(9, 50)), (at(18, 40), at(19, 40))]);
    assert_eq!(report.stops[0].net, min(30));
    assert_eq!(state(&report, 0, BayState::Stopped), min(30));
    assert_eq!(report.net, min(450));
}

/// Gaps in use and in net time; 20 min at S1, 40 min at S2.
///
/// S1 works from 0 to 20 and from 20: its use of 30 min is made at 30, it stops to 35; 10 min are left of
/// unit 1, which ends at 45 and is blocked to 60. Its next use runs from 35 to 45 and from 60 on: made at
/// 80. S2 works from 20 to 60 and from 60: its net gap of 70 min is over at 70, it stops to 76 with 30 min left
/// and ends at 106.
#[test]
fn gaps_count_in_the_time_that_the_file_names() {
    let line = line_of(
        "line \"gaps\"\nmodel A 100 %\nrelease saturated\n\
         station S1  crew 1  stopping every 30 min of use for 5 min\n\
         station S2  crew 1  stopping every 70 min of net time for 6 min of net time\n\
         task t1  takes 20 min  by 1  at S1\ntask t2  takes 40 min  by 1  after t1  at S2\n",
    );
    let (_, events) = record(&line, Horizon::Units(2));
    assert_eq!(stops(&events, 0)[..2], [(min(30), min(35)), (min(80), min(85))]);
    assert_eq!(stops(&events, 1)[0], (min(70), min(76)));
    assert_eq!(ends(&line, &events, "t1")[..2], [min(20), min(45)]);
    assert_eq!(ends(&line, &events, "t2")[..2], [min(60), min(106)]);
}

/// Equipment stops: the task that uses it pauses, the next that needs it waits, others go on.
///
/// S1 uses the hoist for 30 min, S2 does not (25 min). The hoist stops at 40 for 15 min: unit 1 at S1
/// (from 30) pauses at 40 with 20 left and ends at 75; S2 works on from 30 to 55.
#[test]
fn a_stop_of_equipment_pauses_only_what_uses_it() {
    let line = line_of(
        "line \"hoist\"\nmodel A 100 %\nrelease saturated\n\
         equipment hoist 1  stopping every 40 min for 15 min\n\
         station S1  crew 1\nstation S2  crew 1\n\
         task t1  takes 30 min  by 1  with hoist  at S1\ntask t2  takes 25 min  by 1  after t1  at S2\n",
    );
    let (report, events) = record(&line, Horizon::Units(2));
    assert_eq!(ends(&line, &events, "t1")[..2], [min(30), min(75)]);
    assert_eq!(ends(&line, &events, "t2")[..2], [min(55), min(100)]);
    // Up to 100: stopped from 40 to 55 and from 95 on (unit 2 from 75).
    assert_eq!(state(&report, 0, BayState::Stopped), min(20));
    assert_eq!(state(&report, 1, BayState::Stopped), min(0));
}

/// A rig kept over a hold: when it stops, the hold begins again; a hold whose turn comes while the rig
/// is stopped begins when it no longer is.
///
/// t1 0 to 10 opens the keep, the hold of 20 min runs from 10, the rig stops at 25 for 5 min: the hold
/// runs from 30 to 50 and t2 from 50 to 55 ends the keep. Next stop at 30 + 25 = 55, to 60. Unit 1 enters at
/// 55 and needs the rig: t1 from 60 to 70, its hold from 70 to 90. Next stop 85 to 90: begun again at 90, to
/// 110; t2 to 115.
#[test]
fn a_hold_that_keeps_stopped_equipment_begins_again() {
    let line = line_of(
        "line \"rig\"\nmodel A 100 %\nrelease saturated\n\
         equipment rig 1  stopping every 25 min for 5 min\nstation S1  crew 1\n\
         task t1  takes 10 min  by 1  at S1\nhold h1  at least 20 min  after t1  at S1\n\
         task t2  takes 5 min  by 1  after h1  at S1\nkeep rig from t1 to t2\n",
    );
    let (report, events) = record(&line, Horizon::Units(2));
    assert_eq!(ends(&line, &events, "t1")[..2], [min(10), min(70)]);
    assert_eq!(ends(&line, &events, "h1")[..2], [min(50), min(110)]);
    assert_eq!(finishes(&events), [min(55), min(115)]);
    assert_eq!((report.holds[0].restarts, report.holds[0].shortest), (2, min(20)));
}

/// A group and the line. S1 and S2 of 10 min each, S3 of 10 min; the gas alarm stops S1 and S2 at 25 for 4 min,
/// the conveyor stops all at 52 for 3 min.
///
/// S1 ends its units at 10, 20, (30 - paused at 25, 5 left, from 29) 34, 44; unit 4 from 44, at 52 it has 2
/// left, from 55 to 57. The alarm comes again at 29 + 25 = 54, to 58, and overlaps: S1 goes on at 58, ends
/// at 60. S3 takes unit 0 from 20 to 30 (the alarm leaves it alone), unit 1 from 34 to 44, unit 2 from
/// 44, at 52 two left, goes on at 55, ends at 57.
#[test]
fn a_group_stops_together_and_stops_may_overlap() {
    let line = line_of(
        "line \"group\"\nmodel A 100 %\nrelease saturated\n\
         station S1  crew 1\nstation S2  crew 1\nstation S3  crew 1\n\
         stops gas \"Gas alarm\"  of S1, S2  stopping every 25 min for 4 min\n\
         stops conveyor  stopping every 52 min for 3 min\n\
         task t1  takes 10 min  by 1  at S1\ntask t2  takes 10 min  by 1  after t1  at S2\n\
         task t3  takes 10 min  by 1  after t2  at S3\n",
    );
    let (_, events) = record(&line, Horizon::Units(4));
    assert_eq!(ends(&line, &events, "t1")[..5], [10, 20, 34, 44, 60].map(min));
    assert_eq!(ends(&line, &events, "t3")[..3], [30, 44, 57].map(min));
}

/// A pushed segment with a stopped station does not move: signals every 20 min, index 2 min; work of
/// 10 min at each station; S2 stops at 15 for 30 min.
///
/// First push at the signal 20 - 2 = 18: not while S2 is stopped, at 45. It ends at 47; the next signal falls
/// at 47 + 18 = 65.
#[test]
fn a_pushed_segment_with_a_stopped_station_waits() {
    let line = line_of(
        "line \"push\"\nmodel A 100 %\nrelease saturated\n\
         segment all S1 to S2  pushed every 20 min  index 2 min\n\
         station S1  crew 1\nstation S2  crew 1  stopping every 15 min for 30 min\n\
         task t1  takes 10 min  by 1  at S1\ntask t2  takes 10 min  by 1  after t1  at S2\nstart full\n",
    );
    let (report, events) = record(&line, Horizon::For(min(60)));
    let pushes: Vec<Time> = events
        .iter()
        .filter_map(|(time, event)| matches!(event, Event::Pushed { .. }).then_some(*time))
        .collect();
    assert_eq!(pushes, [min(45)]);
    // The delay of 27 min is the stopped station's.
    assert_eq!(report.places[1].delay_caused, min(27));
    assert_eq!(report.places[0].delay_caused, Time::ZERO);
    // S2: stopped from 15 to 45; the unit arrives at 47, its work ends at 57.
    assert_eq!(state(&report, 1, BayState::Stopped), min(30));
}

/// One mechanic. S1 stops at 10, S2 at 12, each for 5 min of repair: S1 to 15, S2 waits to 15 and is mended
/// at 20. S1 stops again at 25, S2 at 32.
#[test]
fn stops_wait_for_the_people_who_mend() {
    let line = line_of(
        "line \"mend\"\nmodel A 100 %\nrelease saturated\npeople fitters 2\npeople mechanics 1\n\
         station S1  crew 1 fitters  stopping every 10 min for 5 min by 1 mechanics\n\
         station S2  crew 1 fitters  stopping every 12 min for 5 min by 1 mechanics\n\
         task t1  takes 3 min  by 1  at S1\ntask t2  takes 3 min  by 1  after t1  at S2\n",
    );
    let (report, events) = record(&line, Horizon::For(min(31)));
    assert_eq!(stops(&events, 0)[..2], [(min(10), min(15)), (min(25), min(30))]);
    assert_eq!(stops(&events, 1)[..1], [(min(12), min(20))]);
    let mechanics = line.groups.iter().position(|g| g.name == "mechanics").expect("they are in the file");
    // 10 to 20, and 25 to 30.
    assert_eq!(report.group_busy[mechanics], min(15).0);
}

fn stopped_share(report: &Replication) -> f64 {
    report.places[0].states[BayState::Stopped as usize] as f64 / report.net.0 as f64
}

/// Availability MTBF / (MTBF + MTTR), for any distributions (renewal reward; Barlow & Proschan,
/// Mathematical Theory of Reliability, 1965, from memory).
#[test]
fn an_unreliable_station_is_available_as_renewal_theory_says() {
    let length = Length { replications: 20, warm_up: 500, units: 20_000 };
    for (gap, repair, mtbf, mttr) in [
        ("exponential mean 40 min", "exponential mean 10 min", 40.0, 10.0),
        ("10 to 50 min", "lognormal mean 6 sd 4 min", 30.0, 6.0),
        ("weibull shape 2 mean 20 min", "1/2/6 min", 20.0, 3.0),
    ] {
        let text = format!(
            "line \"{gap}\"\nmodel A 100 %\nrelease saturated\n\
             station S1  crew 1  stopping every {gap} for {repair}\ntask t1  takes 1 min  by 1  at S1\n"
        );
        let share = mttr / (mtbf + mttr);
        let values = [
            Value { what: "share stopped", exact: share, cap: 0.03, of: stopped_share },
            // Tasks of one minute in the time that is left.
            Value { what: "units per minute", exact: 1.0 - share, cap: THROUGHPUT * 2.0, of: per_minute },
        ];
        must_give(&text, length, &values);
    }
}

/// Stops that come with use: each minute of work brings mttr / mtbf minutes of stop, so a saturated
/// station of tasks of length t makes 1 / (t (1 + mttr / mtbf)) units (renewal reward, as above).
#[test]
fn a_station_that_wears_with_use_makes_what_renewal_theory_says() {
    let text = "line \"use\"\nmodel A 100 %\nrelease saturated\n\
         station S1  crew 1  stopping every exponential mean 20 min of use for exponential mean 5 min\n\
         task t1  takes gamma mean 2 min sd 1 min  by 1  at S1\n";
    let length = Length { replications: 20, warm_up: 500, units: 40_000 };
    let exact = 1.0 / (2.0 * 1.25);
    must_give(text, length, &[Value { what: "units per minute", exact, cap: THROUGHPUT, of: per_minute }]);
}

/// Machines that run, and the share of the time that the one repairer works: the machine interference
/// model with m machines, times to stop of mean `up` and repairs of mean `mend`, both exponential.
/// With r = mend / up, p0 = 1 / sum over k of m! / (m - k)! r^k; the repairer works 1 - p0, so
/// (1 - p0) / mend stops end per minute and a machine runs up (1 - p0) / (mend m) of the time.
/// (Gross & Harris, Fundamentals of Queueing Theory, finite-source queues; from memory.)
fn machine_interference(m: u32, up: f64, mend: f64) -> (f64, f64) {
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 0..m {
        term *= f64::from(m - k) * mend / up;
        sum += term;
    }
    let works = 1.0 - 1.0 / sum;
    (up * works / (mend * f64::from(m)), works)
}

fn mean_stopped_share(report: &Replication) -> f64 {
    let stopped: i64 = report.places.iter().map(|p| p.states[BayState::Stopped as usize]).sum();
    stopped as f64 / report.net.0 as f64 / report.places.len() as f64
}

fn mechanics_at_work(report: &Replication) -> f64 {
    // The group that the file names second.
    report.group_busy[1] as f64 / report.net.0 as f64
}

#[test]
fn machines_that_share_one_repairer_run_as_the_interference_model_says() {
    let length = Length { replications: 20, warm_up: 500, units: 30_000 };
    for (machines, up, mend) in [(2_u32, 30, 10), (4, 60, 15), (6, 100, 15)] {
        let mut text = format!(
            "line \"{machines} machines\"\nmodel A 100 %\nrelease saturated\n\
             people fitters {machines}\npeople mechanics 1\n"
        );
        for k in 1..=machines {
            text.push_str(&format!(
                "station S{k}  crew 1 fitters  stopping every exponential mean {up} min \
                 for exponential mean {mend} min by 1 mechanics\n"
            ));
        }
        for k in 1..=machines {
            let after = if k > 1 { format!("  after t{}", k - 1) } else { String::new() };
            text.push_str(&format!("task t{k}  takes 2 min  by 1{after}  at S{k}\n"));
        }
        let (runs, works) = machine_interference(machines, f64::from(up), f64::from(mend));
        let values = [
            Value { what: "share stopped", exact: 1.0 - runs, cap: 0.03, of: mean_stopped_share },
            Value { what: "repairer at work", exact: works, cap: 0.03, of: mechanics_at_work },
        ];
        must_give(&text, length, &values);
    }
}

/// Units per minute of two exponential stations (mean 1 min) with `slots` places between, both of which stop
/// while they work (rate `stop`) and are mended (rate `mend`); blocking after service. Solved as the
/// Markov chain over (units past the first station's work, first up, second up); the model is that of
/// Buzacott & Shanthikumar, Stochastic Models of Manufacturing Systems (1993), from memory.
fn two_unreliable_stations(slots: usize, stop: f64, mend: f64) -> f64 {
    let levels = slots + 3;
    let index = |n: usize, first: usize, second: usize| (n * 2 + first) * 2 + second;
    let mut ways: Vec<Vec<(usize, f64)>> = vec![Vec::new(); levels * 4];
    for n in 0..levels {
        for (first, second) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            let from = &mut ways[index(n, first, second)];
            let blocked = n == levels - 1;
            match first {
                1 if !blocked => {
                    from.push((index(n + 1, 1, second), 1.0));
                    from.push((index(n, 0, second), stop));
                }
                0 => from.push((index(n, 1, second), mend)),
                _ => {}
            }
            match second {
                1 if n > 0 => {
                    from.push((index(n - 1, first, 1), 1.0));
                    from.push((index(n, first, 0), stop));
                }
                0 => from.push((index(n, first, 1), mend)),
                _ => {}
            }
        }
    }
    let fastest = 2.2 + 2.0 * stop + 2.0 * mend;
    let mut share = vec![1.0 / ways.len() as f64; ways.len()];
    for _ in 0..200_000 {
        let mut next = vec![0.0; ways.len()];
        for (from, ways) in ways.iter().enumerate() {
            let out: f64 = ways.iter().map(|(_, rate)| rate).sum();
            next[from] += share[from] * (1.0 - out / fastest);
            for (to, rate) in ways {
                next[*to] += share[from] * rate / fastest;
            }
        }
        let change: f64 = next.iter().zip(&share).map(|(a, b)| (a - b).abs()).sum();
        share = next;
        if change < 1e-14 {
            break;
        }
    }
    (1..levels).flat_map(|n| [index(n, 0, 1), index(n, 1, 1)]).map(|s| share[s]).sum()
}

#[test]
fn two_unreliable_stations_give_what_their_markov_chain_says() {
    // Without stops: the published (b + 2) / (b + 3) of two exponential stations.
    assert!((two_unreliable_stations(2, 0.0, 1.0) - 0.8).abs() < 1e-9);
    let length = Length { replications: 20, warm_up: 1_000, units: 60_000 };
    for (slots, mtbf, mttr) in [(0, 20.0, 5.0), (3, 20.0, 5.0), (8, 10.0, 4.0)] {
        let stopping =
            format!("stopping every exponential mean {mtbf} min of use for exponential mean {mttr} min");
        let between = if slots > 0 { format!("  slots {slots}") } else { String::new() };
        let text = format!(
            "line \"{slots} slots\"\nmodel A 100 %\nrelease saturated\n\
             station S1  crew 1  {stopping}\nstation S2  crew 1{between}  {stopping}\n\
             task t1  takes exponential mean 1 min  by 1  at S1\n\
             task t2  takes exponential mean 1 min  by 1  after t1  at S2\n"
        );
        let exact = two_unreliable_stations(slots, 1.0 / mtbf, 1.0 / mttr);
        must_give(
            &text,
            length,
            &[Value { what: "units per minute", exact, cap: THROUGHPUT * 1.5, of: per_minute }],
        );
    }
}

/// Short stops come as a Poisson process of net time: n per shift on average.
#[test]
fn short_stops_come_so_many_per_shift() {
    let text = "line \"short\"\nmodel A 100 %\nrelease saturated\n\
         shift day 06:00 to 14:00 on mon to fri\n  break 09:00 lasting 30 min\n\
         station S1  crew 1  stopping 6 per shift for 0.5 min of net time\ntask t1  takes 1 min  by 1  at S1\n";
    // A gap of mean 450 / 6 = 75 min, then half a minute: 450 / 75.5 per shift.
    let per_shift = |r: &Replication| r.stops[0].count as f64 * min(450).0 as f64 / r.net.0 as f64;
    let length = Length { replications: 20, warm_up: 500, units: 40_000 };
    must_give(
        text,
        length,
        &[Value { what: "stops per shift", exact: 450.0 / 75.5, cap: 0.03, of: per_shift }],
    );
}

#[test]
fn a_stop_that_cannot_be_is_refused_with_its_cure() {
    let base = "line \"x\"\nmodel A 100 %\nrelease saturated\ntask t1  takes 1 min  by 1  at S1\n";
    for (statement, wanted) in [
        ("station S1  crew 1  stopping every 0 min for 5 min\n", "T303"),
        ("station S1  crew 1  stopping 6 per shift for 5 min\n", "T604"),
        ("station S1  crew 1  stopping 6 for 5 min\n", "T301"),
        ("station S1  crew 1  stopping every 3 h for 5 min by 1\n", "T501"),
        ("people fit 1\nstation S1  crew 1 fit  stopping every 3 h for 5 min by 1 fit\n", "T503"),
        ("station S1  crew 1\nstops gas of S1\n", "T307"),
        ("station S1  crew 1\nstops gas of S1, S1 stopping every 3 h for 5 min\n", "T104"),
        ("station S1  crew 1\nstops gas of S9 stopping every 3 h for 5 min\n", "T201"),
        (
            "station S1  crew 1\nstops gas stopping every 3 h for 5 min\nstops gas stopping every 3 h for 5 min\n",
            "T202",
        ),
        (
            "station S1  crew 1\nstops gas stopping every 3 h for 5 min\nstops air stopping every 3 h for 5 min draws as gas\n",
            "T202",
        ),
    ] {
        let errors = read(&format!("{base}{statement}")).expect_err("it is refused");
        assert!(errors.iter().any(|e| e.contains(wanted)), "{statement}: {errors:#?}");
    }
}
