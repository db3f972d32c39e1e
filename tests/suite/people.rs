//! Who comes to work: absence by hand, against its closed form, and the same in two layouts.

use crate::follow::text::{line_of, record, settings_of};
use crate::harness::taktwright;
use statrs::distribution::{Beta, Binomial, ContinuousCDF, DiscreteCDF};
use taktwright::line::{CrewId, Line};
use taktwright::simulate::{BayState, Event, Horizon, Replication, Settings, Watcher, replicate};
use taktwright::units::Time;

type Events = [(Time, Event)];

/// A time of day, days counted from 0.
fn at(day: i64, hour: i64, minute: i64) -> Time {
    Time::from_minutes((day * 24 + hour) * 60 + minute)
}

/// When steps of that name ended, in order.
fn ends(line: &Line, events: &Events, name: &str) -> Vec<Time> {
    let wanted = line.steps.iter().position(|s| s.name == name).expect("the step is in the line");
    let ended = |(time, event): &(Time, Event)| match event {
        Event::StepEnded { step, .. } if step.index() == wanted => Some(*time),
        _ => None,
    };
    events.iter().filter_map(ended).collect()
}

/// Who came, shift by shift, of the first gang of a crew.
fn came(events: &Events, crew: usize) -> Vec<u128> {
    let came = |(_, event): &(Time, Event)| match event {
        Event::Came { crew: who, gang: 0, here } if who.index() == crew => Some(*here),
        _ => None,
    };
    events.iter().filter_map(came).collect()
}

/// Attended 120 min a day. With seed 1 the uniforms of `fitters in shift day` are, for the first and the
/// second fitter (worked out apart from this program, from the published SipHash and Philox):
/// day 0 0.628 0.510, day 1 0.282 0.506, day 2 0.588 0.856, day 3 0.303 0.175, day 4 0.854 0.017. Below
/// 0.4 is away: both, the second, both, nobody, the first are there.
const TWO_FITTERS: &str = "line \"two\"\nshift day 06:00 to 08:00 on mon to fri\npeople fitters 2\nabsent 40 %\n\
     release saturated\nstation S1 crew 2 fitters\n";

/// 25 min by 2; alone 25 x 2 / 1 = 50.
///
/// Day 0, both: 06:25, 06:50, 07:15, 07:40, then 20 of 25 done. Day 1, one: the 5 min left stay 5 min:
/// 06:05; then 50: 06:55, 07:45; then 15 of 50. Day 2, both: what one began one ends, 35 min left: 06:35;
/// then 07:00, 07:25, 07:50; then 10 of 25. Day 3, nobody: it stands still. Day 4, one: the 15 min left:
/// 06:15; then 07:05, 07:55; then 5 of 50.
///
/// At work: 2 x 120, 120, 35 + 2 x 85, 0, 120 = 685 person-minutes. Absent: 0, 120, 0, 240, 120 = 480.
/// Short on 3 of 5 shifts. The bay works 4 x 120 and is short of people for 120.
#[test]
fn a_short_handed_crew_takes_longer_by_wanted_over_present() {
    let line = line_of(&format!("{TWO_FITTERS}task t takes 25 min by 2\n"));
    let (report, events) = record(&line, Horizon::Shifts(5));
    assert_eq!(came(&events, 0), vec![0b11, 0b10, 0b11, 0b00, 0b01]);
    let clocks = [
        (0, [(6, 25), (6, 50), (7, 15), (7, 40)].as_slice()),
        (1, &[(6, 5), (6, 55), (7, 45)]),
        (2, &[(6, 35), (7, 0), (7, 25), (7, 50)]),
        (4, &[(6, 15), (7, 5), (7, 55)]),
    ];
    let wanted: Vec<Time> =
        clocks.iter().flat_map(|(day, times)| times.iter().map(|(h, m)| at(*day, *h, *m))).collect();
    assert_eq!(ends(&line, &events, "t"), wanted);
    let (crew, min) = (&report.crews[0], Time::from_minutes(1).0);
    assert_eq!((crew.busy, crew.absent, crew.off_shift), (685 * min, 480 * min, 0));
    assert_eq!((crew.shifts, crew.short_shifts), (5, 3));
    assert_eq!(report.group_absent[0], 480 * min);
    let states = &report.places[0].states;
    assert_eq!(states[BayState::Working as usize], 480 * min);
    assert_eq!(states[BayState::ShortOfPeople as usize], 120 * min);
}

