//! People who walk to the unit: counts worked out by hand, and a walk that is as good as a task before the work.

use crate::by_hand::{at, ended, min};
use crate::follow::text::{follow, line_of, record, settings_of};
use crate::harness::taktwright;
use serde_json::Value;
use taktwright::balance::loads;
use taktwright::simulate::{Event, Horizon, Replication};
use taktwright::units::Time;

/// One day of eight hours, followed by the independent checker.
fn day(stations: &str) -> Replication {
    let text =
        format!("line \"walks\"\nshift day 06:00 to 14:00 on mon to fri\nrelease saturated\n{stations}");
    let (run, faults) = follow(&line_of(&text), &settings_of(1, Horizon::Shifts(1))).expect("it runs");
    assert!(faults.is_empty(), "{faults:#?}");
    run
}

/// Minutes of all crews: at work, and walking.
fn minutes(run: &Replication) -> (i64, i64) {
    let sum = |of: fn(&taktwright::simulate::CrewCounts) -> i64| run.crews.iter().map(of).sum::<i64>();
    (sum(|c| c.busy) / Time::MINUTE.0, sum(|c| c.walking) / Time::MINUTE.0)
}

#[test]
fn one_person_walks_once_to_each_unit() {
    let run = day(
        "station S1 crew 1 walk 1 min\ntask a takes 4 min by 1 at S1\ntask c takes 2 min by 1 after a at S1\n",
    );
    // One minute's walk and six of work a unit: 480 / 7 = 68 and four minutes, the first of which is a walk.
    assert_eq!(run.finished, 68);
    assert_eq!(minutes(&run), (68 * 6 + 3, 69));
}

#[test]
fn one_person_for_two_stations_walks_to_and_fro() {
    let run = day("station S1 walk 1 min\nstation S2 walk 2 min\nteam both crew 1 serving S1, S2\n\
         task a takes 4 min by 1 at S1\ntask b takes 5 min by 1 after a at S2\n");
    // To S1 and 4, to S2 and 5: twelve minutes a unit. The fortieth is done as the day ends, and leaves on the
    // next.
    assert_eq!(run.finished, 39);
    assert_eq!(minutes(&run), (360, 120));
}

#[test]
fn who_is_there_already_waits_for_who_still_walks() {
    let run = day(
        "station S1 crew 2 walk 1 min\ntask a takes 4 min by 1 at S1\ntask b takes 3 min by 2 after a at S1\n",
    );
    // One walks and does a, the other walks, then both do b: 1 + 4 + 1 + 3 = 9 minutes a unit; 480 = 53 x 9 + 3.
    assert_eq!(run.finished, 53);
    assert_eq!(minutes(&run), (53 * 10 + 2, 53 * 2 + 1));
}

#[test]
fn who_is_at_the_unit_does_its_next_task() {
    // Without that the one who has been idle longer would walk to every task.
    let run = day(
        "station S1 crew 2 walk 1 min\ntask a takes 4 min by 1 at S1\ntask b takes 5 min by 1 after a at S1\n",
    );
    assert_eq!(run.finished, 47, "ten minutes a unit, and the last is done as the day ends");
    assert_eq!(minutes(&run), (48 * 9, 48));
}

#[test]
fn a_walk_rests_at_a_break() {
    let text = "line \"walks\"\nshift day 06:00 to 06:30  break 06:01 lasting 10 min\nrelease saturated\n\
        station S1 crew 1 walk 2 min\ntask a takes 3 min by 1 at S1\n";
    let (run, faults) = follow(&line_of(text), &settings_of(1, Horizon::Shifts(1))).expect("it runs");
    assert!(faults.is_empty(), "{faults:#?}");
    // Twenty minutes net, five a unit, the fourth done as the day ends.
    assert_eq!((run.finished, minutes(&run)), (3, (12, 8)));
}

/// Where each unit is one person's, a walk of a minute is a first task of a minute, whatever is drawn.
#[test]
fn a_walk_is_as_good_as_a_task_before_the_work() {
    let text = |walk: &str, task: &str, after: &str| {
        format!(
            "line \"walks\"\nshift day 06:00 to 14:00\nrelease every exponential mean 9 min\n\
             station S1 crew 1{walk} slots 3\nstation S2 crew 1 slots 3\n{task}\
             task a takes 4/5/9 min by 1{after} at S1\ntask b takes exponential mean 5 min by 1 after a at S2\n"
        )
    };
    let finishes = |text: &str| {
        let mut settings = settings_of(3, Horizon::Shifts(5));
        settings.record_finishes = true;
        follow(&line_of(text), &settings).expect("it runs").0.finishes
    };
    let walk = finishes(&text("  walk 1 min", "", ""));
    assert!(walk.len() > 200, "{} units", walk.len());
    assert_eq!(walk, finishes(&text("", "task w takes 1 min by 1 at S1\n", " after w")));
}

