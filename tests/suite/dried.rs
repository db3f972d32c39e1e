//! Lines that have dried up: they say so as soon as nothing but shifts, stops, pushes of nothing and the like is left; and
//! not a moment sooner. Worked by hand.

use crate::by_hand::{at, finishes, min};
use crate::follow::text::{follow, line_of, record, settings_of};
use taktwright::line::Release;
use taktwright::simulate::{Horizon, RunErrorKind};
use taktwright::units::Time;

/// When a line, into which two units come after 10 and 20 min of net time, finds that no third one will.
fn dries_at(text: &str) -> Time {
    let mut line = line_of(&format!("line \"Dry\"\nmodel A 100 %\nrelease every 10 min\n{text}"));
    line.release = Release::List(vec![(min(10), None), (min(20), None)]);
    let Err((error, faults)) = follow(&line, &settings_of(1, Horizon::Units(3))) else {
        panic!("two units can't be three");
    };
    assert_eq!(error.kind, RunErrorKind::Dried { finished: 2, standing: Vec::new(), full: Vec::new() });
    assert_eq!(faults, Vec::<String>::new());
    error.at
}

/// Both are done at 25; the stop of 60 is over at 65, and nothing is left but stops.
#[test]
fn stops_that_go_on_are_no_progress() {
    let text = "station S1 crew 1 stopping every 60 min for 5 min\ntask t takes 5 min by 1 at S1\n";
    assert_eq!(dries_at(text), min(65));
}

/// From 06:00 on: both are done at 06:25, and nobody comes in on the next morning. A place that broke down at 06:50 and is
/// mended in working time only says so as soon as it stands no more, at 06:05.
#[test]
fn shifts_that_go_on_are_no_progress() {
    let text = "shift day 06:00 to 07:00\nstation S1 crew 1\ntask t takes 5 min by 1 at S1\n";
    assert_eq!(dries_at(text), at(1, 6, 0));
    let stops = "shift day 06:00 to 07:00\nstation S1 crew 1 stopping every 410 min for 15 min of net time\n\
                 task t takes 5 min by 1 at S1\n";
    assert_eq!(dries_at(stops), at(1, 6, 5));
}

/// Pushed every 10 min in 1: the units released at 10 and 20 come with the pushes of 19 and 29 and go with those of 29 and
/// 39. That one is over at 40, and those that follow push nothing.
#[test]
fn pushes_of_nothing_are_no_progress() {
    let text = "station S1 crew 1\nsegment all S1 to S1 pushed every 10 min index 1 min\ntask t takes 5 min by 1 at S1\n";
    assert_eq!(dries_at(text), min(40));
}

/// A takes 20 min at S1, B 5, and both bays work at once: B, the second, comes to S2 first and waits for its part. The one
/// place of the store holds that for A, which is done at 20 and finds S2 taken. A part takes 1 min, so the store has been full
/// since 1. Another A, that came as B went, is done at 25; from then on nothing is left to happen, and a run says so that is asked for shifts or hours, too.
#[test]
fn units_that_stand_for_good_end_a_run_of_any_length() {
    let text = |shift: &str| {
        format!(
            "line \"stands\"\n{shift}model A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\n\
             station S1 crew 2 bays 2\nstation S2 crew 1\ntask a takes 20 min for B 5 min by 1 at S1\n\
             task b takes 2 min by 1 after a uses 1 x at S2\n\
             feeder x builds 2 units ahead, store of 1 {{\n  station P crew 1\n  task p takes 1 min by 1\n}}\n"
        )
    };
    let stands = |shift: &str, horizon: Horizon| {
        let Err((error, faults)) = follow(&line_of(&text(shift)), &settings_of(1, horizon)) else {
            panic!("it stands");
        };
        assert_eq!(faults, Vec::<String>::new());
        let places = [(1, "S2"), (0, "S1"), (2, "S1")].map(|(unit, place)| (unit, place.to_string()));
        let full = vec!["x".to_string()];
        assert_eq!(error.kind, RunErrorKind::Dried { finished: 0, standing: places.to_vec(), full });
        error.at
    };
    // Without shifts nothing happens any more before the end.
    assert_eq!(stands("", Horizon::Units(5)), min(25));
    assert_eq!(stands("", Horizon::For(min(100))), min(100));
    let shift = "shift day 06:00 to 14:00\n  break 09:00 lasting 15 min\n";
    assert_eq!(stands(shift, Horizon::Shifts(3)), at(0, 9, 15));
}

/// A hold, and a stop, of 200 days, with six stretches a day: the unit goes on when they are over.
#[test]
fn what_takes_very_long_is_waited_for() {
    let finished = |stop: &str, hold: &str| {
        let line = line_of(&format!(
            "line \"Long\"\nshift day 06:00 to 14:00\n  break 07:00 lasting 5 min\n  break 08:00 lasting 5 min\n\
             \x20 break 09:00 lasting 5 min\n  break 10:00 lasting 5 min\n  break 11:00 lasting 5 min\nrelease saturated\n\
             station S1 crew 1{stop}\ntask a takes 10 min by 1 at S1\nhold h at least {hold} after a at S1\n\
             task b takes 10 min by 1 after h at S1\n"
        ));
        finishes(&record(&line, Horizon::Units(1)).1)
    };
    // a to 06:10, h to 06:10, b to 06:20; or h to 06:11 and b, that stands from 06:15 on, with 6 min left.
    assert_eq!(finished("", "4800 h"), [(0, at(200, 6, 20))]);
    assert_eq!(finished(" stopping every 375 min for 4800 h", "1 min"), [(0, at(200, 6, 21))]);
}

/// One who comes to one shift in a hundred: in some runs the first unit waits longer than a hundred days, and is done.
#[test]
fn people_who_seldom_come_are_waited_for() {
    let line = line_of(
        "line \"Seldom\"\nshift day 06:00 to 14:00\n  break 07:00 lasting 5 min\n  break 08:00 lasting 5 min\n\
         \x20 break 09:00 lasting 5 min\n  break 10:00 lasting 5 min\n  break 11:00 lasting 5 min\nrelease saturated\n\
         people hands 1\nabsent 99 %\nstation S1 crew 1 hands\ntask a takes 10 min by 1 at S1\n",
    );
    let last = (1..12).map(|seed| {
        let mut settings = settings_of(seed, Horizon::Units(1));
        settings.record_finishes = true;
        follow(&line, &settings).expect("somebody comes in the end").0.finishes[0]
    });
    assert!(last.max().is_some_and(|last| last > Time::DAY * 100));
}
