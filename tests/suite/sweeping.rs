//! `taktwright compare --vary`: every point is the line edited by hand, best and fewest are what they are, and
//! a sweep over slots follows its Markov chain.

use crate::harness::{Case, taktwright};
use crate::published::chain;
use serde_json::Value;
use taktwright::diagnostic::MapSources;
use taktwright::report::{PointRow, SweepReport, sweep_schema};
use taktwright::simulate::{Horizon, Unattended};
use taktwright::study::{
    Axis, Candidate, LineFile, Precision, RunChoices, Sweep, WarmUpChoice, fit_together, points,
    side_by_side, sweep,
};

/// A pushed segment at its stated pace, a per-bay crew, people that are counted, a tool, stores, floaters.
const SHOP: &str = "\
line \"Shop\"
shift day 06:00 to 14:00 on mon to fri
demand 40 per shift
pace 8 min
model A 60 %
model B 40 %
people sawyers 2
people fitters 4 can check
absent 5 %
floaters 1 \"Hall floaters\" can check
floaters 1 \"Saw floaters\" covering S1
equipment jig 1
station S1 \"Saw\" crew 1 sawyers per bay bays 2 slots 1
task saw takes 9/11/15 min by 1 at S1
segment rest S2 to S4 pushed every 8 min index 0.5 min
station S2 \"Fit\" crew 1 fitters
task fit takes 4/5/7 min for B x 1.2 by 1 with jig after saw at S2
station S3 \"Try\" crew 1 fitters
task fill takes 3/4/5 min by 1 with jig after fit at S3
task look takes 1/2/4 min by 1 check after fill at S3
test try of fill to look passes 85 %, again 95 % on fail fixed in place takes 3/5/9 min by 1
station S4 \"Pack\" crew 1 fitters
task pack takes 3/4/5 min by 1 uses 1 boxes after look at S4
supply boxes in lots of 20 every 150 min store of 60, 20 at start
carriers skid 8 from S1 to S4 returning in 5 min
yard lot places 30, lorries of 20 at 09:00, 12:00
promise mean units per shift at least 30
";

fn choices() -> RunChoices {
    RunChoices {
        seed: 4,
        precision: Precision::Replications(20),
        horizon: Some(Horizon::Shifts(5)),
        warm_up: Some(WarmUpChoice::None),
        gains: 0,
    }
}

fn swept(text: &str, ranges: &[&str], promises: &[String], choices: &RunChoices) -> SweepReport {
    let sources = MapSources::one("shop.line", text);
    let read = taktwright::read("shop.line", &sources, &[]);
    let base = read.layouts.first().unwrap_or_else(|| panic!("the line is sound: {:?}", read.faults));
    let axes: Vec<Axis> =
        ranges.iter().map(|range| Axis::read(range, base).expect("the range reads")).collect();
    fit_together(&axes).expect("the ranges fit together");
    let file = LineFile { path: "shop.line", sources: &sources, sets: &[] };
    let asked = Sweep { base, taken: &["today"], file, axes: &axes, promises };
    sweep(&asked, choices, &Unattended).expect("the line runs")
}

/// All figures of the file as it stands, as `compare` has them.
fn figures(text: &str) -> Value {
    let read = taktwright::read("shop.line", &MapSources::one("shop.line", text), &[]);
    let line = read.layouts.first().unwrap_or_else(|| panic!("the line is sound: {:?}", read.faults));
    let candidate = Candidate { name: "point".to_string(), line };
    let compared = side_by_side(&[candidate], &choices(), &Unattended).expect("the line runs");
    serde_json::to_value(&compared.layouts[0]).expect("a row is JSON")
}

fn figures_of(point: &PointRow) -> Value {
    let mut row = serde_json::to_value(&point.does).expect("a row is JSON");
    row["layout"] = Value::from("point");
    row
}

