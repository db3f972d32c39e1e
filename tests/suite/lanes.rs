//! Lanes: cases worked by hand to the microsecond, and queues whose figures theory knows.

use crate::by_hand::{Events, ended, min};
use crate::follow::text::{follow, line_of, read, record, settings_of};
use taktwright::balance::{self, Holding};
use taktwright::line::Line;
use taktwright::simulate::{Event, Horizon, Replication, Unwatched, replicate};
use taktwright::units::Time;

fn ran(line: &Line, events: &Events, name: &str) -> Vec<(Time, Time)> {
    ended(line, events, name).iter().map(|(_, start, end)| (*start, *end)).collect()
}

fn spans<const N: usize>(minutes: [(i64, i64); N]) -> [(Time, Time); N] {
    minutes.map(|(from, to)| (min(from), min(to)))
}

/// A unit every 2 min; a minute at A, 7 at P (one bay), 10 at Q (one bay and a slot), 3 at M, where the lanes meet.
///
/// At 3 both lanes are empty: unit 0 takes the first, P to 10. At 5 P has no room: unit 1 to Q, to 15. At 7 unit 2
/// into the slot before Q. At 9 neither has room: unit 3 waits in A until P is free at 10, there to 17; unit 4 into A.
/// At 15 unit 1 leaves Q, unit 2 takes its bay to 25, and the slot goes to unit 4, done since 11. Unit 5, done at 16,
/// waits. Unit 3 is done at 17 and M free at 18: it goes, and unit 5 takes P to 25. Unit 6, done at 19, waits. At 25
/// units 5 and 2 are done at once: M goes to the first lane, P to unit 6, to 32. At 28 unit 2 goes, unit 4 takes the
/// bay and unit 7, done at 26, the slot.
#[test]
fn the_shortest_queue_with_room_is_taken_as_a_unit_goes() {
    let line = line_of(
        "line \"lanes\"\nrelease every 2 min\nstation A crew 1\ntask a takes 1 min by 1\n\
         lanes ways chosen by the shortest queue\n\
         lane one of ways {\nstation P crew 1\ntask p takes 7 min by 1\n}\n\
         lane two of ways {\nstation Q crew 1 slots 1\ntask q takes 10 min by 1\n}\n\
         station M crew 1\ntask m takes 3 min by 1 after p, q\n",
    );
    let (report, events) = record(&line, Horizon::For(min(31) + Time(1)));
    assert_eq!(ran(&line, &events, "p"), spans([(3, 10), (10, 17), (18, 25)]));
    assert_eq!(ran(&line, &events, "q"), spans([(5, 15), (15, 25)]));
    assert_eq!(ran(&line, &events, "m"), spans([(10, 13), (15, 18), (18, 21), (25, 28), (28, 31)]));
    let units = |name: &str| ended(&line, &events, name).iter().map(|(unit, ..)| *unit).collect::<Vec<u64>>();
    assert_eq!(units("m"), [0, 1, 3, 5, 2]);
    assert_eq!(report.lane_units, [4, 4]);
}

/// Two units are done at S at a time. At 1 unit 0 takes the first lane, has nothing to do there and goes on to M, to
/// 4; then both lanes are empty again, so unit 1 takes the first, too, and is at M from 1 to 4. M is full then: at 2
/// unit 2 stays in the first lane and unit 3 takes the second.
#[test]
fn who_chooses_after_another_finds_it_where_it_went() {
    let line = line_of(
        "line \"at once\"\nmodel A 100 %\nmodel B 0 %\nrelease saturated\n\
         station S crew 2 bays 2\ntask s takes 1 min by 1\nlanes ways chosen by the shortest queue\n\
         lane one of ways {\nstation P crew 1\ntask p takes 7 min by 1 only B\n}\n\
         lane two of ways {\nrack Q places 1\n}\nstation M crew 2 bays 2\ntask m takes 3 min by 1\n",
    );
    let (report, events) = record(&line, Horizon::For(min(2)));
    assert_eq!(report.lane_units, [2, 0]);
    assert_eq!(ran(&line, &events, "m"), []);
    let (report, events) = record(&line, Horizon::For(min(4) + Time(1)));
    assert_eq!(ran(&line, &events, "m"), spans([(1, 4), (1, 4)]));
    assert_eq!(report.lane_units, [4, 2]);
}

