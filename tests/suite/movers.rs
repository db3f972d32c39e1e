//! People who move the units of a segment, with a push or one by one: cases worked by hand to the microsecond.

use crate::by_hand::{Events, ended, min};
use crate::follow::text::{follow, line_of, record, settings_of};
use taktwright::line::Line;
use taktwright::simulate::{Event, Horizon, Replication};
use taktwright::units::Time;

fn ran(line: &Line, events: &Events, name: &str) -> Vec<(Time, Time)> {
    ended(line, events, name).iter().map(|(_, start, end)| (*start, *end)).collect()
}

fn pushes(events: &Events) -> Vec<Time> {
    let pushed = |(at, event): &(Time, Event)| matches!(event, Event::Pushed { .. }).then_some(*at);
    events.iter().filter_map(pushed).collect()
}

fn spans<const N: usize>(minutes: [(i64, i64); N]) -> [(Time, Time); N] {
    minutes.map(|(from, to)| (min(from), min(to)))
}

/// The pushed place P takes 4 min, Q after it 3; a move takes 2 min and two people, all of the crew, which also serves
/// the bench B behind: there a unit takes 9 min of one, and after 8 min of rest 1 min of one.
///
/// The first push at 0 lets unit 0 in: it arrives at 2, P to 6. Push at 6: at Q from 8 to 11; unit 1 at P from 8 to
/// 12. Push at 12, unit 0 out to B: there at 14, its work to 23 by one. Units 1 and 2 are at Q and P from 14 on, the
/// other person does Q to 17 and P from 17 to 21. All are ready at 21, and one is at B up to 23: the push waits. Unit 0 has
/// rested at 22, and whoever is free is kept back: the push goes at 23, its minute at B follows from 25 on.
#[test]
fn a_push_waits_for_the_people_who_move_the_units() {
    let line = line_of(
        "line \"push\"\nmodel A 100 %\nrelease saturated\nstation P\nstation Q\nstation B  bays 2\n\
         team all crew 2 serving P, Q, B\n\
         segment front P to Q pushed when all are ready index 2 min by 2\n\
         task p  takes 4 min  by 1  at P\ntask q  takes 3 min  by 1  at Q  after p\n\
         task b  takes 9 min  by 1  at B  after q\n\
         hold h  at least 8 min  at B  after q\ntask c  takes 1 min  by 1  at B  after h\n",
    );
    let (report, events) = record(&line, Horizon::For(min(27)));
    assert_eq!(pushes(&events), [0, 6, 12, 23].map(min));
    assert_eq!(ran(&line, &events, "b"), spans([(14, 23)]));
    assert_eq!(ran(&line, &events, "q"), spans([(8, 11), (14, 17)]));
    assert_eq!(ran(&line, &events, "p"), spans([(2, 6), (8, 12), (17, 21)]));
    assert_eq!(ran(&line, &events, "c"), spans([(25, 26)]));
    assert_eq!(report.segments[0].waited_for_people, min(2));
    // Two people, 2 min, four times.
    assert_eq!(report.crews[0].moving, min(16).0);
}

/// The signal falls every 10 min, a move takes 1 min and both of two. One of them is away for every shift of the first
/// weekday: then the other one moves the units alone, in the same time.
#[test]
fn with_fewer_there_those_who_are_there_move_the_units() {
    let line = line_of(
        "line \"away\"\nshift day 06:00 to 07:00\nmodel A 100 %\nrelease saturated\npeople hands 2\n\
         absent 0 %, mon 50 %\nstation P crew 2 hands\n\
         segment front P to P pushed every 10 min index 1 min by 2 hands\n\
         task p  takes 4 min  by 1  at P\n",
    );
    for seed in 1..20 {
        let settings = taktwright::simulate::Settings { seed, ..settings_of(1, Horizon::Shifts(1)) };
        let (report, faults) = follow(&line, &settings).expect("it runs");
        assert_eq!(faults, Vec::<String>::new());
        let there = 2 - report.crews[0].absent / min(60).0;
        let pushes = report.segments[0].pushes as i64;
        // At 9, 19, ... 59; the last one ends with the shift.
        assert_eq!(report.crews[0].moving, there * min(pushes).0, "{report:?}");
        assert_eq!(pushes, if there > 0 { 6 } else { 0 });
        assert_eq!(report.group_moving[0], report.crews[0].moving);
    }
}