/// As above, but never by fewer than 2: on days 1, 3 and 4 nothing is done, what has begun included.
/// Day 0: as above, 5 min left. Day 2: 06:05, 06:30, 06:55, 07:20, 07:45.
#[test]
fn a_task_done_exactly_waits_for_a_shift_with_everybody() {
    let line = line_of(&format!("{TWO_FITTERS}task t takes 25 min by 2 exactly\n"));
    let (_, events) = record(&line, Horizon::Shifts(5));
    let wanted = [(0, 6, 25), (0, 6, 50), (0, 7, 15), (0, 7, 40)].into_iter().chain([
        (2, 6, 5),
        (2, 6, 30),
        (2, 6, 55),
        (2, 7, 20),
        (2, 7, 45),
    ]);
    let wanted: Vec<Time> = wanted.map(|(day, h, m)| at(day, h, m)).collect();
    assert_eq!(ends(&line, &events, "t"), wanted);
}

/// Two bays, 50 min by 1.
///
/// Day 0, both: 06:50 and 07:40 twice, then 20 of 50 twice. Day 1, the second: what they had begun they end at
/// 06:30, take over what the first had begun and end it at 07:00, before anything new; then the unit that came
/// in at 06:30: 07:50; then 10 of 50. Day 2, both: the 40 left 06:40, the first a new one 06:50; then 07:30 and
/// 07:40; then 30 and 20 of 50. Day 3, nobody, so that neither is anybody's. Day 4, the first: the 20 left of the
/// unit that came in first 06:20, the 30 left of the other 06:50, then 07:40.
#[test]
fn what_nobody_goes_on_with_is_taken_over_by_whoever_comes_free() {
    let text = TWO_FITTERS.replace("crew 2 fitters", "crew 2 fitters bays 2");
    let line = line_of(&format!("{text}task t takes 50 min by 1\n"));
    let (report, events) = record(&line, Horizon::Shifts(5));
    let clocks = [
        (0, [(6, 50), (6, 50), (7, 40), (7, 40)].as_slice()),
        (1, &[(6, 30), (7, 0), (7, 50)]),
        (2, &[(6, 40), (6, 50), (7, 30), (7, 40)]),
        (4, &[(6, 20), (6, 50), (7, 40)]),
    ];
    let wanted: Vec<Time> =
        clocks.iter().flat_map(|(day, times)| times.iter().map(|(h, m)| at(*day, *h, *m))).collect();
    assert_eq!(ends(&line, &events, "t"), wanted);
    // Whoever is there is never idle: 2, 1, 2, 0 and 1 people, 120 min each.
    assert_eq!(report.crews[0].busy, Time::from_minutes(6 * 120).0);
}

/// 30 min by a plumber and two more. The plumber's uniforms: 0.808, 0.783, 0.303, 0.628, 0.321: there on
/// days 0, 1 and 3.
///
/// Day 0, all three: 06:30, 07:00, 07:30, 08:00. Day 1, a fitter and the plumber: 30 x 3 / 2 = 45: 06:45,
/// 07:30, then 30 of 45. Day 2, two fitters: nobody can plumb, so what has begun stands still and nothing
/// begins. Day 3, the plumber alone: the 15 left: 06:15, then 30 x 3 / 1 = 90: 07:45, then 15 of 90. Day 4,
/// one fitter: nothing.
#[test]
fn without_anybody_who_can_it_waits() {
    let line = line_of(
        "line \"skills\"\nshift day 06:00 to 08:00 on mon to fri\npeople fitters 2\n\
         people plumbers 1 can plumb\nabsent 40 %\nrelease saturated\n\
         station S1 crew 2 fitters, 1 plumbers\ntask t takes 30 min by 1 plumb, 2\n",
    );
    let (report, events) = record(&line, Horizon::Shifts(5));
    let wanted =
        [(0, 6, 30), (0, 7, 0), (0, 7, 30), (0, 8, 0), (1, 6, 45), (1, 7, 30), (3, 6, 15), (3, 7, 45)];
    assert_eq!(ends(&line, &events, "t"), wanted.map(|(day, h, m)| at(day, h, m)).to_vec());
    let short = report.places[0].states[BayState::ShortOfPeople as usize];
    assert_eq!(short, Time::from_minutes(240).0, "days 2 and 4");
}

/// The third fitter is spare: 0.082, 0.940, 0.423, 0.710, 0.925: away on day 0 only. So somebody sits in
/// for the first on day 1, for one of the two on day 3, for the second on day 4.
#[test]
fn a_spare_person_of_the_group_sits_in() {
    let text = TWO_FITTERS.replace("people fitters 2", "people fitters 3");
    let line = line_of(&format!("{text}task t takes 25 min by 2\n"));
    let (report, events) = record(&line, Horizon::Shifts(5));
    assert_eq!(came(&events, 0), vec![0b11, 0b11, 0b11, 0b01, 0b11]);
    assert_eq!((report.crews[0].shifts, report.crews[0].short_shifts), (5, 1));
    // Away: one on days 0, 1 and 4, two on day 3, of the three on the list.
    assert_eq!(report.group_absent[0], Time::from_minutes(120 * 5).0);
}

