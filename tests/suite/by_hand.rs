//! Small cases worked by hand to the microsecond; the working stands above each.

use crate::follow::text::{follow, line_of, record, settings_of};
use taktwright::line::Line;
use taktwright::simulate::{BayState, Event, Horizon, Settings, Spot, WarmUp};
use taktwright::units::Time;

pub type Events = [(Time, Event)];

/// Minutes from the start of the run.
pub fn min(minutes: i64) -> Time {
    Time::from_minutes(minutes)
}

/// A time of day, days counted from 0.
pub fn at(day: i64, hour: i64, minute: i64) -> Time {
    min((day * 24 + hour) * 60 + minute)
}

/// (unit, start, end) of every time that a step ran, in the order of starts; open ones end at NEVER.
fn runs_of(line: &Line, events: &Events, name: &str) -> Vec<(u64, Time, Time)> {
    let wanted = line.steps.iter().position(|s| s.name == name).expect("the step is in the line");
    let mut runs: Vec<(u64, Time, Time)> = Vec::new();
    for (time, event) in events {
        match event {
            Event::StepStarted { unit, step, .. } if step.index() == wanted => {
                runs.push((*unit, *time, Time::NEVER));
            }
            Event::StepEnded { unit, step, .. } if step.index() == wanted => {
                let run = runs.iter_mut().rev().find(|(u, _, end)| u == unit && *end == Time::NEVER);
                run.expect("a step ends that started").2 = *time;
            }
            _ => {}
        }
    }
    runs
}

pub fn ended(line: &Line, events: &Events, name: &str) -> Vec<(u64, Time, Time)> {
    runs_of(line, events, name).into_iter().filter(|(_, _, end)| *end != Time::NEVER).collect()
}

pub fn finishes(events: &Events) -> Vec<(u64, Time)> {
    let finish = |(time, event): &(Time, Event)| match event {
        Event::Finished { unit } => Some((*unit, *time)),
        _ => None,
    };
    events.iter().filter_map(finish).collect()
}

/// One person, one task of 100 minutes, a week of five days.
///
/// Attended each day: 06:08 (after the meeting) to 08:30, 08:40 to 11:00, 11:30 to 13:53 (clean-up):
/// 142 + 140 + 143 = 425 min; the week 2,125 min. The k-th unit (from 1) ends at 100 k of net time:
/// day 0 starts at 0, day 1 at 425, day 2 at 850, day 3 at 1,275, day 4 at 1,700. An offset o of a day
/// is 06:08 + o up to 142, 08:40 + o - 142 up to 282, 11:30 + o - 282 above.
/// Day 3 ends with 1,700 = 17 x 100: that work ends at 13:53 sharp, in time; but the break has begun when
/// units move, and the unit leaves when people are there again, on day 4 at 06:08.
#[test]
fn a_week_with_breaks_goes_by_the_minute() {
    let line = line_of(
        "line \"week\"\nmodel A 100 %\nrelease saturated\n\
         shift day 06:00 to 14:00 on mon to fri\n  break 08:30 lasting 10 min  meal 11:00 lasting 30 min\n  \
         meeting 8 min  clean-up 7 min\n\
         station S1  crew 1\ntask t1  takes 100 min  by 1  at S1\n",
    );
    let (report, events) = record(&line, Horizon::Shifts(5));
    let clocks = [
        (0, [(7, 48), (9, 38), (11, 48), (13, 28)].as_slice()),
        (1, &[(7, 23), (9, 13), (10, 53), (13, 3)]),
        (2, &[(6, 58), (8, 48), (10, 28), (12, 38)]),
        (3, &[(6, 33), (8, 13), (10, 3), (12, 13)]),
        (4, &[(6, 8), (7, 48), (9, 38), (11, 48), (13, 28)]),
    ];
    let wanted: Vec<Time> =
        clocks.iter().flat_map(|(day, times)| times.iter().map(|(h, m)| at(*day, *h, *m))).collect();
    let found: Vec<Time> = finishes(&events).into_iter().map(|(_, time)| time).collect();
    assert_eq!(found, wanted);
    assert_eq!(ended(&line, &events, "t1")[16], (16, at(3, 12, 13), at(3, 13, 53)));
    assert_eq!(report.finished, 21);
    assert_eq!(report.net, min(2125));
    assert_eq!(report.per_shift, [4, 4, 4, 4, 5]);
    // 2,125 min of work were there, all of them used: the last unit has 25 min in it.
    assert_eq!(report.places[0].states[BayState::Working as usize], min(2125).0);
    assert_eq!(report.crews[0].busy, min(2125).0);
    // Between finishes 100 min of net time each.
    assert_eq!(report.intervals.min(), Some(min(100).0));
    assert_eq!(report.intervals.max(), Some(min(100).0));
}

