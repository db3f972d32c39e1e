//! People of no crew who lend a hand: counts worked out by hand, and a lead who is one more in the crew.

use crate::follow::text::{follow, line_of, record, settings_of};
use crate::harness::taktwright;
use serde_json::Value;
use taktwright::simulate::{Event, Horizon, Replication, Unwatched, replicate};
use taktwright::units::Time;

/// One person and two tasks of ten minutes that one person each does: twenty minutes a unit alone, ten with
/// somebody who helps. Eight hours a day.
fn text(leads: &str) -> String {
    format!(
        "line \"bench\"\nshift day 06:00 to 14:00 on mon to fri\npeople fitters 1\npeople testers 1 can seal\n\
         {leads}release saturated\nstation S1 crew 1 fitters\nstation S2 crew 1 testers\n\
         task a takes 10 min by 1 at S1\ntask b takes 10 min by 1 at S1\n\
         task c takes 1 min by 1 seal after a, b at S2\n"
    )
}

/// One day, followed by the independent checker.
fn day(text: &str) -> Replication {
    let line = line_of(text);
    let (run, faults) = follow(&line, &settings_of(1, Horizon::Shifts(1))).expect("it runs");
    assert!(faults.is_empty(), "{faults:#?}");
    run
}

fn minutes_helped(text: &str, run: &Replication) -> i64 {
    let line = line_of(text);
    let group = line.helping[0].group.index();
    if line.who_helps(&line.helping[0]).start == 0 {
        assert_eq!(run.group_busy[group], run.helping[0].busy, "all that they do is help");
    }
    run.helping[0].busy / Time::MINUTE.0
}

#[test]
fn a_quarter_of_a_shift_is_twelve_tasks_of_ten_minutes() {
    // 25 % of 480 min are 120: twelve units in ten minutes each, then 18 in the twenty minutes of one person;
    // the last of them has a minute at S2 before it, which no unit of the day lacks but the last.
    let lead = text("people leads 1 helping up to 25 %\n");
    let run = day(&lead);
    assert_eq!(run.finished, 29, "the thirtieth leaves S1 at the end of the shift");
    assert_eq!(run.helping[0].tasks, 12);
    assert_eq!(minutes_helped(&lead, &run), 120);
    // Without: 24 units, of which the last is not past S2 either.
    assert_eq!(day(&text("")).finished, 23);
}

#[test]
fn help_comes_in_whole_tasks() {
    // 25 min are two tasks: a third would end five minutes too late.
    let lead = text("people leads 1 helping up to 5.21 %\n");
    let run = day(&lead);
    assert_eq!((run.helping[0].tasks, minutes_helped(&lead, &run)), (2, 20));
    // Two units in ten minutes, then one every twenty: 2 + 460 / 20 = 25, the last of which ends with the day.
    assert_eq!(run.finished, 24);
}

/// Called, somebody comes in five minutes: b runs from 5 to 15 beside a from 0 to 10, and the next unit from 15
/// on. 480 / 15 = 32 units, the last of which is not past S2; 32 times 15 min are all the time there is.
#[test]
fn a_floater_on_call_comes_to_each_unit() {
    for who in ["floaters 1 answering in 5 min\n", "people leads 1 helping up to 100 %, answering in 5 min\n"]
    {
        let called = text(who);
        let run = day(&called);
        assert_eq!((run.finished, run.helping[0].tasks), (31, 32), "{who}");
        let line = line_of(&called);
        let group = line.helping[0].group.index();
        assert_eq!(
            (run.group_busy[group], run.group_walking[group]),
            (Time::from_minutes(320).0, Time::from_minutes(160).0)
        );
    }
    // At hand, it is ten minutes a unit.
    assert_eq!(day(&text("people leads 1 helping up to 100 %\n")).finished, 47);
}

