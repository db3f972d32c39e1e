//! The command `balance`: by hand, against brute force, and from the outside.

use crate::follow::text::line_of;
use crate::harness::taktwright;
use crate::house::text_of;
use std::fmt::Write as _;
use taktwright::balance::{Aim, Goal, Plan, Stopped, Verdict, holdings, improve, why};
use taktwright::diagnostic::MapSources;
use taktwright::line::{Line, PlaceId, StepId};
use taktwright::report::balance_schema;

/// B2 takes 11 of 10 min: joining 5, gluing 3, filing 3.
const BENCHES: &str = "\
line \"Three benches\"
pace 10 min
station B1 \"Cut\" crew 1
station B2 \"Join\" crew 1  # the fullest
station B3 \"Pack\" crew 1
task cut takes 4 min at B1
task file takes 3 min after cut, at B2 by 1  # may go
task join takes 5 min after cut at B2
task glue takes 3 min after join at B2
task pack takes 4 min after glue, file at B3
";

pub fn plan_of(line: &Line, aim: Aim) -> Plan {
    improve(line, &Goal::new(aim), &|| false).expect("the line can be balanced")
}

fn named(line: &Line, plan: &Plan) -> Vec<String> {
    let said = |k: &usize| format!("{} at {}", line.steps[*k].name, line.places[plan.at[*k].index()].name);
    (0..line.steps.len()).map(|k| said(&k)).collect()
}

#[test]
fn one_move_brings_three_benches_under_their_pace() {
    let line = line_of(BENCHES);
    let plan = plan_of(&line, Aim::Moves);
    // By hand: 4/11/4. Filing to B1 makes 7/8/4; no further move lowers the 8 of joining and gluing but
    // gluing to B3, which makes 7/5/7.
    assert_eq!(named(&line, &plan)[1], "file at B1");
    assert_eq!(plan.changes.len(), 2);
    assert!((plan.worth_before.over - 0.1).abs() < 1e-9 && (plan.worth_before.largest - 1.1).abs() < 1e-9);
    let after = &plan.changes[0].after;
    assert!(after.over == 0.0 && (after.largest - 0.8).abs() < 1e-9 && (after.pace - 480e6).abs() < 1e-3);
    assert!((plan.worth.largest - 0.7).abs() < 1e-9, "{:?}", named(&line, &plan));
    assert!(plan.worth.smoothness < plan.worth_before.smoothness);
}

#[test]
fn few_plans_are_all_looked_at_and_the_best_is_proven() {
    let line = line_of(BENCHES);
    // 19 min of work: two benches of 10 hold 9 + 10; three can't go faster than every 7 min.
    let fewest = plan_of(&line, Aim::Stations);
    assert_eq!((fewest.worth.stations, fewest.stopped, fewest.lower_bound), (2, Stopped::Proof, Some(2.0)));
    let fastest = plan_of(&line, Aim::Pace);
    assert_eq!(fastest.stopped, Stopped::Proof);
    assert!((fastest.worth.pace - 420e6).abs() < 1e-3, "{:?}", named(&line, &fastest));
}

#[test]
fn the_tub_of_the_pod_hall_goes_to_the_flood_crew() {
    let line = line_of(&text_of("scenarios/pod-hall.line"));
    let plan = plan_of(&line, Aim::Moves);
    let first = &plan.changes[0];
    let said: Vec<(&str, &str, &str)> = first
        .moved
        .iter()
        .map(|(s, a, b)| {
            let place = |p: &PlaceId| line.places[p.index()].name.as_str();
            (line.steps[s.index()].name.as_str(), place(a), place(b))
        })
        .collect();
    assert_eq!(said, [("a31", "A10", "A09")]);
    assert!(first.before.over > 0.05 && first.after.over == 0.0, "{first:?}");
}

#[test]
fn the_ramp_frame_of_the_workboats_leaves_the_station_that_it_overfills() {
    let line = line_of(&text_of("scenarios/workboats.line"));
    let plan = plan_of(&line, Aim::Moves);
    let moved: Vec<&str> = plan
        .changes
        .iter()
        .flat_map(|c| c.moved.iter().map(|(s, ..)| line.steps[s.index()].name.as_str()))
        .collect();
    assert!(moved.contains(&"b09"), "{moved:?}");
    assert!(plan.worth.over < plan.worth_before.over);
}