#[test]
fn the_load_of_a_station_has_the_walk_to_its_unit_in_it() {
    let share = |walk: &str| {
        let text = format!(
            "line \"walks\"\npace 10 min\nstation S1 crew 1{walk}\ntask a takes 4 min by 1 at S1\n\
             task c takes 2 min by 1 after a at S1\n"
        );
        loads(&line_of(&text))[0].share(0).expect("it has a load")
    };
    assert!((share("") - 0.6).abs() < 1e-9);
    assert!((share("  walk 1 min") - 0.7).abs() < 1e-9);
}

#[test]
fn the_report_has_walking_apart_where_people_walk() {
    let report = |walk: &str| {
        let text = format!(
            "line \"walks\"\nshift day 06:00 to 14:00\nrelease saturated\nstation S1 crew 1{walk}\n\
             task a takes 4 min by 1 at S1\n"
        );
        let case =
            taktwright("simulate w.line --shifts 5 --replications 20 --gains 0 --format json --reproducible");
        let shown = case.file("w.line", text).simulating().stdout_holds(&["\"people\""]).run();
        serde_json::from_str::<Value>(&shown).expect("the report is JSON")
    };
    let shares = &report("  walk 1 min")["people"][0]["shares"];
    assert_eq!((shares["walking"].as_f64(), shares["working"].as_f64()), (Some(0.2), Some(0.8)));
    assert!(report("")["people"][0]["shares"].get("walking").is_none());
}

/// A push every 10 min; a of 10 min at P1, to which people walk a minute, and which may drift 2 min.
///
/// Unit 0 at P1 at 10: walk to 11, a to 21; at 20 a minute is left. Its person goes along, walks to unit 1, 21 to 22, and
/// has its a to 32; at 30 two are left. Unit 2 from 33 to 43: at 40 three are left, so the push comes at 41; the next signal
/// is that of 51, when three of unit 3, from 44 to 54, are left: 52. While somebody is on the way nothing drifts: with a
/// walk of 11 min a of unit 0 begins at 21 and ends at 31, so the push of 20 comes at 29.
#[test]
fn a_crew_that_drifts_walks_back_to_its_next_unit() {
    let text = |walk: i64| {
        format!(
            "line \"Walk\"\nmodel A 100 %\nrelease saturated\nstart empty\n\
             station P1 crew 1  walk {walk} min  drift 2 min\nstation P2 crew 1\n\
             segment all P1 to P2  pushed every 10 min\ntask a  takes 10 min  by 1  at P1\n\
             task b  takes 1 min  by 1  after a  at P2\n"
        )
    };
    let pushes = |events: &[(Time, Event)]| -> Vec<Time> {
        let pushed = |(at, event): &(Time, Event)| matches!(event, Event::Pushed { .. }).then_some(*at);
        events.iter().filter_map(pushed).collect()
    };
    let line = line_of(&text(1));
    let (report, events) = record(&line, Horizon::For(min(54) + Time(1)));
    let spans: Vec<(Time, Time)> =
        ended(&line, &events, "a").iter().map(|(_, from, to)| (*from, *to)).collect();
    assert_eq!(spans, [(11, 21), (22, 32), (33, 43), (44, 54)].map(|(from, to)| (min(from), min(to))));
    assert_eq!(pushes(&events), [10, 20, 30, 41, 52].map(min));
    assert_eq!(report.crews[0].walking, min(4).0 + 1);
    let (_, events) = record(&line_of(&text(11)), Horizon::For(min(30)));
    assert_eq!(pushes(&events), [10, 29].map(min));
}

/// The same, where late work travels and the walk takes 12 min: at every push its person is still on the way, and turns
/// back; so all of a is done at P2, whose person does not walk: 20 to 30, and from 30 on.
#[test]
fn work_that_people_were_on_their_way_to_travels_as_it_was() {
    let line = line_of(
        "line \"Late\"\nmodel A 100 %\nrelease saturated\nstart empty\n\
         station P1 crew 1  walk 12 min\nstation P2 crew 1\nstation P3 crew 1\n\
         segment all P1 to P3  pushed every 10 min, late work travels\n\
         task a  takes 10 min  by 1  may travel to P3  at P1\ntask c  takes 1 min  by 1  after a  at P3\n",
    );
    let (report, events) = record(&line, Horizon::For(min(35)));
    assert_eq!(ended(&line, &events, "a"), [(0, min(20), min(30))]);
    assert_eq!((report.crews[0].walking, report.crews[0].busy), (min(25).0, 0));
    assert_eq!(report.crews[1].busy, min(15).0);
    assert_eq!((report.segments[0].delay, report.segments[0].taken_along), (Time::ZERO, 2));
}

