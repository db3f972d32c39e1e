//! Parts that are short, for the wrong model or out of their turn: cases worked by hand, and textbook formulas.

use crate::by_hand::{at, min};
use crate::follow::text::{line_of, record, settings_of};
use crate::published::rule::{Length, THROUGHPUT, Value, WAIT, must_give, per_minute};
use taktwright::line::Line;
use taktwright::simulate::{BayState, Event, Flaw, Horizon, Unwatched, replicate};
use taktwright::units::Time;

fn starts(line: &Line, events: &[(Time, Event)], task: &str) -> Vec<(u64, Time)> {
    let start = |(at, event): &(Time, Event)| match event {
        Event::StepStarted { unit, step, .. } if line.steps[step.index()].name == task => Some((*unit, *at)),
        _ => None,
    };
    events.iter().filter_map(start).collect()
}

/// 5 min of work that takes one of nine; every kit is short, and what is missing comes 7 min later.
///
/// Unit 0 finds it at 0, its piece comes at 7: 7 to 12. Unit 1 finds it at 12: 19 to 24; unit 2 at 24: 31 to 36.
/// The parts lie at the unit from 0, 12 and 24 on: the store holds 8, 7 and 6 for 12 min each.
#[test]
fn a_task_whose_part_is_short_waits_for_what_is_missing() {
    let line = line_of(
        "line \"short\"\nmodel A 100 %\nrelease saturated\n\
         supply x in lots of 1 every 900 h store of 9, 9 at start, short 100 %, arriving in 7 min\n\
         station S1  crew 1\ntask t  takes 5 min  by 1  uses 1 x  at S1\n",
    );
    let (report, events) = record(&line, Horizon::For(min(36)));
    assert_eq!(starts(&line, &events, "t"), [(0, min(7)), (1, min(19)), (2, min(31))]);
    assert_eq!(report.places[0].states[BayState::ShortOfParts as usize], min(21).0);
    let store = &report.parts[0];
    assert_eq!((store.short, store.missing, store.used, store.waits), (3, min(21), 3, 0));
    assert_eq!(store.level, i128::from(min(12 * (8 + 7 + 6)).0));
}

/// The shift begins at 06:00 and has a break from 06:10 to 06:30. All is found at 06:00.
///
/// What is missing comes by the clock, at 06:20: in the break, and work begins at 06:30. A re-kit of 20 min has
/// done 10 when the break begins: it ends at 06:40.
#[test]
fn what_is_missing_comes_by_the_clock_and_a_re_kit_takes_net_time() {
    let text = |amiss: &str| {
        format!(
            "line \"break\"\nmodel A 100 %\nrelease saturated\nshift day 06:00 to 14:00  break 06:10 lasting 20 min\n\
             feeder x store of 3, 1 at start  builds 3 units ahead  {amiss} {{\n\
               station P  crew 1\n  task p  takes 3 h  by 1\n}}\n\
             station S1  crew 1\ntask t  takes 5 min  by 1  uses 1 x  at S1\n"
        )
    };
    for (amiss, begins) in [
        ("short 100 %, arriving in 20 min", at(0, 6, 30)),
        ("wrong 100 %, re-kitted in 20 min", at(0, 6, 40)),
    ] {
        let line = line_of(&text(amiss));
        let (_, events) = record(&line, Horizon::For(Time::HOUR * 8));
        assert_eq!(starts(&line, &events, "t")[0], (0, begins), "{amiss}");
    }
}

/// A takes 3 min at S1, which has two bays, B 2 min; then both take a kit at S2 for 1 min.
///
/// B, unit 1, is at S2 at 2 and takes its kit: 2 to 3. Unit 0 is overtaken at 2, its re-kit of 3 min is over at 5. It
/// comes to S2 at 3 and waits: 5 to 6. With a re-kit of 1 min it is over by then: 3 to 4.
#[test]
fn a_unit_that_is_overtaken_has_its_part_re_kitted_from_then_on() {
    let text = "line \"turn\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\n\
                station S1  crew 2  bays 2\nstation S2  crew 1\ntask a  takes 3 min for B 2 min by 1  at S1\n\
                task k  takes 1 min  by 1  after a  uses 1 kits  at S2\n\
                feeder kits store of 9, 4 at start  builds 4 units ahead  wrong 0 %, re-kitted in 3 min {\n\
                  station P  crew 1\n  task p  takes 1 min  by 1\n}\n";
    let line = line_of(text);
    let (report, events) = record(&line, Horizon::For(min(6)));
    assert_eq!(starts(&line, &events, "k"), [(1, min(2)), (0, min(5))]);
    let kits = &report.parts[0];
    assert_eq!((kits.wrong, kits.out_of_turn, kits.rekitting), (0, 1, min(3)));
    assert_eq!(report.places[1].states[BayState::ShortOfParts as usize], min(2).0);
    let quick = line_of(&text.replace("in 3 min", "in 1 min"));
    let (_, events) = record(&quick, Horizon::For(min(4)));
    assert_eq!(starts(&quick, &events, "k"), [(1, min(2)), (0, min(3))]);
    // Kits that fit anybody come in no order.
    let alike =
        line_of(&text.replace("model A 50 %\nmodel B 50 %\nsequence pattern A B\n", "model B 100 %\n"));
    let (report, _) = record(&alike, Horizon::For(min(60)));
    assert_eq!(report.parts[0].out_of_turn, 0);
}