#[test]
fn nobody_helps_where_they_do_not_cover_or_can_not() {
    for leads in ["people leads 1 helping up to 25 %, covering S2\n", "people leads 1 helping up to 0 %\n"] {
        assert_eq!(day(&text(leads)).finished, 23, "{leads}");
    }
    let sealed =
        |leads: &str| text(leads).replace("task a takes 10 min by 1", "task a takes 10 min by 1 seal");
    let sealed = |leads: &str| sealed(leads).replace("fitters 1\n", "fitters 1 can seal\n");
    assert_eq!(
        day(&sealed("people leads 1 helping up to 25 %\n")).helping[0].tasks,
        12,
        "who can't seal does b"
    );
    let both =
        |leads: &str| sealed(leads).replace("task b takes 10 min by 1", "task b takes 10 min by 1 seal");
    assert_eq!(day(&both("people leads 1 helping up to 25 %\n")).helping[0].tasks, 0);
    assert_eq!(day(&both("people leads 1 can seal, helping up to 25 %\n")).helping[0].tasks, 12);
}

#[test]
fn the_next_shift_brings_all_of_it_back() {
    let lead = text("people leads 1 helping up to 25 %\n");
    let line = line_of(&lead);
    let (run, faults) = follow(&line, &settings_of(1, Horizon::Shifts(3))).expect("it runs");
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!((run.helping[0].tasks, minutes_helped(&lead, &run)), (36, 360));
}

/// Somebody who may help all day and is never wanted for so long is one more in the crew: the same units at
/// the same instants, whatever is drawn.
#[test]
fn a_lead_with_all_the_time_is_one_more_in_the_crew() {
    let text = |crew: &str, leads: &str| {
        format!(
            "line \"pair\"\nshift day 00:00 to 24:00\n{crew}{leads}release every exponential mean 20 min\n\
             station S1 crew {}fitters bays 2\ntask a takes 6/10/20 min by 1 at S1\n\
             task b takes exponential mean 12 min by 1 at S1\ntask c takes 3 min by 1 after a at S1\n",
            if leads.is_empty() { "2 " } else { "1 " }
        )
    };
    let finishes = |text: &str| {
        let mut settings = settings_of(3, Horizon::Shifts(5));
        settings.record_finishes = true;
        let run = replicate(&line_of(text), &settings, 0, &mut Unwatched).expect("it runs");
        assert!(run.finished > 200, "{} units", run.finished);
        run.finishes
    };
    let two = finishes(&text("people fitters 2\n", ""));
    let helped = finishes(&text("people fitters 1\n", "people leads 1 helping up to 100 %\n"));
    assert_eq!(two, helped);
}

#[test]
fn the_report_counts_help_apart() {
    let case =
        taktwright("simulate bench.line --shifts 5 --replications 20 --gains 0 --format json --reproducible")
            .file("bench.line", text("people leads 1 \"Lead\" helping up to 25 %\n"))
            .simulating()
            .stdout_holds(&["\"helping\""]);
    let report: Value = serde_json::from_str(&case.run()).expect("the report is JSON");
    let row = &report["helping"][0];
    assert_eq!((row["id"].as_str(), row["label"].as_str()), (Some("leads"), Some("Lead")));
    assert_eq!(row["at_most"], 0.25);
    assert_eq!(row["shares"]["helping"], 0.25);
    assert_eq!(row["shares"]["own"], 0.75);
    assert_eq!(row["tasks"], 20 * 5 * 12);
}

/// One of two fitters is in the crew, the other helps as the lead above does.
#[test]
fn of_a_group_in_crews_the_others_help() {
    let text = text("").replace("people fitters 1\n", "people fitters 2 helping up to 25 %\n");
    let run = day(&text);
    assert_eq!((run.finished, run.helping[0].tasks, minutes_helped(&text, &run)), (29, 12, 120));
    assert_eq!(run.crews[0].busy, Time::from_minutes(480).0);
    let fitters = line_of(&text).helping[0].group.index();
    assert_eq!(run.group_busy[fitters], Time::from_minutes(600).0, "of the crew, and of who helps");
}

