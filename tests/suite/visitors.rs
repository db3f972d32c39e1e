//! People from outside who have hours: by hand.

use crate::follow::text::{line_of, record};
use crate::harness::taktwright;
use taktwright::line::Line;
use taktwright::simulate::{BayState, Event, Horizon};
use taktwright::units::Time;

fn at(day: i64, hour: i64, minute: i64) -> Time {
    Time::from_minutes((day * 24 + hour) * 60 + minute)
}

/// (unit, start, planned end) of a step, in the order of starts.
fn runs(line: &Line, events: &[(Time, Event)], name: &str) -> Vec<(u64, Time, Time)> {
    let wanted = line.steps.iter().position(|s| s.name == name).expect("the step is in the line");
    let started = |(at, event): &(Time, Event)| match event {
        Event::StepStarted { unit, step, ends, .. } if step.index() == wanted => Some((*unit, *at, *ends)),
        _ => None,
    };
    events.iter().filter_map(started).collect()
}

const SHOP: &str = "line \"visited\"\nshift day 06:00 to 14:00 on mon to fri\npeople fitters 2\n\
     visitor inspector 1 from 07:00 to 08:20 can inspect\nrelease saturated\n";

/// a 50 min by a fitter, look 20 min by the inspector, one bay.
///
/// Day 0: a 6:00 to 6:50, look waits until 7:00, to 7:20; a to 8:10; look 8:10 to 8:30, past the hours, for it
/// has begun; a to 9:20; look waits until 7:00 of day 1, to 7:20; a to 8:10; look to 8:30; a to 9:20.
///
/// The inspector on day 0, of 480 min: off 6:00 to 7:00 and 8:30 to 14:00, 390; at work 40; waiting 50. The
/// bay: short of people 10 and 280, working 190. Two days: twice that, but day 1 opens with a unit that waits:
/// short 60 + 280, working 140.
#[test]
fn the_unit_waits_outside_the_hours_of_the_visitor() {
    let line = line_of(&format!(
        "{SHOP}station S1 crew 2 fitters, 1 inspector\ntask a takes 50 min by 1 at S1\n\
         task look takes 20 min by 1 inspect after a at S1\n"
    ));
    let (report, events) = record(&line, Horizon::Shifts(2));
    let looks = vec![
        (0, at(0, 7, 0), at(0, 7, 20)),
        (1, at(0, 8, 10), at(0, 8, 30)),
        (2, at(1, 7, 0), at(1, 7, 20)),
        (3, at(1, 8, 10), at(1, 8, 30)),
    ];
    assert_eq!(runs(&line, &events, "look"), looks);
    assert_eq!(runs(&line, &events, "a")[4], (4, at(1, 8, 30), at(1, 9, 20)));
    let min = Time::from_minutes(1).0;
    let inspector = line.groups.iter().position(|g| g.name == "inspector").expect("a group");
    assert_eq!(report.group_off[inspector], 2 * 390 * min);
    assert_eq!(report.group_busy[inspector], 2 * 40 * min);
    assert_eq!(report.crews[0].off_shift, 2 * 390 * min);
    let states = &report.places[0].states;
    assert_eq!(states[BayState::ShortOfPeople as usize], (290 + 340) * min);
    assert_eq!(states[BayState::Working as usize], (190 + 140) * min);
}

/// Two bays; look takes the inspector and a fitter, a takes both fitters for 30 min. At 6:30 the older unit
/// waits for the inspector, and the younger one's work begins all the same.
#[test]
fn waiting_for_hours_bars_nobody() {
    let line = line_of(&format!(
        "{SHOP}station S1 crew 2 fitters, 1 inspector bays 2\ntask a takes 30 min by 2 at S1\n\
         task look takes 20 min by 1 inspect, 1 after a at S1\n"
    ));
    let (_, events) = record(&line, Horizon::Shifts(1));
    assert_eq!(
        runs(&line, &events, "a")[..2],
        [(0, at(0, 6, 0), at(0, 6, 30)), (1, at(0, 6, 30), at(0, 7, 0))]
    );
    assert_eq!(runs(&line, &events, "look")[0], (0, at(0, 7, 0), at(0, 7, 20)));
}