/// One bay; 30 min of work, a hold of 20 h, 20 min of work; shift 06:00 to 14:00.
///
/// Unit 0: 06:00 to 06:30, holds to 02:30 of the next day, waits for people until 06:00, out at
/// 06:20. Start of the hold to the first start after it: 23 h 30 min. Unit 1: 06:20 to 06:50 of day 1,
/// holds to 02:50, goes on at 06:00 of day 2: 23 h 10 min, out at 06:20. Net time of the two days to
/// there: 480 + 480 + 20. Holding inside net time: day 0 from 06:30 450 min; day 1 from 06:50 430 min.
/// Outside: all the night, 14:00 to 02:30, 750 min, and 14:00 to 02:50, 770 min.
#[test]
fn a_hold_runs_through_the_night_and_waits_for_people() {
    let text = "line \"night\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
                station S1  crew 1\n\
                task a  takes 30 min  by 1  at S1\nhold h  at least 20 h  through nights  after a  at S1\n\
                task b  takes 20 min  by 1  after h  at S1\n";
    let line = line_of(text);
    let (report, events) = record(&line, Horizon::Units(2));
    assert_eq!(
        ended(&line, &events, "h"),
        [(0, at(0, 6, 30), at(1, 2, 30)), (1, at(1, 6, 50), at(2, 2, 50))]
    );
    assert_eq!(ended(&line, &events, "b"), [(0, at(1, 6, 0), at(1, 6, 20)), (1, at(2, 6, 0), at(2, 6, 20))]);
    assert_eq!(finishes(&events), [(0, at(1, 6, 20)), (1, at(2, 6, 20))]);
    assert_eq!(report.net, min(980));
    let counts = &report.holds[0];
    assert_eq!((counts.count, counts.minimum, counts.shortest), (2, min(20 * 60), min(23 * 60 + 10)));
    let states = &report.places[0].states;
    assert_eq!(states[BayState::Holding as usize], min(450 + 430).0);
    assert_eq!(states[BayState::Working as usize], min(50 + 50).0);
    assert_eq!(report.places[0].holding_outside, min(750 + 770));
}

/// The same with an attended hold of 9 h: from 06:30 seven and a half hours are attended on day 0, the
/// rest, 90 min, on day 1: it ends at 07:30, and the work after it at 07:50.
#[test]
fn an_attended_hold_stands_still_at_night() {
    let line = line_of(
        "line \"attended\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 14:00 on mon to fri\n\
         station S1  crew 1\n\
         task a  takes 30 min  by 1  at S1\nhold h  at least 9 h  attended  after a  at S1\n\
         task b  takes 20 min  by 1  after h  at S1\n",
    );
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(ended(&line, &events, "h"), [(0, at(0, 6, 30), at(1, 7, 30))]);
    assert_eq!(finishes(&events), [(0, at(1, 7, 50))]);
    assert_eq!(report.places[0].states[BayState::Holding as usize], min(9 * 60).0);
    assert_eq!(report.holds[0].shortest, min(25 * 60));
}

