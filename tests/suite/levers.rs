//! `taktwright levers`: every lever is a layout, and gains what that layout gains; known answers by hand.

use crate::harness::taktwright;
use serde_json::Value;
use taktwright::diagnostic::{Diagnostic, MapSources};
use taktwright::line::Line;
use taktwright::report::levers_schema;
use taktwright::simulate::{Horizon, Unattended};
use taktwright::study::{
    Candidate, LineFile, Precision, RunChoices, WarmUpChoice, lever_lines, levers, side_by_side,
};

/// A saw that holds the shop up, a test that fails at times, people who may be absent.
const SHOP: &str = "\
line \"Shop\"
shift day 06:00 to 14:00 on mon to fri
pace 7 min
model A 60 %
model B 40 %
people sawyers 1
people fitters 3 can check
absent 5 %
floaters 1 \"Hall floaters\" can check
floaters 1 \"Saw floaters\" covering S1
equipment jig 1
station S1 \"Saw\" crew 1 sawyers
task saw takes 5/6/8 min by 1 at S1
segment rest S2 to S4 pushed every 8 min index 0.5 min
station S2 \"Fit\" crew 1 fitters per bay slots 1
task fit takes 4/5/7 min for B x 1.2 by 1 with jig after saw at S2
station S3 \"Try\" crew 1 fitters
task fill takes 1/2/3 min by 1 after fit at S3
hold wait at least 1 min safety after fill at S3
task look takes 1/2/4 min by 1 check after wait at S3
test try of fill to look passes 85 %, again 95 % for B passes 80 %, again 90 % safety
  on fail fixed in place takes 3/5/9 min by 1
station S4 \"Pack\" crew 1 fitters
task pack takes 3/4/5 min by 1 uses 1 boxes after look at S4
task label takes 1/2/3 min by 1 after look at S4
supply boxes in lots of 20 every 100 min store of 60
repair R1 places 1
carriers skid 8 from S1 to S4 returning in 5 min
yard lot places 30, lorries of 20 at 09:00, 12:00
";

const QUICK: &str = "--shifts 5 --replications 25 --seed 4 --warm-up none";

fn ranked(text: &str, more: &str) -> Value {
    let arguments = format!("levers shop.line --format json {more}");
    let printed = taktwright(&arguments)
        .file("shop.line", text)
        .stdout_holds(&["\"schema\": \"taktwright.levers/1\""])
        .simulating()
        .run();
    serde_json::from_str(&printed).expect("it prints JSON")
}

fn rows(ranked: &Value) -> &[Value] {
    ranked["levers"].as_array().expect("levers are a list")
}

fn row<'r>(ranked: &'r Value, name: &str) -> &'r Value {
    let found = rows(ranked).iter().find(|row| row["lever"] == name);
    found.unwrap_or_else(|| panic!("no lever is called {name}: {ranked:#}"))
}

/// Units gained by each layout that is written into the file by hand, as `compare` finds them.
fn by_hand(levers: &[&Value], replications: u32) -> Vec<(String, f64)> {
    let edits: String = levers.iter().filter_map(|row| row["edit"].as_str()).collect();
    let sources = MapSources::one("shop.line", &format!("{SHOP}{edits}"));
    let read = taktwright::read("shop.line", &sources, &[]);
    let candidates: Vec<Candidate<'_>> =
        read.layouts.iter().map(|line| Candidate { name: line.layout.clone(), line }).collect();
    assert_eq!(candidates.len(), levers.len() + 1, "every layout is sound: {:?}", read.faults);
    let choices = RunChoices {
        seed: 4,
        precision: Precision::Replications(replications),
        horizon: Some(Horizon::Shifts(5)),
        warm_up: Some(WarmUpChoice::None),
        gains: 0,
    };
    let compared = side_by_side(&candidates, &choices, &Unattended).expect("every layout runs");
    let pairs = compared.pairs.into_iter().filter(|pair| pair.against == "today");
    pairs.map(|pair| (pair.layout, pair.difference.expect("it is counted").mean)).collect()
}

fn assert_as_by_hand(levers: &[&Value], replications: u32) {
    for ((name, gained), lever) in by_hand(levers, replications).into_iter().zip(levers) {
        assert_eq!(Value::from(name), lever["lever"]);
        let said = lever["gained"]["mean"].as_f64().expect("it is counted");
        // Printed with six decimals or digits.
        assert!((said - gained).abs() <= 1e-6, "{}: {said} against {gained}", lever["lever"]);
    }
}

/// Levers that may matter rest on all 25 replications, the others on the first 20.
#[test]
fn every_lever_gains_what_its_layout_gains_when_written_by_hand() {
    let ranked = ranked(SHOP, QUICK);
    let of = |screened: bool| -> Vec<&Value> {
        rows(&ranked).iter().filter(|row| row["screened_out"] == screened).collect()
    };
    let (closely, briefly) = (of(false), of(true));
    assert!(closely.len() >= 3 && briefly.len() >= 3, "{ranked:#}");
    assert_as_by_hand(&closely, 25);
    assert_as_by_hand(&briefly, 20);
}

