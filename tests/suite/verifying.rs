//! Scenario files, from the outside: verdicts, baselines, faults, and what ships.

use crate::commands::SHOP;
use crate::harness::{Case, taktwright};
use crate::house::{files_below, text_of, top};
use taktwright::study::scenario_schema;

const SCENARIO: &str = "\
line: shop.line
run: { units: 50, replications: 20, seed: 3, warm-up: none }
expect:
  - units per hour: { at least: 5 }
  - two files better than today on units per hour
baseline: shop.expected.json
";

fn shop() -> String {
    format!("{SHOP}layout \"two files\" {{ change station S2 bays 2 crew 2 }}\n")
}

fn verify(scenario: &str, arguments: &str) -> Case {
    taktwright(&format!("verify plant/shop.yaml {arguments}"))
        .file("plant/shop.yaml", scenario)
        .file("plant/shop.line", shop())
}

/// The baseline as a run with `--bless` writes it.
fn blessed() -> String {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).expect("a file");
    write("shop.yaml", SCENARIO);
    write("shop.line", &shop());
    let ran = std::process::Command::new(env!("CARGO_BIN_EXE_taktwright"))
        .args(["verify", "shop.yaml", "--bless"])
        .current_dir(folder.path())
        .status();
    assert_eq!(ran.expect("the built program starts").code(), Some(0));
    std::fs::read_to_string(folder.path().join("shop.expected.json")).expect("the baseline was written")
}

#[test]
fn a_scenario_that_holds_says_so_and_blessing_writes_what_it_found() {
    verify(SCENARIO, "--bless")
        .stdout_snapshot("verify-bless")
        .stderr("wrote plant/shop.expected.json\n")
        .writes("plant/shop.expected.json", blessed())
        .simulating()
        .run();
    verify(SCENARIO, "")
        .file("plant/shop.expected.json", blessed())
        .stdout_holds(&[
            "holds        today: as in the baseline",
            "holds        two files: as in the baseline",
            "5 of 5 hold\n",
        ])
        .simulating()
        .run();
}

#[test]
fn a_changed_line_is_told_in_trade_words() {
    let slower = shop().replace("3/4/8 min", "3/4/9 min");
    verify(SCENARIO, "")
        .file("plant/shop.line", slower)
        .file("plant/shop.expected.json", blessed())
        .stdout_holds(&[
            "fails        today: as in the baseline",
            "minutes between units: ",
            "stored",
            "allowed 0.1 %",
        ])
        .status(1)
        .run();
}

#[test]
fn an_expectation_that_fails_or_cannot_be_told_gives_status_1() {
    let scenario = SCENARIO
        .replace("at least: 5", "at least: 50")
        .replace("two files better than today", "today better than two files")
        .replace("baseline: shop.expected.json\n", "");
    verify(&scenario, "")
        .stdout_holds(&[
            "fails        today: units per hour at least 50",
            "at least 50 wanted",
            "0 of 3 hold",
        ])
        .status(1)
        .run();
}

#[test]
fn verdicts_come_as_json_and_junit_too() {
    let scenario = SCENARIO.replace("baseline: shop.expected.json\n", "");
    let json = verify(&scenario, "--format json").stdout_holds(&["taktwright.verdicts/1"]).simulating().run();
    let verdicts: serde_json::Value = serde_json::from_str(&json).expect("valid JSON");
    assert_eq!(verdicts["scenarios"][0]["findings"][0]["verdict"], "holds");
    verify(&scenario, "--format junit --output junit.xml")
        .writes_holding("junit.xml", &["<testsuites name=\"taktwright verify\" tests=\"3\"", "</testsuites>"])
        .simulating()
        .run();
}

#[test]
fn every_fault_of_a_scenario_is_shown_at_its_place() {
    let scenario = "\
line: shop.line
layouts: [today, two fillers]
expect:
  - units per hour: { at leest: 5 }
  - wait at rain p95 at most 20 min
rum: 3
";
    verify(scenario, "").stderr_snapshot("verify-faults").stdout_holds(&["not run"]).status(2).run();
    let scenario = scenario.replace("leest", "least").replace("rum: 3\n", "");
    verify(&scenario, "")
        .stderr_snapshot("verify-faults-of-names")
        .stdout_holds(&["not run"])
        .status(2)
        .run();
}

#[test]
fn faults_of_the_line_are_shown_in_the_line() {
    verify("line: shop.line\n", "")
        .file("plant/shop.line", shop().replace("at S1", "at S9"))
        .stderr_holds(&["T201", "plant/shop.line:6:"])
        .stdout_holds(&["plant/shop.yaml: not run"])
        .status(2)
        .run();
    taktwright("verify none.yaml")
        .stderr_holds(&["T951", "there is no file `none.yaml`"])
        .stdout_holds(&["not run"])
        .status(2)
        .run();
}

#[test]
fn a_setting_may_not_go_below_what_safety_fixes() {
    let line = "\
line \"Cure\"
let cure = 20 min
model A \"Box\"
station S1 \"Cure\" crew 1
task mix \"Mix\" takes 4 min by 1 at S1
hold cures \"Cure\" at least cure safety after mix at S1
";
    let run = |set: &str| {
        taktwright("verify shop.yaml")
            .file("shop.yaml", format!("line: shop.line\nset: {{ cure: {set} }}\nrun: {{ units: 20, replications: 20 }}\nexpect: [no hold under its minimum]\n"))
            .file("shop.line", line)
    };
    run("25 min").stdout_holds(&["1 of 1 hold"]).simulating().run();
    run("15 min").stderr_holds(&["T70"]).stdout_holds(&["not run"]).status(2).run();
}

#[test]
fn a_missing_or_foreign_baseline_is_a_fault_with_its_cure() {
    verify(SCENARIO, "")
        .stderr_holds(&["T952", "plant/shop.yaml:6:11", "taktwright verify --bless"])
        .stdout_holds(&["not run"])
        .status(2)
        .run();
    verify(SCENARIO, "")
        .file("plant/shop.expected.json", "{ \"schema\": 3 }")
        .stderr_holds(&["T952", "can't be used"])
        .stdout_holds(&["not run"])
        .status(2)
        .run();
}

#[test]
fn the_published_schema_of_scenarios_is_the_one_in_force() {
    let path = top().join("docs/scenario.schema.json");
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(&path, scenario_schema()).expect("docs can be written");
    }
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        published == scenario_schema(),
        "docs/scenario.schema.json is stale: TAKTWRIGHT_BLESS=1 cargo test schema"
    );
}

#[test]
fn every_shipped_scenario_holds() {
    let scenarios = files_below("scenarios", ".yaml");
    assert!(!scenarios.is_empty(), "scenarios ship with the program");
    for scenario in scenarios {
        taktwright(&format!("verify {scenario}"))
            .with_scenarios()
            .stdout_holds(&[" hold\n"])
            .simulating()
            .run();
        assert!(text_of(&scenario).contains("baseline: "), "{scenario} watches no baseline");
    }
}
