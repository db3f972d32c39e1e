//! How the unit stands: what is verified by precedence, the first time and when work is done again.

use super::*;

const YARD: &str = "station S1 crew 2\nstation S2 crew 2\nstation S3 crew 2\n\
     orientation keel-up\norientation stands \"On stands\" after turn\norientation wheels after drop\n";

#[test]
fn steps_that_find_the_unit_as_they_need_it_are_taken() {
    let line = line(&format!(
        "{YARD}task hull takes 5 min at S1 needs keel-up\ntask turn takes 5 min after hull at S2 needs keel-up\n\
         task rails takes 5 min after turn at S2 needs stands, wheels\ntask drop takes 5 min after rails at S3\n\
         hold settle at least 5 min after drop at S3 needs wheels\n"
    ));
    let found: Vec<(&str, bool, Vec<String>, Vec<String>)> = line
        .orientations
        .iter()
        .map(|o| (o.name.as_str(), o.first, names_of(&line, &o.set_by), names_of(&line, &o.needed_by)))
        .collect();
    let names = |list: &[&str]| list.iter().map(|n| (*n).to_string()).collect::<Vec<String>>();
    assert_eq!(
        found,
        [
            ("keel-up", true, vec![], names(&["hull", "turn"])),
            ("stands", false, names(&["turn"]), names(&["rails"])),
            ("wheels", false, names(&["drop"]), names(&["rails", "settle"])),
        ]
    );
    assert_eq!(line.orientations[1].label.as_deref(), Some("On stands"));
}

/// A step at an earlier place is over without any `after`.
#[test]
fn places_say_who_comes_first_too() {
    line(&format!(
        "{YARD}task turn takes 5 min at S1 needs keel-up\ntask rails takes 5 min at S2 needs stands\n\
         task drop takes 5 min at S3\n"
    ));
}

#[test]
fn a_step_that_may_find_it_otherwise_is_refused() {
    // Nothing parts rails from the turn; paint may come before the drop or after it.
    let found = expect(
        &format!(
            "{YARD}task turn takes 5 min at S2\ntask rails takes 5 min at S2 needs stands\n\
             task drop takes 5 min after turn at S3\ntask paint takes 5 min at S3 needs stands\n\
             task hull takes 5 min at S3 needs keel-up, wheels\n"
        ),
        &[
            "T409: rails needs the unit stands and may find the unit keel-up",
            "T409: paint needs the unit stands and may find the unit wheels",
            "T409: hull needs the unit keel-up or wheels and may find the unit stands",
        ],
    );
    assert_eq!(
        found.faults[0].help,
        ["let it follow turn (by `after`), and nothing that turns the unit otherwise stand between"]
    );
    expect(
        "station S1 crew 1\norientation wheels after drop\ntask drop takes 5 min\ntask a takes 5 min needs wheels\n",
        &["T409: a needs the unit wheels and may find the unit as it comes in"],
    );
}

/// The turn is only for T, and with a rail: S finds it as it came, and so does a T without one.
#[test]
fn models_and_options_count() {
    let models = "model S 50 %\nmodel T 50 %\noption rail 50 %\n";
    let text = |turn: &str, need: &str| {
        format!(
            "{models}station S1 crew 1\norientation stands after turn\ntask turn takes 5 min{turn}\n\
             task a takes 5 min after turn needs stands{need}\ntask b takes 1 min only with rail\n"
        )
    };
    let refused = ["T409: a needs the unit stands and may find the unit as it comes in"];
    expect(&text(" only T", ""), &refused);
    line(&text(" only T", " only T"));
    expect(&text(" only with rail", ""), &refused);
    line(&text(" only with rail", " only with rail"));
}