#[test]
fn why_names_the_first_rule_that_forbids_a_move() {
    let line = line_of(&text_of("scenarios/pod-hall.line"));
    let ask = |task: &str, station: &str| {
        let step = line.steps.iter().position(|s| s.name == task).map(StepId::from_index);
        let place = line.places.iter().position(|p| p.name == station).map(PlaceId::from_index);
        let (step, place) = (step.expect("a task"), place.expect("a station"));
        why(&line, step, place, Goal::new(Aim::Moves).caps).expect("a pace is stated")
    };
    assert!(matches!(ask("a31", "A09"), Verdict::Allowed { .. }));
    assert_eq!(ask("a31", "A10"), Verdict::There);
    let said = |args: &str| taktwright(&format!("explain scenarios/pod-hall.line {args}")).with_scenarios();
    said("a31 A08").stdout("a31 can't go to A08: a31 follows a30, which stands later, at A09; a30 would have to come to A08 or before.\n").run();
    said("a32 A09").stdout_holds(&["a32 can't go to A09: a32 follows a31, which stands later, at A10"]).run();
    said("a40 A14").stdout_holds(&["a40 can go to A14.", "load of A14", "shortest pace"]).run();
    said("a50 A15").stdout_holds(&["a50 stays at A16: it belongs to test"]).run();
    said("a31 A99").stderr_holds(&["no station is named `A99`"]).status(2).run();
}

#[test]
fn the_answer_is_written_into_the_file_and_nothing_else_changes() {
    let written = BENCHES
        .replace("after cut, at B2 by 1  # may go", "after cut, at B1 by 1  # may go")
        .replace("glue takes 3 min after join at B2", "glue takes 3 min after join at B3");
    taktwright("balance benches.line --write --reproducible --quiet")
        .file("benches.line", BENCHES)
        .stdout_snapshot("balance-benches")
        .writes("benches.line", written)
        .run();
    taktwright("balance benches.line --write --reproducible --layout other")
        .file("benches.line", format!("{BENCHES}layout \"other\" {{ change pace 12 min }}\n"))
        .stderr_holds(&["leave `--layout` out"])
        .status(2)
        .run();
}

#[test]
fn a_line_that_stays_over_its_caps_gives_status_1_and_one_without_a_pace_2() {
    taktwright("balance benches.line --reproducible")
        .file("benches.line", BENCHES.replace("pace 10", "pace 4"))
        .stdout_holds(&["some stations stay over their caps"])
        .status(1)
        .run();
    taktwright("balance benches.line")
        .file("benches.line", BENCHES.replace("pace 10 min\n", ""))
        .stderr_holds(&["nothing says how fast"])
        .status(2)
        .run();
}

#[test]
fn programs_get_the_answer_as_json_with_a_published_schema() {
    let json = taktwright("balance benches.line --reproducible --format json")
        .file("benches.line", BENCHES)
        .stdout_holds(&["\"schema\": \"taktwright.balance/1\""])
        .run();
    let report: serde_json::Value = serde_json::from_str(&json).expect("valid JSON");
    assert_eq!(report["moved"][0]["tasks"][0]["task"], "file");
    assert_eq!(report["feasible"], true);
    assert_eq!(report["assignment"].as_array().map(Vec::len), Some(5));
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/balance.schema.json");
    if std::env::var_os("TAKTWRIGHT_BLESS").is_some() {
        std::fs::write(file, balance_schema()).expect("docs/ can be written");
    }
    let published = std::fs::read_to_string(file).unwrap_or_default();
    assert!(
        published == balance_schema(),
        "docs/balance.schema.json is stale; TAKTWRIGHT_BLESS=1 rewrites it"
    );
}

#[test]
fn what_the_file_keeps_together_apart_or_in_place_stays_so() {
    let with = |from: &str, to: &str| {
        let line = line_of(&BENCHES.replace(from, to));
        let plan = plan_of(&line, Aim::Moves);
        named(&line, &plan)
    };
    // Filing may not go: gluing goes to B3 instead.
    let stays = with("after cut, at B2 by 1", "after cut, stays at B2 by 1");
    assert!(
        stays.contains(&"file at B2".to_string()) && stays.contains(&"glue at B3".to_string()),
        "{stays:?}"
    );
    // Filing and gluing go together, or not at all.
    let beside = with("after cut, at B2 by 1", "after cut, beside glue at B2 by 1");
    assert_eq!(beside[1].replace("file", ""), beside[3].replace("glue", ""), "{beside:?}");
    let apart = with("task pack takes", "task pack apart from glue takes");
    assert!(apart.contains(&"glue at B2".to_string()), "{apart:?}");
    let text = BENCHES.replace("after cut, at B2 by 1", "after cut, apart from join at B2 by 1");
    let read = taktwright::read("f.line", &MapSources::one("f.line", &text), &[]);
    assert!(
        read.layouts.is_empty() && read.faults.iter().any(|f| f.code.text() == "T403"),
        "{:?}",
        read.faults
    );
}