/// What is varied, and the file as somebody would edit it for each point: (before, after) pairs of text.
type ByHand = (&'static str, &'static [&'static [(&'static str, &'static str)]]);

const BY_HAND: &[ByHand] = &[
    (
        "pace 7 to 9 min by 1",
        &[
            &[("pace 8", "pace 7"), ("every 8", "every 7")],
            &[],
            &[("pace 8", "pace 9"), ("every 8", "every 9")],
        ],
    ),
    ("pace of rest 420 to 450 s by 30", &[&[("every 8", "every 7")], &[("every 8", "every 7.5")]]),
    (
        "bays of S1 1 to 3",
        &[
            &[("bays 2", "bays 1"), ("sawyers 2", "sawyers 1")],
            &[],
            &[("bays 2", "bays 3"), ("sawyers 2", "sawyers 3")],
        ],
    ),
    ("slots before S1 0 to 2", &[&[("slots 1", "slots 0")], &[], &[("slots 1", "slots 2")]]),
    (
        "slots before S3 0 to 1",
        &[
            &[],
            &[
                ("S2 to S4 pushed every 8 min index 0.5 min", "S2 to S2 pushed every 8 min index 0.5 min"),
                ("station S2", "segment behind S3 to S4 pushed every 8 min index 0.5 min\nstation S2"),
                ("\"Try\" crew 1 fitters", "\"Try\" crew 1 fitters slots 1"),
            ],
        ],
    ),
    (
        "crew of S4 1 to 2",
        &[&[], &[("\"Pack\" crew 1", "\"Pack\" crew 2"), ("people fitters 4", "people fitters 5")]],
    ),
    ("people fitters 3 to 5", &[&[("fitters 4", "fitters 3")], &[], &[("fitters 4", "fitters 5")]]),
    ("floaters Hall floaters 1 to 2", &[&[], &[("floaters 1 \"Hall", "floaters 2 \"Hall")]]),
    ("floaters Saw floaters 0 to 1", &[&[("floaters 1 \"Saw floaters\" covering S1\n", "")], &[]]),
    ("equipment jig 1 to 2", &[&[], &[("jig 1", "jig 2")]]),
    ("carriers skid 6 to 8", &[&[("skid 8", "skid 6")], &[("skid 8", "skid 7")], &[]]),
    ("yard 20 to 30 by 10", &[&[("lot places 30", "lot places 20")], &[]]),
    ("store of boxes 20 to 60 by 40", &[&[("store of 60", "store of 20")], &[]]),
];

#[test]
fn every_point_does_what_the_file_edited_by_hand_does() {
    for (range, by_hand) in BY_HAND {
        let found = swept(SHOP, &[range], &[], &choices());
        assert_eq!(found.points.len() + found.left_out.len(), by_hand.len(), "{range}: {:?}", found.left_out);
        assert!(
            found.points.len() >= 2 || *range == "people fitters 3 to 5",
            "{range}: {:?}",
            found.left_out
        );
        let mut points = found.points.iter();
        for edits in *by_hand {
            let text = edits.iter().fold(SHOP.to_string(), |text, (before, after)| {
                assert!(text.contains(before), "{range}: {before}");
                text.replace(before, after)
            });
            if taktwright::read("shop.line", &MapSources::one("shop.line", &text), &[]).layouts.is_empty() {
                continue;
            }
            let point = points.next().unwrap_or_else(|| panic!("{range} has a point for {edits:?}"));
            assert_eq!(figures_of(point), figures(&text), "{range}, {}", point.does.layout);
            assert_eq!(point.as_it_stands, edits.is_empty(), "{range}, {}", point.does.layout);
        }
    }
}

#[test]
fn a_grid_changes_both_and_hires_for_both_together() {
    let found = swept(SHOP, &["bays of S1 1 to 3 by 2", "people sawyers 3 to 4"], &[], &choices());
    let names: Vec<&str> = found.points.iter().map(|point| point.does.layout.as_str()).collect();
    assert_eq!(
        names,
        [
            "bays of S1 1, people sawyers 3",
            "bays of S1 1, people sawyers 4",
            "bays of S1 3, people sawyers 3",
            "bays of S1 3, people sawyers 4"
        ]
    );
    // Two sawyers today, of whom two bays want two: 3 bays want one more than the 4 that were asked for.
    let text = SHOP.replace("bays 2", "bays 3").replace("sawyers 2", "sawyers 5");
    assert_eq!(figures_of(&found.points[3]), figures(&text));
    let parted = swept(SHOP, &["slots before S3 0 to 1", "pace 8 to 9 min by 1"], &[], &choices());
    let edit = parted.points[3].edit.as_deref().expect("it is an edit");
    assert_eq!(
        edit,
        "layout \"slots before S3 1, pace 9 min\" on \"today\" {\n  change pace 9 min\n  change segment rest \
         S2 to S2 pushed every 9 min\n  segment rest-from-S3 S3 to S4 pushed every 9 min index 0.5 min\n  \
         change station S3 slots 1\n}\n"
    );
}

/// Two stations in a row without a stop, exponential times of mean 1 min: the exact rate of the Markov chain
/// (Hillier & Boling 1967 for two stations: (b + 2) / (b + 3) an hour's 60th), for 0 to 3 places between.
#[test]
fn a_sweep_over_slots_follows_its_markov_chain() {
    let text = "line \"Two\"\nmodel A 100 %\nrelease saturated\nstation S1 crew 1\nstation S2 crew 1\n\
                task t1 takes exponential mean 1 min by 1 at S1\n\
                task t2 takes exponential mean 1 min by 1 after t1 at S2\n";
    let choices = RunChoices {
        precision: Precision::Replications(20),
        horizon: Some(Horizon::Units(8_000)),
        warm_up: Some(WarmUpChoice::For(taktwright::units::Time::HOUR * 5)),
        ..choices()
    };
    let found = swept(text, &["slots before S2 0 to 3"], &[], &choices);
    assert_eq!(found.advice.most.as_deref(), Some("slots before S2 3"));
    for (between, point) in found.points.iter().enumerate() {
        let exact = 60.0 * chain::throughput(&[1.0, 1.0], between);
        let made = point.does.units_per_hour.expect("it is counted");
        let half = (made.high.expect("a band") - made.low.expect("a band")) / 2.0;
        assert!(half < 0.01 * exact, "{between}: the band is narrow enough to mean something: {made:?}");
        assert!((made.mean - exact).abs() < 1.5 * half, "{between} between: {made:?} against {exact}");
    }
}

/// 10 min at each of two stations whose people are never away: a unit every 10 min whatever is added, so
/// all is alike and the fewest win. A second bay and its worker at the slower first station: see below.
#[test]
fn what_makes_the_same_is_said_to_and_the_fewest_people_keep_a_promise() {
    let text = "line \"Two\"\nstation S1 crew 1 per bay\ntask one takes 10 min by 1\n\
                station S2 crew 1\ntask two takes 4 min by 1 after one\n";
    let choices = RunChoices {
        precision: Precision::Replications(20),
        horizon: Some(Horizon::For(taktwright::units::Time::HOUR * 40)),
        warm_up: Some(WarmUpChoice::For(taktwright::units::Time::HOUR * 10)),
        ..choices()
    };
    let promises = ["units per hour at least 11".to_string(), "units per hour at least 20".to_string()];
    let found = swept(text, &["bays of S1 1 to 4"], &promises, &choices);
    // One bay: one unit in 10 min. Two bays: one in 5 min. From the third on S2 with its 4 min holds it: 15.
    let hourly: Vec<f64> =
        found.points.iter().map(|p| p.does.units_per_hour.expect("it is counted").mean).collect();
    assert_eq!(hourly, [6.0, 12.0, 15.0, 15.0]);
    assert_eq!(
        found.advice.sentence,
        "Most good units: \u{201c}bays of S1 3\u{201d}, 15 (no spread) units an hour, 9 (no spread) more than \
         \u{201c}today\u{201d}. The same within 0.5 %: \u{201c}bays of S1 4\u{201d}."
    );
    assert_eq!(found.advice.equals, ["bays of S1 4"]);
    let fewest: Vec<(Option<&str>, Option<u32>)> =
        found.fewest.iter().map(|row| (row.point.as_deref(), row.people)).collect();
    assert_eq!(fewest, [(Some("bays of S1 2"), Some(3)), (None, None)]);
}

/// Every shift makes the same: 8 h of a unit every 10 min, of which the first needs 14 min.
#[test]
fn the_rate_curve_says_what_a_shift_makes_and_how_often() {
    let text = "line \"Two\"\nshift day 06:00 to 14:00 on mon to fri\nstation S1 crew 1\n\
                task one takes 10 min by 1\nstation S2 crew 1\ntask two takes 4 min by 1 after one\n";
    let found = swept(text, &["slots before S2 0 to 1"], &[], &choices());
    for point in &found.points {
        let last = point.curve.last().expect("shifts are counted");
        assert_eq!(last.units, 48);
        assert_eq!(point.made_on(0.75), Some(48), "four of five shifts: {:?}", point.curve);
        assert_eq!(point.made_on(0.9), Some(47), "the first one starts empty");
        assert_eq!(point.curve.iter().map(|at| at.chance).fold(0.0, f64::max), 1.0);
    }
}

fn case(more: &str) -> Case {
    taktwright(&format!("compare shop.line {more}")).file("shop.line", SHOP)
}

const QUICK: &str = "--shifts 5 --replications 20 --seed 4 --warm-up none";

#[test]
fn the_page_shows_the_best_the_chart_and_the_rate_curve() {
    case(&format!(
        "{QUICK} --vary slots before S1 0 to 2 --promise 'at least 30 units per shift on 50 % of shifts'"
    ))
    .simulating()
    .stdout_holds(&[
        "Shop: slots before S1 0 to 2",
        "3 points on the same random days, 20 replications of 5 shifts, no warm-up, seed 4",
        "Most good units: ",
        "mean units per shift at least 30",
        "at least 30 units per shift on 50 % of shifts",
        "Good units, units a shift",
        "as it stands",
        "What each point does and takes",
        "made on 80 %",
        "The rate curve",
        "Before you act on this",
    ])
    .run();
}

#[test]
fn a_grid_is_a_table_and_json_has_every_point() {
    let json =
        case(&format!("{QUICK} --format json --vary pace 7 to 8 min by 1 --vary \"crew of S4 1 to 2\""))
            .simulating()
            .stdout_holds(&["\"schema\": \"taktwright.sweep/1\""])
            .run();
    let swept: Value = serde_json::from_str(&json).expect("it prints JSON");
    let settings: Vec<String> = swept["points"]
        .as_array()
        .expect("points are a list")
        .iter()
        .map(|point| point["settings"].to_string())
        .collect();
    assert_eq!(settings, ["[7.0,1.0]", "[7.0,2.0]", "[8.0,1.0]", "[8.0,2.0]"]);
    case(&format!("{QUICK} --vary pace 7 to 8 min by 1 --vary \"crew of S4 1 to 2\""))
        .stdout_holds(&["pace \\ crew of S4", "7 min", "8 min", "* the highest mean"])
        .run();
}

#[test]
fn points_are_printed_as_layouts_that_check_accepts() {
    for (range, _) in BY_HAND.iter().filter(|(range, _)| *range != "people fitters 3 to 5") {
        let printed = case(&format!("--as-layouts --vary '{range}'")).stdout_holds(&["layout \""]).run();
        let text = format!("{SHOP}{printed}");
        let read = taktwright::read("shop.line", &MapSources::one("shop.line", &text), &[]);
        assert_eq!(
            read.layouts.len(),
            1 + printed.matches("layout \"").count(),
            "{range}: {:?}",
            read.faults
        );
    }
}

/// A point that the file does not allow is named with what the checker says.
#[test]
fn a_point_that_the_file_does_not_allow_is_left_out_with_its_reason() {
    let found = swept(SHOP, &["crew of S4 0 to 1"], &[], &choices());
    assert_eq!(found.points.len(), 1);
    assert_eq!(found.left_out[0].point, "crew of S4 0");
    assert!(!found.left_out[0].why.is_empty() && found.left_out[0].why != "the file does not allow it");
}

#[test]
fn bad_ranges_are_refused_with_the_cure() {
    let refused = |range: &str, cure: &str| {
        case(&format!("--vary '{range}'")).stderr_holds(&[cure]).status(2).run();
    };
    refused("pace 22 min", "write it as in `pace 22 to 26 min by 0.5`");
    refused("pace 7 to 9 min", "does not say in which steps: add `by 0.5 min`");
    refused("pace 7 to 9 by 1", "has no unit of time: write `9 min`");
    refused("pace 9 to 7 min by 1", "the range runs backwards: write `7 min to 9 min`");
    refused("pace 7 to 9 min by 0.75", "do not meet 9 min: write `to 8.5 min` or `to 9.25 min`");
    refused("pace 7 to 9 min by 0", "is not a time longer than 0");
    refused("pace of front 7 to 9 min by 1", "no segment pushed every so often is named `front`");
    refused("bays of S1 2 to 2", "is one value: say a range");
    refused("bays of S1 1 to 3 by 0", "steps of 0 lead nowhere");
    refused("bays of S1 1.5 to 3", "`1.5` is no whole number");
    refused("bays of S1 1 to 3 min", "is a count and takes no unit: write `3`");
    refused("bays of S1 1 to 1000", "more than 100: take longer steps");
    refused("bays of S7 1 to 3", "no station is named `S7`; did you mean `S1`?");
    refused("slots before 1 to 3", "which station? the file has S1, S2, S3 and S4");
    refused("places of S1 1 to 3", "no rack or repair area is named `S1`; the file has none");
    refused("floaters 1 to 3", "say `floaters Hall floaters or Saw floaters`");
    refused("floaters Hall floater 1 to 3", "did you mean `Hall floaters`?");
    refused("crew of S9 1 to 3", "no crew is named `S9`");
    refused("people tilers 1 to 3", "no group of people is named `tilers`; the file has sawyers and fitters");
    refused("colour 1 to 3", "`colour` is nothing that can be varied: pace, pace of SEGMENT, ");
    refused("1 to 3", "say what to vary");
}

#[test]
fn what_does_not_go_together_is_refused() {
    let refused = |more: &str, cure: &str| {
        case(more).stderr_holds(&[cure]).status(2).run();
    };
    refused("--vary bays of S1 1 to 3 --vary bays of S1 2 to 4", "is varied twice");
    refused(
        "--vary bays of S1 1 to 2 --vary slots before S1 0 to 1 --vary crew of S4 1 to 2",
        "two make a grid",
    );
    refused(
        "--vary bays of S1 1 to 20 --vary slots before S1 1 to 20",
        "a grid of 400 points is more than 100",
    );
    refused("--layouts today --layouts other --vary bays of S1 1 to 2", "is about one layout");
    refused("--layouts todya --vary bays of S1 1 to 2", "did you mean `today`?");
    refused("--promise 'at least 3 units' --vary bays of S1 1 to 2", "is no promise: ");
    refused("--as-layouts", "--vary");
    taktwright("compare a.line b.line --vary bays of S1 1 to 2")
        .stderr_holds(&["`--vary` is about one file"])
        .status(2)
        .run();
}

#[test]
fn names_of_points_do_not_meet_those_of_the_files_layouts() {
    let text = format!("{SHOP}layout \"equipment jig 2\" {{ change equipment jig 3 }}\n");
    let read = taktwright::read("shop.line", &MapSources::one("shop.line", &text), &[]);
    let axis = Axis::read("equipment jig 1 to 2", &read.layouts[0]).expect("the range reads");
    let names: Vec<String> = points(&read.layouts[0], &["today", "equipment jig 2"], &[axis])
        .into_iter()
        .map(|p| p.name)
        .collect();
    assert_eq!(names, ["equipment jig 1", "equipment jig 2 once more"]);
}

#[test]
fn the_published_schema_of_sweeps_is_the_one_in_force() {
    let path = crate::house::top().join("docs/sweep.schema.json");
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(&path, sweep_schema()).expect("docs can be written");
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(published == sweep_schema(), "docs/sweep.schema.json is stale; TAKTWRIGHT_BLESS=1 rewrites it");
}