/// Two parts are found amiss at once: the task waits for the later one.
#[test]
fn several_parts_are_found_amiss_together() {
    let line = line_of(
        "line \"two\"\nmodel A 100 %\nrelease saturated\n\
         supply x in lots of 1 every 900 h store of 9, 9 at start, short 100 %, arriving in 7 min\n\
         supply y in lots of 1 every 900 h store of 9, 9 at start, short 100 %, arriving in 4 min\n\
         station S1  crew 1\ntask t  takes 5 min  by 1  uses x, y  at S1\n",
    );
    let (report, events) = record(&line, Horizon::For(min(30)));
    assert_eq!(starts(&line, &events, "t"), [(0, min(7)), (1, min(19))]);
    assert_eq!((report.parts[0].short, report.parts[1].short), (3, 3));
    let amiss =
        events.iter().filter(|(_, event)| matches!(event, Event::PartAmiss { flaw: Flaw::Short, .. }));
    assert_eq!(amiss.count(), 6);
}

/// Who waits for a piece needs nobody: the crew goes on with a younger unit.
///
/// Two bays, one person. Unit 0 finds it at 0, and so does unit 1; both pieces come at 7: 7 to 12 and 12 to 17.
/// With `only A` taking the part, unit 1 (B) is worked on from 0 to 5.
#[test]
fn a_task_that_waits_for_a_piece_keeps_nobody_from_other_work() {
    let line = line_of(
        "line \"other\"\nmodel A 50 %\nmodel B 50 %\nsequence pattern A B\nrelease saturated\n\
         supply x in lots of 1 every 900 h store of 9, 9 at start, short 100 %, arriving in 7 min\n\
         station S1  crew 1  bays 2\ntask t  takes 5 min  only A  by 1  uses 1 x  at S1\n\
         task u  takes 5 min  only B  by 1  at S1\n",
    );
    let (_, events) = record(&line, Horizon::For(min(13)));
    assert_eq!(starts(&line, &events, "u")[0], (1, min(0)));
    assert_eq!(starts(&line, &events, "t")[0], (0, min(7)));
}

/// How many of n units find a part short is binomial: with n = 4,000 and p = 2.5 % the mean is 100 and the standard
/// deviation sqrt(n p (1 - p)) = 9.87 (any text on probability). Six of them either way: once in 500 million.
#[test]
fn as_many_units_are_short_as_is_stated() {
    let line = line_of(
        "line \"share\"\nmodel A 100 %\nrelease saturated\n\
         supply x in lots of 9 every 5 min store of 99, 99 at start, short 2.5 %, arriving in 1 min\n\
         station S1  crew 1\ntask t  takes 1 min  by 1  uses 1 x  at S1\n",
    );
    let run = replicate(&line, &settings_of(3, Horizon::Units(4_000)), 0, &mut Unwatched).expect("it runs");
    let (n, p) = (run.parts[0].starts as f64, 0.025);
    let off = run.parts[0].short as f64 - n * p;
    assert!(off.abs() < 6.0 * (n * p * (1.0 - p)).sqrt(), "{} of {n}", run.parts[0].short);
}

/// Work of 5 min; one part in five is short, and what is missing comes after an exponential time of 10 min.
///
/// Never short of units, a unit takes 5 + 0.2 x 10 = 7 min on average, so 1 / 7 units a minute leave (the
/// elementary renewal theorem: Ross, Introduction to Probability Models). With Poisson arrivals every 14 min it is
/// an M/G/1 queue whose service S has E S = 7 and E S^2 = 25 + 2 x 5 x 0.2 x 10 + 0.2 x 2 x 100 = 85: units wait
/// E S^2 / (2 x 14 x (1 - 0.5)) = 6.07 min (Pollaczek and Khinchine; any queueing text).
#[test]
fn pieces_that_come_later_make_the_textbook_queue() {
    let text = |release: &str| {
        format!(
            "line \"late pieces\"\nmodel A 100 %\nrelease {release}\n\
             supply x in lots of 9 every 5 min store of 99, 99 at start, short 20 %, \
             arriving in exponential mean 10 min\n\
             station S1  crew 1\ntask t  takes 5 min  by 1  uses 1 x  at S1\ntest q  of t  passes 100 %\n"
        )
    };
    let length = Length { replications: 20, warm_up: 500, units: 20_000 };
    let rate = Value { what: "units per minute", exact: 1.0 / 7.0, cap: THROUGHPUT, of: per_minute };
    let share = Value {
        what: "share short of parts",
        exact: 2.0 / 7.0,
        cap: WAIT,
        of: |r| r.places[0].states[BayState::ShortOfParts as usize] as f64 / r.net.0 as f64,
    };
    must_give(&text("saturated"), length, &[rate, share]);
    let wait = Value {
        what: "wait for the bay",
        exact: 85.0 / (2.0 * 14.0 * 0.5),
        cap: WAIT,
        of: |r| r.tests[0].waits.mean().expect("units came") / 60e6,
    };
    must_give(&text("every exponential mean 14 min"), length, &[wait]);
}