#[test]
fn a_task_stands_at_none_but_the_stations_that_the_file_names() {
    // Joining 5, gluing 3, filing 3 at B2. Filing may not go to B1, so it goes to B3, or gluing does: 4/8/7.
    let text = BENCHES.replace("after cut, at B2 by 1", "after cut, may stand at B2 to B3 at B2 by 1");
    let line = line_of(&text);
    let plan = plan_of(&line, Aim::Moves);
    assert_ne!(named(&line, &plan)[1], "file at B1");
    assert!(plan.worth.over == 0.0 && (plan.worth.largest - 0.8).abs() < 1e-9, "{:?}", named(&line, &plan));
    // Named alone, a station is a place to stay at, whatever else moves.
    let pinned = text
        .replace("may stand at B2 to B3", "may stand at B2")
        .replace("after join at", "may stand at B2 after join at");
    let plan = plan_of(&line_of(&pinned), Aim::Stations);
    assert_eq!((plan.at[1], plan.at[3]), (PlaceId::from_index(1), PlaceId::from_index(1)));
    taktwright("explain benches.line file B1")
        .file("benches.line", &text)
        .stdout("file can't go to B1: the file says that file may stand at B2 and B3.\n")
        .run();
    // Only `at` is written.
    taktwright("balance benches.line --write --reproducible --quiet")
        .file("benches.line", &text)
        .stdout_holds(&["file from B2 to B3"])
        .writes("benches.line", text.replace("at B2 by 1", "at B3 by 1"))
        .run();
    taktwright("check benches.line")
        .file("benches.line", text.replace("may stand at B2 to B3", "may stand at B3"))
        .stderr_holds(&["T403", "B2 is not among the stations of `may stand at`"])
        .status(2)
        .run();
}

#[test]
fn a_test_that_stands_in_a_list_of_neighbours_is_its_steps() {
    let tested = BENCHES
        .replace("task pack takes", "test leak takes 2 min after glue at B3 passes 100 %\ntask pack takes");
    let faults_of = |clause: &str| -> Vec<String> {
        let text = tested.replace("after cut, at B2 by 1", &format!("after cut, {clause} at B2 by 1"));
        let read = taktwright::read("f.line", &MapSources::one("f.line", &text), &[]);
        read.faults.iter().map(|f| format!("{}: {}", f.code.text(), f.headline)).collect()
    };
    assert_eq!(faults_of("apart from leak"), Vec::<String>::new());
    let there = faults_of("beside leak");
    assert!(there[0].starts_with("T403: file stands beside leak"), "{there:?}");
    let itself = faults_of("apart from file");
    assert!(itself[0].contains("file names itself in its own `apart from`"), "{itself:?}");
    // What is kept beside a test stays, as tests do.
    let line = line_of(&tested.replace("task pack takes 4 min", "task pack beside leak takes 4 min"));
    let pack = line.steps.iter().position(|step| step.name == "pack").expect("it is read");
    assert!(holdings(&line)[pack].is_some());
}

