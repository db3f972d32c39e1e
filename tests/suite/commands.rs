//! The commands, from the outside: what goes in and everything that comes out.

use crate::harness::{split, taktwright};
use crate::house::text_of;

/// Two stations and a promise that is kept; small enough to run in no time.
pub const SHOP: &str = "\
line \"Shop\"
let filers = 1
model A \"Box\"
station S1 \"Saw\" crew 1
station S2 \"File\" crew filers slots 1
task saw \"Saw\" takes 4/5/6 min by 1 at S1
task file \"File\" takes 3/4/8 min by 1 after saw at S2
promise units per hour at least 5
";

const QUICK: &str = "--units 50 --replications 20 --gains 0 --reproducible";

#[test]
fn explain_tells_what_a_word_a_code_and_a_measure_mean() {
    taktwright("explain T401")
        .stdout(
            "T401\n  Tasks follow one another in a circle for some model.\n  \
             It is an error: nothing is run until it is mended.\n",
        )
        .run();
    taktwright("explain units per shift")
        .stdout_holds(&["units per shift\n  A measure, units: finished units of a whole shift"])
        .run();
    taktwright("explain hold").stdout_holds(&["hold ...\n  A statement: "]).run();
}

#[test]
fn explain_lists_every_topic_and_offers_the_nearest_one() {
    let all = taktwright("explain")
        .stdout_holds(&["Statements\n", "\nClauses\n", "\nMeasures\n", "\nCodes\n"])
        .run();
    for code in taktwright::diagnostic::Code::ALL {
        assert!(all.contains(code.text()), "{} is missing", code.text());
    }
    taktwright("explain holdd")
        .stderr("error: nothing is called `holdd`; did you mean `hold`?\n")
        .status(2)
        .run();
}

#[test]
fn check_shows_what_follows_from_mean_times() {
    taktwright("check shop.line").file("shop.line", SHOP).stdout_snapshot("check-shop").run();
}

#[test]
fn check_reports_every_fault_on_standard_error_and_shows_no_page() {
    let text = SHOP.replace("by 1 at S1", "by 2 at S7").replace("4/5/6 min", "4/5/6");
    taktwright("check shop.line").file("shop.line", text).stderr_snapshot("check-faults").status(2).run();
}

#[test]
fn check_gives_programs_its_diagnostics_on_standard_output() {
    let text = SHOP.replace("at S1", "at S7");
    let json = taktwright("check plant/shop.line --format json")
        .file("plant/shop.line", text)
        .stdout_holds(&["\"diagnostics\"", "S7"])
        .status(2)
        .run();
    let page: serde_json::Value = serde_json::from_str(&json).expect("valid JSON");
    let fault = &page["diagnostics"][0];
    assert_eq!((fault["file"].as_str(), fault["line"].as_u64()), (Some("plant/shop.line"), Some(6)));
}

#[test]
fn a_file_that_is_not_there_is_bad_input() {
    taktwright("check none.line").stderr_holds(&["T107", "none.line"]).status(2).run();
    taktwright("simulate none.line").stderr_holds(&["T107", "none.line"]).status(2).run();
}

#[test]
fn a_line_may_come_from_standard_input() {
    taktwright("check -").input(SHOP).stdout_holds(&["Shop, layout today"]).run();
    taktwright("check -")
        .input("statoin S1\n")
        .stderr_holds(&["standard input:1:1", "did you mean `station`?"])
        .status(2)
        .run();
}

#[test]
fn includes_stay_inside_the_folder_of_the_first_file() {
    taktwright("check plant/shop.line")
        .file("plant/shop.line", format!("{SHOP}use \"../secret.line\"\n"))
        .file("secret.line", "task x takes 3 min\n")
        .stderr_holds(&["T108", "../secret.line"])
        .status(2)
        .run();
    taktwright("check plant/shop.line")
        .file("plant/shop.line", format!("{SHOP}use \"parts/more.line\"\n"))
        .file("plant/parts/more.line", "task oil takes 1 min by 1 after file att S2\n")
        .stderr_holds(&["plant/parts/more.line:1:"])
        .status(2)
        .run();
}

#[test]
fn simulate_reports_the_same_for_any_number_of_threads() {
    taktwright(&format!("simulate shop.line {QUICK}"))
        .file("shop.line", SHOP)
        .stdout_snapshot("simulate-shop")
        .simulating()
        .run();
    let json =
        taktwright("simulate shop.line --units 50 --replications 20 --reproducible --gains 5 --format json")
            .file("shop.line", SHOP)
            .stdout_holds(&["\"schema\": \"taktwright.report/1\""])
            .simulating()
            .run();
    let report: serde_json::Value = serde_json::from_str(&json).expect("valid JSON");
    assert_eq!(report["replications"], 20);
    assert_eq!(report["elapsed_s"], serde_json::Value::Null);
}