/// A crane that stands at P2 when P1 wants it: people walk a minute, then fetch it for two; it is taken from the first.
///
/// At P1 a takes 5 min, b at P2 4 min, both with the crane, one person each. Unit 0: walk to 1, a to 6 (nobody has used the
/// crane). At P2 b fetches it: 2 min and 4, to 12. Unit 1: walk from 12, when the crane is free, to 13, then 2 and 5 min: 20.
#[test]
fn people_walk_and_then_fetch_what_they_need() {
    let line = line_of(
        "line \"Crane\"\nmodel A 100 %\nrelease saturated\nequipment crane 1  moving 2 min\n\
         station P1 crew 1  walk 1 min\nstation P2 crew 1\ntask a  takes 5 min  by 1  with crane  at P1\n\
         task b  takes 4 min  by 1  after a  with crane  at P2\n",
    );
    let (report, events) = record(&line, Horizon::For(min(20) + Time(1)));
    assert_eq!(ended(&line, &events, "b"), [(0, min(6), min(12))]);
    assert_eq!(ended(&line, &events, "a"), [(0, min(1), min(6)), (1, min(13), min(20))]);
    assert_eq!((report.crews[0].walking, report.crews[0].busy), (min(2).0, min(12).0));
    assert_eq!(report.equipment_busy[0], min(20).0 + 1);
}

/// A lead helps at a2 of S1, beside a of the crew, and both go along: from 06:11 to 06:21, a minute of it at S2. There the lead is at the
/// unit already and begins b2 at once, while the person of S2 walks a minute to b1.
#[test]
fn who_went_along_with_a_unit_and_helps_there_does_not_walk_to_it() {
    let line = line_of(
        "line \"Lead\"\nshift day 06:00 to 14:00\npeople fitters 2\npeople leads 1 helping up to 90 %\n\
         release saturated\nstart empty\nstation S1 crew 1 fitters  walk 1 min  drift 2 min\n\
         station S2 crew 1 fitters  walk 1 min\nsegment all S1 to S2  pushed every 10 min\n\
         task a  takes 10 min  by 1  at S1\ntask a2  takes 10 min  by 1  at S1\n\
         task b1  takes 30 min  by 1  after a2  at S2\ntask b2  takes 3 min  by 1  after a2  at S2\n",
    );
    let (_, events) = record(&line, Horizon::For(min(6 * 60 + 26)));
    let at = |minutes: i64| min(6 * 60 + minutes);
    assert_eq!(ended(&line, &events, "a2"), [(0, at(11), at(21))]);
    assert_eq!(ended(&line, &events, "b2"), [(0, at(21), at(24))]);
}

/// 8 min that must fit, 2 min away, from 06:00 to 06:30: units 0 and 1 to 06:10 and 06:20. The walk to unit 2 is begun with
/// 10 min left; the station stands from 06:21 to 06:26, and it ends at 06:27: whoever has set out begins, and ends at
/// 06:05 of the next day.
#[test]
fn who_has_set_out_begins_even_if_a_stop_has_taken_the_time() {
    let line = line_of(
        "line \"walks\"\nshift day 06:00 to 06:30\nrelease saturated\n\
         station S1 crew 1 walk 2 min  stopping every 21 min of net time for 5 min\n\
         task a takes 8 min by 1 only if it fits at S1\n",
    );
    let (_, events) = record(&line, Horizon::For(at(1, 6, 6)));
    assert_eq!(ended(&line, &events, "a")[2], (2, at(0, 6, 27), at(1, 6, 5)));
}

/// 12 min, 2 min away, from 06:00 to 06:30: whoever walks to unit 2 is there as the shift ends. A stop in the night from
/// 22:00 to 24:00 changes nothing; one until 06:10 keeps them from beginning, and they have no way to go any more.
#[test]
fn who_arrived_as_the_shift_ended_begins_after_a_stop_in_the_night() {
    let starts = |lasting: &str| {
        let line = line_of(&format!(
            "line \"walks\"\nshift day 06:00 to 06:30\nrelease saturated\n\
             station S1 crew 1 walk 2 min  stopping every 22 h for {lasting}\ntask a takes 12 min by 1 at S1\n",
        ));
        let (_, events) = record(&line, Horizon::For(at(1, 6, 29)));
        ended(&line, &events, "a")[2]
    };
    assert_eq!(starts("2 h"), (2, at(1, 6, 0), at(1, 6, 12)));
    assert_eq!(starts("490 min"), (2, at(1, 6, 10), at(1, 6, 22)));
}