#[test]
fn lines_of_plain_sums_are_settled_with_proof() {
    // Jackson's eleven tasks (1956) on eight stations: 46 min of work, 5 stations at 10 min (published),
    // and the shortest pace of 5 is 10 (no answer at 9: 6 stations).
    let times = [6, 2, 5, 7, 1, 2, 3, 6, 5, 5, 4];
    let after = ["", "1", "1", "1", "1", "2", "3 4 5", "6", "7", "8", "9 10"];
    let line = |stations: usize, pace: u32| {
        let mut text = format!("line \"Eleven\"\npace {pace} min\n");
        for k in 1..=stations {
            let _ = writeln!(text, "station S{k} crew 2");
        }
        for (k, (time, after)) in times.iter().zip(after).enumerate() {
            let after: Vec<String> = after.split_whitespace().map(|a| format!("t{a}")).collect();
            let after = if after.is_empty() { String::new() } else { format!(" after {}", after.join(", ")) };
            let _ = writeln!(text, "task t{} takes {time} min by 2{after} at S1", k + 1);
        }
        line_of(&text)
    };
    let plan = plan_of(&line(8, 10), Aim::Stations);
    assert_eq!((plan.worth.stations, plan.stopped, plan.lower_bound), (5, Stopped::Proof, Some(5.0)));
    assert!(plan.worth.over < 1e-9 && plan.worth.largest <= 1.0);
    let plan = plan_of(&line(5, 10), Aim::Pace);
    assert!((plan.worth.pace - 600e6).abs() < 1.0 && plan.stopped == Stopped::Proof, "{:?}", plan.worth);
    // Four stations can't do it at 10 min: five are needed, and the plan says what is over.
    let short = plan_of(&line(4, 10), Aim::Stations);
    assert!(short.lower_bound == Some(5.0) && short.worth.over > 0.0);
}

/// Four tasks of 5 min in 10: three people at B2 do them at one station, the two of B1 and B3 do as well.
#[test]
fn the_fewest_people_are_not_the_fewest_stations() {
    let line = line_of(
        "line \"People\"\npace 10 min\nstation B1 crew 1\nstation B2 crew 3\nstation B3 crew 1\n\
         task a takes 5 min at B1\ntask b takes 5 min at B2\ntask c takes 5 min at B2\ntask d takes 5 min at B3\n",
    );
    let fewest = plan_of(&line, Aim::Stations).worth;
    assert_eq!((fewest.stations, fewest.people), (1, 3));
    let plan = plan_of(&line, Aim::People);
    assert_eq!((plan.worth.stations, plan.worth.people, plan.worth.over), (2, 2, 0.0));
    assert_eq!((plan.worth_before.people, plan.lower_bound), (5, Some(2.0)));
    taktwright("balance people.line --aim people --reproducible")
        .file(
            "people.line",
            "line \"People\"\npace 10 min\nstation B1 crew 1\nstation B2 crew 3\nstation B3 crew 1\n\
             task a takes 5 min at B1\ntask b takes 5 min at B2\ntask c takes 5 min at B2\ntask d takes 5 min at B3\n",
        )
        .stdout_holds(&["5 -> 2 of the crews with work", "no plan has fewer than 2 people"])
        .run();
}

/// Eight tasks at three stations are more plans than are all looked at. Two people serve S1 and S2: to be without them
/// both must be empty. Work of 16 min in 10 takes two people.
#[test]
fn a_crew_is_spared_when_all_of_its_stations_are_empty() {
    let mut text = String::from(
        "line \"Teams\"\npace 10 min\nstation S1\nstation S2\nstation S3 crew 3\nteam pair crew 2 serving S1, S2\n",
    );
    for k in 0..8 {
        let _ = writeln!(text, "task t{k} takes 2 min by 1 at S{}", 1 + k / 3);
    }
    let plan = plan_of(&line_of(&text), Aim::People);
    assert_eq!((plan.worth_before.people, plan.worth.people, plan.worth.over), (5, 2, 0.0));
    assert_eq!(plan.lower_bound, Some(2.0));
    assert!(plan.at.iter().all(|place| place.index() < 2), "{:?}", plan.at);
    // With a task that only S3 can do, three are needed, and are enough.
    let held = text.replace("task t7 takes 2 min by 1", "task t7 takes 2 min by 3");
    let plan = plan_of(&line_of(&held), Aim::People);
    assert_eq!((plan.worth.people, plan.lower_bound), (3, Some(3.0)));
}

#[test]
fn a_plan_may_be_checked_on_the_same_random_days() {
    let text = BENCHES.replace("takes 3 min after cut, at B2 by 1", "takes 2/3/4 min after cut, at B2 by 1");
    let json = taktwright(
        "balance benches.line --reproducible --check-with-simulation --units 200 --replications 20 --format json",
    )
    .file("benches.line", text)
    .stdout_holds(&["\"simulated\""])
    .simulating()
    .run();
    let report: serde_json::Value = serde_json::from_str(&json).expect("valid JSON");
    // B2 takes 11 min today and 5 afterwards, when B1 and B3 take 7: 60/11 and 60/7 an hour, less what the
    // run-in and the drawn times take.
    assert!((report["simulated"]["before"].as_f64().expect("a mean") - 60.0 / 11.0).abs() < 0.1, "{json}");
    let gained = report["simulated"]["difference"]["mean"].as_f64().expect("a difference");
    assert!((gained - (60.0 / 7.0 - 60.0 / 11.0)).abs() < 0.2, "{json}");
}

