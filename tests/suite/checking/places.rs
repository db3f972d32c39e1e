//! Stations, racks, repair bays, segments.

use super::*;
use taktwright::line::{MoveRule, PlaceKind};
use taktwright::units::Time;

const THREE: &str = "station A crew 1\ntask a takes 1 min\nrack H places 4\nhold h at least 9 min after a\nstation B crew 1 bays 2 slots 1\ntask b takes 1 min after h\nrepair R crew 1 places 3\n";
const SENDS: &str = "test v takes 1 min at B after b passes 90 %\n  on fail to R takes 5 min\n";

fn three(text: &str) -> String {
    format!("{THREE}{SENDS}{text}")
}

#[test]
fn the_line_runs_in_file_order_with_repair_bays_behind() {
    let line = line(&format!(
        "repair R0 places 2\n{}  on fail 0 % to R0 takes 1 min\n",
        three("").replace("to R takes", "100 % to R takes")
    ));
    let places: Vec<(&str, PlaceKind, u32, u32)> =
        line.places.iter().map(|p| (p.name.as_str(), p.kind, p.bays, p.slots)).collect();
    assert_eq!(
        places,
        [
            ("A", PlaceKind::Station, 1, 0),
            ("H", PlaceKind::Rack, 4, 0),
            ("B", PlaceKind::Station, 2, 1),
            ("R0", PlaceKind::Repair, 2, 0),
            ("R", PlaceKind::Repair, 3, 0),
        ]
    );
    assert_eq!(line.on_line, 3);
    assert_eq!(line.places[4].segment, None);
    assert!(line.places[0].returns_first);
}

#[test]
fn a_place_with_after_stands_behind_another_one() {
    let line = line(&three(
        "station C after A crew 1\ntask c takes 1 min at C\nstation D after A crew 1\ntask d takes 1 min at D\n",
    ));
    let names: Vec<&str> = line.places.iter().map(|place| place.name.as_str()).collect();
    assert_eq!(names, ["A", "C", "D", "H", "B", "R"]);
    expect(
        &three("rack C places 1 after D\nrack D places 1 after C\n"),
        &[
            "T406: C stands behind itself: the `after` of these places go round in a circle",
            "T406: D stands behind itself: the `after` of these places go round in a circle",
        ],
    );
    expect(&three("rack C places 1 after R\n"), &["T406: R is a repair bay, off the line"]);
}

#[test]
fn segments_cut_the_line_and_gaps_move_when_ready() {
    let line = line(&three("segment front A to H pushed every 23 min, index 90 s\n"));
    let minutes = Time::from_minutes;
    assert_eq!(line.segments.len(), 2);
    assert_eq!(
        line.segments[0].rule,
        MoveRule::PushedEvery {
            every: minutes(23),
            index: Time(90_000_000),
            on_the_grid: false,
            late_work: taktwright::line::LateWork::HoldsTheLine
        }
    );
    assert_eq!(line.segments[1].rule, MoveRule::WhenReady { moving: Time::ZERO });
    assert_eq!((line.segments[1].name.as_str(), line.segments[1].first.index()), ("", 2));
    let line = super::line(&three(
        "segment last B to B moving 30 s\nsegment front A to A pushed when all are ready\n",
    ));
    let rules: Vec<MoveRule> = line.segments.iter().map(|segment| segment.rule).collect();
    assert_eq!(
        rules,
        [
            MoveRule::PushedWhenReady { index: Time::ZERO },
            MoveRule::WhenReady { moving: Time::ZERO },
            MoveRule::WhenReady { moving: Time(30_000_000) },
        ]
    );
}