/// Each of the two is absent on half the days: the seat is empty if both are, the helper sits in if only the other is,
/// and helps if both are there. On one day in four each (the product of independent chances).
#[test]
fn who_helps_sits_in_for_the_absent_first() {
    let text = text("absent 50 %\n").replace("people fitters 1\n", "people fitters 2 helping up to 25 %\n");
    let line = line_of(&text);
    let (short, faults) = follow(&line, &settings_of(1, Horizon::Shifts(20))).expect("it runs");
    assert!(faults.is_empty(), "{faults:#?}");
    assert!(short.helping[0].standing_in > 0);
    let run = replicate(&line, &settings_of(1, Horizon::Shifts(4000)), 0, &mut Unwatched).expect("it runs");
    let (help, net) = (&run.helping[0], run.net.0 as f64);
    // Of 4,000 days the share of a chance of 1/4 is within four standard deviations of sqrt(3 / 16 / 4,000).
    let near = |share: f64, chance: f64| (share - chance).abs() < 4.0 * (0.1875f64 / 4000.0).sqrt() + 0.01;
    assert!(near(help.standing_in as f64 / net, 0.25), "{}", help.standing_in as f64 / net);
    assert!(near(help.absent as f64 / net, 0.5));
    assert!(near(run.crews[0].absent as f64 / net, 0.25), "both are absent");
    // 25 % of the days on which both are there, in tasks of ten minutes: 12 a day.
    assert!(near(help.busy as f64 / net, 0.25 * 0.25));
}

/// The mechanic helps and mends. S2 stops 25 min after its last stop, when the mechanic has five minutes to go at b;
/// then mends for five, and begins the b that waits. So of every 35 min the units end at 10, 20 and 30, and 13 such
/// stretches and 25 min are 41 units; the 42nd has begun five minutes before the end.
#[test]
fn a_stop_goes_before_help_and_waits_for_its_end() {
    let text = text("people mechanics 1 helping up to 100 %\n").replace(
        "1 testers\ntask",
        "1 testers slots 3 stopping every 25 min of net time for 5 min by 1 mechanics\ntask",
    );
    let run = day(&text);
    assert_eq!((run.finished, run.helping[0].tasks), (41, 42));
    let help = &run.helping[0];
    assert_eq!((help.busy, help.mending), (Time::from_minutes(415).0, Time::from_minutes(65).0));
    let mechanics = line_of(&text).helping[0].group.index();
    assert_eq!(run.group_busy[mechanics], Time::from_minutes(480).0);
    let (_, events) = record(&line_of(&text), Horizon::Shifts(1));
    let mends = events.iter().filter(|(_, event)| matches!(event, Event::MendingBegins { .. }));
    let (first, _) = mends.clone().next().expect("it is mended");
    assert_eq!((*first, mends.count()), (Time::HOUR * 6 + Time::from_minutes(30), 13));
}

/// The trainee helps both crews: b of the first unit takes 50 min, e of it 40 (another crew's work on a unit is a new
/// one), e of the second unit 50 x 0.7021 (the unit curve of 80 %, as above in `learning`). Meanwhile the fitter does b.
#[test]
fn who_helps_several_crews_learns_as_one_person() {
    let line = line_of(
        "line \"new\"\nshift day 06:00 to 14:00 on mon to fri\npeople fitters 1\npeople testers 1\n\
         people trainees 1 helping up to 100 %\nlearning trainees x 5 at first, 80 % with each doubling\n\
         release saturated\nstation S1 crew 1 fitters\nstation S2 crew 1 testers\n\
         task a takes 10 min by 1 at S1\ntask b takes 10 min by 1 at S1\n\
         task d takes 10 min by 1 after a, b at S2\ntask e takes 10 min by 1 after a, b at S2\n",
    );
    let (_, faults) = follow(&line, &settings_of(1, Horizon::Shifts(1))).expect("it runs");
    assert!(faults.is_empty(), "{faults:#?}");
    let (_, events) = record(&line, Horizon::Shifts(1));
    let lengths = |name: &str| -> Vec<Time> {
        let of = line.steps.iter().position(|step| step.name == name).expect("it is in the line");
        let started = |(_, event): &(Time, Event)| match event {
            Event::StepStarted { step, length, .. } if step.index() == of => Some(*length),
            _ => None,
        };
        events.iter().filter_map(started).collect()
    };
    assert_eq!(lengths("b")[..2], [50, 10].map(Time::from_minutes));
    let e = lengths("e");
    assert_eq!(e[0], Time::from_minutes(40));
    assert!((e[1].0 as f64 / 60e6 - 50.0 * 0.7021).abs() < 0.003, "{}", e[1].0 as f64 / 60e6);
}
