//! What a file means: family by family, what becomes of good text and what is said of bad text.

mod flow;
mod layouts;
mod names;
mod orientation;
mod people;
mod places;
mod quantities;
mod steps;
mod tests;
mod turns;

use std::collections::BTreeMap;
use taktwright::check::{Checked, check};
use taktwright::diagnostic::{Diagnostic, FileId, MapSources};
use taktwright::line::{Line, Place, Step};
use taktwright::syntax::parse;

/// A station and a task, so that what is tested stands in a line.
const SHOP: &str = "station S1 crew 2\ntask t1 takes 5 min at S1\n";

fn checked_with(text: &str, files: &[(&str, &str)], sets: &[(&str, &str)]) -> Checked {
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.faults, vec![], "the text must read:\n{text}");
    let files: BTreeMap<String, Vec<u8>> =
        files.iter().map(|(name, text)| (name.to_string(), text.as_bytes().to_vec())).collect();
    let sets: Vec<(String, String)> = sets.iter().map(|(a, b)| (a.to_string(), b.to_string())).collect();
    check(&parsed.tree, &MapSources { files }, &sets)
}

fn checked(text: &str) -> Checked {
    checked_with(text, &[], &[])
}

/// The line of a text without errors.
fn line(text: &str) -> Line {
    let found = checked(text);
    let errors: Vec<&Diagnostic> = found.faults.iter().filter(|fault| fault.is_error()).collect();
    assert!(errors.is_empty(), "{errors:#?}\n{text}");
    found.layouts.into_iter().next().expect("a text without errors gives a line")
}

/// `T201: headline`, for every fault in order.
fn said(found: &Checked) -> Vec<String> {
    found.faults.iter().map(|fault| format!("{}: {}", fault.code.text(), fault.headline)).collect()
}

/// The text has these faults and no others, errors and doubts, in order; with an error there is no line.
#[track_caller]
fn expect(text: &str, faults: &[&str]) -> Checked {
    let found = checked(text);
    assert_eq!(said(&found), faults, "\n{text}");
    let errors = found.faults.iter().any(Diagnostic::is_error);
    let today = found.layouts.iter().any(|line| line.layout == "today");
    assert!(today || errors, "a line is missing without an error");
    found
}

/// The same below the shop of one station.
#[track_caller]
fn expect_in_shop(text: &str, faults: &[&str]) -> Checked {
    expect(&format!("{SHOP}{text}"), faults)
}

fn step<'l>(line: &'l Line, name: &str) -> &'l Step {
    line.steps.iter().find(|step| step.name == name).expect("the step is there")
}

fn place<'l>(line: &'l Line, name: &str) -> &'l Place {
    line.places.iter().find(|place| place.name == name).expect("the place is there")
}

fn names_of(line: &Line, ids: &[taktwright::line::StepId]) -> Vec<String> {
    ids.iter().map(|id| line.steps[id.index()].name.clone()).collect()
}

#[test]
fn one_fault_in_each_of_many_statements_is_reported_once_each() {
    let found = checked(
        "station S1 crew 2\n\
         task a takes 5 by 3\n\
         task b takes 5 min by 3 after a\n\
         task c takes 5 min after nobody\n\
         hold d after c\n\
         task e takes 5 min after d at S9\n\
         task f takes 5 min after e\n",
    );
    assert_eq!(
        said(&found),
        [
            "T502: a needs 3 people, the crew of S1 has 2",
            "T301: the time of task a needs a unit of time",
            "T502: b needs 3 people, the crew of S1 has 2",
            "T201: `nobody` is not a task, hold, test or gate of this file",
            "T703: hold d has no length",
            "T201: `S9` is not a station, rack or repair bay of this file",
        ]
    );
    assert!(found.layouts.is_empty());
}

#[test]
fn a_statement_that_could_not_be_read_is_not_missed_by_others() {
    let parsed = parse(
        FileId(0),
        "station S1 crew 2\ntask a takes takes 5 min\ntask b takes 5 min after a\nstation S2 crew crew\n\
         task c takes 5 min by 1 after b\nequipment rig with\nzone z\n",
    );
    assert_eq!(parsed.faults.len(), 3, "{:?}", parsed.faults);
    let found = check(&parsed.tree, &MapSources::default(), &[]);
    assert_eq!(said(&found), Vec::<String>::new());
    assert!(found.layouts.is_empty(), "no line stands on statements that could not be read");
}

#[test]
fn the_whole_small_line_is_clean_and_complete() {
    let text = include_str!("../fixtures/ok/whole.line");
    let found = checked(text);
    assert_eq!(said(&found), Vec::<String>::new());
    let layouts: Vec<&str> = found.layouts.iter().map(|line| line.layout.as_str()).collect();
    assert_eq!(layouts, ["today", "third bay", "extra"]);
    let today = &found.layouts[0];
    assert_eq!(today.name, "Cabin shop");
    assert_eq!(today.on_line, 6);
    assert_eq!(today.takt.map(|takt| (takt.numerator, takt.denominator)), Some((4_450_000_000, 3)));
    assert_eq!(today.confidence, 0.9);
    assert_eq!(found.layouts[1].places[2].bays, 3);
    assert_eq!(place(&found.layouts[2], "B03").bays, 3);
    assert_eq!(found.layouts[2].places[4].name, "B04");
}

#[test]
#[ignore = "prints a rate; run it in release"]
fn ten_thousand_tasks_check_in_a_fifth_of_a_second() {
    let mut text =
        String::from("line \"Long\"\nshift day 06:00 to 14:30 on mon to fri meal 10:30 lasting 30 min\n");
    for station in 0..100 {
        text.push_str(&format!("station S{station:03} crew 3 fitters, 1 plumbers\n"));
        for task in 0..100 {
            let number = station * 100 + task;
            let after = if number == 0 { String::new() } else { format!(" after t{:05}", number - 1) };
            text.push_str(&format!("task t{number:05} \"Work\" takes 4/5/7 min by 2{after}\n"));
        }
    }
    let broken = text.replace("by 2", "by 9 nobody");
    for (what, text) in [("clean", &text), ("every task faulty", &broken)] {
        let start = std::time::Instant::now();
        let parsed = parse(FileId(0), text);
        let read = start.elapsed();
        let found = check(&parsed.tree, &MapSources::default(), &[]);
        println!(
            "{what}: read {read:?}, checked {:?}, {} faults",
            start.elapsed() - read,
            found.faults.len()
        );
    }
}