/// Models A, A, B in turn; a minute at S, then A takes 10 min at P and B 2 min at Q, and a minute at M. Unit 1 waits in
/// S for P although Q is free, and unit 2 behind it; so does unit 3 from 13 to 21, and unit 4 from 22 on.
#[test]
fn by_model_each_waits_for_its_own_lane() {
    let line = line_of(
        "line \"models\"\nmodel A\nmodel B\nsequence pattern A A B\nrelease saturated\n\
         station S crew 1\ntask s takes 1 min by 1\nlanes ways chosen by model\n\
         lane one of ways only A {\nstation P crew 1\ntask p takes 10 min by 1\n}\n\
         lane two of ways only B {\nstation Q crew 1\ntask q takes 2 min by 1\n}\n\
         station M crew 1\ntask m takes 1 min by 1 after p, q\n",
    );
    let (report, events) = record(&line, Horizon::For(min(23)));
    assert_eq!(ran(&line, &events, "s"), spans([(0, 1), (1, 2), (11, 12), (12, 13), (21, 22)]));
    assert_eq!(ran(&line, &events, "p"), spans([(1, 11), (11, 21)]));
    assert_eq!(ran(&line, &events, "q"), spans([(12, 14)]));
    assert_eq!(ran(&line, &events, "m"), spans([(11, 12), (14, 15), (21, 22)]));
    assert_eq!(report.lane_units, [3, 1]);
}

/// A full line of which lane one is for A and lane two for B, the pattern is A A B. From the end of the line: M takes the
/// first order, A. Lane two stands behind lane one in the file, so Q comes next: its turn is A, the next B in turn is the
/// third; then P with the third, B: the next A is the first of the next round. S takes the fourth in turn, A.
///
/// By random orders those passed over come next: with a share of 0.01 % for B the first order of B is taken from far behind,
/// and no other order is lost.
#[test]
fn who_stands_in_a_lane_from_the_start_is_of_a_model_that_takes_it() {
    let text = |models: &str| {
        format!(
            "line \"full\"\n{models}\nrelease saturated\nstart full\n\
             station S crew 1\ntask s takes 1 min by 1\nlanes ways chosen by model\n\
             lane one of ways only A {{\nstation P crew 1\ntask p takes 10 min by 1\n}}\n\
             lane two of ways only B {{\nstation Q crew 1\ntask q takes 2 min by 1\n}}\n\
             station M crew 1\ntask m takes 1 min by 1 after p, q\n"
        )
    };
    let models = |events: &Events| -> Vec<u16> {
        let of = |(_, event): &(Time, Event)| match event {
            Event::Released { model, .. } => Some(model.0),
            _ => None,
        };
        events.iter().filter_map(of).collect()
    };
    let line = line_of(&text("model A\nmodel B\nsequence pattern A A B"));
    let (_, events) = record(&line, Horizon::For(min(4)));
    assert_eq!(models(&events)[..4], [0, 1, 0, 0]);
    // S: unit 3 to 1 min; P is at it to 10, so nothing new comes before. M: unit 0 to 1 min, then B of Q, 2 to 3.
    assert_eq!(ran(&line, &events, "m"), spans([(0, 1), (2, 3)]));
    let line = line_of(&text("model A 99.99 %\nmodel B 0.01 %\nsequence random"));
    let (_, events) = record(&line, Horizon::For(min(4)));
    assert_eq!(models(&events)[..4], [0, 1, 0, 0]);
}

/// Models A, A, B in turn: unit 2 may go to the free lane at once, past unit 1 that waits for P; where nobody may
/// overtake it goes at 10, when unit 1 has gone.
#[test]
fn an_ordered_place_before_lanes_keeps_its_order() {
    let text = |ordered: &str| {
        format!(
            "line \"order\"\nmodel A\nmodel B\nsequence pattern A A B\nrelease saturated\n\
             rack S places 2 {ordered}\nlanes ways chosen by model\n\
             lane one of ways only A {{\nstation P crew 1\ntask p takes 10 min by 1\n}}\n\
             lane two of ways only B {{\nstation Q crew 1\ntask q takes 2 min by 1\n}}\nrack M places 1\n"
        )
    };
    for (ordered, starts) in [("", vec![min(0)]), ("ordered", vec![min(10)])] {
        let line = line_of(&text(ordered));
        let (_, events) = record(&line, Horizon::For(min(19)));
        let found: Vec<Time> = ended(&line, &events, "q").iter().map(|(_, start, _)| *start).collect();
        assert_eq!(found, starts, "{ordered}");
    }
}

fn run(line: &Line, replication: u32, hours: i64) -> Replication {
    let horizon = Horizon::For(Time::HOUR * hours);
    replicate(line, &settings_of(1, horizon), replication, &mut Unwatched).expect("it runs")
}