/// Two people, two tasks of 4 min on the left, where one can work; one of them could be done on the right.
const SIDES: &str = "\
line \"Two sides\"
pace 5 min
zone left up to 1 people
zone right up to 1 people
station S1 crew 2
station S2 crew 2
task a takes 4 min by 1 in left or  right at S1  # either will do
task b takes 4 min by 1 in left at S1
task c takes 4 min by 1 in right stays at S2
";

#[test]
fn a_task_that_may_be_done_on_either_side_goes_to_the_one_that_is_free() {
    let line = line_of(SIDES);
    for aim in [Aim::Moves, Aim::Pace, Aim::Smooth, Aim::Stations, Aim::People] {
        let plan = plan_of(&line, aim);
        // By hand: one after the other on the left is 8 of 5 min; side by side, 4. At S2 it would stand on the left.
        assert!((plan.worth_before.largest - 1.6).abs() < 1e-9, "{aim:?}: {:?}", plan.worth_before);
        assert!(
            (plan.worth.largest - 0.8).abs() < 1e-9 && plan.worth.over == 0.0,
            "{aim:?}: {:?}",
            plan.worth
        );
        let side = plan.sides.iter().map(|(s, zone)| (s.index(), zone.index())).collect::<Vec<_>>();
        assert_eq!((plan.at[0].index(), side), (0, vec![(0, 1)]), "{aim:?}");
        let then = taktwright::balance::loads(&plan.on(&line));
        assert!((then[0].mean_share(&line) - 0.8).abs() < 1e-9, "as `check` has it: {then:?}");
    }
    taktwright("balance sides.line --write --reproducible")
        .file("sides.line", SIDES)
        .stdout_holds(&["With 0 tasks moved and 1 on another side:", "S1: a (in right), b"])
        .stderr("wrote sides.line\n0 tasks moved\n1 task on another side\n")
        .writes("sides.line", SIDES.replace("left or  right", "right or  left"))
        .run();
}

#[test]
fn more_sides_than_can_all_be_looked_at_are_taken_one_after_the_other() {
    // Six of one minute each, of which three fit on each side at once: 3 min for two people.
    let tasks = (0..6).map(|k| format!("task t{k} takes 1 min by 1 in left or right at S1\n"));
    let text = SIDES.lines().take(5).map(|l| format!("{l}\n")).chain(tasks).collect::<String>();
    let plan = plan_of(&line_of(&text), Aim::Pace);
    assert!((plan.worth.pace - 180e6).abs() < 1e-3, "{:?}", plan.worth);
    assert!((plan.worth_before.pace - 360e6).abs() < 1e-3, "{:?}", plan.worth_before);
    assert_eq!((plan.sides.len(), plan.stopped), (3, Stopped::NoBetterMove));
}

#[test]
fn a_side_on_which_work_is_kept_apart_is_chosen_with_that_in_mind() {
    let plan_with = |exclude: &str| {
        let line = line_of(&format!("{SIDES}{exclude}\n"));
        let plan = plan_of(&line, Aim::Moves);
        let sides = plan.sides.iter().map(|(s, zone)| (s.index(), zone.index())).collect::<Vec<_>>();
        (plan.at[0].index(), sides, plan.worth.largest)
    };
    // By hand, of 5 min: on the right of S1, a is side by side with b on the left, 4; kept apart there from b, a takes
    // 8 on either side, and 4 at S2 on the left, beside c. Kept apart from b on the left it takes the right.
    let (at, sides, largest) = plan_with("exclude work in right while b runs");
    assert_eq!((at, sides), (1, vec![]));
    assert!((largest - 0.8).abs() < 1e-9, "{largest}");
    let (at, sides, largest) = plan_with("exclude work in left while b runs");
    assert_eq!((at, sides), (0, vec![(0, 1)]));
    assert!((largest - 0.8).abs() < 1e-9, "{largest}");
}
