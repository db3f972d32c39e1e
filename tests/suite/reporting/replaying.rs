//! The shift that the page plays: real moves, one unit a bay, and the count of the JSON report.

use super::page::assert_figures_are_those_of;
use crate::harness::taktwright;
use serde_json::Value;
use std::collections::BTreeMap;

/// A shop with slots, a rack behind it, and failed units that are mended off the line.
const SHOP: &str = "\
line \"Shop\"
shift day 06:00 to 14:00 on mon to fri break 10:00 lasting 20 min
demand 40 per shift
station S1 \"Saw\" crew 1
task saw takes 8/9/13 min by 1 at S1
station S2 \"File\" bays 2 crew 2 slots 1
task file takes 12/16/20 min by 1 after saw at S2
rack R1 places 3
repair F1 crew 1
test q of file at S2 passes 70 %  on fail to F1 takes 5/8/20 min by 1
";

const RUN: &str = "--shifts 3 --replications 3 --gains 0 --warm-up none --reproducible";

fn simulated(format: &str, piece: &str) -> String {
    let case = taktwright(&format!("simulate shop.line {RUN} --format {format}")).file("shop.line", SHOP);
    case.simulating().stdout_holds(&[piece]).run()
}

fn attribute<'p>(page: &'p str, name: &str) -> &'p str {
    let rest = page.split(&format!(" {name}=\"")).nth(1).unwrap_or_else(|| panic!("no {name}"));
    rest.split('"').next().unwrap_or_default()
}

/// Units and where they are, by the moves on the page; what is said at each move.
fn played(page: &str, mut see: impl FnMut(i64, &BTreeMap<u32, String>)) -> u64 {
    let mut now: BTreeMap<u32, String> = BTreeMap::new();
    for text in attribute(page, "data-standing").split(' ').filter(|text| !text.is_empty()) {
        let (unit, at) = text.split_once(':').expect("a unit and where it stands");
        now.insert(unit.parse().expect("a unit"), at.to_string());
    }
    let (mut clock, mut finished) = (0, 0);
    for text in attribute(page, "data-moves").split(' ') {
        let mut parts = text.splitn(3, ':');
        let mut part = || parts.next().expect("three parts");
        clock += part().parse::<i64>().expect("seconds");
        let unit = part().parse().expect("a unit");
        match part() {
            ":f" => {
                finished += 1;
                now.remove(&unit);
            }
            ":g" => drop(now.remove(&unit)),
            at => drop(now.insert(unit, at.to_string())),
        }
        see(clock, &now);
    }
    finished
}

#[test]
fn the_shift_on_the_page_ends_with_the_count_of_the_json_report() {
    let json: Value = serde_json::from_str(&simulated("json", "\"first_shift\"")).expect("valid JSON");
    let page = simulated("html", "One shift, move by move");
    let counted = json["line_measures"]["units_per_shift"]["first_shift"].as_u64().expect("a count");
    let mut off_line = 0;
    let finished = played(&page, |clock, now| {
        let mut bays: Vec<&String> = now.values().filter(|at| !at.ends_with([':', 'o', 's'])).collect();
        bays.sort();
        bays.dedup();
        let standing = now.values().filter(|at| !at.ends_with(['o', 's'])).count();
        assert_eq!(bays.len(), standing, "two units in one bay at {clock} s: {now:?}");
        assert!(now.values().filter(|at| *at == "1:s").count() <= 1, "S2 has one slot: {now:?}");
        off_line += usize::from(now.values().any(|at| at.starts_with("3:")));
    });
    assert_eq!(finished, counted);
    assert!(counted > 20, "{counted}");
    assert!(off_line > 0, "some unit is mended off the line");
    let told = page.split("class=\"hours\"").nth(1).expect("the table by the hour");
    let last = told.split("</tbody>").next().and_then(|rows| rows.rsplit("<tr>").next()).expect("a row");
    assert!(last.contains(&format!("14:00</th><td class=\"n\">{counted}</td>")), "{last}");
    assert!(assert_figures_are_those_of(&page, &json) > 50);
}

#[test]
fn a_page_says_everything_without_playing() {
    let page = simulated("html", "One shift, move by move");
    assert!(page.contains("<div class=\"replay\" hidden=\"\""), "hidden until a script shows it");
    assert!(page.contains("prefers-reduced-motion: reduce"));
    assert_eq!(attribute(&page, "data-starts"), "21600");
    assert_eq!(attribute(&page, "data-lasts"), "28800");
}

#[test]
fn a_line_without_shifts_has_no_shift_to_play() {
    let shop = "line \"Shop\"\nstation S1 crew 1\ntask saw takes 4/5/6 min by 1 at S1\n";
    let run = "simulate shop.line --units 50 --replications 3 --gains 0 --reproducible --format html";
    let page = taktwright(run).file("shop.line", shop).simulating().stdout_holds(&["<!DOCTYPE"]).run();
    assert!(!page.contains("One shift, move by move") && !page.contains("class=\"replay\""));
}
