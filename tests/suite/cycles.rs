//! `taktwright why`: what held a unit at a station adds up to its cycle, and is what it is by hand; lengths follow
//! their law.

use crate::follow::text::{line_of, read};
use crate::harness::taktwright;
use crate::random_lines::write::line_for;
use taktwright::line::{Line, PlaceId};
use taktwright::report::{Cycle, CyclesReport, HeldBy, cycles_schema};
use taktwright::simulate::{Horizon, Unattended};
use taktwright::study::{Precision, RunChoices, WarmUpChoice, cycles};

fn watched(line: &Line, station: &str, replications: u32, units: u64) -> CyclesReport {
    let choices = RunChoices {
        seed: 11,
        precision: Precision::Replications(replications),
        horizon: Some(Horizon::Units(units)),
        warm_up: Some(WarmUpChoice::None),
        gains: 0,
    };
    let place = line.places.iter().position(|place| place.name == station).expect("the station is there");
    cycles(line, PlaceId::from_index(place), &choices, &Unattended).expect("the line runs")
}

/// Minutes of a cycle by what held it, on average.
fn made_of(report: &CyclesReport) -> Vec<(HeldBy, f64)> {
    report.made_of.iter().map(|part| (part.held_by, part.mean_min)).collect()
}

/// From, to, why and of which step.
fn path(cycle: &Cycle) -> Vec<(f64, f64, HeldBy, Option<&str>)> {
    cycle.path.iter().map(|p| (p.from_min, p.to_min, p.held_by, p.step.as_deref())).collect()
}

#[test]
fn work_that_waits_for_its_own_crew_is_held_by_their_work() {
    // One person, two tasks that could run side by side: 4 min, then 6. Nobody is missing.
    let line = line_of(
        "line \"One\"\nstation S crew 1\ntask a takes 4 min by 1 at S\ntask b takes 6 min by 1 at S\n",
    );
    let report = watched(&line, "S", 2, 50);
    assert_eq!(made_of(&report), [(HeldBy::Work, 10.0)]);
    let typical = report.typical.expect("there is a cycle");
    let held = path(&typical);
    assert_eq!(held.len(), 2, "{held:?}");
    assert!(held.iter().all(|piece| piece.2 == HeldBy::Work));
    assert_eq!((held[0].0, held[1].1, typical.stood_done_min), (0.0, 10.0, 0.0));
}

#[test]
fn people_who_are_elsewhere_are_named_with_where_they_are() {
    // One person serves both places, older units first: S1 takes 4 min, S2 6. From the second unit on the person
    // is at S2 with the unit before as a unit comes to S1: it waits 6 min, and its cycle is 10.
    let line = line_of(
        "line \"Two\"\nteam pair crew 1 serving S1, S2\nstation S1\ntask a takes 4 min by 1 at S1\nstation S2\n\
         task b takes 6 min by 1 after a at S2\n",
    );
    let report = watched(&line, "S1", 2, 51);
    let bad = report.bad.as_ref().expect("there is a cycle");
    assert_eq!(path(bad), [(0.0, 6.0, HeldBy::People, Some("a")), (6.0, 10.0, HeldBy::Work, Some("a"))]);
    assert_eq!(bad.path[0].they_are_at.as_deref(), Some("S2"));
    assert_eq!(report.p95_min, 10.0);
    assert!(report.sentence.contains("waiting for people"), "{}", report.sentence);
    assert_eq!((report.steps[0].id.as_str(), report.steps.len()), ("a", 1));
}

#[test]
fn room_and_holds_and_equipment_hold_a_unit_for_as_long_as_they_do() {
    // a takes 3 min, then a hold of 8 and c, which takes the rig for 9. b may not be in the zone with a, and needs the
    // rig, too; c, with more behind it, goes first.
    let line = line_of(
        "line \"Small\"\nzone Z up to 1 people\nequipment rig 1\nstation S crew 3\n\
         task a takes 3 min by 1 in Z at S\nhold cure takes 8 min after a at S\n\
         task b takes 4 min by 1 in Z with rig at S\ntask c takes 9 min by 1 with rig after a at S\n",
    );
    let report = watched(&line, "S", 2, 20);
    let typical = report.typical.as_ref().expect("there is a cycle");
    let held = path(typical);
    assert_eq!(
        held,
        [
            (0.0, 3.0, HeldBy::Room, Some("b")),
            (3.0, 12.0, HeldBy::Equipment, Some("b")),
            (12.0, 16.0, HeldBy::Work, Some("b"))
        ]
    );
    let hold = typical.bars.iter().find(|bar| bar.step == "cure").expect("the hold is drawn");
    assert_eq!(hold.span(), (3.0, 11.0));
}

#[test]
fn the_model_that_the_slowest_cycles_belong_to_is_named() {
    let line = line_of(
        "line \"Two models\"\nmodel A 80 %\nmodel B 20 %\nstation S crew 1\ntask a takes 5 min for B 9 min by 1 at S\n",
    );
    let report = watched(&line, "S", 4, 500);
    let b = report.models.iter().find(|row| row.model == "B").expect("B is a model");
    assert!((b.share - 0.2).abs() < 0.04, "{b:?}");
    assert_eq!((b.share_of_slowest, report.p95_min), (1.0, 9.0));
    assert!(report.sentence.ends_with(&format!("are B, which has {:.0} % of all.", 100.0 * b.share)));
}