/// Two stations of constant times: 10 min, then 4 min. A unit leaves every 10 min: 6 an hour. With a second
/// bay and its worker the first station gives one every 5 min: 12 an hour, 6 more. Such a bay costs 30 an
/// hour for its worker and 1 an hour of 8,760 a year for the bay: 31 for 6 units more.
#[test]
fn a_second_bay_is_worth_what_it_is_worth_by_hand() {
    let text = "line \"Two\"\nmoney EUR\ncost people 30 EUR per hour\ncost S1 8760 EUR per year\n\
                station S1 crew 1 per bay\ntask one takes 10 min by 1\n\
                station S2 crew 1\ntask two takes 4 min by 1 after one\n";
    let found = ranked(text, "--for 40h --warm-up 10h --replications 20");
    let bay = row(&found, "one more bay at S1 with its crew of 1");
    assert_eq!(bay["rank"], 1);
    assert_eq!(bay["verdict"], "better");
    assert_eq!(bay["gained"]["mean"], 6.0);
    assert_eq!(bay["cost_per_year"], 31.0 * 8760.0);
    let each = bay["cost_per_unit_gained"]["mean"].as_f64().expect("the gain is sure");
    assert!((each - 31.0 / 6.0).abs() < 1e-5, "{each}");
    // Nobody waits before S1, and S2 is done sooner than S1: exactly nothing.
    for name in ["one more slot before S1", "5 % off the work at S2", "one more bay at S2"] {
        let nothing = row(&found, name);
        assert_eq!(
            (&nothing["no_effect"], &nothing["gained"]["mean"]),
            (&Value::Bool(true), &Value::from(0.0))
        );
    }
    // One unit every 9.5 min: 252 or 253 in 40 h.
    let work = row(&found, "5 % off the work at S1")["gained"]["mean"].as_f64().expect("it gains");
    assert!((work - (60.0 / 9.5 - 6.0)).abs() < 0.026, "{work}");
}

/// The same bay: 6 units more an hour at 20 are 120, less the 31 that it costs to run: 89 an hour. 8,900 are paid
/// back after 100 hours. A second bay at S2 gains nothing and is never paid back; of a slot nothing is said.
#[test]
fn a_second_bay_is_paid_back_as_worked_by_hand() {
    let text = "line \"Two\"\nmoney EUR\ncost people 30 EUR per hour\ncost S1 8760 EUR per year\n\
                station S1 crew 1 per bay\ntask one takes 10 min by 1\n\
                station S2 crew 1\ntask two takes 4 min by 1 after one\n";
    let run = "--for 40h --warm-up 10h --replications 20 --earns 20 --once bay=8900";
    let found = ranked(text, run);
    let bay = row(&found, "one more bay at S1 with its crew of 1");
    assert_eq!((bay["once"].as_f64(), bay["never_pays"].as_bool()), (Some(8900.0), Some(false)));
    let after = bay["payback"]["mean"].as_f64().expect("the gain is sure");
    assert!((after - 100.0).abs() < 1e-6, "{after}");
    let other = row(&found, "one more bay at S2");
    assert_eq!((&other["payback"], &other["never_pays"]), (&Value::Null, &Value::Bool(true)));
    let slot = row(&found, "one more slot before S1");
    assert_eq!((&slot["once"], &slot["never_pays"]), (&Value::Null, &Value::Bool(false)));
    let said = |more: &str| taktwright(&format!("levers two.line {run} {more}")).file("two.line", text);
    said("")
        .simulating()
        .stdout_holds(&[
            "for 8,900 EUR once, paid back after 100 (no spread) hours",
            "once EUR",
            "paid back, hours",
            "No effect at all",
            "one more bay at S2 (8,900 once, never paid back)",
        ])
        .run();
    said("--format html").simulating().stdout_holds(&["costs once", "paid back after"]).run();
}

#[test]
fn money_that_fits_nothing_is_refused() {
    let refused = |text: &str, more: &str, said: &str| {
        let case = taktwright(&format!("levers shop.line {QUICK} {more}")).file("shop.line", text);
        case.stderr_holds(&[said]).status(2).run();
    };
    let costs = format!("{SHOP}money EUR\ncost people 30 EUR per hour\n");
    refused(SHOP, "--earns 20 --once bay=60000", "the file states no costs");
    refused(&costs, "--earns 20 --once bai=60000", "did you mean `bay`?");
    refused(&costs, "--earns 20 --once bay", "write it as in `bay=60000`");
    refused(&costs, "--earns 0 --once bay=60000", "write an amount above 0");
    refused(&costs, "--once bay=60000", "--earns");
}

#[test]
fn the_page_ranks_and_says_what_has_no_effect() {
    taktwright(&format!("levers shop.line {QUICK}"))
        .file("shop.line", SHOP)
        .simulating()
        .stdout_holds(&[
            "Shop, layout today: what one more of each thing buys",
            "The line makes ",
            "What buys something",
            "No effect at all: the same count in every replication",
            "Before you act on this",
            "Each lever is pulled alone",
        ])
        .run();
}

