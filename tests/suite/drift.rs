//! Crews that drift: worked by hand, and against the recursion of the textbooks.

use crate::by_hand::{ended, finishes, min};
use crate::follow::text::{line_of, record};
use taktwright::simulate::{Event, Horizon};
use taktwright::units::Time;

/// Two stations pushed every 10 min, index 1, one person each; at P1 a, 12 min for A and 7 for B, in turn; at P2
/// b, 5 min. The crew of P1 may drift 2 min.
///
/// The first push goes at 9; unit 0 is at P1 at 10, a to 22. The signal of 19 finds 3 min left, and the line holds
/// until 20, when 2 are. 21: unit 0 at P2, a goes on to 23, b to 28; unit 1 has been at P1 since 21 and its a
/// begins at 23, to 30: in time for the signal. 31: unit 1 at P2, b to 36; unit 2 at P1, a to 43. The signal of 40
/// finds 3 min left: 41. 42: unit 2 at P2, a to 44, b to 49; unit 3 from 44 to 51, in time.
#[test]
fn a_crew_finishes_in_the_next_place_and_begins_its_next_unit_later() {
    let text = |drift: &str| {
        format!(
            "line \"Drift\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A, B\nrelease saturated\nstart empty\n\
             station P1 crew 1 {drift}\nstation P2 crew 1\n\
             segment all P1 to P2  pushed every 10 min  index 1 min\n\
             task a  takes 12 min  for B 7 min  by 1  at P1\ntask b  takes 5 min  by 1  after a  at P2\n"
        )
    };
    let line = line_of(&text("drift 2 min"));
    let (report, events) = record(&line, Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, min(30)), (1, min(41)), (2, min(51))]);
    let a = ended(&line, &events, "a");
    assert_eq!(
        a,
        [(0, min(10), min(23)), (1, min(23), min(30)), (2, min(31), min(44)), (3, min(44), min(51))]
    );
    assert_eq!(ended(&line, &events, "b")[0], (0, min(23), min(28)));
    let segment = &report.segments[0];
    assert_eq!((segment.pushes, segment.on_time, segment.delay), (5, 3, min(2)));
    let place = &report.places[0];
    assert_eq!((place.drifted, place.drifted_left, place.delay_caused), (2, min(4), min(2)));
    // At work, but for the moves with work left.
    assert_eq!(report.crews[0].busy, min(12 + 7 + 12 + 7).0);
    // Without the word the line holds until all is done.
    let (report, events) = record(&line_of(&text("")), Horizon::Units(3));
    assert_eq!(finishes(&events), [(0, min(32)), (1, min(45)), (2, min(55))]);
    assert_eq!(report.places[0].drifted, 0);
}

/// How far a crew has drifted when its next unit arrives is the recursion of mixed-model sequencing,
/// d(k+1) = max(0, d(k) + p(k) - c) with c the window, and the line holds for what goes beyond the limit
/// (Yano and Rachamadugu 1991, Scholl 1999, from memory: a station open at its downstream end).
#[test]
fn how_far_a_crew_drifts_follows_the_recursion_of_mixed_model_sequencing() {
    // Tenths of a minute: the times of six models in turn, the window, the limit.
    let times = [108_i64, 64, 97, 121, 70, 59];
    let (every, index, limit) = (92, 7, 25);
    let tenth = |t: i64| Time(t * 6_000_000);
    let said = |t: i64| format!("{}.{} min", t / 10, t % 10);
    let models: String = (0..6).map(|m| format!("model M{m} {} %\n", [17, 17, 17, 17, 16, 16][m])).collect();
    let own: String = (1..6).map(|m| format!("  for M{m} {}", said(times[m]))).collect();
    let text = format!(
        "line \"Recursion\"\n{models}sequence pattern M0, M1, M2, M3, M4, M5\nrelease saturated\nstart empty\n\
         station P1 crew 1  drift {}\nstation P2 crew 1\n\
         segment all P1 to P2  pushed every {}  index {}\n\
         task a  takes {}{own}  by 1  at P1\ntask b  takes 1 min  by 1  after a  at P2\n",
        said(limit),
        said(every),
        said(index),
        said(times[0])
    );
    let units = 300;
    let (report, events) = record(&line_of(&text), Horizon::Units(units));
    let (mut drift, mut total, mut moved, mut held) = (0, 0, 0, 0);
    let mut expected = Vec::new();
    for k in 0..=units as usize {
        let over = drift + times[k % 6] - (every - index);
        held += (over - limit).max(0);
        drift = over.clamp(0, limit);
        total += drift;
        moved += u64::from(drift > 0);
        if drift > 0 {
            expected.push((k as u64, tenth(drift)));
        }
    }
    let seen: Vec<(u64, Time)> = events
        .iter()
        .filter_map(|(_, event)| match event {
            Event::Drifted { unit, left, .. } => Some((*unit, *left)),
            _ => None,
        })
        .collect();
    assert_eq!(seen, expected);
    let place = &report.places[0];
    assert_eq!((place.drifted, place.drifted_left), (moved, tenth(total)));
    assert_eq!(report.segments[0].delay, tenth(held));
    assert!(moved > 100 && held > 0, "{moved} drifted, {held} held");
}

