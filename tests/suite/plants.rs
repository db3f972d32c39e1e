//! The planted faults of the three plants, as a user finds them: in the JSON of the commands that
//! docs/plants.md names.
//!
//! Source of what is wanted: computed with the plants, before and apart from this program, by crew and
//! precedence scheduling over triangular times (script of the plants' authors; not in this project).

use crate::harness::taktwright;
use crate::house::text_of;
use serde_json::Value;

/// Twenty replications of twenty shifts, without the gains of each station.
const QUICK: &str = "--shifts 20 --replications 20 --gains 0 --seed 7";

fn read(case: crate::harness::Case) -> Value {
    let text = case.with_scenarios().stdout_holds(&["{"]).run();
    serde_json::from_str(&text).expect("the report is JSON")
}

/// `status` 1 where a promise is broken.
fn simulated(arguments: &str, status: i32) -> Value {
    let command = format!("simulate scenarios/{arguments} --format json --reproducible --quiet");
    read(taktwright(&command).simulating().status(status))
}

fn checked(arguments: &str) -> Value {
    read(taktwright(&format!("check scenarios/{arguments} --format json")))
}

fn items<'a>(value: &'a Value, what: &str) -> &'a [Value] {
    value[what].as_array().unwrap_or_else(|| panic!("there is a list of {what}"))
}

/// The entry of a list whose `key` says `name`.
fn named<'a>(list: &'a [Value], key: &str, name: &str) -> &'a Value {
    list.iter().find(|entry| entry[key] == name).unwrap_or_else(|| panic!("{name} is in the list"))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is a number"))
}

fn mean(value: &Value) -> f64 {
    number(&value["mean"])
}

/// Load of a station in `check`, per cent of its window: of one model, or of the mix with retests.
fn load(report: &Value, station: &str, model: Option<&str>) -> f64 {
    let found = named(items(&report["lines"][0], "loads"), "place", station);
    100.0
        * match model {
            Some(model) => number(&named(items(found, "by_model"), "model", model)["load"]),
            None => number(&found["mean_with_retests"]),
        }
}

#[test]
fn check_names_the_task_that_one_model_overloads_in_each_plant() {
    for (file, station, model, wanted) in [
        ("pod-hall.line", "A10", "T", 116.0),
        ("workboats.line", "B02", "L", 130.0),
        ("heat-pumps.line", "C15", "C-12", 120.0),
    ] {
        let report = checked(file);
        assert_eq!(load(&report, station, Some(model)).round(), wanted, "{file}");
        let over: Vec<&str> = items(&report, "diagnostics")
            .iter()
            .filter(|doubt| doubt["code"] == "T801")
            .filter_map(|doubt| doubt["message"].as_str())
            .collect();
        assert_eq!(over.len(), 1, "{file}: {over:?}");
        assert!(over[0].starts_with(station) && over[0].contains(model), "{file}: {over:?}");
    }
}

#[test]
fn check_shows_what_retests_make_of_the_final_gate_and_of_the_tank() {
    let gate = load(&checked("pod-hall.line"), "A16", None);
    assert!((gate - 95.0).abs() <= 1.0, "{gate:.2}");
    let tank = load(&checked("workboats.line"), "B12", None);
    assert!((tank - 96.0).abs() <= 1.5, "{tank:.2}");
}

#[test]
fn check_counts_the_test_places_of_the_heat_pumps() {
    let today = checked("heat-pumps.line");
    let five = (load(&today, "C10", Some("C-6")), load(&today, "C17", None));
    assert!((five.0 - 69.0).abs() <= 1.0 && (five.1 - 72.0).abs() <= 2.0, "{five:?}");
    let four = load(&checked("heat-pumps.line --layout \"four vacuum places\""), "C10", Some("C-6"));
    assert!((four - 87.0).abs() <= 2.0, "{four:.2}");
    let one = load(&checked("heat-pumps.line --layout \"one tightness chamber\""), "C09", Some("C-6"));
    assert!((one - 102.0).abs() <= 3.0, "{one:.2}");
}

/// The average of the loads says 19.3 units a shift; one signal makes 25.3 min a unit of them.
#[test]
fn one_signal_costs_the_pod_hall_more_than_its_average_says() {
    let report =
        simulated(&format!("pod-hall.line --layout \"no failures\" --warm-up \"7 days\" {QUICK}"), 1);
    let interval = mean(&report["line_measures"]["minutes_between_units"]["mean"]);
    assert!((interval - 25.3).abs() <= 0.25, "{interval}");
    let units = mean(&report["line_measures"]["units_per_shift"]);
    assert!((units - 17.6).abs() <= 0.2, "{units}");
    let pushes = items(&report, "pushes")[0]["on_time"].clone();
    assert!(mean(&pushes) < 0.6, "{pushes}");
}