/// One rigger does P (4 min) and Q (3 min), the driver the bench B behind (9 min); a move takes 2 min.
///
/// 0: first push, unit 0 at P from 2 to 6. 6: push, Q from 8 to 11, then P (unit 1) to 15. 15: push, unit 0 at B from 17 to
/// 26, Q to 20, P to 24. Where the rigger moves them alone the push goes at 24 and finds no room at B until 26, where
/// there is one bay; with two bays at 24. With the driver, too, it waits for the end of B: 26.
#[test]
fn a_push_waits_for_one_of_every_skill_it_names() {
    let pushed = |by: &str| {
        let line = line_of(&format!(
            "line \"skills\"\nmodel A 100 %\nrelease saturated\npeople riggers 1\npeople drivers 1\n\
             station P\nstation Q\nstation B  bays 2\nteam all crew 1 riggers, 1 drivers serving P, Q, B\n\
             segment front P to Q pushed when all are ready index 2 min by {by}\n\
             task p  takes 4 min  by 1 riggers  at P\ntask q  takes 3 min  by 1 riggers  at Q  after p\n\
             task b  takes 9 min  by 1 drivers  at B  after q\n",
        ));
        let (report, events) = record(&line, Horizon::For(min(29)));
        (
            pushes(&events),
            report.segments[0].waited_for_people,
            report.crews[0].moving,
            ran(&line, &events, "b"),
        )
    };
    let (pushes, waited, moving, b) = pushed("1 riggers");
    assert_eq!((pushes, waited, moving), ([0, 6, 15, 24].map(min).to_vec(), Time::ZERO, min(8).0));
    assert_eq!(b, spans([(17, 26)]));
    let (pushes, waited, moving, _) = pushed("1 drivers, 1 riggers");
    assert_eq!((pushes, waited, moving), ([0, 6, 15, 26].map(min).to_vec(), min(2), min(16).0));
}

/// Two riggers and two drivers, each away with 30 %: a push takes one rigger and both drivers, or those who are there; in
/// a shift without riggers, or without drivers, there is none: 1 - (1 - 0.3^2)^2 of the shifts (the binomial law of statrs).
#[test]
fn without_anybody_of_one_skill_a_shift_has_no_push() {
    use statrs::distribution::{Binomial, DiscreteCDF};
    let line = line_of(
        "line \"away\"\nshift day 06:00 to 07:00\nmodel A 100 %\nrelease saturated\npeople riggers 2\n\
         people drivers 2\nabsent 30 %\nstation P crew 2 riggers, 2 drivers\n\
         segment front P to P pushed every 10 min index 1 min by 1 riggers, 2 drivers\n\
         task p  takes 0.5 min  by 0  at P\n",
    );
    let settings = settings_of(5, Horizon::Shifts(3_000));
    let (report, faults) = follow(&line, &settings).expect("it runs");
    assert_eq!(faults, Vec::<String>::new());
    let with = report.per_shift.iter().filter(|units| **units > 0).count() as u64;
    let law = Binomial::new((1.0f64 - 0.09).powi(2), 3_000).expect("a share");
    let (low, high) = (law.inverse_cdf(0.0005), law.inverse_cdf(0.9995));
    assert!((low..=high).contains(&with), "{with} of 3000, {low} to {high} by the binomial law");
    // Mean heads of a push: a rigger and, of those shifts, one driver or two.
    let heads = report.crews[0].moving as f64 / min(1).0 as f64 / report.segments[0].pushes as f64;
    let drivers = (2.0 * 0.7 * 0.3 + 2.0 * 0.49) / 0.91;
    assert!((heads - 1.0 - drivers).abs() < 0.05, "{heads} heads");
}

