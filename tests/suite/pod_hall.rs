//! The planted faults of the pod hall that a check of the file must show.
//!
//! Source of the load column: computed with the plant, before and apart from this program, by crew and
//! precedence scheduling over triangular times (script of the plant's authors; not in this project).

use taktwright::balance::{Load, loads};
use taktwright::diagnostic::MapSources;
use taktwright::line::Line;

/// Load of model S, per cent of the window.
const COLUMN: [(&str, f64); 16] = [
    ("A01", 96.0),
    ("A03", 94.0),
    ("A15", 93.0),
    ("A10", 91.0),
    ("A07", 90.0),
    ("A12", 90.0),
    ("A06", 87.0),
    ("A02", 86.0),
    ("A04", 86.0),
    ("A14", 86.0),
    ("A17", 86.0),
    ("A13", 85.0),
    ("A11", 84.0),
    ("A08", 83.0),
    ("A16", 83.0),
    ("A05", 50.0),
];

fn pod_hall() -> Line {
    let text = include_str!("../../scenarios/pod-hall.line");
    let mut read = taktwright::read("pod-hall.line", &MapSources::one("pod-hall.line", text), &[]);
    assert!(read.layouts.iter().any(|line| line.layout == "today"), "{:?}", read.faults);
    let today = read.layouts.iter().position(|line| line.layout == "today");
    read.layouts.swap_remove(today.expect("it was just seen"))
}

fn load_of<'a>(line: &Line, loads: &'a [Load], station: &str) -> &'a Load {
    let found = loads.iter().find(|load| line.places[load.place.index()].name == station);
    found.unwrap_or_else(|| panic!("{station} has a load"))
}

fn model(line: &Line, name: &str) -> usize {
    line.models.iter().position(|m| m.name == name).unwrap_or_else(|| panic!("there is a model {name}"))
}

#[test]
fn loads_of_the_shower_room_are_those_computed_with_the_plant() {
    let line = pod_hall();
    let (all, shower) = (loads(&line), model(&line, "S"));
    for (station, percent) in &COLUMN {
        let found = 100.0 * load_of(&line, &all, station).share(shower).expect("S has work there");
        // The column is in whole per cent; printed alike, they differ by one at most.
        assert!((found.round() - percent).abs() <= 1.0, "{station}: {found:.2} against {percent}");
    }
}

#[test]
fn the_tub_needs_more_than_the_window_at_wall_tile_and_the_accessible_room_all_of_it_at_sanitary_ware() {
    let line = pod_hall();
    let all = loads(&line);
    let percent = |station, name| {
        let share = load_of(&line, &all, station).share(model(&line, name));
        (100.0 * share.expect("it has work there")).round()
    };
    assert_eq!(percent("A10", "T"), 116.0);
    assert_eq!(percent("A14", "A"), 100.0);
}

#[test]
fn retests_bring_the_final_gate_to_ninety_five_per_cent() {
    let line = pod_hall();
    let all = loads(&line);
    let gate = load_of(&line, &all, "A16");
    let (once, with_retests) = (100.0 * gate.mean_share(&line), 100.0 * gate.mean_share_with_retests(&line));
    assert_eq!(once.round(), 83.0);
    assert!((with_retests - 95.0).abs() <= 1.0, "{with_retests:.2}");
}