#[test]
fn balance_moves_the_tub_to_the_flood_crew_and_the_ramp_frame_away() {
    for (file, task, from) in [("pod-hall.line", "a31", "A10"), ("workboats.line", "b09", "B02")] {
        let report = read(taktwright(&format!("balance scenarios/{file} --format json --reproducible")));
        let task = named(items(&report, "assignment"), "task", task);
        assert_eq!(task["today"], from);
        assert_ne!(task["station"], from, "{file}");
    }
}

/// In the hall as it is the final gate, its repairs and its retests delay the pushes most.
#[test]
fn the_hall_as_it_is_waits_for_its_final_gate() {
    let report = simulated(&format!("pod-hall.line {QUICK}"), 1);
    let mut delay: Vec<(f64, &str)> = items(&report, "stations")
        .iter()
        .filter_map(|station| Some((station["delay_caused_min"]["mean"].as_f64()?, station["id"].as_str()?)))
        .collect();
    delay.sort_by(|a, b| b.0.total_cmp(&a.0));
    assert_eq!(delay[0].1, "A16", "{delay:?}");
    let holds = items(&report, "holds");
    assert!(!holds.is_empty() && holds.iter().all(|hold| hold["kept"] == true));
}

/// Who came back to the tightness chambers took its places at pushes, and the stations before it stood still.
#[test]
fn repaired_heat_pumps_compete_for_the_tightness_chambers() {
    let report = simulated("heat-pumps.line --shifts 10 --replications 5 --gains 0 --seed 7", 0);
    let held = |station| number(&named(items(&report, "stations"), "id", station)["held_for_return"]);
    assert!(held("C08") > held("C09") && held("C09") > held("C10"), "{} {}", held("C08"), held("C09"));
    let tight = named(items(&report, "tests"), "id", "tight");
    assert!(mean(&tight["attempts_per_unit"]) > 1.03, "{tight}");
    let alarm = named(items(&report, "stops"), "id", "gas-alarm");
    assert!(alarm["stopped"]["mean"].is_number(), "{alarm}");
}

/// Every layout that the page names is in the file of its plant.
#[test]
fn the_page_of_the_plants_names_layouts_that_there_are() {
    let page = text_of("docs/plants.md");
    let mut seen = 0;
    for command in page.split('`').filter(|piece| piece.contains(".line --layout")) {
        let file = command.split(' ').find(|word| word.ends_with(".line")).expect("a file");
        let text = text_of(file);
        for layout in command.split('"').nth(1).expect("in quotes").split(',').filter(|l| *l != "today") {
            assert!(text.contains(&format!("layout \"{layout}\"")), "{file}: {layout}");
            seen += 1;
        }
    }
    assert!(seen >= 6, "{seen}");
}

#[test]
fn nobody_can_be_spared_at_the_yard() {
    let yard = read(taktwright(
        "balance scenarios/workboats.line --aim people --format json --reproducible --quiet",
    ));
    // 34 of the line, 3 of the tests, and those of the places off the line; the bound says that no crew can go.
    let people = &yard["people"];
    assert_eq!((number(&people["before"]), number(&people["after"])), (41.0, 41.0));
    assert_eq!(number(&yard["lower_bound"]), 41.0);
}

#[test]
fn on_a_bad_day_the_second_brazing_station_is_late_most_often() {
    let command = "balance scenarios/heat-pumps.line --chance 95% --format json --reproducible --quiet";
    let pumps = read(taktwright(command).status(1));
    let models = [("C-6", 0.5), ("C-9", 0.3), ("C-12", 0.2)];
    let late = |station: &Value| -> f64 {
        let of = |(model, share): &(&str, f64)| {
            let row = named(items(station, "late"), "model", model);
            share * row["over"].as_f64().unwrap_or(0.0)
        };
        models.iter().map(of).sum()
    };
    let stations = items(&pumps, "loads");
    let brazing = late(named(stations, "station", "C06"));
    // Computed with the plant: 12 % of units.
    assert!((brazing - 0.12).abs() < 0.02, "{brazing}");
    assert!(stations.iter().all(|station| late(station) <= brazing), "the worst of all");
}