/// Two stations pushed every 10 min, index 1, one person each: at P1 a of 5 min, at P2 b, 4 min for A and 11 for B, in
/// turn. The crew of P2 may begin 2 min early.
///
/// Pushes at 9 and 19; b of unit 0 is begun at 17, rests from 19 to 20 and ends at 22. Unit 1 (B) is at P1 from 20,
/// its a done at 25. The next signal is that of 29: from 27 on the crew of P2 is at b of unit 1, from 30 at P2, to
/// 39, the next signal. Unit 2 (A) is at P2 from 40 to 44, unit 3 begun at 47, and so on: every push at its signal.
#[test]
fn a_crew_that_is_done_begins_in_the_place_behind() {
    let text = |drift: &str| {
        format!(
            "line \"Early\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A, B\nrelease saturated\nstart empty\n\
             station P1 crew 1\nstation P2 crew 1 {drift}\n\
             segment all P1 to P2  pushed every 10 min  index 1 min\n\
             task a  takes 5 min  by 1  at P1\ntask b  takes 4 min  for B 11 min  by 1  after a  at P2\n"
        )
    };
    let line = line_of(&text("drift 2 min early"));
    let (report, events) = record(&line, Horizon::Units(4));
    assert_eq!(finishes(&events), [(0, min(29)), (1, min(39)), (2, min(49)), (3, min(59))]);
    assert_eq!(
        ended(&line, &events, "b"),
        [(0, min(17), min(22)), (1, min(27), min(39)), (2, min(40), min(44)), (3, min(47), min(59))]
    );
    let place = &report.places[1];
    assert_eq!((place.early, place.early_by), (3, min(6)));
    assert_eq!((report.segments[0].delay, report.places[0].drifted), (Time::ZERO, 0));
    assert_eq!(report.crews[1].busy, min(4 + 11 + 4 + 11).0);
    // Without the word the line holds for it.
    let (report, events) = record(&line_of(&text("")), Horizon::Units(4));
    assert_eq!(finishes(&events), [(0, min(29)), (1, min(41)), (2, min(51)), (3, min(63))]);
    assert_eq!(report.places[1].early, 0);
}

/// What is begun early may end early, and what follows it begins: 1 min of c and 5 of d after it, 3 min early.
#[test]
fn what_ends_early_is_done_when_the_unit_comes() {
    let line = line_of(
        "line \"Ends\"\nmodel A 100 %\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1 drift 3 min early\n\
         segment all P1 to P2  pushed every 10 min  index 1 min\n\
         task a  takes 5 min  by 1  at P1\ntask c  takes 1 min  by 1  after a  at P2\n\
         task d  takes 5 min  by 1  after c  at P2\n",
    );
    let (report, events) = record(&line, Horizon::Units(2));
    // Unit 0 is begun at 16: c to 17, d has 2 of its 5 min by the push of 19 and goes on from 20 to 23. So it goes on.
    assert_eq!(ended(&line, &events, "c")[..2], [(0, min(16), min(17)), (1, min(26), min(27))]);
    assert_eq!(ended(&line, &events, "d")[..2], [(0, min(17), min(23)), (1, min(27), min(33))]);
    assert_eq!((report.places[1].early, report.places[1].early_by), (3, min(9)));
}