#[test]
fn lengths_follow_the_law_of_their_task() {
    // Triangular 5, 10, 20: P(T > 15) = 5^2/(15 x 10) = 1/6, the 95 % point is 20 - sqrt(0.05 x 150) = 17.261,
    // the mean 35/3 (textbook formulas of the triangular law).
    let line = line_of("line \"One\"\npace 15 min\nstation S crew 1\ntask a takes 5/10/20 min by 1 at S\n");
    let report = watched(&line, "S", 20, 1_000);
    assert_eq!((report.cycles, report.window_min), (20_000, Some(15.0)));
    let over = report.over_window.expect("there is a window");
    // Standard errors by hand: sqrt(p q/n) = 0.0026, sd/sqrt(n) = 3.12/141 = 0.022.
    assert!((over.mean - 1.0 / 6.0).abs() < 4.0 * 0.0026, "{over:?}");
    let mean = report.length_min.expect("there are replications").mean;
    assert!((mean - 35.0 / 3.0).abs() < 4.0 * 0.022, "{mean}");
    assert!((report.p95_min - 17.261).abs() < 0.15, "{}", report.p95_min);
}

#[test]
fn of_any_line_the_pieces_of_a_cycle_follow_one_another_from_end_to_end() {
    let mut cycles_seen = 0;
    for seed in 0..120 {
        let random = line_for(seed);
        let Ok(line) = read(&random.text) else { continue };
        for (at, place) in line.places.iter().enumerate() {
            let choices = RunChoices {
                seed,
                precision: Precision::Replications(2),
                horizon: Some(Horizon::Units(10)),
                warm_up: Some(WarmUpChoice::None),
                gains: 0,
            };
            // A line that locks up has nothing to show.
            let Ok(report) = cycles(&line, PlaceId::from_index(at), &choices, &Unattended) else { continue };
            cycles_seen += report.cycles;
            for cycle in report.typical.iter().chain(&report.bad) {
                let mut end = 0.0;
                for piece in &cycle.path {
                    assert_eq!(piece.from_min, end, "seed {seed}, {}: {cycle:#?}", place.name);
                    assert!(piece.to_min > piece.from_min);
                    end = piece.to_min;
                }
                assert_eq!(end, cycle.length_min, "seed {seed}, {}: {cycle:#?}", place.name);
            }
            let all: f64 = report.made_of.iter().map(|part| part.mean_min).sum();
            if let Some(mean) = &report.length_min {
                assert!((all - mean.mean).abs() < 1e-6, "seed {seed}, {}: {all}, {mean:?}", place.name);
            }
        }
    }
    assert!(cycles_seen > 8_000, "{cycles_seen} cycles were seen");
}

/// The night builds a tray in 9 min of its own hours, 22:00 to 06:00, none of which are the line's. A tray that is begun
/// in a night's last minutes is done in the next night: 9 min of net time all the same, 16 h more on the clock.
#[test]
fn cycles_of_a_feeder_are_told_in_its_own_hours() {
    let line = line_of(
        "line \"Trays\"\nshift day 06:00 to 14:00 on mon to fri\n\
         feeder x store of 400 {\n  shift night 22:00 to 06:00 on mon to fri\n  station N1 crew 1\n    \
         task n1 takes 9 min by 1 at N1\n}\nstation A crew 1\ntask a takes 10 min by 1 uses 1 x at A\n",
    );
    let report = watched(&line, "N1", 2, 100);
    assert_eq!(made_of(&report), [(HeldBy::Work, 9.0)]);
    let bad = report.bad.expect("there is a cycle");
    assert_eq!((bad.length_min, path(&bad)), (9.0, vec![(0.0, 9.0, HeldBy::Work, Some("n1"))]));
}

const SHOP: &str = "\
line \"Shop\"
pace 11 min
station S1 \"Saw\" crew 2 slots 1
task saw \"Saw\" takes 9/11/16 min by 1 at S1
station S2 \"Fit\" crew 1
task fit \"Fit <tight>\" takes 6/8/10 min by 1 after saw at S2
test try of fit at S2 passes 85 %, again 95 % on fail fixed in place takes 3/5/10 min by 1
";

#[test]
fn the_page_says_what_holds_a_cycle_and_draws_two() {
    taktwright("why shop.line S2 --units 200 --replications 20 --warm-up none")
        .file("shop.line", SHOP)
        .simulating()
        .stdout_holds(&[
            "Shop, layout today: the cycles of S2 Fit",
            "20 replications of 200 units, no warm-up, seed 1; bands hold with 95 %",
            "A cycle of S2 takes ",
            "Cycles, min of net time",
            "4000 cycles watched; window 11,",
            "What a cycle goes to, min",
            "mending after a fail",
            "Which steps held the unit, min a cycle",
            "A typical cycle: ",
            "A bad cycle: ",
            "what held it",
            "1 person",
            "Before you act on this",
        ])
        .run();
    taktwright("why shop.line S2 --units 50 --replications 2 --warm-up none --format json")
        .file("shop.line", SHOP)
        .simulating()
        .stdout_holds(&["\"schema\": \"taktwright.cycles/1\"", "\"held_by\": \"work\""])
        .run();
    taktwright("why shop.line S3 --units 50 --replications 2 --warm-up none")
        .file("shop.line", SHOP)
        .status(2)
        .stderr_holds(&["S3", "S1"])
        .run();
}

#[test]
fn the_published_schema_of_cycles_is_the_one_in_force() {
    let path = crate::house::top().join("docs/cycles.schema.json");
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(&path, cycles_schema()).expect("docs can be written");
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(published == cycles_schema(), "docs/cycles.schema.json is stale; TAKTWRIGHT_BLESS=1 rewrites it");
}