/// Units at a place with one bay on average, those in its slots included.
fn mean_units(report: &Replication, place: usize) -> f64 {
    let counts = &report.places[place];
    let sum =
        |levels: &[i64]| levels.iter().enumerate().map(|(k, time)| k as f64 * *time as f64).sum::<f64>();
    (sum(&counts.bay_levels) + sum(&counts.slot_levels)) / counts.bay_levels.iter().sum::<i64>() as f64
}

/// Mean of several replications and its standard error.
fn mean_and_error(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    (mean, (squares / (n - 1.0) / n).sqrt())
}

/// Units at the first places of two lanes, against what theory says.
fn are_near(runs: &[Replication], wanted: [f64; 2]) {
    for (place, wanted) in [1, 2].into_iter().zip(wanted) {
        let found: Vec<f64> = runs.iter().map(|report| mean_units(report, place)).collect();
        let (mean, error) = mean_and_error(&found);
        assert!((mean - wanted).abs() < 4.0 * error, "{mean} +- {error} is not {wanted}");
        assert!(error < 0.08 * wanted, "{error} says too little of {wanted}");
    }
}

fn runs(line: &Line) -> Vec<Replication> {
    (0..12).map(|replication| run(line, replication, 250)).collect()
}

const QUEUES: &str = "rack A places 1\nlanes ways chosen by";

/// Poisson arrivals that a share sends one way or the other are two independent Poisson streams, so each lane is a
/// queue M/M/1 of its own, with u / (1 - u) units in it (Kleinrock, Queueing Systems I, 1975, ch. 3; from memory):
/// 0.4 x 1.6 = 0.64 gives 16/9, 0.6 x 1.2 = 0.72 gives 18/7.
#[test]
fn a_split_poisson_stream_makes_two_queues_of_their_own() {
    let line = line_of(&format!(
        "line \"split\"\nrelease every exponential mean 1 min\n{QUEUES} share\n\
         lane one 40 % of ways {{\nstation P crew 1 slots 2000\ntask p takes exponential mean 1.6 min by 1\n}}\n\
         lane two 60 % of ways {{\nstation Q crew 1 slots 2000\ntask q takes exponential mean 1.2 min by 1\n}}\n\
         rack M places 1\n"
    ));
    let runs = runs(&line);
    are_near(&runs, [16.0 / 9.0, 18.0 / 7.0]);
    let [one, two] = [0, 1].map(|lane| runs.iter().map(|report| report.lane_units[lane]).sum::<u64>() as f64);
    let error = ((one + two) * 0.24).sqrt();
    assert!((one - 0.4 * (one + two)).abs() < 4.0 * error, "{one} and {two}");
}

/// The chain of two queues of which each arrival joins the shorter one, the first if they are alike: units arrive with
/// rate `arrive`, each server ends one with rate 1. Stationary means of the two queues, by iteration on states up to
/// `most` in each.
fn joined_queues(arrive: f64, most: usize) -> (f64, f64) {
    let n = most + 1;
    let mut p = vec![1.0 / (n * n) as f64; n * n];
    // Uniformised: every step one of the events with its share, or none.
    let all = arrive + 2.0;
    for _ in 0..20_000 {
        let mut next = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..n {
                let here = p[i * n + j] / all;
                let (a, b) = if i <= j { ((i + 1).min(most), j) } else { (i, (j + 1).min(most)) };
                next[a * n + b] += arrive * here;
                next[i.saturating_sub(1) * n + j] += here;
                next[i * n + j.saturating_sub(1)] += here;
            }
        }
        let change: f64 = next.iter().zip(&p).map(|(a, b)| (a - b).abs()).sum();
        p = next;
        if change < 1e-11 {
            break;
        }
    }
    let mean = |of: fn(usize, usize) -> usize| {
        (0..n * n).map(|k| p[k] * of(k / n, k % n) as f64).sum::<f64>() / p.iter().sum::<f64>()
    };
    (mean(|i, _| i), mean(|_, j| j))
}

/// Two servers of rate 1 each and arrivals of rate 1.5: the means of both queues, which differ because the first
/// lane takes the ties.
#[test]
fn joining_the_shortest_queue_gives_the_queues_of_its_markov_chain() {
    let (first, second) = joined_queues(1.5, 30);
    assert!(first > second + 0.1, "the ties show: {first} {second}");
    let line = line_of(&format!(
        "line \"join\"\nrelease every exponential mean 40 s\n{QUEUES} the shortest queue\n\
         lane one of ways {{\nstation P crew 1 slots 200\ntask p takes exponential mean 1 min by 1\n}}\n\
         lane two of ways {{\nstation Q crew 1 slots 200\ntask q takes exponential mean 1 min by 1\n}}\n\
         rack M places 1\n"
    ));
    are_near(&runs(&line), [first, second]);
}