#[test]
fn levers_are_printed_as_layouts_that_check_accepts() {
    let printed = taktwright("levers shop.line --as-layouts")
        .file("shop.line", SHOP)
        .stdout_holds(&["layout \"one more bay at S1\" on \"today\" {\n  change station S1 bays 2\n}\n"])
        .run();
    for piece in [
        "change people fitters 4",
        "change floaters 2 \"Hall floaters\"",
        "change floaters 2 \"Saw floaters\"",
        "change equipment jig 2",
        "change station S1 times x 0.95",
        "change test try passes 92.5 %, again 97.5 % for A passes 92.5 %, again 97.5 % for B passes 90 %, again 95 %",
        "change supply boxes store of 80, 0 at start",
        "change segment rest S2 to S3\n  segment rest-from-S4 S4 to S4 pushed every 8 min index 0.5 min\n  \
         change station S4 slots 1",
        "change repair R1 places 2",
        "change carriers skid 9",
        "change yard lot places 50",
    ] {
        assert!(printed.contains(piece), "{piece} is missing in\n{printed}");
    }
    let read = taktwright::read("shop.line", &MapSources::one("shop.line", &format!("{SHOP}{printed}")), &[]);
    let layouts = printed.matches("layout \"").count();
    assert_eq!(read.layouts.len(), layouts + 1, "{:?}", read.faults);
}

/// Whichever lever is pulled, no hold is shorter, and no task of a test marked `safety` takes less.
#[test]
fn no_lever_touches_what_is_fixed_by_safety() {
    for name in crate::house::files_below("scenarios", "line") {
        let text = crate::house::text_of(&name);
        let sources = MapSources::one("plant.line", text.as_str());
        let read = taktwright::read("plant.line", &sources, &[]);
        assert!(!read.faults.iter().any(Diagnostic::is_error), "{name}");
        let base = &read.layouts[0];
        let taken: Vec<&str> = read.layouts.iter().map(|line| line.layout.as_str()).collect();
        let (made, not_made) = levers(base, &taken);
        assert!(made.len() >= 10, "{name} has {} levers", made.len());
        let file = LineFile { path: "plant.line", sources: &sources, sets: &[] };
        let lines = lever_lines(&file, &made);
        let fine = lines.iter().filter(|line| line.is_ok()).count();
        assert!(10 * fine >= 9 * made.len(), "{name}: {fine} of {}; {not_made:?}", made.len());
        for (lever, line) in made.iter().zip(lines) {
            if let Ok(line) = line {
                assert_eq!(guarded(base), guarded(&line), "{name}, {}", lever.name);
                assert!(!base.layout.is_empty() && line != *base, "{name}, {} changes something", lever.name);
            }
        }
    }
}

/// Name, minimum and times of all that no lever may touch.
fn guarded(line: &Line) -> Vec<String> {
    let kept = (0..line.steps.len()).filter(|step| line.is_guarded(*step)).map(|step| &line.steps[step]);
    kept.map(|step| format!("{} {:?} {:?}", step.name, step.kind, step.times)).collect()
}

#[test]
fn a_lever_that_cannot_be_said_is_named_with_its_reason() {
    let text = SHOP.replace(" \"Hall floaters\"", "").replace(" \"Saw floaters\"", "");
    let found = ranked(&text, QUICK);
    let left = found["left_out"].as_array().expect("a list");
    let said = left.iter().any(|left| {
        left["lever"] == "one more floater (1)"
            && left["why"].as_str().is_some_and(|why| why.contains("no label"))
    });
    assert!(said, "{left:?}");
}

#[test]
fn the_published_schema_of_levers_is_the_one_in_force() {
    let path = crate::house::top().join("docs/levers.schema.json");
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(&path, levers_schema()).expect("docs can be written");
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(published == levers_schema(), "docs/levers.schema.json is stale; TAKTWRIGHT_BLESS=1 rewrites it");
}

/// One more fitter comes to the early shift of two, where only the late one says how many it has; and to neither, where both do.
#[test]
fn one_more_whom_no_shift_would_have_is_no_lever() {
    let who = |early: &str| {
        let line = crate::follow::text::line_of(&format!(
            "line \"two shifts\"\nshift early 06:00 to 14:00{early}\nshift late 14:00 to 22:00 with 1 fitters\n\
             release saturated\npeople fitters 2\nabsent 5 %\nstation S1 crew 2 fitters\ntask t takes 5 min by 1\n"
        ));
        let (made, not_made) = levers(&line, &[]);
        let of = |names: Vec<String>| names.iter().filter(|name| name.contains("fitters")).count();
        (
            of(made.into_iter().map(|lever| lever.name).collect()),
            of(not_made.into_iter().map(|(name, _)| name).collect()),
        )
    };
    assert_eq!(who(""), (2, 0));
    assert_eq!(who(" with 2 fitters"), (0, 2));
}