/// a 10 min at S1, then b 5 min at S2, whose crew walks 3 min to every unit. The window from the end of a to the start of b
/// is judged when they arrive: within 3 min all is well, 3 min after a. Within 2 they are too late: they do a again, 10 min
/// at S2, where they are, from 13 to 23, and then b at once.
#[test]
fn a_window_up_to_a_start_is_judged_when_they_arrive() {
    let start_of_b = |limit: u32| {
        let line = line_of(&format!(
            "line \"late\"\nrelease saturated\nstation S1 crew 1\nstation S2 crew 1 walk 3 min\n\
             task a takes 10 min by 1 at S1\ntask b takes 5 min by 1 after a at S2\n\
             window a end to b start within {limit} min, else redo a\n"
        ));
        let (report, events) = record(&line, Horizon::For(Time::HOUR));
        let b = line.steps.iter().position(|step| step.name == "b").expect("it is in the line");
        let first = events
            .iter()
            .find(|(_, event)| matches!(event, Event::StepStarted { step, .. } if step.index() == b));
        let window = &report.windows[0];
        (first.expect("it starts").0, window.missed > 0, report.crews[1].walking)
    };
    // Units come to S2 at 10, 20 ... 50 min: five walks.
    assert_eq!(start_of_b(3), (Time::from_minutes(13), false, Time::from_minutes(15).0));
    let (start, missed, _) = start_of_b(2);
    assert_eq!((start, missed), (Time::from_minutes(23), true));
}

/// As above, within 2 min, and b takes a nut, of which there are two. Unit 0 takes its nut as they set out, at 10; they are too
/// late at 13, do a again to 23, and b with that nut from 23 to 28. Unit 1 comes to S2 at 28, too late at once: they walk to
/// 31, a to 41, and b with the second nut to 46. So two nuts lie in the store up to 10, one up to 41; unit 2 waits for one.
#[test]
fn what_people_took_who_came_too_late_lies_at_the_unit() {
    let line = line_of(
        "line \"late\"\nrelease saturated\nstation S1 crew 1\nstation S2 crew 1 walk 3 min\n\
         supply nut in lots of 2 every 8 h store of 2, 2 at start\n\
         task a takes 10 min by 1 at S1\ntask b takes 5 min by 1 after a at S2 uses 1 nut\n\
         window a end to b start within 2 min, else redo a\n",
    );
    let (report, events) = record(&line, Horizon::For(Time::HOUR));
    assert_eq!(ended(&line, &events, "b"), [(0, min(23), min(28)), (1, min(41), min(46))]);
    let nuts = &report.parts[0];
    assert_eq!((nuts.used, nuts.starts, nuts.waits), (2, 2, 1));
    assert_eq!(nuts.level, i128::from(min(2 * 10 + 31).0));
}

/// The line of work that people turn back from, where a takes a nut: unit 0 takes its nut at 10, as its person sets out, and
/// a goes on with it at P2, at 20; unit 1 takes one at 20, unit 2 at 30.
#[test]
fn what_people_took_who_turned_back_goes_with_the_unit() {
    let line = line_of(
        "line \"Late\"\nmodel A 100 %\nrelease saturated\nstart empty\n\
         supply nut in lots of 9 every 8 h store of 9, 9 at start\n\
         station P1 crew 1  walk 12 min\nstation P2 crew 1\nstation P3 crew 1\n\
         segment all P1 to P3  pushed every 10 min, late work travels\n\
         task a  takes 10 min  by 1  may travel to P3  at P1  uses 1 nut\n\
         task c  takes 1 min  by 1  after a  at P3\n",
    );
    let (report, events) = record(&line, Horizon::For(min(35)));
    assert_eq!(ended(&line, &events, "a"), [(0, min(20), min(30))]);
    assert_eq!((report.parts[0].used, report.parts[0].starts), (3, 3));
    assert_eq!(report.parts[0].level, i128::from(min(9 * 10 + 8 * 10 + 7 * 10 + 6 * 5).0));
}