/// Unit 1 stands at P1 from the start, so h counts as done before a. The push of 9 takes it with 2 min of a left: to 12.
/// Only then b follows, to 15, as it follows h, and so a.
#[test]
fn what_follows_a_hold_that_counts_as_done_waits_for_what_came_before_it() {
    let line = line_of(
        "line \"Full\"\nmodel A 100 %\nrelease saturated\nstart full\nstation P1 crew 1 drift 2 min\nstation P2 crew 1\n\
         segment all P1 to P2  pushed every 10 min  index 1 min\n\
         task a takes 11 min by 1 at P1\nhold h at least 1 min after a at P1\ntask b takes 3 min by 1 after h at P2\n",
    );
    let (_, events) = record(&line, Horizon::For(min(18)));
    assert_eq!(ended(&line, &events, "a"), [(1, min(0), min(12))]);
    assert_eq!(ended(&line, &events, "b"), [(0, min(0), min(3)), (1, min(12), min(15))]);
}

/// The audit of a hold ends as the next crew begins what follows it: unit 0 is at P1 at 10, h to 12, c early at 16.
#[test]
fn what_is_begun_early_ends_the_audit_of_a_hold() {
    let line = line_of(
        "line \"Audit\"\nmodel A 100 %\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1 drift 3 min early\n\
         segment all P1 to P2  pushed every 10 min  index 1 min\n\
         hold h  at least 2 min  at P1\ntask c  takes 1 min  by 1  after h  at P2\n",
    );
    let (report, events) = record(&line, Horizon::For(min(18)));
    assert_eq!(ended(&line, &events, "c"), [(0, min(16), min(17))]);
    assert_eq!((report.holds[0].count, report.holds[0].shortest), (1, min(6)));
}

/// With both ways open, when a crew begins its next unit is the same recursion between two borders (stations open at
/// both ends; Yano and Rachamadugu 1991, Scholl 1999, from memory).
#[test]
fn a_crew_that_drifts_both_ways_follows_the_recursion_between_two_borders() {
    let times = [108_i64, 64, 97, 121, 70, 52];
    let (every, index, limit) = (92, 7, 25);
    let tenth = |t: i64| Time(t * 6_000_000);
    let said = |t: i64| format!("{}.{} min", t / 10, t % 10);
    let models: String = (0..6).map(|m| format!("model M{m} {} %\n", [17, 17, 17, 17, 16, 16][m])).collect();
    let own: String = (1..6).map(|m| format!("  for M{m} {}", said(times[m]))).collect();
    let text = format!(
        "line \"Borders\"\n{models}sequence pattern M0, M1, M2, M3, M4, M5\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1  drift {} both ways\nstation P3 crew 1\n\
         segment all P1 to P3  pushed every {}  index {}\n\
         task a  takes 1 min  by 1  at P1\ntask b  takes {}{own}  by 1  after a  at P2\n\
         task c  takes 1 min  by 1  after b  at P3\n",
        said(limit),
        said(every),
        said(index),
        said(times[0])
    );
    let units = 300;
    let (report, _) = record(&line_of(&text), Horizon::Units(units));
    let (mut at, mut moved, mut left, mut begun, mut early, mut held) = (-limit, 0, 0, 0, 0, 0);
    for k in 0..=units as usize {
        begun += u64::from(at < 0);
        early += (-at).max(0);
        let over = at + times[k % 6] - (every - index);
        held += (over - limit).max(0);
        at = over.clamp(-limit, limit);
        moved += u64::from(at > 0);
        left += at.max(0);
    }
    begun += u64::from(at < 0);
    early += (-at).max(0);
    let place = &report.places[1];
    assert_eq!((place.drifted, place.drifted_left), (moved, tenth(left)));
    assert_eq!((place.early, place.early_by), (begun, tenth(early)));
    assert_eq!(report.segments[0].delay, tenth(held));
    assert!(moved > 50 && begun > 50 && held > 0, "{moved} drifted, {begun} begun early, {held} held");
}

