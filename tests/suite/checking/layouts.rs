//! Layouts, and what is fixed by safety in every one of them.

use super::*;
use taktwright::units::Time;

const BASE: &str = "station A crew 2\ntask a takes 5 min by 1 for x by 2\nhold h at least 15 min after a safety\ntask c takes 1 min after h\ntest v of a to c passes 90 % on fail scrapped safety\nstation B crew 1\ntask b takes 5 min by 1 after c\nmodel x 50 %\nmodel y 50 %\n";

#[track_caller]
fn layouts(text: &str, faults: &[&str]) -> Vec<Line> {
    expect(&format!("{BASE}{text}"), faults).layouts
}

#[test]
fn a_change_replaces_just_the_clauses_it_names() {
    let found = layouts(
        "layout \"two\" { change station B bays 2 change_all }\n".replace(" change_all", "").as_str(),
        &[],
    );
    assert_eq!(found.len(), 2);
    assert_eq!((place(&found[1], "B").bays, found[1].crews[1].size()), (2, 1));
    let found = layouts(
        "layout \"l\" {\n change task a takes 7 min\n change model x 40 %\n change model y 60 %\n}\n",
        &[],
    );
    assert_eq!(step(&found[1], "a").times[0].dist.as_constant(), Some(7.0 * 60e6));
    assert_eq!(step(&found[1], "a").needs[0][0].count, 2, "the `for` clause stays");
    assert_eq!((found[1].models[0].share, found[0].models[0].share), (0.4, 0.5));
}

#[test]
fn statements_are_removed_and_added() {
    let found = layouts(
        "layout \"l\" {\n remove task b\n station C crew 1\n task d takes 2 min after c\n station Z crew 1 after A\n task z takes 1 min after c\n}\n",
        &["T404: there is nothing to do at station B"],
    );
    let names: Vec<&str> = found[1].places.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["A", "Z", "B", "C"]);
    let at = |name: &str| found[1].places[step(&found[1], name).place.index()].name.clone();
    assert_eq!((at("d"), at("z")), ("C".to_string(), "Z".to_string()));
    layouts("layout \"l\" { task d takes 2 min }\n", &["T403: task d has no place"]);
    layouts("layout \"l\" { remove station B }\n", &["T403: b stood at B, which this layout removes"]);
}

#[test]
fn layouts_stand_on_one_another_in_any_order() {
    let found = layouts(
        "layout \"third\" on \"second\" { change station B crew 3 }\nlayout \"second\" { change station B bays 2 }\n",
        &[],
    );
    let labels: Vec<&str> = found.iter().map(|line| line.layout.as_str()).collect();
    assert_eq!(labels, ["today", "third", "second"]);
    assert_eq!((place(&found[1], "B").bays, found[1].crews[1].size()), (2, 3));
    layouts(
        "layout \"p\" on \"q\" { remove task b }\nlayout \"q\" on \"p\" { remove task b }\n",
        &["T205: layouts are built on one another in a circle: \"p\" on \"q\" on \"p\""],
    );
    layouts("layout \"p\" on \"tody\" { remove task b }\n", &["T201: `tody` is not a layout of this file"]);
    layouts(
        "layout \"p\" { change station B bays 2 }\nlayout \"p\" { change station B bays 3 }\n",
        &["T202: `p` is the name of a layout already"],
    );
}

#[test]
fn a_change_that_misses_or_changes_nothing_is_refused() {
    layouts(
        "layout \"l\" { change station X bays 2 }\n",
        &["T204: there is no `station X` to change in layout \"today\""],
    );
    layouts(
        "layout \"l\" { change rack B places 2 }\n",
        &["T204: there is no `rack B` to change in layout \"today\""],
    );
    layouts(
        "layout \"l\" { remove task bb }\n",
        &["T204: there is no `task bb` to remove in layout \"today\""],
    );
    layouts(
        "layout \"l\" { change station B crew 1 }\n",
        &["T204: this changes nothing: `station B` says so already"],
    );
    layouts("layout \"l\" { }\n", &["T204: layout \"l\" does not differ from \"today\""]);
    layouts(
        "layout \"l\" { change pace 3 min }\n",
        &["T204: there is no `pace` to change in layout \"today\""],
    );
    layouts("change station B bays 2\n", &["T103: `change` can't stand here"]);
    layouts("layout \"l\" { promise no hold under its minimum }\n", &["T103: `promise` can't stand here"]);
    layouts(
        "layout \"l\" { change station B takes 3 min }\n",
        &["T103: a `station` statement takes no `takes`"],
    );
}

#[test]
fn a_fault_of_a_layout_says_so_and_leaves_today_standing() {
    let found = expect(
        &format!("{BASE}layout \"l\" {{ change station A crew 1 }}\n"),
        &["T502: a needs 2 people for x, the crew of A has 1"],
    );
    assert_eq!(found.faults[0].help.last().unwrap(), "so in layout \"l\"");
    assert_eq!(found.layouts.len(), 1);
    // A fault of today is not repeated for each layout.
    let text = BASE.replace("by 1 after c", "by 4 after c");
    expect(
        &format!("{text}layout \"l\" {{ change station A crew 3 }}\n"),
        &["T502: b needs 4 people, the crew of B has 1"],
    );
}

#[test]
fn a_safety_minimum_can_be_raised_and_never_lowered() {
    let found = layouts("layout \"l\" { change hold h at least 20 min }\n", &[]);
    assert_eq!(step(&found[1], "h").hold().unwrap().minimum, Time::from_minutes(20));
    layouts(
        "layout \"l\" { change hold h at least 10 min }\n",
        &["T701: layout \"l\" would cut hold h to 10 min; 15 min is its safety minimum"],
    );
    // On a layout that raised it, back to today's is fewer than its own base.
    layouts(
        "layout \"l\" { change hold h at least 20 min }\nlayout \"m\" on \"l\" { change hold h at least 15 min }\n",
        &["T701: layout \"m\" would cut hold h to 15 min; 20 min is its safety minimum"],
    );
}

#[test]
fn what_is_marked_safety_stays_in_every_layout() {
    layouts(
        "layout \"l\" { remove hold h\n change task c after a }\n",
        &["T702: hold h is marked `safety`: layout \"l\" drops it"],
    );
    layouts(
        "layout \"l\" { change hold h only x }\n",
        &["T702: hold h is marked `safety`: layout \"l\" drops it for some units"],
    );
    layouts("layout \"l\" { remove test v }\n", &["T702: test v is marked `safety`: layout \"l\" drops it"]);
    layouts(
        "layout \"l\" { change test v of a, h }\n",
        &["T702: test v is marked `safety`: layout \"l\" takes c out of it"],
    );
    layouts("layout \"l\" { change test v passes 95 % }\n", &[]);
    layouts(
        "layout \"l\" { remove hold h\n hold h at least 15 min after a at A }\n",
        &["T702: hold h is marked `safety`: layout \"l\" drops the mark"],
    );
}

#[test]
fn a_setting_outside_stops_cannot_lower_a_safety_minimum() {
    let text = "let rest = 15 min\nstation A crew 1\nhold h at least rest safety\n";
    let fine = checked_with(text, &[], &[("rest", "20 min")]);
    assert_eq!(said(&fine), Vec::<String>::new());
    let low = checked_with(text, &[], &[("rest", "14 min")]);
    assert_eq!(
        said(&low),
        ["T701: a setting from outside would cut hold h to 14 min; 15 min is its safety minimum"]
    );
    assert!(low.layouts.is_empty());
}