/// One rig: x at S1 has it, and b at S2 keeps it up to the end of c. Unit 0: x to 8, a to 10; at 10 the rig goes with those
/// who set out for b, 3 min away. At 13 they are too late, the rig is free: x of unit 1 from 13 to 21. Unit 0 has a again, 13
/// to 15, and then waits for the rig; at 21 it is too late once more: a to 23, b to 28, c to 29.
#[test]
fn what_would_be_kept_is_free_when_people_come_too_late() {
    let line = line_of(
        "line \"late\"\nrelease saturated\nstart empty\nequipment rig 1\nstation S1 crew 1\n\
         station S2 crew 1 walk 3 min\ntask x takes 8 min by 1 with rig at S1\ntask a takes 2 min by 1 after x at S1\n\
         task b takes 5 min by 1 after a at S2\ntask c takes 1 min by 1 after b at S2\n\
         window a end to b start within 2 min, else redo a\nkeep rig from b to c\n",
    );
    let (report, events) = record(&line, Horizon::For(min(29)));
    assert_eq!(ended(&line, &events, "x"), [(0, min(0), min(8)), (1, min(13), min(21))]);
    assert_eq!(ended(&line, &events, "b"), [(0, min(23), min(28))]);
    assert_eq!(report.windows[0].missed, 2);
    assert_eq!(report.equipment_busy[0], min(8 + 3 + 8 + 6).0);
}

/// Two models, two bays, a second task of which a test may fail meanwhile, and b takes what `b` says: followed with every
/// walk and limit, and somebody comes too late again and again.
#[test]
fn whatever_people_took_who_come_too_late_nothing_of_it_is_lost() {
    let takes = [
        (
            " uses 1 nut",
            "supply nut in lots of 6 ordered at 4, arriving in 20 min store of 9, 9 at start short 10 %, arriving in 5 min\n",
        ),
        (
            " uses 1 box",
            "feeder box store of 3 builds 3 units ahead wrong 10 %, re-kitted in 4 min {\nstation F1 crew 1\n\
          task f1 takes 2/3/6 min by 1 at F1\n}\n",
        ),
        (" with rig", "equipment rig 2\nkeep rig from b to c\n"),
        (
            "",
            "equipment rig 1 moving 0.5 min\nkeep rig from b to c\ntask g takes 1/2/4 min by 1 with rig at S1\n",
        ),
    ];
    let mut missed = [0; 4];
    for (kind, (b, more)) in takes.iter().enumerate() {
        for (walk, limit) in [(1, 1), (2, 1), (2, 3), (4, 2)] {
            let text = format!(
                "line \"late\"\nmodel A 60 %\nmodel B 40 %\nrelease saturated\nstart empty\nstation S1 crew 3\n\
                 station S2 crew 2 bays 2 slots 2 walk {walk} min\ntask a takes 3/4/9 min by 1 at S1\n\
                 task b takes 1/3/5 min by 1 after a at S2{b}\ntask c takes 1 min by 1 after b at S2\n\
                 test d takes 1/2/4 min by 1 after a at S2 passes 60 %\n  on fail 60 % retest in queue\n\
                 on fail 40 % scrapped\n\
                 window a end to b start within {limit} min, else redo a\n{more}"
            );
            let (run, faults) =
                follow(&line_of(&text), &settings_of(7, Horizon::For(Time::HOUR * 10))).expect("it runs");
            assert!(faults.is_empty(), "{text}\n{faults:#?}");
            missed[kind] += run.windows[0].missed;
        }
    }
    assert!(missed.iter().all(|missed| *missed > 40), "{missed:?}");
}

/// a 10 min at S1, which both b and d of S2 follow; two people there, 3 min away, and b takes both. It closes a window of 2 min:
/// at 13 they are too late, and one of them does a again, to 23. d waits for that, too, though the other is free; then b goes
/// before it, 23 to 28, and d ends at 36.
#[test]
fn what_follows_a_step_that_is_done_again_waits_for_it_anew() {
    let line = line_of(
        "line \"late\"\nrelease saturated\nstation S1 crew 1\nstation S2 crew 2 walk 3 min\n\
         task a takes 10 min by 1 at S1\ntask b takes 5 min by 2 after a at S2\n\
         task d takes 8 min by 1 after a at S2\nwindow a end to b start within 2 min, else redo a\n",
    );
    let (_, events) = record(&line, Horizon::For(min(37)));
    assert_eq!(ended(&line, &events, "a")[1..3], [(1, min(10), min(20)), (0, min(13), min(23))]);
    assert_eq!(ended(&line, &events, "b"), [(0, min(23), min(28))]);
    assert_eq!(ended(&line, &events, "d"), [(0, min(28), min(36))]);
}