/// Once an hour on the clock a unit goes in, and either station has done with it long before the next one comes: a
/// faster one makes nothing more, however often it is tried. Where units wait at the file, every replication differs.
#[test]
fn a_station_with_which_nothing_differs_is_tried_only_a_few_times() {
    const RUN: &str = "--for 40h --warm-up none --replications 20 --gains 20 --reproducible --format json";
    let tried = |text: String| -> Vec<(u64, f64)> {
        let run = taktwright(&format!("simulate shop.line {RUN}")).file("shop.line", text);
        let json = run.stdout_holds(&["taktwright.report/1"]).simulating().run();
        let report: serde_json::Value = serde_json::from_str(&json).expect("valid JSON");
        let stations = report["stations"].as_array().expect("stations").iter();
        let gains = stations.map(|station| &station["bottleneck"]["units_gained"]);
        gains.map(|gain| (gain["n"].as_u64().unwrap(), gain["mean"].as_f64().unwrap())).collect()
    };
    let shop = SHOP.replace("promise", "# promise");
    assert_eq!(tried(format!("{shop}release every 60 min\n")), [(5, 0.0), (5, 0.0)]);
    let busy = tried(shop);
    assert_eq!((busy[0].0, busy[1].0), (20, 20), "{busy:?}");
    assert!(busy[1].1 > 0.0, "{busy:?}");
}

#[test]
fn a_promise_that_is_broken_gives_status_1() {
    taktwright(&format!("simulate shop.line {QUICK}"))
        .file("shop.line", SHOP.replace("at least 5", "at least 50"))
        .stdout_holds(&["broken"])
        .status(1)
        .simulating()
        .run();
}

#[test]
fn a_let_may_be_set_outside_stops() {
    let shop = SHOP.replace("by 1 after saw", "by 2 after saw");
    taktwright("check shop.line").file("shop.line", &shop).stderr_holds(&["T502"]).status(2).run();
    taktwright("check shop.line --set filers=2").file("shop.line", &shop).stdout_holds(&["Shop"]).run();
    taktwright("check shop.line --set filrs=2")
        .file("shop.line", &shop)
        .stderr_holds(&["filrs"])
        .status(2)
        .run();
}

#[test]
fn a_layout_is_chosen_by_name() {
    let shop = format!("{SHOP}layout \"two filers\" {{ change station S2 crew 2 }}\n");
    taktwright("check shop.line --layout two_filers")
        .file("shop.line", &shop)
        .stderr("error: no layout is named `two_filers`; did you mean `two filers`?\n")
        .status(2)
        .run();
    taktwright("check shop.line --layout 'two filers'")
        .file("shop.line", &shop)
        .stdout_holds(&["Shop, layout two filers"])
        .run();
}

#[test]
fn a_report_is_written_beside_its_place_and_moved_there() {
    taktwright(&format!("simulate shop.line {QUICK} --output out.txt"))
        .file("shop.line", SHOP)
        .writes_holding("out.txt", &["Shop, layout today"])
        .run();
    taktwright(&format!("simulate shop.line {QUICK} --output none/out.txt"))
        .file("shop.line", SHOP)
        .stderr_holds(&["error: cannot write none/out.txt: "])
        .status(3)
        .run();
}

#[test]
fn arguments_that_make_no_sense_are_refused_with_the_cure() {
    let refused = |arguments: &str, pieces: &[&str]| {
        taktwright(arguments).file("shop.line", SHOP).stderr_holds(pieces).status(2).run();
    };
    refused("simulate shop.line --for 40", &["`40` has no unit: write `40 min` or `40 h`"]);
    refused("simulate shop.line --within 1", &["`1` has no `%`: write `1 %`"]);
    refused("simulate shop.line --shifts 5 --units 3", &["--shifts", "--units"]);
    refused("simulate shop.line --shifts 5", &["the line has no shifts to count"]);
    refused("simulate shop.line --set filers", &["write it as in `welders=4`"]);
    refused("simulate shop.line --gains 1", &["one replication gives no band"]);
    refused("simulate shop.line --replications 1", &["--replications"]);
    refused("blance shop.line", &["unrecognized subcommand"]);
}

#[test]
fn colour_comes_only_when_asked_for() {
    let plain = taktwright("check shop.line").file("shop.line", SHOP).stdout_holds(&["Shop"]).run();
    assert!(!plain.contains('\u{1b}'));
    let coloured =
        taktwright("check shop.line --color always").file("shop.line", SHOP).stdout_holds(&["Shop"]).run();
    assert!(coloured.contains('\u{1b}'));
    taktwright("check shop.line --color auto")
        .file("shop.line", SHOP)
        .variable("NO_COLOR", "1")
        .stdout(plain)
        .run();
}

#[test]
fn a_run_that_stops_itself_says_so() {
    taktwright("simulate shop.line --units 50 --within 2% --gains 0 --reproducible")
        .file("shop.line", SHOP)
        .stdout_holds(&["the run stopped itself after looking at 20, 40, 80"])
        .simulating()
        .run();
}

