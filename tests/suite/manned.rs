//! Shifts that have fewer people of a group: by hand to the microsecond, and against the binomial law.

use crate::by_hand::{at, ended, min};
use crate::follow::text::{follow, line_of, record, settings_of};
use statrs::distribution::{Binomial, Discrete};
use taktwright::simulate::{BayState, Event, Horizon, Observations};
use taktwright::stats::{self, Beside};
use taktwright::units::Time;

/// Two shifts of two hours, the late one with one of two fitters.
const HALL: &str = "line \"late\"\nshift early 06:00 to 08:00\nshift late 08:00 to 10:00 with 1 fitters\n\
     model A 100 %\nrelease saturated\npeople fitters 2\nstation S1 crew 2 fitters\n";

/// 50 min by two. Early: 6:00 to 6:50, to 7:40; the third has 30 min left at 8:00 and goes on with the one who is there,
/// in the same time: 8:30. Then one alone takes 100 min: at 10:00 there are 10 left, done by the two of the next day who
/// go on with it, one of them: 6:10. Then by two again: 7:00, 7:50.
#[test]
fn a_shift_with_fewer_people_is_short_handed() {
    let line = line_of(&format!("{HALL}task t takes 50 min by 2\n"));
    let (report, events) = record(&line, Horizon::Shifts(3));
    let ends: Vec<Time> = ended(&line, &events, "t").iter().map(|(_, _, end)| *end).collect();
    let clocks = [(0, 6, 50), (0, 7, 40), (0, 8, 30), (1, 6, 10), (1, 7, 0), (1, 7, 50)];
    assert_eq!(ends, clocks.map(|(day, h, m)| at(day, h, m)));
    let crew = &report.crews[0];
    assert_eq!((crew.shifts, crew.short_shifts), (3, 1));
    assert_eq!(
        (crew.absent, crew.not_on_shift, report.group_absent[0]),
        (min(120).0, min(120).0, min(120).0)
    );
    // Two from 6 to 8, one to 10, one to 6:10, two to 8.
    assert_eq!(crew.busy, min(240 + 120 + 10 + 220).0);
    // Attended are 240 + 120 + 240 person-minutes, 100 for each of six units.
    let observed = Observations { replications: vec![report], ..Observations::default() };
    let summary = stats::summarise(&line, &observed, &Beside::default());
    let attended = summary.flow.attended.expect("units were finished").value;
    assert!((attended - 100.0).abs() < 1e-9, "{attended}");
}

#[test]
fn check_says_how_many_of_a_group_a_shift_has() {
    crate::harness::taktwright("check hall.line")
        .file("hall.line", format!("{HALL}task t takes 50 min by 2\n"))
        .stdout_holds(&["2 people wanted; fitters 2 of 2 existing (1 on late)"])
        .run();
}

/// What is done exactly by two waits for the early shift of the next day; a floater sits in the empty seat.
#[test]
fn who_never_works_alone_waits_and_floaters_stand_in() {
    let exactly = format!("{HALL}task t takes 50 min by 2 exactly\n");
    let (_, events) = record(&line_of(&exactly), Horizon::Shifts(3));
    let line = line_of(&exactly);
    let ends: Vec<Time> = ended(&line, &events, "t").iter().map(|(_, _, end)| *end).collect();
    // 30 min are left over night.
    assert_eq!(ends, [(0, 6, 50), (0, 7, 40), (1, 6, 30), (1, 7, 20)].map(|(day, h, m)| at(day, h, m)));
    let line = line_of(&format!("{exactly}floaters 1\n"));
    let (report, events) = record(&line, Horizon::Shifts(2));
    assert_eq!(ended(&line, &events, "t").len(), 4, "240 min of work: 50, 100, 150, 200");
    assert_eq!((report.crews[0].absent, report.crews[0].not_on_shift), (0, min(120).0));
    assert_eq!(report.floaters[0].standing_in, min(120).0);
}

/// Early 6 fitters, late 4 of them, each away with 20 %. How many are there is binomial of 6 and of 4 (statrs), and
/// those of the late shift who are there are the same people as where all six were to come.
#[test]
fn who_is_there_is_binomial_of_those_the_shift_has() {
    let text = |with: &str| {
        format!(
            "line \"away\"\nshift early 06:00 to 07:00\nshift late 07:00 to 08:00 {with}\nmodel A 100 %\n\
             release saturated\npeople fitters 6\nabsent 20 %\nstation S1 crew 6 fitters\ntask t takes 30 min by 6\n"
        )
    };
    let came = |with: &str| -> Vec<u128> {
        let line = line_of(&text(with));
        let (_, events) = record(&line, Horizon::Shifts(1_000));
        let here = |(_, event): &(Time, Event)| match event {
            Event::Came { here, .. } => Some(*here),
            _ => None,
        };
        events.iter().filter_map(here).collect()
    };
    let (fewer, all) = (came("with 4 fitters"), came(""));
    assert_eq!(fewer.len(), 1_000);
    for (shift, (fewer, all)) in fewer.iter().zip(&all).enumerate() {
        assert_eq!(*fewer, if shift % 2 == 0 { *all } else { all & 0b1111 });
    }
    for (late, people) in [(0, 6u64), (1, 4)] {
        let law = Binomial::new(0.8, people).expect("a share");
        let counts = fewer.iter().skip(late).step_by(2).map(|here| u64::from(here.count_ones()));
        let mut seen = vec![0.0; people as usize + 1];
        counts.for_each(|n| seen[n as usize] += 1.0);
        // Pearson's chi-squared of the cells that expect five or more; its 99.9 % point is below 22.5 for up to six
        // degrees of freedom (table, from memory).
        let expected = (0..=people).map(|k| law.pmf(k) * 500.0);
        let off: f64 =
            seen.iter().zip(expected).filter(|(_, e)| *e >= 5.0).map(|(n, e)| (n - e).powi(2) / e).sum();
        assert!(off < 22.5, "{seen:?} of {people}: {off}");
    }
}