/// Three people, two zones for two people each, one unit.
///
/// a 10 min by 2 in z1; b 6 min by 1 in z1; c 4 min by 1 in z2; d 5 min by 2 in z2 after c; e 3 min by 3
/// after a, b and d. Longest paths: a 13, c 4 + 5 + 3 = 12, b 9, d 8.
/// 0: a takes the first two, c the third. 4: c ends; d lacks a person, b lacks room in z1 (a has two
/// there). 10: a ends; b (path 9) goes first and takes the person idle longest, the third (since 4);
/// d takes the first two. 15: d ends. 16: b ends, e takes all three. 19: done.
/// The next unit enters at 19. All the time somebody works: 19 min of work, of 57 person-minutes
/// 20 + 6 + 4 + 10 + 9 = 49.
#[test]
fn three_people_share_a_unit_by_zone() {
    let line = line_of(
        "line \"crew\"\nmodel A 100 %\nrelease saturated\nstation S1  crew 3\n\
         zone z1  up to 2 people\nzone z2  up to 2 people\n\
         task a  takes 10 min  by 2  in z1  at S1\ntask b  takes 6 min  by 1  in z1  at S1\n\
         task c  takes 4 min  by 1  in z2  at S1\ntask d  takes 5 min  by 2  in z2  after c  at S1\n\
         task e  takes 3 min  by 3  after a, b, d  at S1\n",
    );
    let (report, events) = record(&line, Horizon::Units(1));
    let run = |name| ended(&line, &events, name);
    assert_eq!(run("a"), [(0, min(0), min(10))]);
    assert_eq!(run("b"), [(0, min(10), min(16))]);
    assert_eq!(run("c"), [(0, min(0), min(4))]);
    assert_eq!(run("d"), [(0, min(10), min(15))]);
    assert_eq!(run("e"), [(0, min(16), min(19))]);
    let people: Vec<u128> = events
        .iter()
        .filter_map(|(_, event)| match event {
            Event::StepStarted { unit: 0, people, .. } => Some(*people),
            _ => None,
        })
        .collect();
    assert_eq!(people, [0b011, 0b100, 0b100, 0b011, 0b111]);
    assert_eq!(report.crews[0].busy, min(49).0);
    assert_eq!(report.places[0].states[BayState::Working as usize], min(19).0);
}

/// A fitter and a plumber who can also seal. p (7 min, anybody) has the longest path and goes first: it
/// takes the fitter, who has the fewest other skills, and leaves the plumber for q (4 min by a sealer),
/// so both start at 0. r (2 min by a sealer) follows q at 4.
#[test]
fn people_with_fewer_skills_go_first() {
    let line = line_of(
        "line \"skills\"\nmodel A 100 %\nrelease saturated\npeople plu 1  can seal\npeople fit 1\n\
         station S1  crew 1 plu, 1 fit\n\
         task p  takes 7 min  by 1  at S1\ntask q  takes 4 min  by 1 seal  at S1\n\
         task r  takes 2 min  by 1 seal  after q  at S1\n",
    );
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(ended(&line, &events, "p"), [(0, min(0), min(7))]);
    assert_eq!(ended(&line, &events, "q"), [(0, min(0), min(4))]);
    assert_eq!(ended(&line, &events, "r"), [(0, min(4), min(6))]);
    assert_eq!(report.group_busy, [min(6).0, min(7).0]);
}