/// A unit every 8 min (a push every 8 min, half a minute of it the move): glue takes 5 min at A, sets at least 9 min and
/// may move; B takes 4 min at once and a minute when the glue is set.
///
/// The first signal falls at 7.5: unit 0 is at A at 8, glued at 13, sets to 22. The signal at 15.5 finds nothing else
/// open: the unit is at B at 16, packed at 20, and looked at from 22, when the glue is set, to 23: done before the next
/// signal, at 23.5. The hold is a minute shorter than its minimum never.
#[test]
fn a_hold_that_may_move_runs_on_through_the_push() {
    let text = |mark: &str| {
        format!(
            "line \"glue\"\nrelease saturated\nstation A crew 1\nstation B crew 1\n\
             segment all A to B pushed every 8 min index 0.5 min\n\
             task glue takes 5 min by 1 at A\nhold sets at least 9 min safety {mark} after glue at A\n\
             task pack takes 4 min by 1 after glue at B\ntask look takes 1 min by 1 after sets, pack at B\n"
        )
    };
    let line = line_of(&text("may move"));
    let (report, events) = record(&line, Horizon::For(min(24)));
    let ran =
        |name: &str| ended(&line, &events, name).iter().map(|(_, from, to)| (*from, *to)).collect::<Vec<_>>();
    assert_eq!(ran("glue"), [(min(8), min(13)), (min(16), min(21))]);
    assert_eq!(ran("sets"), [(min(13), min(22))]);
    assert_eq!(ran("pack"), [(min(16), min(20))]);
    assert_eq!(ran("look"), [(min(22), min(23))]);
    assert_eq!((report.holds[0].moved, report.holds[0].shortest), (2, min(9)));
    // Without the mark the push waits for it: at 22 the unit is done at A, and at B at 22.5.
    let line = line_of(&text(""));
    let (report, events) = record(&line, Horizon::For(min(28)));
    assert_eq!(ended(&line, &events, "sets").first().map(|(_, _, to)| *to), Some(min(22)));
    let pack = ended(&line, &events, "pack");
    assert_eq!(pack.first().map(|(_, from, _)| *from), Some(min(22) + Time(30_000_000)));
    assert_eq!(report.holds[0].moved, 0);
}

/// A move of 4 min is longer than what is left of the hold: it is over as the unit arrives, and follows then.
#[test]
fn a_hold_that_ends_on_the_way_is_over_when_its_unit_arrives() {
    let line = line_of(
        "line \"glue\"\nrelease saturated\nstation A crew 1\nstation B crew 1\n\
         segment all A to B pushed when all are ready index 4 min\n\
         task glue takes 5 min by 1 at A\nhold sets at least 3 min may move after glue at A\n\
         task look takes 1 min by 1 after sets at B\n",
    );
    let (report, events) = record(&line, Horizon::For(min(16)));
    // In from 0 to 4, glued at 9, pushed at once, there at 13; the hold would have ended at 12.
    assert_eq!(
        ended(&line, &events, "sets").first().map(|(_, from, to)| (*from, *to)),
        Some((min(9), min(13)))
    );
    assert_eq!(
        ended(&line, &events, "look").first().map(|(_, from, to)| (*from, *to)),
        Some((min(13), min(14)))
    );
    assert_eq!(report.holds[0].shortest, min(4));
}

/// A stop where it has come to begins it again whole: from 20 on, for 9 min.
#[test]
fn a_stop_in_the_next_place_begins_a_hold_again_that_moved_there() {
    let line = line_of(
        "line \"glue\"\nrelease saturated\nstation A crew 1\nstation B crew 1 stopping every 18 min for 2 min\n\
         segment all A to B pushed every 8 min index 0.5 min\n\
         task glue takes 5 min by 1 at A\nhold sets at least 9 min may move after glue at A\n\
         task look takes 1 min by 1 after sets at B\n",
    );
    let (report, events) = record(&line, Horizon::For(min(31)));
    assert_eq!(report.holds[0].restarts, 1);
    let look = ended(&line, &events, "look");
    assert_eq!(look.first().map(|(_, from, to)| (*from, *to)), Some((min(29), min(30))));
}