/// Hours over midnight, on some days only: Monday's from 22:00 to 02:00 are those of Monday night.
#[test]
fn hours_may_cross_midnight_on_the_days_they_are_said_for() {
    let line = line_of(
        "line \"night\"\nshift night 20:00 to 04:00 on mon to thu\npeople fitters 1\n\
         visitor inspector 1 from 22:00 to 02:00 on tue can inspect\nrelease saturated\n\
         station S1 crew 1 fitters, 1 inspector\ntask look takes 100 min by 1 inspect at S1\n",
    );
    let (_, events) = record(&line, Horizon::Shifts(4));
    let starts: Vec<Time> = runs(&line, &events, "look").into_iter().map(|(_, from, _)| from).collect();
    assert_eq!(starts, vec![at(1, 22, 0), at(1, 23, 40), at(2, 1, 20)]);
}

#[test]
fn a_visitor_does_not_do_what_anybody_may_do() {
    let shown = taktwright("check shop.line")
        .file("shop.line", format!("{SHOP}station S1 crew 1 inspector\ntask a takes 5 min by 1 at S1\n"))
        .status(2)
        .stdout_holds(&[])
        .stderr_holds(&["T501", "a needs 1 person at once"]);
    shown.run();
}

/// Present 80 of 480 min less what it overruns: the report shows them off shift for the rest.
#[test]
fn the_report_says_how_long_they_are_off_shift() {
    let text = format!(
        "{SHOP}station S1 crew 2 fitters, 1 inspector\ntask a takes 50 min by 1 at S1\n\
         task look takes 20 min by 1 inspect after a at S1\n"
    );
    let shown = taktwright("simulate shop.line --shifts 10 --replications 20 --format json --reproducible")
        .file("shop.line", &text)
        .simulating()
        .stdout_holds(&["\"off_shift\""])
        .run();
    let report: serde_json::Value = serde_json::from_str(&shown).expect("a report");
    let people = report["people"].as_array().expect("rows");
    let row = people.iter().find(|row| row["id"] == "inspector").expect("a row of the group");
    let off = row["shares"]["off_shift"].as_f64().expect("a share");
    assert!((off - 390.0 / 480.0).abs() < 1e-9, "{row}");
}

/// S1 stops 90 min of net time after its last stop, for 40 min of repair by the technician, who is there from 07:00 to
/// 08:20; the shift is 06:00 to 14:00 with a break from 08:00 to 08:10.
///
/// Day 0: stops at 7:30, mended to 8:20 with the break between. Again 90 min later, at 9:50: nobody begins before 7:00 of
/// day 1; mended to 7:40. Stops at 9:20, and waits for day 2.
///
/// At 7:30 of day 0 with 60 min of repair: to 8:40, past the hours. The technician, of 470 min on day 0: off 6:00 to 7:00
/// and 8:20 to 14:00, 400; at work 40.
#[test]
fn a_visitor_mends_in_hours_what_has_stopped() {
    let text = |lasts: i64| {
        format!(
            "line \"service\"\nshift day 06:00 to 14:00  break 08:00 lasting 10 min\npeople fitters 1\n\
             visitor service 1 from 07:00 to 08:20\nrelease saturated\nstation S1 crew 1 fitters \
             stopping every 90 min of net time for {lasts} min by 1 service\ntask a takes 7 min by 1 at S1\n"
        )
    };
    let stops = |events: &[(Time, Event)]| -> Vec<(bool, Time)> {
        let of = |(at, event): &(Time, Event)| match event {
            Event::MendingBegins { .. } => Some((true, *at)),
            Event::Mended { .. } => Some((false, *at)),
            _ => None,
        };
        events.iter().filter_map(of).collect()
    };
    let line = line_of(&text(40));
    let (report, events) = record(&line, Horizon::Shifts(1));
    let service = line.groups.iter().position(|g| g.name == "service").expect("a group");
    let min = Time::from_minutes(1).0;
    assert_eq!(report.group_off[service], 400 * min);
    assert_eq!(report.group_busy[service], 40 * min);
    assert_eq!(stops(&events), [(true, at(0, 7, 30)), (false, at(0, 8, 20))]);
    let (_, events) = record(&line, Horizon::Shifts(2));
    assert_eq!(stops(&events)[2..], [(true, at(1, 7, 0)), (false, at(1, 7, 40))]);
    let (_, events) = record(&line_of(&text(60)), Horizon::Shifts(1));
    assert_eq!(stops(&events), [(true, at(0, 7, 30)), (false, at(0, 8, 40))]);
}
