//! Work that more people may share: by hand to the microsecond, and what the law must give.

use crate::follow::text::{line_of, record};
use crate::harness::taktwright;
use crate::published::rule::{Length, estimate, run};
use taktwright::balance::loads;
use taktwright::line::Line;
use taktwright::simulate::{Event, Horizon, Replication};
use taktwright::units::Time;

/// (unit, start, end, people) of a step, in the order of starts; what has not ended is left out.
fn runs(line: &Line, events: &[(Time, Event)], name: &str) -> Vec<(u64, Time, Time, u32)> {
    let wanted = line.steps.iter().position(|s| s.name == name).expect("the step is in the line");
    let started = |(at, event): &(Time, Event)| match event {
        Event::StepStarted { unit, step, people, ends, .. } if step.index() == wanted => {
            Some((*unit, *at, *ends, people.count_ones()))
        }
        _ => None,
    };
    events.iter().filter_map(started).collect()
}

fn min(minutes: i64) -> Time {
    Time::from_minutes(minutes)
}

/// Four people; a takes 1 to 4, 10 of its 40 min fixed, the rest by the square root; b takes 1, then c
/// takes 2.
///
/// At 0 a and b get the one each needs, then a takes the two who are left: 3 people, 10 + 30 / sqrt 3 =
/// 27.3205080757 min = 1,639,230,484.54 us, rounded 1,639,230,485. b ends at 10; one is free, c wants two and
/// nobody leaves a, so it runs from there to 5 min later. At a's end the unit is not done (c), so nothing
/// else begins. The second unit begins as the first.
#[test]
fn whoever_is_left_over_shares_the_task_and_stays_with_it() {
    let line = line_of(
        "line \"shared\"\nrelease saturated\nstation S1 crew 4\n\
         task a takes 40 min by 1 to 4 shared power 0.5, fixed 10 min at S1\n\
         task b takes 10 min by 1 at S1\ntask c takes 5 min by 2 after b at S1\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::HOUR));
    let long = Time(1_639_230_485);
    assert_eq!(runs(&line, &events, "b")[0], (0, Time::ZERO, min(10), 1));
    assert_eq!(runs(&line, &events, "a")[0], (0, Time::ZERO, long, 3));
    assert_eq!(runs(&line, &events, "c")[0], (0, long, long + min(5), 2));
    let second = long + min(5);
    assert_eq!(runs(&line, &events, "a")[1], (1, second, second + long, 3));
}

/// Five people, two bays, 20 min by 2, 15 by 3, 12 by 4. At 0 both units have two; the fifth goes to the
/// first: it ends at 15, the other at 20. At 15 three are free: 15 to 30; at 20 two: 20 to 40; at 30 three.
#[test]
fn the_first_of_two_tasks_takes_who_is_left() {
    let line = line_of(
        "line \"table\"\nrelease saturated\nstation S1 crew 5 bays 2\n\
         task a takes 20 min by 2 to 4 shared 3 in 75 %, 4 in 60 % at S1\n",
    );
    let (_, events) = record(&line, Horizon::For(min(35)));
    let wanted = [(0, 0, 15, 3), (1, 0, 20, 2), (2, 15, 30, 3), (3, 20, 40, 2), (4, 30, 45, 3)];
    let wanted: Vec<_> = wanted.map(|(unit, from, to, n)| (unit, min(from), min(to), n)).to_vec();
    assert_eq!(runs(&line, &events, "a"), wanted);
}

/// One plumber and three others: 2 may plumb but only one can; up to 3 others. Alone it gets all four, with
/// a factor of 1.5 for model T on everything, what is fixed too: 1.5 x (4 + 26 x (2 / 4)) = 25.5 min.
#[test]
fn skills_and_the_factor_of_a_model_hold_for_those_who_share() {
    let line = line_of(
        "line \"skills\"\nmodel S 50 %\nmodel T 50 %\nsequence pattern S T\npeople plumbers 1 can plumb\n\
         people fitters 3\nrelease saturated\nstation S1 crew 1 plumbers, 3 fitters\n\
         task a takes 30 min by 1 plumb, 1 to 3 shared power 1, fixed 4 min for T x 1.5 at S1\n",
    );
    let (_, events) = record(&line, Horizon::For(min(42)));
    let half = Time(min(1).0 / 2);
    let wanted = vec![(0, Time::ZERO, min(17), 4), (1, min(17), min(42) + half, 4)];
    assert_eq!(runs(&line, &events, "a"), wanted);
}

/// With power 1 and nothing fixed people x time is the same however many share it (work conserved): a single
/// station of n people finishes n times as many units of one-person work.
#[test]
fn with_power_one_the_work_is_conserved() {
    for n in 2..=6 {
        let line = line_of(&format!(
            "line \"conserved\"\nrelease saturated\nstation S1 crew {n}\n\
             task a takes 60 min by 1 to {n} shared power 1 at S1\n"
        ));
        let (report, _) = record(&line, Horizon::For(Time::HOUR * 10 + Time(1)));
        assert_eq!(report.finished, 10 * n);
        assert_eq!(report.crews[0].busy, (Time::HOUR.0 * 10 + 1) * i64::try_from(n).expect("small"));
    }
}

/// (start, end, people) of the fixes after a test, in the order of starts.
fn fixes(events: &[(Time, Event)]) -> Vec<(Time, Time, u32)> {
    let started = |(at, event): &(Time, Event)| match event {
        Event::FixStarted { people, ends, .. } => Some((*at, *ends, people.count_ones())),
        _ => None,
    };
    events.iter().filter_map(started).collect()
}

/// Three people: a takes one, 10 min; the fix of its fail whoever is free, 4 of its 20 min fixed, the rest by the
/// square root: 4 + 16 / sqrt 3 = 13.2376043070 min = 794,256,258.42 us, rounded 794,256,258. Then a again.
#[test]
fn a_fix_in_place_takes_who_is_free() {
    let line = line_of(
        "line \"fixed\"\nrelease saturated\nstation S1 crew 3\ntask a takes 10 min by 1 at S1\n\
         test q of a passes 0 %, again 100 %\n\
           on fail fixed in place takes 20 min by 1 to 3 shared power 0.5, fixed 4 min\n",
    );
    let (_, events) = record(&line, Horizon::For(min(30)));
    let ends = min(10) + Time(794_256_258);
    assert_eq!(fixes(&events), [(min(10), ends, 3)]);
    assert_eq!(runs(&line, &events, "a")[..2], [(0, Time::ZERO, min(10), 1), (0, ends, ends + min(10), 1)]);
}

/// A repair shop of three people with two places, 12 min by 1, 60 % by 2, 50 % by 3. The first unit comes at 5 and
/// has all three, 6 min; the second comes at 10 and finds nobody until 11: all three again, to 17; the third comes
/// at 15 and waits to 17.
#[test]
fn a_repair_takes_who_is_free_by_its_table() {
    let line = line_of(
        "line \"repaired\"\nrelease saturated\nstation S1 crew 1 returns in turn\ntask a takes 5 min by 1 at S1\n\
         repair R1 crew 3 places 2\ntest q of a passes 0 %, again 100 %\n\
           on fail to R1 takes 12 min by 1 to 3 shared 2 in 60 %, 3 in 50 %\n",
    );
    let (_, events) = record(&line, Horizon::For(min(20)));
    let wanted = [(5, 11, 3), (11, 17, 3), (17, 23, 3)].map(|(from, to, n)| (min(from), min(to), n));
    assert_eq!(fixes(&events)[..2], wanted[..2]);
    assert_eq!(fixes(&events).get(2), Some(&wanted[2]));
}

/// The window from the end of a to the start of c is 10 min; the nuts come at 30 min, so c is late at first. Then a
/// again (30 to 32) and the redo of b: 6 min by one, by two half of it.
fn after_a_missed_window(redo: &str) -> Vec<(u64, Time, Time, u32)> {
    let line = line_of(&format!(
        "line \"missed\"\nrelease saturated\nsupply nuts in lots of 5 every 30 min store of 9\nstation S1 crew 2\n\
         task a takes 2 min by 1 at S1\ntask b takes 4 min by 1 after a at S1\n\
         task c takes 3 min by 1 after b at S1 uses 1 nuts\n\
         window a end to c start within 10 min, else redo b takes 6 min by {redo}\n",
    ));
    let (_, events) = record(&line, Horizon::For(min(39)));
    assert_eq!(runs(&line, &events, "a")[1], (0, min(30), min(32), 1));
    [runs(&line, &events, "b"), runs(&line, &events, "c")].into_iter().flatten().collect()
}

#[test]
fn the_redo_of_a_missed_window_has_its_own_time_and_people_wherever_it_stands_between() {
    let first = (0, min(2), min(6), 1);
    let alone = after_a_missed_window("1");
    assert_eq!(alone[..3], [first, (0, min(32), min(38), 1), (0, min(38), min(41), 1)]);
    let shared = after_a_missed_window("1 to 2 shared power 1");
    assert_eq!(shared[0], first);
    assert_eq!(shared[1], (0, min(32), min(35), 2));
    assert!(shared.contains(&(0, min(35), min(38), 1)), "{shared:?}");
}

/// A queueing network that is known exactly (Jackson 1957): units come every 4 min on average (exponential), station
/// and repair take exponential times and serve in turn, every unit fails once. The station is visited twice, 1 min on
/// average: busy half the time, one unit there on average (u / (1 - u)). The repair takes 6 min of one person, 2 of
/// all three (power 1): busy half the time, again one unit. So two are in the line.
#[test]
fn a_repair_that_all_share_is_one_server_of_their_rate() {
    let line = line_of(
        "line \"network\"\nrelease every exponential mean 4 min\nstation S1 crew 1 slots 9000 returns in turn\n\
         task a takes exponential mean 1 min by 1 at S1\nrepair R1 crew 3 places 1\n\
         test q of a passes 0 %, again 100 %\n\
           on fail to R1 takes exponential mean 6 min by 1 to 3 shared power 1\n",
    );
    let seen = run(&line, 1, Length { replications: 40, warm_up: 200, units: 4_000 });
    let present = |r: &Replication| r.presence as f64 / r.clock.0 as f64;
    let found = estimate(&seen.iter().map(present).collect::<Vec<f64>>());
    assert!((found.mean - 2.0).abs() < 3.3 * found.error && found.error < 0.04, "{found:?}");
}

/// Every unit fails once and is fixed by all three: 10 min twice and 4 + 16 / sqrt 3 between are
/// 33.2376 min of 40; drawn between 2 and 6 min with 4 of them fixed the mean is that of min(T, 4) + (T - 4)+ / sqrt 3:
/// over 2..4 as it is (3 on average), over 4..6 4 + 1 / sqrt 3, so (3 + 4.577350) / 2 = 3.788675; with the two times
/// 10 min 23.7887 of 40.
#[test]
fn a_load_with_retests_has_the_fix_of_all_who_share_it() {
    let load = |time: &str| {
        let line = line_of(&format!(
            "line \"loads\"\npace 40 min\nstation S1 crew 3\ntask a takes 10 min by 1 at S1\n\
             test q of a passes 0 %, again 100 %\n\
               on fail fixed in place takes {time} by 1 to 3 shared power 0.5, fixed 4 min\n",
        ));
        loads(&line)[0].mean_share_with_retests(&line)
    };
    assert!((load("20 min") - 33.237604307 / 40.0).abs() < 1e-9, "{}", load("20 min"));
    assert!((load("2 to 6 min") - 23.788675 / 40.0).abs() < 1e-6, "{}", load("2 to 6 min"));
}

/// The window holds (40 - 5) x (1 / 4)^0.5 + 5 = 22.5 min of 30: the load is that of the crew there is.
#[test]
fn a_load_takes_whoever_is_free() {
    taktwright("check one.line")
        .file(
            "one.line",
            "line \"one\"\npace 30 min\nstation S1 crew 4\n\
             task a takes 40 min by 1 to 4 shared power 0.5, fixed 5 min\n",
        )
        .stdout_holds(&[" 75 ", "1 to 4"])
        .run();
}

/// The push comes after 20 min: 60 min by one take two people 30, of which 10 are left, a third, which is 20 min for one and
/// 10 for two. Of which 20 are fixed, 20 + 40 / 2 = 40, half of them is left: 30 for one, 20 for two, 1.5 times as long
/// with a factor. At 60 % for two, 36, of which 16 are left: 16 / 0.6 = 26 min 40 s for one.
#[test]
fn what_is_left_of_a_shared_task_is_said_for_its_fewest() {
    let left = |shared: &str, factor: &str, crew: u32| {
        let line = line_of(&format!(
            "line \"late\"\nrelease saturated\nstation S1 crew 2\nstation S2 crew {crew}\n\
             segment all S1 to S2 pushed every 20 min, late work travels\n\
             task a takes 60 min by 1 to 2 shared {shared} may travel to S2{factor} at S1\n"
        ));
        let (_, events) = record(&line, Horizon::For(min(90)));
        let runs = runs(&line, &events, "a");
        let of_first: Vec<_> = runs.iter().filter(|run| run.0 == runs[0].0).collect();
        let [begun, gone_on] = of_first[..2] else { unreachable!("two of two") };
        assert_eq!((begun.3, gone_on.3, gone_on.1 - begun.1), (2, crew.min(2), min(20)));
        gone_on.2 - gone_on.1
    };
    assert_eq!([1, 3].map(|crew| left("power 1", "", crew)), [min(20), min(10)]);
    assert_eq!([1, 2].map(|crew| left("power 1, fixed 20 min", "", crew)), [min(30), min(20)]);
    assert_eq!([1, 2].map(|crew| left("power 1, fixed 20 min", " x 1.5", crew)), [min(45), min(30)]);
    assert_eq!(left("2 in 60 %", "", 1), Time(1_600_000_000));
}