/// 30 min without people; a stop after 100 min of net time takes both fitters 130 min.
///
/// Day 0, both: 06:30, 07:00, 07:30; stopped at 07:40 with 20 min left, mended for 20. Day 1, one: the
/// repair waits with 110 left. Day 2, both: mended at 07:50; then 10 of the 20. Day 3, nobody: 06:10,
/// 06:40, 07:10; stopped at 07:30, 100 min of net time after 07:50, and nobody mends. Day 4, one: likewise.
///
/// At work: 2 x (20 + 110) = 260 person-minutes; absent 480, as drawn.
#[test]
fn a_repair_waits_while_too_few_of_those_who_mend_are_there() {
    let line = line_of(
        "line \"mend\"\nshift day 06:00 to 08:00 on mon to fri\npeople fitters 2\nabsent 40 %\n\
         release saturated\n\
         station S1 stopping every 100 min of net time for 130 min by 2 fitters\ntask t takes 30 min\n",
    );
    let (report, events) = record(&line, Horizon::Shifts(5));
    let clocks = [(0, 6, 30), (0, 7, 0), (0, 7, 30), (3, 6, 10), (3, 6, 40), (3, 7, 10)];
    let wanted: Vec<Time> = clocks.iter().map(|(day, hour, minute)| at(*day, *hour, *minute)).collect();
    assert_eq!(ends(&line, &events, "t"), wanted);
    let mended = |(time, event): &(Time, Event)| matches!(event, Event::Mended { .. }).then_some(*time);
    assert_eq!(events.iter().filter_map(mended).collect::<Vec<_>>(), vec![at(2, 7, 50)]);
    assert_eq!(Time(report.group_busy[0]), Time::from_minutes(260));
    assert_eq!(Time(report.group_absent[0]), Time::from_minutes(480));
}

/// One crew of two at two stations pushed every 20 min; 25 min by 2 at S1, cut off and taken to S2 x 1.5.
///
/// The first unit is released at 125 min of net time and enters at 140, day 1, one fitter: alone 50. At
/// 160, 30 of 50 are left: 15 of 25, x 1.5 = 22.5 with both, 45 alone: done at 205, 07:25. The line holds
/// until then. The next pushes: 225, 245, 265; the second unit, released at 250, enters at 265, day 2,
/// both: at 285 5 of 25 are left, x 1.5 = 7.5: done at 292.5, 06:52:30.
#[test]
fn a_short_handed_task_that_travels_is_cut_by_its_share() {
    let line = line_of(
        "line \"travel\"\nshift day 06:00 to 08:00 on mon to fri\npeople fitters 2\nabsent 40 %\n\
         release every 125 min\nsegment all S1 to S2 pushed every 20 min, late work travels\n\
         station S1\nstation S2\nteam both crew 2 fitters serving S1, S2\n\
         task t takes 25 min by 2 at S1 may travel to S2 x 1.5\n",
    );
    let (_, events) = record(&line, Horizon::Shifts(3));
    let half = Time::from_minutes(1).0 / 2;
    assert_eq!(ends(&line, &events, "t"), vec![at(1, 7, 25), Time(at(2, 6, 52).0 + half)]);
}

/// Everybody is away on Tuesdays and nobody on other days: 5 units a day of 24 min, none on Tuesday.
#[test]
fn absence_goes_by_the_weekday() {
    let line = line_of(
        "line \"weekday\"\nshift day 06:00 to 08:00 on mon to fri\nstart empty on 2026-12-01\npeople fitters 2\n\
         absent 0 %, tue 100 %\nrelease saturated\nstation S1 crew 2 fitters\ntask t takes 24 min by 2\n",
    );
    // The first day is a Tuesday.
    let (report, events) = record(&line, Horizon::Shifts(5));
    assert_eq!(came(&events, 0), vec![0, 0b11, 0b11, 0b11, 0b11]);
    assert_eq!(ends(&line, &events, "t").len(), 20);
    assert_eq!(report.crews[0].absent, Time::from_minutes(240).0);
}

#[test]
fn nobody_absent_is_the_same_as_everybody_there() {
    let with = TWO_FITTERS.replace("absent 40 %", "absent 0 %");
    let without = TWO_FITTERS.replace("absent 40 %\n", "");
    let ends_of = |text: &str| {
        let line = line_of(&format!("{text}task t takes 8/10/14 min by 2\n"));
        let (_, events) = record(&line, Horizon::Shifts(20));
        ends(&line, &events, "t")
    };
    assert_eq!(ends_of(&with), ends_of(&without));
}