#[test]
fn a_hold_that_must_end_where_it_began_may_not_move() {
    let refused = |more: &str, code: &str| {
        let text = format!(
            "line \"glue\"\nstation A crew 1\nstation B crew 1\nstation C crew 1\n\
             segment all A to B pushed every 8 min\ntask glue takes 5 min by 1 at A\ntask look takes 1 min by 1 at A\n{more}\n"
        );
        let errors = crate::follow::text::read(&text).expect_err("it must end where it began");
        assert!(errors.len() == 1 && errors[0].starts_with(code), "{errors:#?}");
    };
    refused("hold sets at least 3 min may move after glue at B", "T407");
    refused("hold sets at least 3 min may move after glue at C", "T407");
    refused(
        "hold sets at least 3 min may move after glue at A\ntest v of sets at A passes 90 % on fail scrapped",
        "T407",
    );
    refused("hold sets at least 3 min may move after glue at A\nexclude look while sets runs", "T407");
    refused("equipment rig\nhold sets at least 3 min may move with rig after glue at A", "T407");
}

/// A push every 10 min; at S1 a takes 10.5 min for A, 13 for B and A again, in turn. It may travel to S3, and the crew of
/// S1 may drift for a minute.
///
/// Unit 0 is at S1 from 10: at 20 half a minute is left, its crew goes along and ends at 20.5. a of unit 1 (B) from 20.5: at
/// 30 it has 3.5 min left, too much to go along: they are cut off, and done at S2 by its crew, who end at 33.5. Unit 2 has
/// its 10.5 min from 30 on, and at 40 its crew goes along again. Every push at its signal.
#[test]
fn a_crew_goes_along_where_it_can_and_leaves_the_rest_to_others_where_it_can_t() {
    let line = line_of(
        "line \"Both\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\nstart empty\n\
         station S1 crew 1 drift 1 min\nstation S2 crew 1\nstation S3 crew 1\n\
         task a  takes 10.5 min  for B 13 min  by 1  may travel to S3  at S1\n\
         task b  takes 1 min  by 1  after a  at S2\ntask c  takes 1 min  by 1  after b  at S3\n\
         segment all S1 to S3  pushed every 10 min, late work travels\n",
    );
    let (report, events) = record(&line, Horizon::For(min(45)));
    let a = line.steps.iter().position(|step| step.name == "a").expect("it is a step");
    let seen: Vec<(Time, u64, &str, Time)> = events
        .iter()
        .filter_map(|(at, event)| match event {
            Event::StepStarted { unit, step, length, .. } if step.index() == a => {
                Some((*at, *unit, "starts", *length))
            }
            Event::Drifted { unit, left, .. } => Some((*at, *unit, "drifts", *left)),
            Event::TakenAlong { unit, left, .. } => Some((*at, *unit, "is cut off", *left)),
            Event::StepEnded { unit, step, .. } if step.index() == a => {
                Some((*at, *unit, "ends", Time::ZERO))
            }
            _ => None,
        })
        .collect();
    let half = |halves: i64| Time(halves * 30_000_000);
    let wanted = [
        (half(20), 0, "starts", half(21)),
        (half(40), 0, "drifts", half(1)),
        (half(41), 0, "ends", Time::ZERO),
        (half(41), 1, "starts", half(26)),
        (half(60), 1, "is cut off", half(7)),
        (half(60), 1, "starts", half(7)),
        (half(60), 2, "starts", half(21)),
        (half(67), 1, "ends", Time::ZERO),
        (half(80), 2, "drifts", half(1)),
        (half(81), 2, "ends", Time::ZERO),
        (half(81), 3, "starts", half(26)),
    ];
    assert_eq!(seen, wanted);
    assert_eq!((report.segments[0].delay, report.segments[0].taken_along), (Time::ZERO, 1));
    assert_eq!(report.places[0].drifted, 2);
}

/// Two stations of one team of two, pushed every 10 min, index 1 min, one person to push; 5 min at P1, at P2 the crew of P2
/// begins 2 min early, 4 min. At the signal of 19 unit 0 is begun since 17, and goes along; its person is at work, so
/// another one pushes.
#[test]
fn who_works_early_moves_no_unit() {
    let line = line_of(
        "line \"Push\"\nmodel A 100 %\nrelease saturated\nstart empty\n\
         station P1 crew 1\nstation P2 crew 1 drift 2 min early\n\
         segment all P1 to P2  pushed every 10 min  index 1 min by 1\n\
         task a  takes 5 min  by 1  at P1\ntask b  takes 4 min  by 1  after a  at P2\n",
    );
    let (report, events) = record(&line, Horizon::Units(2));
    assert_eq!(ended(&line, &events, "b")[..2], [(0, min(17), min(22)), (1, min(27), min(32))]);
    assert_eq!(report.segments[0].delay, Time::ZERO);
    // Pushes at 9, 19 and 29, before the second unit leaves at 39: the person of P1.
    assert_eq!(report.crews[0].moving, min(3).0);
}