#[test]
fn what_is_done_again_finds_it_right_and_leaves_it_right() {
    let text = |redo: &str| {
        format!(
            "{YARD}task hull takes 5 min at S1 needs keel-up\ntask turn takes 5 min after hull at S2\n\
             task rails takes 5 min after turn at S2 needs stands\ntask drop takes 5 min after rails at S3\n\
             task look takes 5 min after drop at S3 needs wheels\n\
             test last of look at S3 passes 90 % on fail back to S2 redo {redo}\n"
        )
    };
    expect(
        &text("rails"),
        &["T409: after a fail of last rails needs the unit stands and may find the unit wheels"],
    );
    expect(
        &text("turn, rails"),
        &["T409: after a fail of last look needs the unit wheels and may find the unit stands"],
    );
    line(&text("turn, rails then S3"));
    expect(
        &format!(
            "{YARD}task turn takes 5 min at S1\ntask rails takes 5 min after turn at S1 needs stands\n\
             task drop takes 5 min after rails at S1\nwindow turn end to drop end within 60 min, else redo rails\n\
             task a takes 1 min at S2\ntask b takes 1 min at S3 needs wheels, keel-up\n"
        ),
        &[],
    );
}

#[test]
fn what_is_said_of_orientations_is_judged() {
    expect_in_shop(
        "orientation flat\norientation steep\ntask a takes 1 min at S1 needs flat, steep\n",
        &["T409: a unit can't come in both flat and steep"],
    );
    expect_in_shop("orientation flat\n", &["T203: orientation flat is used nowhere"]);
    expect_in_shop(
        "orientation flat after tt\ntask a takes 1 min at S1 needs flat, flat\n",
        &["T201: `tt` is not a task, hold, test or gate of this file", "T104: flat stands twice in `needs`"],
    );
    expect_in_shop(
        "test q of t1 at S1 passes 100 % needs steep\n",
        &["T103: `needs` in this `test` says nothing without `takes`"],
    );
}

/// A step before two lanes, work in each of them, and what follows them.
fn beside_lanes(rule: &str, in_lanes: [&str; 2], rest: &str) -> String {
    let [north, south] = in_lanes;
    let (n, s, rule) = match rule {
        "model" => (" of ways only S", " of ways only T", "model"),
        "share" => (" 60 % of ways", " 40 % of ways", "share"),
        "all north" => (" 100 % of ways", " 0 % of ways", "share"),
        _ => (" of ways", " of ways", "the shortest queue"),
    };
    format!(
        "model S 50 %\nmodel T 50 %\norientation keel-up\nstation A crew 2\ntask a takes 1 min at A needs keel-up\n\
         lanes ways chosen by {rule}\nlane north{n} {{\nstation P crew 2\n{north}}}\n\
         lane south{s} {{\nstation Q crew 2\n{south}}}\nstation B crew 2\n{rest}"
    )
}

const TURN: &str = "task turn takes 1 min at P\n";
const TURN_TOO: &str = "task turn-too takes 1 min at Q\n";

/// Where one lane turns it, a unit behind them stands either way, and in each lane just one.
#[test]
fn a_turn_in_one_of_two_lanes_is_not_sure_behind_them() {
    let stands = "orientation stands after turn\n";
    for rule in ["queue", "share", "model"] {
        let with = |p: &str, q: &str, rest: &str| {
            beside_lanes(rule, [&format!("{TURN}{p}"), q], &format!("{stands}{rest}"))
        };
        line(&with(
            "task p takes 1 min after turn at P needs stands\n",
            "task q takes 1 min at Q needs keel-up\n",
            "task b takes 1 min at B needs keel-up, stands\n",
        ));
        let kept = "task b takes 1 min at B needs keel-up, stands\n";
        expect(
            &with("task p takes 1 min at P needs stands\n", "task q takes 1 min at Q needs stands\n", kept),
            &[
                "T409: p needs the unit stands and may find the unit keel-up",
                "T409: q needs the unit stands and may find the unit keel-up",
            ],
        );
        expect(
            &with("", "task q takes 1 min at Q\n", "task b takes 1 min at B needs stands\n"),
            &["T409: b needs the unit stands and may find the unit keel-up"],
        );
        expect(
            &with("", "task q takes 1 min at Q\n", "task b takes 1 min at B needs keel-up\n"),
            &["T409: b needs the unit keel-up and may find the unit stands"],
        );
    }
}