/// A station more, a task renamed, another crew size elsewhere: the same people are away.
#[test]
fn the_same_person_is_away_in_both_layouts() {
    let first = line_of(&format!("{TWO_FITTERS}task t takes 25 min by 2\n"));
    let second = line_of(
        &(TWO_FITTERS.replace("people fitters 2", "people fitters 5")
            + "task u takes 9 min by 1\nstation S2 crew 3 fitters bays 2\ntask v takes 12 min by 3\n"),
    );
    let of = |line: &Line| came(&record(line, Horizon::Shifts(30)).1, 0);
    assert_eq!(of(&first), of(&second));
}

/// Hears only who comes.
struct Comes(Vec<u32>);

impl Watcher for Comes {
    const WATCHING: bool = true;

    fn see(&mut self, _at: Time, _net: Time, event: Event) {
        if let Event::Came { crew: CrewId(0), here, .. } = event {
            self.0.push(here.count_ones());
        }
    }
}

/// Presence of n people who are each there with 1 - p is binomial. Checked for every k against the exact
/// interval of Clopper & Pearson (1934) at 99.9 %, both from the statrs library; 4,000 shifts.
#[test]
fn so_many_are_there_as_the_binomial_says() {
    let (n, p) = (6u32, 0.12);
    let line = line_of(&format!(
        "line \"six\"\nshift day 06:00 to 08:00 on mon to fri\npeople fitters {n}\nabsent 12 %\n\
         release saturated\nstation S1 crew {n} fitters\ntask t takes 60 min by 1\n"
    ));
    let mut there = Vec::new();
    for replication in 0..20 {
        let mut comes = Comes(Vec::new());
        let settings = Settings { count: 20, ..settings_of(3, Horizon::Shifts(200)) };
        replicate(&line, &settings, replication, &mut comes).expect("it runs");
        there.extend(comes.0);
    }
    assert_eq!(there.len(), 4_000);
    let exact = Binomial::new(1.0 - p, u64::from(n)).expect("legal");
    for k in 1..=n {
        let hits = there.iter().filter(|here| **here >= k).count() as f64;
        let chance = 1.0 - exact.cdf(u64::from(k) - 1);
        let (all, tail) = (there.len() as f64, 0.0005);
        let low =
            if hits == 0.0 { 0.0 } else { Beta::new(hits, all - hits + 1.0).unwrap().inverse_cdf(tail) };
        let high = if hits == all {
            1.0
        } else {
            Beta::new(hits + 1.0, all - hits).unwrap().inverse_cdf(1.0 - tail)
        };
        assert!(low <= chance && chance <= high, "P(at least {k}) = {chance}, found {low} to {high}");
    }
}

/// A crew of 6 is short unless all come: 1 - 0.88^6 = 0.5356 of the shifts.
#[test]
fn the_report_says_who_was_there() {
    let text = "line \"six\"\nshift day 06:00 to 08:00 on mon to fri\npeople fitters 6\nabsent 12 %\n\
         release saturated\nstation S1 crew 6 fitters\ntask t takes 60 min by 1\n";
    let shown = taktwright("simulate six.line --shifts 100 --replications 20 --format json --reproducible")
        .file("six.line", text)
        .simulating()
        .stdout_holds(&["\"presence\"", "\"short_shifts\""])
        .run();
    let report: serde_json::Value = serde_json::from_str(&shown).expect("a report");
    let presence = &report["people"][0]["presence"];
    let (low, high) = (presence["short_shifts_low"].as_f64(), presence["short_shifts_high"].as_f64());
    let exact = 1.0 - 0.88f64 * 0.88 * 0.88 * 0.88 * 0.88 * 0.88;
    assert!(low.unwrap() < exact && exact < high.unwrap(), "{presence}");
    let absent = presence["absent"].as_f64().unwrap();
    assert!((presence["present"].as_f64().unwrap() - 6.0 * (1.0 - absent)).abs() < 1e-9, "{presence}");
    assert!((absent - 0.12).abs() < 3.0 * presence["absent_plus_minus"].as_f64().unwrap(), "{presence}");
}

/// The bay is busy, moved, blocked, starved or short for all of net time, and so is everybody.
#[test]
fn every_person_minute_is_accounted_for() {
    let line =
        line_of(&format!("{TWO_FITTERS}task t takes 25 min by 2\ntask u takes 9 min by 1 exactly after t\n"));
    let mut unheard = taktwright::simulate::Unwatched;
    for replication in 0..5 {
        let settings = Settings { count: 5, ..settings_of(9, Horizon::Shifts(40)) };
        let run: Replication = replicate(&line, &settings, replication, &mut unheard).expect("it runs");
        assert_eq!(run.places[0].states.iter().sum::<i64>(), run.net.0);
        assert_eq!(run.crews[0].absent, run.group_absent[0]);
        assert!(run.crews[0].busy + run.crews[0].absent <= 2 * run.net.0);
    }
}
