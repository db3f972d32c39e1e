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