/// S1: t1 3 min, t2 4 min; S2: t3 5 min and its verdict; the first try always fails, the second
/// always passes; a fail goes back to S1 for t2.
///
/// 0 unit 0 at S1: t1 to 3, t2 to 7. 7 to S2, t3 to 12, fails, waits outside S1, where unit 1 (entered
/// at 7) has t1 to 10 and t2 to 14. 14 unit 1 to S2 (t3 to 19); unit 0 takes the freed place before
/// unit 2: t2 to 18. 18 unit 0 waits outside S2; unit 2 enters S1 (t1 to 21, t2 to 25). 19 unit 1 fails
/// and waits outside S1; unit 0 has t3 from 19 to 24, passes, is out. 25 unit 2 to S2 (t3 to 30); unit 1
/// back in S1: t2 to 29. 29 unit 1 waits outside S2; unit 3 enters S1. 30 unit 2 fails; unit 1 has t3
/// from 30 to 35, passes, is out.
#[test]
fn a_unit_sent_back_redoes_its_step_ahead_of_new_units() {
    let line = line_of(
        "line \"back\"\nmodel A 100 %\nrelease saturated\nstation S1  crew 1\nstation S2  crew 1\n\
         task t1  takes 3 min  by 1  at S1\ntask t2  takes 4 min  by 1  after t1  at S1\n\
         task t3  takes 5 min  by 1  after t2  at S2\n\
         test q  of t3  at S2  passes 0 %, again 100 %  on fail 100 % back to S1 redo t2\n",
    );
    let (report, events) = record(&line, Horizon::Units(2));
    assert_eq!(finishes(&events), [(0, min(24)), (1, min(35))]);
    assert_eq!(
        ended(&line, &events, "t2"),
        [
            (0, min(3), min(7)),
            (1, min(10), min(14)),
            (0, min(14), min(18)),
            (2, min(21), min(25)),
            (1, min(25), min(29)),
        ]
    );
    assert_eq!(
        ended(&line, &events, "t3"),
        [
            (0, min(7), min(12)),
            (1, min(14), min(19)),
            (0, min(19), min(24)),
            (2, min(25), min(30)),
            (1, min(30), min(35)),
        ]
    );
    let test = &report.tests[0];
    assert_eq!((test.attempts, test.first_attempts, test.first_passes, test.passed), (5, 3, 0, 2));
    // Waits of the five visits: 0, 0, 18 to 19, 0, 29 to 30.
    assert_eq!((test.waits.count(), test.waited, test.waits.sum()), (5, 2, i128::from(min(2).0)));
    assert_eq!(report.finished_first_pass, 0);
}

/// One station, pushed on a grid of 10 min in shifts of 55 min, 4 min for A and 24 for B, in turn.
///
/// Signals of day 0 at 10, 20, 30, 40, 50 min of net time, of day 1 at 65, 75, 85 (55 and k x 10). 10: unit 0
/// (A) enters, done 14. 20: it leaves, unit 1 (B) enters, done 44. 44: pushed, 14 late for the signal of 30;
/// that of 40 is owed, so unit 2 (A, done 48) goes at 48, 8 late. Unit 3 (B) from 48, 7 min of day 0 and 17
/// of day 1: done at 72, 22 late for 50. What day 0 owed is forgotten; of day 1 the signal of 65 is owed:
/// unit 4 (A) goes at 76, 11 late. Unit 5 (B) until 100, 25 late for 75.
#[test]
fn a_grid_is_caught_up_within_its_shift() {
    let line = line_of(
        "line \"Grid\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A, B\nrelease saturated\nstart empty\n\
         shift day 08:00 to 08:55 on mon to fri\n\
         station P1\nsegment all P1 to P1  pushed every 10 min on the grid\n\
         task p1  takes 4 min  for B 24 min  at P1\n",
    );
    let (report, events) = record(&line, Horizon::Units(6));
    assert_eq!(
        finishes(&events),
        [
            (0, at(0, 8, 20)),
            (1, at(0, 8, 44)),
            (2, at(0, 8, 48)),
            (3, at(1, 8, 17)),
            (4, at(1, 8, 21)),
            (5, at(1, 8, 45)),
        ]
    );
    let segment = &report.segments[0];
    assert_eq!((segment.pushes, segment.on_time, segment.delay), (7, 2, min(14 + 8 + 22 + 11 + 25)));
}

