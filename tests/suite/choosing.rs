//! `taktwright compare --choose-best`: who is taken, how many replications that takes, and that its figures are
//! those of the plain comparison. How often the best is taken is counted beside the procedure itself.

use crate::harness::{Case, taktwright};
use serde_json::Value;
use taktwright::report::choice_schema;

/// A shop whose second station holds it up. Two layouts with days of their own make about the same; one makes far
/// more.
const SHOP: &str = "\
line \"Shop\"
station S1 \"Saw\" crew 1
station S2 \"File\" crew 1 slots 1
task saw takes 4/5/6 min by 1 at S1
task file takes 5/6/10 min by 1 after saw at S2
layout \"a little faster\" { change task file takes 4.9/5.9/9.9 min draws as other }
layout \"a slot more\" { change station S2 slots 2 }
layout \"two files\" { change station S2 bays 2 crew 2 }
";

const QUICK: &str = "--choose-best --units 20 --warm-up none --seed 3";

fn choose(more: &str) -> Case {
    taktwright(&format!("compare shop.line {QUICK} {more}")).file("shop.line", SHOP).simulating()
}

fn json(case: Case) -> Value {
    serde_json::from_str(&case.stdout_holds(&["\"taktwright.choice/1\""]).run()).expect("it prints JSON")
}

fn of<'v>(choice: &'v Value, layout: &str) -> &'v Value {
    let rows = choice["layouts"].as_array().expect("rows");
    rows.iter().find(|row| row["does"]["layout"] == layout).expect("the layout")
}

/// Those that are far behind go after the first replications; only the two that are close go on.
#[test]
fn replications_go_where_they_help() {
    let choice =
        json(choose("--layouts \"today,a little faster,two files\" --indifference 0.1 --format json"));
    assert_eq!(choice["chosen"], "two files");
    assert_eq!(of(&choice, "today")["dropped_after"], 20);
    let close = json(choose("--layouts \"today,a little faster\" --indifference 0.1 --format json"));
    assert_eq!(close["chosen"], "a little faster");
    assert!(of(&close, "today")["dropped_after"].as_u64() > Some(20), "{close}");
    let three =
        json(choose("--layouts \"today,a little faster\" --indifference 0.1 --confidence 60% --format json"));
    assert!(three["spent"].as_u64() <= close["spent"].as_u64(), "less is asked: {three}");
}

/// With a layout that is slower by far between two that are close, it alone is dropped at once.
#[test]
fn the_count_of_replications_is_that_of_its_rows() {
    let slow = format!("{SHOP}layout \"slow\" {{ change task file takes 9/10/12 min }}\n");
    let case = taktwright(&format!(
        "compare shop.line {QUICK} --layouts \"today,a little faster,slow\" --indifference 0.1 --format json"
    ));
    let choice = json(case.file("shop.line", slow).simulating());
    let rows = choice["layouts"].as_array().expect("rows");
    let each: Vec<u64> = rows.iter().filter_map(|row| row["replications"].as_u64()).collect();
    assert_eq!(choice["spent"].as_u64(), Some(each.iter().sum()));
    assert_eq!(choice["same_for_all"].as_u64(), each.iter().max().map(|most| most * 3));
    assert!(choice["spent"].as_u64() < choice["same_for_all"].as_u64(), "{choice}");
    let slow = of(&choice, "slow");
    assert_eq!((slow["replications"].as_u64(), slow["dropped_after"].as_u64()), (Some(20), Some(20)));
}

/// Its replications are the first of the plain comparison's.
#[test]
fn figures_are_those_of_the_plain_comparison() {
    let choice = json(choose("--layouts \"today,two files\" --indifference 0.5 --format json"));
    let plain = taktwright(
        "compare shop.line --layouts \"today,two files\" --units 20 --warm-up none --seed 3 --replications 20 \
         --format json",
    );
    let plain: Value =
        serde_json::from_str(&plain.file("shop.line", SHOP).stdout_holds(&["\"schema\""]).simulating().run())
            .expect("it prints JSON");
    assert_eq!(of(&choice, "today")["does"], plain["layouts"][0]);
    assert_eq!(of(&choice, "two files")["does"], plain["layouts"][1]);
    assert_eq!(of(&choice, "today")["behind"], plain["pairs"][0]["difference"]["mean"]);
}

#[test]
fn layouts_exactly_alike_are_told_by_what_they_need() {
    // A slot more in front of a station that is never starved changes nothing that counts.
    let text = SHOP.replace("task saw takes 4/5/6 min", "task saw takes 1 min");
    taktwright(&format!("compare shop.line {QUICK} --layouts \"a slot more,today\""))
        .file("shop.line", text)
        .simulating()
        .stdout_holds(&[
            "Take \u{201c}today\u{201d}: it makes ",
            "exactly as \u{201c}a slot more\u{201d} in every",
            "The least lead: 0.5 % of the mean of the first layout",
        ])
        .run();
}

#[test]
fn what_the_file_allows_no_more_replications_for_is_not_decided() {
    choose("--layouts \"today,a little faster\" --indifference 0.001 --replications 25")
        .stdout_holds(&[
            "Not decided: after 25 replications",
            "of each decide it (`--replications ",
            "still in the race",
        ])
        .status(1)
        .run();
}

#[test]
fn the_points_of_a_varied_number_race_too() {
    choose("--indifference 0.1 --vary bays of S2 1 to 2 --vary crew of S2 1 to 2")
        .stdout_holds(&[
            "the best of 4 layouts",
            "Take \u{201c}bays of S2 2, crew of S2 2\u{201d}",
            "dropped",
        ])
        .run();
}

/// What the checker refuses is no candidate, and is said to be none; with one alone there is no choice.
#[test]
fn a_point_that_the_file_does_not_allow_is_left_out() {
    let two = "line \"Shop\"\nstation S1 \"Saw\" crew 2\ntask saw takes 4/5/6 min by 2 at S1\n";
    let choose = |range: &str| {
        let arguments = format!("compare two.line --choose-best --units 20 --warm-up none --vary {range}");
        taktwright(&arguments).file("two.line", two)
    };
    choose("crew of S1 1 to 3").simulating().stdout_holds(&["Take ", "Left out", "crew of S1 1: "]).run();
    choose("crew of S1 1 to 2").stderr_holds(&["fewer than two layouts can be run"]).status(2).run();
}

#[test]
fn what_promises_nothing_is_refused() {
    let refused = |more: &str, said: &str| {
        taktwright(&format!("compare shop.line {more}"))
            .file("shop.line", SHOP)
            .stderr_holds(&[said])
            .status(2)
            .run();
    };
    refused("--choose-best --confidence 50%", "is not between 50 and 100 %");
    refused("--choose-best --indifference 0", "write units above 0");
    refused("--confidence 90%", "--choose-best");
    refused("--choose-best --within 1%", "cannot be used with");
    refused("--choose-best --layouts today", "there is nothing to compare");
}

#[test]
fn the_published_schema_of_choices_is_the_one_in_force() {
    let path = crate::house::top().join("docs/choice.schema.json");
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(&path, choice_schema()).expect("docs can be written");
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(published == choice_schema(), "docs/choice.schema.json is stale; TAKTWRIGHT_BLESS=1 rewrites it");
}