/// Who comes by a lane is known of a model that has one lane, and where all go by one.
#[test]
fn the_lane_of_a_model_is_known() {
    let text = |rule: &str, b: &str| {
        let rest = format!("orientation stands after turn\ntask b takes 1 min at B needs {b}\n");
        beside_lanes(rule, [TURN, "task q takes 1 min at Q\n"], &rest)
    };
    line(&text("model", "stands only S"));
    line(&text("model", "keel-up only T"));
    let found = ["T409: b needs the unit stands and may find the unit keel-up"];
    expect(&text("model", "stands only T"), &found);
    expect(&text("share", "stands only S"), &found);
    line(&text("all north", "stands"));
    let found = ["T409: b needs the unit keel-up and may find the unit stands"];
    expect(&text("all north", "keel-up"), &found);
}

/// Every lane turns it: so it stands behind them, whichever it took. A third that doesn't is enough for doubt.
#[test]
fn a_turn_in_every_lane_is_sure_behind_them() {
    for rule in ["queue", "share", "model"] {
        let text = |o: &str, b: &str| {
            let rest = format!("{o}task b takes 1 min at B needs {b}\n");
            beside_lanes(rule, [TURN, TURN_TOO], &rest)
        };
        let both = "orientation stands after turn, turn-too\n";
        line(&text(both, "stands"));
        expect(&text(both, "keel-up"), &["T409: b needs the unit keel-up and may find the unit stands"]);
        let each = "orientation stands after turn\norientation wheels after turn-too\n";
        line(&text(each, "stands, wheels"));
        expect(&text(each, "stands"), &["T409: b needs the unit stands and may find the unit wheels"]);
        expect(
            &text(each, "wheels, keel-up"),
            &["T409: b needs the unit keel-up or wheels and may find the unit stands"],
        );
    }
    let three = beside_lanes("queue", [TURN, TURN_TOO], "task b takes 1 min at B needs stands\n").replace(
        "station B",
        "lane middle of ways {\nstation R crew 1\ntask r takes 1 min at R\n}\nstation B",
    );
    expect(
        &format!("{three}orientation stands after turn, turn-too\n"),
        &["T409: b needs the unit stands and may find the unit keel-up"],
    );
}

/// Both lanes turn it with a rail only; one of two groups that turn it is not sure either, both one after the other are.
#[test]
fn options_and_several_groups_count_beside_lanes() {
    let rail = |step: &str| step.replace(" at", " only with rail at");
    let text = |need: &str| {
        let rest = format!(
            "option rail 50 %\norientation stands after turn, turn-too\ntask b takes 1 min at B needs {need}\n"
        );
        beside_lanes("queue", [&rail(TURN), &rail(TURN_TOO)], &rest)
    };
    line(&text("stands only with rail"));
    line(&text("stands, keel-up"));
    expect(&text("stands"), &["T409: b needs the unit stands and may find the unit keel-up"]);
    // Behind them a second group turns it back in one lane, in both.
    let back = |second: &str, need: &str| {
        let rest = format!(
            "orientation stands after turn, turn-too\norientation flat after lay{second}\n\
             lanes more chosen by share\n\
             lane m1 50 % of more {{\nstation M1 crew 1\ntask lay takes 1 min at M1 needs stands\n}}\n\
             lane m2 50 % of more {{\nstation M2 crew 1\ntask m2 takes 1 min at M2 needs stands\n}}\n\
             station C crew 1\ntask c takes 1 min at C needs {need}\n"
        );
        beside_lanes("queue", [TURN, TURN_TOO], &rest)
    };
    line(&back("", "flat, stands"));
    line(&back(", m2", "flat"));
    expect(&back("", "flat"), &["T409: c needs the unit flat and may find the unit stands"]);
    expect(&back("", "stands"), &["T409: c needs the unit stands and may find the unit flat"]);
}