/// The same unit takes the same lane in every layout, and another share sends some of the same units.
#[test]
fn the_lane_of_a_unit_is_drawn_by_its_number() {
    let of = |share: u32, more: &str| {
        let line = line_of(&format!(
            "line \"draw\"\nrelease saturated\nrack A places 1\nlanes ways chosen by share draws as old\n\
             lane one {share} % of ways {{\nstation P crew 1\ntask p takes 3 min by 1\n}}\n\
             lane two {} % of ways {{\nstation Q crew 1\ntask q takes 5 min by 1\n}}\nrack M places 1\n{more}",
            100 - share
        ));
        let (_, events) = record(&line, Horizon::For(min(600)));
        ended(&line, &events, "p").iter().map(|(unit, ..)| *unit).collect::<Vec<u64>>()
    };
    let (few, as_many, more) = (of(30, ""), of(30, "rack Z places 3\n"), of(60, ""));
    let both = few.len().min(as_many.len());
    assert_eq!(few[..both], as_many[..both]);
    let last = *more.last().expect("some pass");
    assert!(few.iter().filter(|unit| **unit <= last).all(|unit| more.contains(unit)));
}

/// A full line with lanes, a test in one of them, stops, returns and a walk through all of it under the follower.
#[test]
fn a_full_line_with_a_test_in_a_lane_keeps_the_rules() {
    let line = line_of(
        "line \"full\"\nshift day 06:00 to 14:00 on mon to fri  break 09:00 lasting 10 min\nstart full\n\
         station A crew 1 bays 2\ntask a takes 3/4/9 min by 1\nlanes ways chosen by the shortest queue\n\
         lane one of ways {\nstation P crew 1 slots 2 stopping every exponential mean 90 min for 20 min\n\
         task p takes 5/9/20 min by 1\ntest ok of p passes 70 % on fail 50 % fixed in place takes 5 min by 1\n\
         on fail 30 % back to A redo a\non fail 20 % retest in queue\n}\n\
         lane two of ways {\nstation Q crew 1\ntask q takes 4/7/20 min by 1\nrack R places 2\n\
         hold h at least 8 min after q\n}\nstation M crew 1\ntask m takes 2/3/8 min by 1 after p, h\n",
    );
    for seed in 1..6 {
        let (report, faults) =
            follow(&line, &settings_of(seed, Horizon::Shifts(5))).unwrap_or_else(|e| panic!("{e:?}"));
        assert!(faults.is_empty(), "{faults:#?}");
        assert!(report.lane_units.iter().all(|units| *units > 50), "{:?}", report.lane_units);
    }
}

/// A tray is built for each unit in its turn, three units ahead, and who stands in the line at the start is of the model of
/// the lane: orders of trays follow the units as they stand.
#[test]
fn a_full_line_with_lanes_for_some_has_its_parts_built_in_the_order_of_its_units() {
    for sequence in ["random", "pattern S S T"] {
        let line = line_of(&format!(
            "line \"full\"\nmodel S 60 %\nmodel T 40 %\nsequence {sequence}\nrelease saturated\nstart full\n\
             feeder tray builds 3 units ahead store of 6 {{\n  station F crew 1\n  task f takes 2/3/5 min by 1\n}}\n\
             station A crew 1\ntask a takes 3/4/9 min by 1\nlanes ways chosen by model\n\
             lane one of ways only S {{\nstation P crew 1 slots 1\ntask p takes 5/6/9 min by 1\n}}\n\
             lane two of ways only T {{\nstation Q crew 1\ntask q takes 4/7/12 min by 1\n}}\n\
             station M crew 1\ntask m takes 2/3/4 min by 1 uses 1 tray after p, q\n"
        ));
        for seed in 1..4 {
            let (report, faults) =
                follow(&line, &settings_of(seed, Horizon::Units(300))).unwrap_or_else(|e| panic!("{e:?}"));
            assert!(faults.is_empty(), "{faults:#?}");
            assert_eq!(report.finished, 300);
        }
    }
}