/// Two bays of 4 min by the rigger, moved in 1 min by the driver and whoever else is there. From 06:00 on: unit 0 is there
/// at 1, unit 1 at 2, P to 6; at 7 unit 2, P to 11; at 12 unit 3. Then begins a shift without drivers: P of unit 2 to 16,
/// and its push waits for another shift. It keeps nobody back: P of unit 3 from 16 to 20.
#[test]
fn a_push_that_waits_for_another_shift_keeps_nobody_back() {
    let line = line_of(
        "line \"nobody\"\nshift early 06:00 to 06:12\nshift late 06:12 to 07:00\n  with 0 drivers\nmodel A 100 %\n\
         release saturated\npeople riggers 1\npeople drivers 1\nstation P bays 2 crew 1 riggers, 1 drivers\n\
         segment front P to P pushed when all are ready index 1 min by 1 drivers, 1\n\
         task p  takes 4 min  by 1 riggers  at P\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::HOUR * 7));
    assert_eq!(pushes(&events), [360, 361, 366, 371].map(min));
    assert_eq!(ran(&line, &events, "p"), spans([(362, 366), (367, 371), (372, 376), (376, 380)]));
}

fn entries(events: &Events) -> Vec<(u64, Time, Time)> {
    let entry = |(at, event): &(Time, Event)| match event {
        Event::Moved { unit, to: taktwright::simulate::Spot::Bay(..), arrives, .. } => {
            Some((*unit, *at, *arrives))
        }
        _ => None,
    };
    events.iter().filter_map(entry).collect()
}

/// P takes 3 min, Q 5, by one each; two people do all of it, and a move takes both, 1 min. The place nearest to the end
/// goes first, and whoever is free begins nothing while a move waits.
///
/// Unit 0 comes in from 0 to 1, P to 4, moves to Q from 4 to 5. Unit 1 could come in at 4: the people are back at 5, and
/// begin nothing before it is in: 5 to 6. Q of unit 0 from 6 to 11, P of unit 1 from 6 to 9: unit 1 is blocked until Q is
/// free at 11. Then it goes to Q from 11 to 12, unit 2 comes in from 12 to 13, having waited 1 min for people; and so on
/// every 7 min.
#[test]
fn units_are_moved_one_by_one_by_people_who_are_free() {
    let line = line_of(
        "line \"by hand\"\nmodel A 100 %\nrelease saturated\nstation P\nstation Q\n\
         team all crew 2 serving P, Q\nsegment all P to Q moving 1 min by 2\n\
         task p  takes 3 min  by 1  at P\ntask q  takes 5 min  by 1  at Q  after p\n",
    );
    let (report, events) = record(&line, Horizon::For(min(21)));
    let expected = [(0, 0, 1), (0, 4, 5), (1, 5, 6), (1, 11, 12), (2, 12, 13), (2, 18, 19), (3, 19, 20)];
    assert_eq!(entries(&events), expected.map(|(unit, from, to)| (unit, min(from), min(to))));
    assert_eq!(ran(&line, &events, "p"), spans([(1, 4), (6, 9), (13, 16)]));
    assert_eq!(ran(&line, &events, "q"), spans([(6, 11), (13, 18)]));
    assert_eq!(report.segments[0].moves, 7);
    assert_eq!(report.segments[0].waited_for_people, min(3));
    assert_eq!(report.crews[0].moving, min(14).0);
}

/// A rigger moves every unit, 2 min: into the slot before P (6 min by a fitter), and out of it. Unit 0 goes past the empty
/// slot, from 0 to 2, P to 8; unit 1 into the slot from 2 to 4, and on from 8 to 10; unit 2 into the slot from 10 to 12.
/// P of unit 1 to 16, unit 2 on from 16 to 18, unit 3 into the slot from 18 on. Those for the slot wait 2 min each time.
#[test]
fn into_a_slot_and_out_of_it_are_two_moves() {
    let line = line_of(
        "line \"rigger\"\nmodel A 100 %\nrelease saturated\npeople fitters 1\npeople riggers 1\n\
         station P slots 1 crew 1 fitters, 1 riggers\nsegment all P to P moving 2 min by 1 riggers\n\
         task p  takes 6 min  by 1 fitters  at P\n",
    );
    let (report, events) = record(&line, Horizon::For(min(19)));
    assert_eq!(
        entries(&events),
        [(0, 0, 2), (1, 8, 10), (2, 16, 18)].map(|(u, from, to)| (u, min(from), min(to)))
    );
    assert_eq!(ran(&line, &events, "p"), spans([(2, 8), (10, 16)]));
    assert_eq!((report.segments[0].moves, report.segments[0].waited_for_people), (6, min(6)));
}

/// Share of the time in which the one who serves `bays` sources is busy, each of them free for an exponential time of mean
/// `up` between two services of length `lasts`: with H(k) the product over i = 1..k of exp(i lasts / up) - 1, it is
/// 1 - 1 / (1 + n lasts / up sum over k < n of C(n - 1, k) H(k)). (Machine interference with constant service: Takacs,
/// Introduction to the Theory of Queues, 1962, from memory; with exponential service it is the usual finite-source sum.)
fn serves_constant_times(bays: u32, up: f64, lasts: f64) -> f64 {
    let (mut sum, mut product, mut choose) = (0.0, 1.0, 1.0);
    for k in 0..bays {
        sum += choose * product;
        product *= (f64::from(k + 1) * lasts / up).exp_m1();
        choose *= f64::from(bays - 1 - k) / f64::from(k + 1);
    }
    1.0 - 1.0 / (1.0 + f64::from(bays) * lasts / up * sum)
}

/// Whoever brings units to several bays, one by one, is the repairer of the machine interference model: a bay is up while
/// its unit is worked on, and what it waits for is the next unit.
#[test]
fn whoever_brings_units_one_by_one_is_busy_as_the_interference_model_says() {
    use crate::published::rule::{Length, THROUGHPUT, Value, must_give, per_minute};
    let moves = |report: &Replication| report.crews[0].moving as f64 / report.net.0 as f64;
    for (bays, up, lasts) in [(1, 10, 4), (3, 10, 2), (6, 20, 4)] {
        let text = format!(
            "line \"{bays} bays\"\nmodel A 100 %\nrelease saturated\nstation P bays {bays} crew 1\n\
             segment all P to P moving {lasts} min by 1\ntask p  takes exponential mean {up} min  by 0  at P\n"
        );
        let busy = serves_constant_times(bays, f64::from(up), f64::from(lasts));
        let length = Length { replications: 20, warm_up: 500, units: 20_000 };
        let values = [
            Value { what: "mover at work", exact: busy, cap: 0.03, of: moves },
            Value {
                what: "units per minute",
                exact: busy / f64::from(lasts),
                cap: THROUGHPUT,
                of: per_minute,
            },
        ];
        must_give(&text, length, &values);
    }
}