/// In a lane what is done again there must turn the unit, and behind lanes what turns it stays as it was.
#[test]
fn work_done_again_beside_lanes_finds_it_right() {
    let text = |redo: &str| {
        let north = format!(
            "task turn takes 1 min at P needs keel-up\ntask p takes 1 min after turn at P needs stands\n\
             task lay takes 1 min after p at P\n\
             test last of lay at P passes 90 % on fail back to P redo {redo}\n"
        );
        let rest = "orientation stands after turn\norientation flat after lay\n\
                    task b takes 1 min at B needs keel-up, flat\n";
        beside_lanes("queue", [&north, "task q takes 1 min at Q\n"], rest)
    };
    expect(&text("p"), &["T409: after a fail of last p needs the unit stands and may find the unit flat"]);
    expect(
        &text("turn, p"),
        &["T409: after a fail of last turn needs the unit keel-up and may find the unit flat"],
    );
    let again = |redo: &str, to: &str| {
        let rest = format!(
            "orientation stands after turn, over\ntask over takes 1 min at A after a\n\
             task b takes 1 min at B needs stands\n\
             test last of b at B passes 90 % on fail back to {to} redo {redo}\n"
        );
        beside_lanes("queue", [TURN, "task q takes 1 min at Q\n"], &rest)
    };
    expect(
        &again("a", "A"),
        &["T409: after a fail of last a needs the unit keel-up and may find the unit stands"],
    );
    line(&again("over", "A"));
}

/// A fail leaves the unit as some other was: what has been turned before is not turned again for the one.
#[test]
fn what_follows_work_done_again_finds_it_right() {
    let text = |after: &str| {
        format!(
            "station S1 crew 2\nstation S2 crew 2\nstation S3 crew 2\n\
             orientation stands after turn\norientation wheels after drop\n\
             task turn takes 5 min at S1\ntask t takes 5 min at S2\ntask drop takes 5 min at S2{after}\n\
             task c takes 1 min at S3 needs wheels\ntask d takes 1 min at S2 after turn needs stands, wheels\n\
             test last of t at S2 passes 90 % on fail back to S1 redo turn\n"
        )
    };
    // Dropped before the fail, it is turned again and not dropped again.
    let refused = "T409: after a fail of last c needs the unit wheels and may find the unit stands";
    expect(&text(""), &[refused]);
    line(&text(" after last"));
}

/// A crew may finish a turn in the next place, where work may have begun; what can't drift is over.
#[test]
fn a_turn_that_may_move_on_with_its_unit_is_not_over_at_the_next_place() {
    let text = |turn: &str, drift: &str, rails: &str| {
        format!(
            "station S1 crew 2\nstation S2 crew 2{drift}\nstation S3 crew 2\nstation S4 crew 2\n\
             segment beat S1 to S4 pushed every 9 min\norientation keel-up\norientation stands after turn\n\
             task a takes 5 min at S1 needs keel-up\n{turn} at S2\ntask rails takes 5 min at S3 needs stands{rails}\n\
             task last takes 5 min at S4 needs stands\n"
        )
    };
    let refused = ["T409: rails needs the unit stands and may find the unit keel-up"];
    let (turn, sets) = ("task turn takes 5 min", "hold turn at least 5 min");
    let (drift, both) = (" drift 0.5 min", " drift 0.5 min both ways");
    line(&text(turn, "", ""));
    line(&text(turn, " drift 0.5 min early", ""));
    expect(&text(turn, drift, ""), &refused);
    expect(&text(turn, both, ""), &refused);
    line(&text(turn, drift, " after turn"));
    line(
        &text(&format!("{turn} only if it fits"), drift, "")
            .replace("segment", "shift day 06:00 to 14:00\nsegment"),
    );
    let apart = "task near takes 1 min at S2\nexclude turn while near runs\n";
    line(&format!("{}{apart}", text(turn, drift, "")));
    line(&text(sets, drift, ""));
    expect(&text(&format!("{sets} may move"), "", ""), &refused);
    line(&text(&format!("{sets} may move"), "", " after turn"));
}