/// Late work travels: three stations pushed every 20 min (index 2), one person each; at P1 a 10 min then b
/// 15 min, which may travel to P3 at 1.5 times; at P2 c 10 min after b; at P3 d 5 min.
///
/// Signals 18 min after the end of a push. 18: unit 0 into P1, there at 20; a to 30, b from 30. 38: 8 of b are
/// done, 7 are left and travel, 10.5 min. 40 at P2: b to 50.5, c to 60.5; the signal of 58 finds c undone,
/// which may not travel: the line holds to 60.5. Unit 1 at P1 since 40 (b from 50 to 65) takes 4.5 x 1.5 =
/// 6.75 min along. 62.5: unit 1 at P2, b to 69.25, c to 79.25. Unit 0 at P3, d to 67.5. Unit 2 at P1, b from
/// 72.5; the signal of 80.5 is in time: 7 of b left, 10.5. Unit 0 leaves at 80.5. 82.5: unit 1 at P3, d to
/// 87.5; unit 2 at P2, b to 93, c to 103: the line holds from 100.5 to 103, when unit 1 leaves.
#[test]
fn late_work_travels_and_is_done_first_at_the_next_station() {
    let line = line_of(
        "line \"Late\"\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1\nstation P3 crew 1\n\
         segment all P1 to P3  pushed every 20 min  index 2 min  late work travels up to 1 items\n\
         task a  takes 10 min  by 1  at P1\n\
         task b  takes 15 min  by 1  after a  may travel to P3 x 1.5  at P1\n\
         task c  takes 10 min  by 1  after b  at P2\n\
         task d  takes 5 min  by 1  after c  at P3\n",
    );
    let (report, events) = record(&line, Horizon::Units(2));
    let tenths = |t: i64| Time(t * 6_000_000);
    assert_eq!(finishes(&events), [(0, tenths(805)), (1, tenths(1030))]);
    let second = |t: i64| Time(t * 1_000_000);
    let b: Vec<(u64, Time, Time)> = ended(&line, &events, "b");
    assert_eq!(
        b,
        [(0, min(40), second(3030)), (1, second(3750), second(4155)), (2, second(4950), second(5580)),]
    );
    let segment = &report.segments[0];
    assert_eq!((segment.pushes, segment.on_time, segment.delay), (5, 3, tenths(25 + 25)));
    assert_eq!((segment.taken_along, segment.done_elsewhere), (4, tenths(105) + second(405) + tenths(105)));
    // The window ends at 90, within b of unit 2: what is worked on counts up to there.
    let (report, _) = record(&line, Horizon::For(min(90)));
    assert_eq!(report.segments[0].done_elsewhere, tenths(105) + second(405) + tenths(75));
}

/// Two bays, 10 min for A and 2 for B, in turn; then a station of 1 min. Unit 0 (A) and unit 1 (B) enter at 0.
/// Unit 1 is done at 2 and waits for unit 0 until 10: it is blocked for 8 min. Unit 0 is at P2 from 10 to 11,
/// unit 1 from 11 to 12: it waits one more minute in its bay. Unit 2 (A) enters P1 at 10, unit 3 (B) at 11,
/// done 13, and waits until 20, then for P2 until 21.
#[test]
fn nobody_overtakes_at_an_ordered_place() {
    let text = |ordered: &str| {
        format!(
            "line \"Order\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A, B\nrelease saturated\nstart empty\n\
             station P1  bays 2  {ordered}\nstation P2\n\
             task p1  takes 10 min  for B 2 min  at P1\ntask p2  takes 1 min  after p1  at P2\n"
        )
    };
    let (report, events) = record(&line_of(&text("ordered")), Horizon::Units(4));
    assert_eq!(finishes(&events), [(0, min(11)), (1, min(12)), (2, min(21)), (3, min(22))]);
    // Blocked: unit 1 from 2 to 11, unit 3 from 13 to 21.
    assert_eq!(report.places[0].states[BayState::Blocked as usize], min(9 + 8).0);
    // Without the word unit 1 goes first.
    let (_, events) = record(&line_of(&text("")), Horizon::Units(1));
    assert_eq!(finishes(&events), [(1, min(3))]);
}

