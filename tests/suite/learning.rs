//! New people: Wright's unit curve, by hand.

use crate::follow::text::{line_of, record};
use taktwright::line::Line;
use taktwright::simulate::{Event, Horizon};
use taktwright::units::Time;

/// Lengths of a step in minutes, in the order of its starts.
fn lengths(line: &Line, events: &[(Time, Event)], name: &str) -> Vec<f64> {
    let wanted = line.steps.iter().position(|s| s.name == name).expect("the step is in the line");
    let started = |(_, event): &(Time, Event)| match event {
        Event::StepStarted { step, length, .. } if step.index() == wanted => Some(length.0 as f64 / 60e6),
        _ => None,
    };
    events.iter().filter_map(started).collect()
}

const NEW: &str = "line \"new\"\npeople fitters 2\npeople trainees 1 can fitters\n\
     learning trainees x 5 at first, 80 % with each doubling\nrelease saturated\n";

/// The trainee alone, 10 min: 50, 40, then 50 x the unit values of the 80 % curve as textbooks of operations
/// management table them (Heizer & Render and others; from memory): 0.7021, 0.64, 0.5956, 0.5617, 0.5345.
#[test]
fn times_fall_along_the_unit_curve() {
    let line = line_of(&format!("{NEW}station S1 crew 1 trainees\ntask t takes 10 min by 1 at S1\n"));
    let (_, events) = record(&line, Horizon::For(Time::HOUR * 5));
    let tabled = [1.0, 0.8, 0.7021, 0.64, 0.5956, 0.5617, 0.5345];
    for (found, tabled) in lengths(&line, &events, "t").iter().zip(tabled) {
        assert!((found - 50.0 * tabled).abs() < 0.003, "{found} of {}", 50.0 * tabled);
    }
    // Powers of two are exact but for the rounding of the logarithm: 50 x 0.8^2 = 32 min.
    assert!((lengths(&line, &events, "t")[3] - 32.0).abs() < 1e-7);
}

/// 60 % with each doubling from 1.5: 1.5, then 0.9, which is never less than 1.
#[test]
fn nobody_gets_faster_than_those_who_know_it() {
    let text = NEW.replace("x 5 at first, 80 %", "x 1.5 at first, 60 %");
    let line = line_of(&format!("{text}station S1 crew 1 trainees\ntask t takes 10 min by 1 at S1\n"));
    let (_, events) = record(&line, Horizon::For(Time::HOUR));
    assert_eq!(lengths(&line, &events, "t"), vec![15.0, 10.0, 10.0, 10.0, 10.0, 10.0]);
}

/// Two tasks on a unit by the trainee and a fitter: both of its first unit take the mean of 5 and 1, 3 times
/// as long, both of its second the mean of 4 and 1. A hold knows nothing of it.
#[test]
fn a_crew_takes_the_mean_and_a_unit_counts_once() {
    let line = line_of(&format!(
        "{NEW}station S1 crew 1 fitters, 1 trainees\ntask t takes 10 min by 2 at S1\n\
         hold h at least 7 min after t at S1\ntask u takes 4 min by 2 after h at S1\n"
    ));
    let (_, events) = record(&line, Horizon::For(Time::HOUR * 2));
    assert_eq!(lengths(&line, &events, "t")[..2], [30.0, 25.0]);
    assert_eq!(lengths(&line, &events, "u")[..2], [12.0, 10.0]);
    assert!(lengths(&line, &events, "h").iter().all(|h| *h == 7.0));
}

/// 12 min by 1 to 3, shared with power 1: by all three 4 min; the trainee is one of three, so (1 + 1 + 5) / 3.
#[test]
fn the_mean_acts_on_shared_work_too() {
    let line = line_of(&format!(
        "{NEW}station S1 crew 2 fitters, 1 trainees\ntask t takes 12 min by 1 to 3 shared power 1 at S1\n"
    ));
    let (_, events) = record(&line, Horizon::For(Time::HOUR));
    let first = lengths(&line, &events, "t")[0];
    assert!((first - 4.0 * 7.0 / 3.0).abs() < 1e-7, "{first}");
}

/// Both are new: twice as long on the first unit, no longer on the second. A push every 10 min; 6 min at S1 may travel.
///
/// Unit 0 enters at 10 and is worked on for 12 min: at 20 the push cuts it off with 2 min left. At S2 whoever is there goes
/// on with these 2 min, no longer for being new, and has unit 0 as the first one: 1 min takes 2, from 22. Unit 1 is the second
/// of both: 6 min from 20, and 1 min from 30.
#[test]
fn late_work_keeps_the_pace_of_whoever_began_it() {
    let line = line_of(
        "line \"late\"\npeople trainees 2\nlearning trainees x 2 at first, 50 % with each doubling\nrelease saturated\n\
         station S1  crew 1 trainees\nstation S2  crew 1 trainees\ntask a  takes 6 min  by 1  may travel to S2  at S1\n\
         task b  takes 1 min  by 1  after a  at S2\nsegment t S1 to S2  pushed every 10 min, late work travels\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::from_minutes(35)));
    assert_eq!(lengths(&line, &events, "a"), [12.0, 2.0, 6.0, 6.0]);
    assert_eq!(lengths(&line, &events, "b"), [2.0, 1.0]);
}

/// A push every 10 min, index 1; the trainee at P2 begins 2 min early: b of unit 0 at 17, its first unit and twice as long:
/// 2 of 8 min before the push of 19, 6 from 20 on. Going on is no new start; unit 1, the second, takes 4 min from 27.
#[test]
fn what_is_begun_early_is_a_unit_of_those_who_begin_it() {
    let line = line_of(
        "line \"early\"\npeople fitters 1\npeople trainees 1\nlearning trainees x 2 at first, 50 % with each doubling\n\
         release saturated\nstation P1  crew 1 fitters\nstation P2  crew 1 trainees  drift 2 min early\n\
         segment all P1 to P2  pushed every 10 min  index 1 min\ntask a  takes 5 min  by 1  at P1\n\
         task b  takes 4 min  by 1  after a  at P2\n",
    );
    let (_, events) = record(&line, Horizon::For(Time::from_minutes(38)));
    assert_eq!(lengths(&line, &events, "b"), [8.0, 4.0, 4.0]);
    let ends: Vec<Time> = crate::by_hand::ended(&line, &events, "b").iter().map(|(_, _, end)| *end).collect();
    assert_eq!(ends, [26, 32].map(Time::from_minutes));
    assert_eq!(lengths(&line, &events, "a"), [5.0; 3]);
}