/// Eight hours early with three fitters, eight late with one, five days: 8 x 5 x (3 + 1) x 30 EUR a week; a clerk at 50
/// comes to both. A paid hour costs (2 x 30) + 50 on average.
#[test]
fn nobody_is_paid_who_is_not_on_the_shift() {
    let line = line_of(
        "line \"paid\"\nshift early 06:00 to 14:00 on mon to fri meal 10:00 lasting 20 min paid\n\
         shift late 14:00 to 22:00 on mon to fri meal 18:00 lasting 20 min paid with 1 fitters\n\
         release saturated\npeople fitters 3\npeople clerks 1\nstation S1 crew 3 fitters\ntask t takes 30 min by 1\n\
         money EUR\ncost people 30 EUR per hour\ncost clerks 50 EUR per hour\n",
    );
    let week = 8.0 * 5.0 * (4.0 * 30.0 + 2.0 * 50.0);
    let year = stats::year_cost(&line).expect("the file states costs");
    assert!((year - week * 365.0 / 7.0).abs() < 1e-6, "{year}");
    let (run, faults) = follow(&line, &settings_of(1, Horizon::Shifts(10))).expect("it runs");
    assert_eq!(faults, Vec::<String>::new());
    let observed = Observations { replications: vec![run], ..Observations::default() };
    let costs = stats::summarise(&line, &observed, &Beside::default()).costs.expect("the file states costs");
    assert!((costs.people_hour - 110.0).abs() < 1e-9, "{}", costs.people_hour);
}

/// A feeder's own shift has people of the feeder: one of two presses at night, 40 min instead of 20.
#[test]
fn shifts_of_a_feeder_have_their_own_people() {
    let line = line_of(
        "line \"trays\"\nshift day 06:00 to 14:00\nrelease saturated\npeople fitters 1\npeople pressers 2\n\
         station B1 crew 1 fitters\ntask b1 takes 30 min by 1 uses 1 trays\n\
         feeder trays store of 90 {\n  shift night 00:00 to 02:00 with 1 pressers\n  shift noon 12:00 to 14:00\n\
           station T1 crew 2 pressers\n  task t1 takes 20 min by 2\n}\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::from_minutes(14 * 60 + 1)));
    let ends: Vec<Time> = ended(&line, &events, "t1").iter().map(|(_, _, end)| *end).collect();
    let clocks = [(0, 40), (1, 20), (2, 0), (12, 20), (12, 40), (13, 0), (13, 20), (13, 40), (14, 0)];
    assert_eq!(ends, clocks.map(|(h, m)| at(0, h, m)));
}

/// S3 begins up to 5 min early. Unit 0 comes to S2, which has no crew, at 20: h to 22, b from 24 on. At 26 the shift is over
/// and S3 has nobody: b stands still, and S2 is short of people, until the push of 29 takes the unit.
#[test]
fn what_is_begun_early_stands_still_for_want_of_people_in_a_place_without_a_crew() {
    let line = line_of(
        "line \"early\"\nshift early 06:00 to 06:26\nshift late 06:26 to 08:00 with 1 fitters\nmodel A 100 %\n\
         release saturated\nstart empty\npeople fitters 2\nstation S1 crew 1 fitters\nstation S2\n\
         station S3 crew 1 fitters drift 5 min early\nsegment all S1 to S3 pushed every 10 min index 1 min\n\
         task a takes 2 min by 1 at S1\nhold h at least 2 min after a at S2\n\
         task b takes 10 min by 1 after h at S3\n",
    );
    let (report, events) = record(&line, Horizon::For(at(0, 6, 30)));
    let says = |(time, event): &(Time, Event)| match event {
        Event::BayIs { place, state, .. } if place.index() == 1 && *time > at(0, 6, 19) => {
            Some((*time, *state))
        }
        _ => None,
    };
    let states: Vec<(Time, BayState)> = events.iter().filter_map(says).collect();
    let wanted = [
        (20, BayState::Holding),
        (22, BayState::WaitingForSignal),
        (24, BayState::Working),
        (26, BayState::ShortOfPeople),
        (29, BayState::Moving),
    ];
    assert_eq!(states[..5], wanted.map(|(minute, state)| (at(0, 6, minute), state)));
    let time_in = |state: BayState| report.places[1].states[state as usize];
    assert_eq!((time_in(BayState::Working), time_in(BayState::ShortOfPeople)), (min(2).0, min(3).0));
}