/// P1 with one bay (20 min of work), P2 with two (50 min each, a person per bay), pushed every 30 min,
/// index 2 min; break 07:59 to 08:09.
///
/// The start counts as the end of a push, and a signal falls 28 min of net time after that: 06:28 unit 0
/// into P1, there at 06:30. 06:58 unit 0 into P2 (07:00 to 07:50), unit 1 into P1. 07:28 unit 1 into the
/// other bay of P2, whose turn it is; unit 2 into P1. 07:58 unit 0 leaves and unit 2 takes its bay. That
/// push ends at 08:00, inside the break: the index goes on. Its clock starts again with the net time, at
/// 08:09: signal 08:37. Unit 1 has worked from 07:30 to 07:59, 29 min, and has 21 left: 08:09 to 08:30.
/// Unit 2 starts at 08:09: to 08:59. 08:37 unit 1 leaves and unit 3 (done in P1 since 08:29) takes its
/// bay, 08:39 to 09:29. 09:07 unit 2 leaves.
#[test]
fn pushed_bays_take_turns_and_the_index_runs_into_the_break() {
    let line = line_of(
        "line \"pushed\"\nmodel A 100 %\nrelease saturated\n\
         shift day 06:00 to 14:00 on mon to fri  break 07:59 lasting 10 min\n\
         station P1  crew 1\nstation P2  crew 1 per bay  bays 2\n\
         segment all P1 to P2  pushed every 30 min  index 2 min\n\
         task p1  takes 20 min  by 1  at P1\ntask p2  takes 50 min  by 1  after p1  at P2\n",
    );
    let (report, events) = record(&line, Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, at(0, 7, 58)), (1, at(0, 8, 37)), (2, at(0, 9, 7))]);
    let second = runs_of(&line, &events, "p2");
    assert_eq!(
        second,
        [
            (0, at(0, 7, 0), at(0, 7, 50)),
            (1, at(0, 7, 30), at(0, 8, 30)),
            (2, at(0, 8, 9), at(0, 8, 59)),
            (3, at(0, 8, 39), Time::NEVER),
        ]
    );
    let bays: Vec<u16> = events
        .iter()
        .filter_map(|(_, event)| match event {
            Event::Moved { to: Spot::Bay(place, bay), .. } if place.index() == 1 => Some(*bay),
            _ => None,
        })
        .collect();
    assert_eq!((bays[0], bays[1]), (bays[2], bays[3]));
    assert_ne!(bays[0], bays[1]);
    let pushes: Vec<Time> =
        events.iter().filter(|(_, e)| matches!(e, Event::Pushed { .. })).map(|(t, _)| *t).collect();
    assert_eq!(pushes, [at(0, 6, 28), at(0, 6, 58), at(0, 7, 28), at(0, 7, 58), at(0, 8, 37), at(0, 9, 7)]);
    assert_eq!(report.segments[0].delay, Time::ZERO);
}

/// o 5 min, hold h 10 min, c 6 min, and x 20 min that nothing waits for; one person; from the end of o
/// to the start of c at most 12 min, else o again in 3 min.
///
/// Paths: o 21, x 20: o first, 0 to 5. x 5 to 25, h 5 to 15. At 25 c could start, 20 min after o:
/// missed. o again 25 to 28, h 28 to 38, c 38 to 44: 10 min after o, in time.
#[test]
fn a_missed_window_runs_its_redo() {
    let text = "line \"window\"\nmodel A 100 %\nrelease saturated\nstation S1  crew 1\n\
                task o  takes 5 min  by 1  at S1\nhold h  at least 10 min  after o  at S1\n\
                task c  takes 6 min  by 1  after h  at S1\ntask x1  takes 20 min  by 1  at S1\n\
                window o end to c start  within 12 min, else redo o takes 3 min by 1\n";
    let line = line_of(text);
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(ended(&line, &events, "x1"), [(0, min(5), min(25))]);
    assert_eq!(ended(&line, &events, "o"), [(0, min(0), min(5)), (0, min(25), min(28))]);
    assert_eq!(ended(&line, &events, "h"), [(0, min(5), min(15)), (0, min(28), min(38))]);
    assert_eq!(ended(&line, &events, "c"), [(0, min(38), min(44))]);
    let missed: Vec<Time> =
        events.iter().filter(|(_, e)| matches!(e, Event::WindowMissed { .. })).map(|(t, _)| *t).collect();
    assert_eq!(missed, [min(25)]);
    assert_eq!((report.windows[0].judged, report.windows[0].missed), (2, 1));

    // Within 20 min it is in time to the microsecond: c from 25 to 31.
    let line = line_of(&text.replace("within 12 min", "within 20 min"));
    let (report, events) = record(&line, Horizon::Units(1));
    assert_eq!(ended(&line, &events, "c"), [(0, min(25), min(31))]);
    assert_eq!((report.windows[0].judged, report.windows[0].missed), (1, 0));
}