/// A push every 20 min. Two bays at S2, with one person each: a unit stays for two pushes, and b of 30 min leaves that
/// person ten of the forty. Five minutes before every push the one whose unit leaves begins on the unit that comes into the
/// same bay, and has 25 min left when it is there: from 5 min before to 25 min after the push.
#[test]
fn a_crew_per_bay_begins_early_on_what_comes_into_its_bay() {
    let line = line_of(
        "line \"bays\"\nrelease saturated\nstation S1 crew 1\nstation S2 crew 1 per bay bays 2 drift 5 min early\n\
         segment all S1 to S2 pushed every 20 min\ntask a takes 5 min by 1 at S1\ntask b takes 30 min by 1 after a at S2\n",
    );
    let (report, events) = record(&line, Horizon::For(Time::from_minutes(200)));
    let b = line.steps.iter().position(|step| step.name == "b").expect("it is in the line");
    let starts: Vec<(Time, u16, usize)> = events
        .iter()
        .filter_map(|(at, event)| match event {
            Event::StepStarted { step, crew: Some((_, gang)), place, .. } if step.index() == b => {
                Some((*at, *gang, place.index()))
            }
            _ => None,
        })
        .collect();
    let first = starts[0].0;
    for (k, (at, gang, place)) in starts.iter().enumerate() {
        assert_eq!(*at, first + Time::from_minutes(20 * k as i64), "five minutes before every push");
        assert_eq!((usize::from(*gang), *place), ((usize::from(starts[0].1) + k) % 2, 0), "in turn, at S1");
    }
    assert!(starts.len() >= 8 && report.places[1].early >= 7);
    assert_eq!(report.places[1].early_by, Time::from_minutes(5) * report.places[1].early as i64);
    let ends = events
        .iter()
        .filter(|(_, event)| matches!(event, Event::StepEnded { step, .. } if step.index() == b));
    assert_eq!(ends.map(|(at, _)| *at).next(), Some(first + Time::from_minutes(30)));
}

/// A push every 20 min; to S1 everybody walks 2 min. The crew of S2 sets out for the unit there 5 min before the push, begins b
/// of 10 min 3 before it, and has 7 left at S2. A minute before the push it is too late: it turns back, and begins with
/// the push.
#[test]
fn a_crew_walks_to_what_it_begins_early_and_turns_back_at_the_push() {
    let run = |early: u32| {
        let line = line_of(&format!(
            "line \"walks\"\nrelease saturated\nstation S1 crew 1 walk 2 min\nstation S2 crew 1 drift {early} min early\n\
             segment all S1 to S2 pushed every 20 min\ntask a takes 5 min by 1 at S1\ntask b takes 10 min by 1 after a at S2\n"
        ));
        let (report, events) = record(&line, Horizon::For(Time::from_minutes(200)));
        let pushes =
            events.iter().filter(|(_, event)| matches!(event, Event::Pushed { .. })).map(|(at, _)| *at);
        let second = pushes.clone().nth(1).expect("it is pushed twice");
        let of_b: Vec<(Time, Time)> =
            ended(&line, &events, "b").iter().map(|(_, start, end)| (*start, *end)).collect();
        let out = |event: &Event| matches!(event, Event::SetOut { crew, .. } if crew.0.index() == 1);
        let times = events.iter().filter(|(_, event)| out(event)).count() as i64;
        let walks = Time(report.crews[1].walking / times);
        assert_eq!(report.crews[1].walking % times, 0);
        (of_b[0].0 - second, of_b[0].1 - second, walks, report.places[1].early > 0)
    };
    assert_eq!(run(5), (Time::ZERO - min(3), min(7), min(2), true));
    assert_eq!(run(1), (Time::ZERO, min(10), min(1), false));
}