#[test]
fn segments_that_overlap_run_backwards_or_hold_slots_are_refused() {
    expect(&three("segment x A to H\nsegment y H to B\n"), &["T406: segments x and y both hold H"]);
    expect(&three("segment x B to A\n"), &["T406: B to A runs against the line"]);
    expect(&three("segment x A to R\n"), &["T406: R is a repair bay, off the line"]);
    expect(
        &three("segment x A to B pushed when all are ready\n"),
        &["T406: B has slots inside segment x, which is pushed as one"],
    );
    expect(&three("segment x B to B pushed when all are ready\n"), &[]);
    expect(
        &three("segment x A to A pushed every 2 min index 2 min\n"),
        &["T406: the index of segment x lasts 2 min, a push falls every 2 min"],
    );
    expect(
        &three("segment x A to A index 2 min\n"),
        &["T103: `index` in this `segment` says nothing without `pushed when all are ready`"],
    );
    expect(
        &three("segment x A to A pushed when all are ready moving 2 min\n"),
        &[
            "T103: `moving` does not go with `pushed`: all units move at once, and the length of that is the `index`",
        ],
    );
}

#[test]
fn a_rack_states_its_places_and_takes_no_crew() {
    expect(
        "station S crew 1\ntask t takes 1 min\nrack H crew 2\n",
        &["T307: rack H needs `places`", "T103: a `rack` statement takes no `crew`"],
    );
}

#[test]
fn places_where_nothing_happens_are_doubted() {
    expect(
        "station S crew 1\ntask t takes 1 min\nstation E crew 1\nrepair R\nrack H places 2\n",
        &["T404: there is nothing to do at station E", "T404: no test sends units to repair bay R"],
    );
}

#[test]
fn a_step_stands_at_its_place_or_under_it() {
    let line = line(&three(""));
    let at = |name: &str| line.places[step(&line, name).place.index()].name.clone();
    assert_eq!((at("a"), at("h"), at("b"), at("v")), ("A".into(), "H".into(), "B".into(), "B".into()));
    expect("task t takes 1 min\nstation S crew 1\ntask u takes 1 min\n", &["T403: task t has no place"]);
    expect(
        &three("task t takes 1 min at R\n"),
        &["T403: task t stands at R: that is a repair bay, off the line"],
    );
}

#[test]
fn a_predecessor_at_a_later_place_is_refused() {
    expect(
        &three("task t takes 1 min after b at A\n"),
        &["T402: t at A follows b, which is done later on the line, at B"],
    );
}

/// Three stations, pushed, in which late work travels.
fn late(tasks: &str) -> String {
    format!(
        "station P1 crew 1\nstation P2 crew 2\nstation P3 crew 1\n\
         segment all P1 to P3 pushed every 20 min, late work travels up to 2 items\n\
         task a takes 5 min by 1 at P1\n{tasks}"
    )
}

#[test]
fn late_work_knows_how_far_it_may_travel() {
    let rest = "task c takes 5 min by 1 after b at P2\ntask d takes 5 min by 1 after c at P3\n";
    let line = line(&late(&format!("task b takes 6 min by 1 after a may travel to P3 x 1.5 at P1\n{rest}")));
    assert_eq!(
        line.steps[1].travel,
        Some(taktwright::line::Travel { to: taktwright::line::PlaceId(2), factor: 1.5 })
    );
    let MoveRule::PushedEvery { late_work, .. } = line.segments[0].rule else { panic!("it is pushed") };
    assert_eq!(late_work, taktwright::line::LateWork::Travels { most: Some(2) });
    for (sentence, fault) in [
        (
            "task b takes 6 min by 1 after a may travel to P1 at P1\n",
            "T407: b is done at P1 and can't travel to P1",
        ),
        (
            "task b takes 6 min by 1 after a may travel to P3 at P1\ntest q of b at P1 passes 90 %\n  on fail scrapped\n",
            "T407: b is part of test q and may not travel",
        ),
        (
            "task b takes 6 min by 1 after a may travel to P2 at P1\nwindow a end to b start within 3 h, else redo a\n",
            "T407: b lies in the window from a to b and may not travel",
        ),
        (
            "task b takes 6 min by 2 after a may travel to P3 at P2\n",
            "T502: b needs 2 people, the crew of P3 has 1",
        ),
        (
            "task b takes 6 min by 1 after a at P1\n",
            "T407: late work travels in segment all, and no task in it may travel",
        ),
    ] {
        expect(&late(&format!("{sentence}{rest}")), &[fault]);
    }
}