#[test]
fn the_help_of_every_command_has_examples_that_run_on_shipped_scenarios() {
    for command in [
        "", "check", "tidy", "balance", "simulate", "compare", "levers", "losses", "why", "verify", "explain",
    ] {
        let help = taktwright(&format!("{command} --help")).stdout_holds(&["Usage: ", "Examples:"]).run();
        let examples: Vec<&str> =
            help.lines().filter_map(|line| line.strip_prefix("  taktwright ")).collect();
        assert!(examples.len() >= 3, "`{command} --help` has {} examples", examples.len());
        for example in examples {
            runs(example);
        }
    }
}

#[test]
fn the_commands_of_the_readme_run() {
    let readme = text_of("README.md");
    let commands: Vec<&str> = readme
        .lines()
        .filter_map(|line| line.strip_prefix("taktwright ").or(line.strip_prefix("cargo run --release -- ")))
        .map(|line| line.split(" # ").next().unwrap_or(line).trim())
        .collect();
    assert!(commands.len() >= 3, "the README shows what the program does");
    commands.into_iter().for_each(runs);
}

/// Runs an example; a promise of a shipped line may be broken, nothing may be refused.
fn runs(example: &str) {
    let (arguments, input) = match example.split_once(" < ") {
        Some((arguments, file)) => (arguments, text_of(file)),
        None => (example, String::new()),
    };
    let folder = crate::house::copy_of_scenarios();
    let status = std::process::Command::new(env!("CARGO_BIN_EXE_taktwright"))
        .args(split(arguments))
        .current_dir(folder.path())
        .stdin(crate::harness::text_as_input(&input))
        .output()
        .expect("the built program starts");
    let said = String::from_utf8_lossy(&status.stderr);
    assert!(matches!(status.status.code(), Some(0 | 1)), "`taktwright {example}`: {said}");
}

/// A run that would take minutes.
#[cfg(unix)]
fn start_long_run(folder: &std::path::Path, more: &[&str]) -> std::process::Child {
    std::fs::write(folder.join("shop.line"), SHOP).expect("a file before the run");
    std::process::Command::new(env!("CARGO_BIN_EXE_taktwright"))
        .args(split("simulate shop.line --units 20000 --replications 100000 --warm-up none --threads 2"))
        .args(more)
        .current_dir(folder)
        .stdin(std::process::Stdio::null())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the built program starts")
}

#[test]
#[cfg(unix)]
fn ctrl_c_ends_at_the_next_replication_with_what_is_finished() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let child = start_long_run(folder.path(), &[]);
    std::thread::sleep(std::time::Duration::from_millis(1500));
    let killed = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(killed.expect("kill runs").success());
    let output = child.wait_with_output().expect("the program ends");
    let (stdout, stderr) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(130), "{stderr}");
    assert!(stdout.contains("Shop, layout today"), "{stdout}");
    assert!(stdout.contains("interrupted: this report rests on the"), "{stdout}");
    assert!(stderr.starts_with("interrupted: the report rests on "), "{stderr}");
}

#[test]
#[cfg(unix)]
fn a_reader_that_goes_away_is_no_failure() {
    use std::io::Read;
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_taktwright"))
        .arg("explain")
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the built program starts");
    drop(child.stdout.take());
    let mut said = String::new();
    child.stderr.take().expect("standard error is piped").read_to_string(&mut said).expect("text");
    assert_eq!(child.wait().expect("the program ends").code(), Some(0));
    assert_eq!(said, "");
}

#[test]
fn tidy_writes_the_canonical_form_and_says_so() {
    let untidy =
        format!("# kept\n{}", SHOP.replace("task saw \"Saw\" takes", "task   saw \"Saw\"\n        takes"));
    let tidied = taktwright("tidy -").input(&untidy).stdout_holds(&["# kept\n", "task saw \"Saw\""]).run();
    taktwright("tidy a.line b.line")
        .file("a.line", &untidy)
        .file("b.line", &tidied)
        .writes("a.line", &tidied)
        .stderr("tidied a.line\n")
        .run();
    taktwright("tidy --quiet a.line").file("a.line", &untidy).writes("a.line", &tidied).run();
    taktwright("tidy --check a.line b.line")
        .file("a.line", &untidy)
        .file("b.line", &tidied)
        .stdout("a.line is not in its canonical form\n")
        .status(1)
        .run();
    taktwright("tidy --check b.line").file("b.line", &tidied).run();
}

#[test]
fn tidy_leaves_a_file_alone_that_it_can_not_read() {
    taktwright("tidy a.line")
        .file("a.line", "task a01 tkes 3 min\n")
        .stderr_holds(&["a.line:1:10"])
        .status(2)
        .run();
    taktwright("tidy none.line").stderr_holds(&["there is no file `none.line`"]).status(2).run();
}
