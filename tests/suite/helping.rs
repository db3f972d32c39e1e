//! People of no crew who lend a hand: counts worked out by hand, and a lead who is one more in the crew.

use crate::follow::text::{follow, line_of, settings_of};
use crate::harness::taktwright;
use serde_json::Value;
use taktwright::simulate::{Horizon, Replication, Unwatched, replicate};
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
    run.group_busy[group] / Time::MINUTE.0
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