/// One jig, kept from a (5 min at S1) to b (7 min at S2).
///
/// Unit 0: a 0 to 5, b 5 to 12. Unit 1 is at S1 from 5 and waits for the jig: a 12 to 17, b 17 to 24.
/// Unit 2: from 17 at S1, a 24 to 29, b 29 to 36. S1 is short of equipment from 5 to 12, 17 to 24 and
/// 29 to 36; the jig is in use all the time.
#[test]
fn a_jig_stays_with_its_unit_from_one_station_to_the_next() {
    let line = line_of(
        "line \"jig\"\nmodel A 100 %\nrelease saturated\nequipment jig 1\nstation S1  crew 1\nstation S2  crew 1\n\
         task a  takes 5 min  by 1  at S1\ntask b  takes 7 min  by 1  after a  at S2\nkeep jig from a to b\n",
    );
    let (report, events) = record(&line, Horizon::Units(3));
    assert_eq!(
        ended(&line, &events, "a"),
        [(0, min(0), min(5)), (1, min(12), min(17)), (2, min(24), min(29))]
    );
    assert_eq!(finishes(&events), [(0, min(12)), (1, min(24)), (2, min(36))]);
    assert_eq!(report.equipment_busy, [min(36).0]);
    assert_eq!(report.places[0].states[BayState::ShortOfEquipment as usize], min(21).0);
    assert_eq!(report.places[0].states[BayState::Working as usize], min(15).0);
}

/// A unit every 25 min (06:25, 06:50, ...), 10 min of work, home after 3 units, not before 08:00.
///
/// Out at 06:35, 07:00, 07:25 (the third), 07:50. At 08:00 nobody is there: the crew goes home and the
/// fourth unit has been counted. No unit enters then; that of 08:05 is let in at 06:00 of the next day and
/// is out at 06:10. Of the 8 h net the crew was away 6.
#[test]
fn a_crew_goes_home_when_the_count_is_made() {
    let line = line_of(
        "line \"home\"\nmodel A 100 %\nrelease every 25 min\n\
         shift day 06:00 to 14:00 on mon to fri  home after 3 units, not before 08:00\n\
         station S1  crew 1\ntask t1  takes 10 min  by 1  at S1\n",
    );
    let (report, events) = record(&line, Horizon::Shifts(1));
    let out: Vec<Time> = finishes(&events).into_iter().map(|(_, time)| time).collect();
    assert_eq!(out, [at(0, 6, 35), at(0, 7, 0), at(0, 7, 25), at(0, 7, 50)]);
    let home: Vec<Time> =
        events.iter().filter(|(_, e)| matches!(e, Event::WentHome { .. })).map(|(t, _)| *t).collect();
    assert_eq!(home, [at(0, 8, 0)]);
    assert_eq!(report.per_shift, [4]);
    assert_eq!(report.home_at, [min(120)]);
    assert_eq!(report.crews[0].off_shift, min(360).0);
    assert_eq!(report.places[0].states[BayState::OffShift as usize], min(360).0);

    let (_, events) = record(&line, Horizon::Shifts(2));
    let next = finishes(&events)[4];
    assert_eq!(next, (4, at(1, 6, 10)));
}

#[test]
fn a_warm_up_of_no_units_is_no_warm_up() {
    let line = line_of(
        "line \"cold\"\nmodel A 100 %\nrelease saturated\nstation S1  crew 1\ntask t1  takes 10 min  by 1  at S1\n",
    );
    let none = settings_of(1, Horizon::Units(3));
    let (wanted, _) = follow(&line, &none).expect("it runs");
    let zero = Settings { warm_up: WarmUp::Units(0), ..none };
    let (found, faults) = follow(&line, &zero).expect("it runs");
    assert_eq!(faults, Vec::<String>::new());
    assert_eq!(found, wanted);
}