#[test]
fn what_reaches_across_lanes_is_refused() {
    let line = |inside: &str, outside: &str| {
        read(&format!(
            "line \"across\"\nequipment rig\nstation A crew 1\ntask a takes 1 min by 1\ntask a2 takes 1 min by 1 after a\n\
             lanes ways chosen by the shortest queue\nlane one of ways {{\nstation P crew 1\ntask p takes 1 min by 1 after a\n\
             {inside}\n}}\nlane two of ways {{\nstation Q crew 1\ntask q takes 1 min by 1\n}}\n\
             station M crew 1\ntask m takes 1 min by 1 after p, q\n{outside}\n"
        ))
    };
    let refused = |inside: &str, outside: &str| {
        let errors = line(inside, outside).expect_err("it reaches across");
        assert!(errors.iter().all(|error| error.starts_with("T413")), "{errors:#?}");
        assert!(!errors.is_empty());
    };
    refused("", "window a end to p start within 5 min, else redo a");
    refused("", "keep rig from a to p");
    refused("", "keep rig from p to m");
    refused("", "carriers dolly 3 from A to P");
    refused("", "segment s P to M moving 1 min");
    refused("", "test v of m at M passes 90 % on fail back to P redo p");
    refused("gate g finds 0.5 per unit takes 3 min by 1 after p at most 1 go on to M", "");
    refused(
        "",
        "test v of a at A passes 90 %, again 90 % on fail scrapped escapes 2 % to w\n\
                 test w of p at P passes 90 % on fail scrapped",
    );
    refused("station X after A", "");
    // What stays in one lane, or holds them all, may be said.
    for (inside, outside) in [
        ("task p2 takes 1 min by 1 after p\nwindow p end to p2 start within 5 min, else redo p", ""),
        ("", "carriers dolly 3 from A to M"),
        ("", "segment s A to M moving 1 min"),
        ("test w of p at P passes 90 % on fail back to A redo a", ""),
        ("window p end to m start within 50 min, else redo p", ""),
    ] {
        line(inside, outside).unwrap_or_else(|errors| panic!("{inside} {outside}: {errors:#?}"));
    }
}

/// A layout can't let fewer units pass what is marked `safety`.
#[test]
fn no_layout_leads_units_past_a_safety_hold() {
    let text = "line \"safe\"\nmodel S 50 %\nmodel T 50 %\nstation A crew 1\ntask a takes 1 min by 1\n\
                lanes ways chosen by model\nlane one of ways only S {\nrack P places 3\nhold h at least 20 min safety\n}\n\
                lane two of ways only T {\nrack Q places 3\nhold k at least 20 min\n}\nrack M places 1\n";
    let faults = |layout: &str| {
        let text = format!("{text}layout \"x\" {{ {layout} }}\n");
        let parsed = taktwright::syntax::parse(taktwright::diagnostic::FileId(0), &text);
        let sources = taktwright::diagnostic::MapSources::one("test.line", &text);
        let found = taktwright::check::check(&parsed.tree, &sources, &[]).faults;
        found.iter().filter(|fault| fault.is_error()).map(|fault| fault.code.text()).collect::<Vec<_>>()
    };
    assert_eq!(faults("change lanes ways chosen by the shortest queue"), ["T702"; 0]);
    assert_eq!(
        faults("change lane two only S, T\nchange lanes ways chosen by the shortest queue"),
        ["T702"],
        "half of the units of S would go past it"
    );
    assert_eq!(faults("remove lane one\nlane new of ways only S {\nrack R places 3\n}"), ["T702"]);
}

/// Balancing leaves lanes alone and says why; their load is that of the units that come.
#[test]
fn balancing_leaves_lanes_as_they_are() {
    let line = line_of(
        "line \"balance\"\npace 10 min\nstation A crew 1\ntask a takes 6 min by 1\ntask b takes 6 min by 1\n\
         lanes ways chosen by share\nlane one 25 % of ways {\nstation P crew 1\ntask p takes 30 min by 1 after a\n}\n\
         lane two 75 % of ways {\nstation Q crew 1\ntask q takes 12 min by 1 after a\n}\n\
         station M crew 1\ntask m takes 2 min by 1 after p, q\n",
    );
    let loads = balance::loads(&line);
    let share = |place: usize| loads[place].share(0).expect("there is work");
    assert!((loads[1].window / 60e6 - 40.0).abs() < 1e-9 && (share(1) - 0.75).abs() < 1e-9);
    assert!((share(2) - 12.0 * 0.75 / 10.0).abs() < 1e-9);
    let content = balance::work_content(&line, &loads)[0];
    // 6 + 6 + 0.25 x 30 + 0.75 x 12 + 2
    assert!((content.labour / 60e6 - 30.5).abs() < 1e-9 && (content.elapsed / 60e6 - 30.5).abs() < 1e-9);
    let held = balance::holdings(&line);
    assert_eq!(held[2], Some(Holding::Lane { lane: "one".to_string() }));
    assert_eq!((&held[0], &held[1], &held[4]), (&None, &None, &None));
}
