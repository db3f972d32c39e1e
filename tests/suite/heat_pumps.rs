//! The planted faults of the heat-pump line that a check of the file must show.
//!
//! Source of the loads: computed with the plant, before and apart from this program, by crew and precedence
//! scheduling over triangular times (script of the plant's authors; not in this project).

use taktwright::balance::loads;
use taktwright::diagnostic::MapSources;

/// Mean elapsed time of a six-kilowatt unit, per cent of the window.
const COLUMN: [(&str, f64); 21] = [
    ("C01", 91.0),
    ("C02", 90.0),
    ("C03", 81.0),
    ("C04", 79.0),
    ("C05", 83.0),
    ("C06", 90.0),
    ("C07", 69.0),
    ("C08", 74.0),
    ("C09", 50.0),
    ("C10", 69.0),
    ("C11", 86.0),
    ("C12", 88.0),
    ("C13", 83.0),
    ("C14", 90.0),
    ("C15", 76.0),
    ("C16", 46.0),
    ("C17", 70.0),
    ("C18", 67.0),
    ("C19", 89.0),
    ("C20", 69.0),
    ("C21", 88.0),
];

fn percent(layout: &str, station: &str, model: &str) -> f64 {
    let text = include_str!("../../scenarios/heat-pumps.line");
    let read = taktwright::read("heat-pumps.line", &MapSources::one("heat-pumps.line", text), &[]);
    let line = read.layouts.iter().find(|line| line.layout == layout).expect("the file has the layout");
    let all = loads(line);
    let load = all.iter().find(|load| line.places[load.place.index()].name == station);
    let model = line.models.iter().position(|m| m.name == model).expect("it is a model");
    100.0 * load.and_then(|load| load.share(model)).expect("it has work there")
}

#[test]
fn loads_are_those_computed_with_the_plant_and_the_twin_fan_overloads_one_station() {
    for (station, stated) in COLUMN {
        let found = percent("no failures", station, "C-6");
        assert!((found.round() - stated).abs() <= 1.0, "{station}: {found:.2} against {stated}");
    }
    assert_eq!(percent("no failures", "C15", "C-12").round(), 120.0);
}

/// The plant's page: vacuum needs four places (87 % with four, 69 % with five); one tightness chamber would
/// be 102 %.
#[test]
fn loads_say_how_many_test_places_are_needed() {
    assert!((percent("four vacuum places", "C10", "C-6") - 87.0).abs() <= 2.0);
    let one = percent("one tightness chamber", "C09", "C-6");
    assert!((one - 102.0).abs() <= 3.0, "{one}");
}
