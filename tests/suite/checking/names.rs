//! Names, clauses in the wrong place, statements that stand once.

use super::*;

#[test]
fn a_clause_that_a_statement_does_not_take_is_named_with_those_it_takes() {
    let found =
        expect_in_shop("task t2 takes 5 min crew 2 at S1\n", &["T103: a `task` statement takes no `crew`"]);
    assert!(
        found.faults[0].help[0].starts_with("`task` takes `takes`, `by`, `exactly`"),
        "{:?}",
        found.faults
    );
    expect_in_shop(
        "closed 2026-12-24 safety\n",
        &[
            "T604: closed days drop their shifts, but the file states no shift",
            "T103: a `closed` statement takes no `safety`",
        ],
    );
}

#[test]
fn a_clause_that_stands_twice_is_reported() {
    expect_in_shop("task t2 takes 5 min takes 6 min at S1\n", &["T104: this `task` has two `takes` clauses"]);
    expect_in_shop(
        "demand 3 per hour\ndemand 4 per hour\n",
        &["T104: a line has one `demand` statement, this is the second"],
    );
    expect_in_shop("task t2 takes 5 min after t1, t1 at S1\n", &["T104: t1 stands twice in `after`"]);
    expect_in_shop(
        "model A 50 %\nmodel B 50 %\ntask t2 takes 5 min for A x 2, for A, B 7 min at S1\n",
        &["T104: the time of model A is stated twice"],
    );
}

#[test]
fn two_statements_of_one_name_are_reported_at_the_second() {
    expect_in_shop("hold t1 at least 5 min at S1\n", &["T202: `t1` is the name of a task already"]);
    expect_in_shop("rack S1 places 3\n", &["T202: `S1` is the name of a station already"]);
    expect_in_shop(
        "let x = 1\nlet x = 2\ntask t2 takes x * 1 min at S1\n",
        &["T202: `x` is the name of a `let` already"],
    );
    // Kinds have name spaces of their own.
    expect_in_shop("zone t1\ntask S1 takes 3 min in t1 at S1\n", &[]);
}

#[test]
fn an_unknown_name_gets_a_near_one_but_never_another_number() {
    let found = expect_in_shop(
        "task rinse takes 5 min at S1\ntask dry takes 5 min after rnise at S1\n",
        &["T201: `rnise` is not a task, hold, test or gate of this file"],
    );
    assert_eq!(found.faults[0].help, ["did you mean `rinse`?"]);
    let found = expect_in_shop(
        "task t3 takes 5 min after t2 at S01\n",
        &[
            "T201: `t2` is not a task, hold, test or gate of this file",
            "T201: `S01` is not a station, rack or repair bay of this file",
        ],
    );
    assert!(found.faults[0].help[0].starts_with("write a statement"));
    assert_eq!(found.faults[1].help, ["did you mean `S1`?"]);
    expect_in_shop(
        "task t3 takes 5 min after S1 at t1\n",
        &[
            "T201: `S1` is a station, not a task, hold, test or gate",
            "T201: `t1` is a task, not a station, rack or repair bay",
        ],
    );
}

#[test]
fn what_nothing_uses_is_doubted_and_the_line_still_stands() {
    let found = expect_in_shop(
        "let x = 1\noption rail 20 %\nzone z\nequipment rig 2\npeople fitters 3\n",
        &[
            "T203: `let` x is used nowhere",
            "T203: option rail is used nowhere",
            "T203: zone z is used nowhere",
            "T203: equipment rig is used nowhere",
            "T203: people fitters is used nowhere",
        ],
    );
    assert_eq!(found.layouts.len(), 1);
}

#[test]
fn draws_keep_an_old_name_but_never_one_that_is_still_there() {
    let line = line("station S1 crew 1\ntask t1 takes 5 min draws as old\n");
    assert_eq!(line.steps[0].draws_as, "old");
    expect_in_shop(
        "task t2 takes 5 min draws as t1 at S1\n",
        &["T202: t2 and t1 would share their random draws"],
    );
}

#[test]
fn a_file_without_a_station_holds_no_line() {
    expect("line \"Empty\"\n", &["T109: the file holds no station"]);
}

#[test]
fn too_many_of_one_kind_are_refused() {
    let mut text = String::from("station S1 crew 1\ntask t1 takes 1 min\n");
    for n in 0..257 {
        text.push_str(&format!("model M{n}\n"));
    }
    let found = checked(&text);
    assert_eq!(said(&found), ["T902: statements that define a model: 257, the limit is 256"]);
}
