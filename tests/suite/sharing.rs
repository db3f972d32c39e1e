//! Work that more people may share: by hand to the microsecond, and what the law must give.

use crate::follow::text::{line_of, record};
use crate::harness::taktwright;
use taktwright::line::Line;
use taktwright::simulate::{Event, Horizon};
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
