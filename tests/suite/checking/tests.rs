//! Tests: procedure, verdict, what becomes of a unit that fails.

use super::*;
use taktwright::line::OutcomeKind;

const LINE: &str = "station A crew 2\ntask a1 takes 1 min\ntask a2 takes 1 min\nstation B crew 2\ntask b1 takes 1 min\nstation C crew 2\ntask c1 takes 1 min\nhold c2 at least 9 min\ntask c3 takes 1 min\nstation D crew 1\ntask d1 takes 1 min\nrepair R crew 1\n";

fn with(test: &str) -> String {
    format!("{LINE}{test}\n")
        .replace("repair R crew 1\n", if test.contains("to R takes") { "repair R crew 1\n" } else { "" })
}

#[test]
fn a_procedure_is_named_or_everything_at_the_place() {
    let steps = |test: &str| {
        let line = line(&with(test));
        names_of(&line, &line.tests[0].steps)
    };
    assert_eq!(steps("test v of c1 to c2 passes 100 %"), ["c1", "c2"]);
    assert_eq!(steps("test v of c1, c3 passes 100 %"), ["c1", "c3"]);
    assert_eq!(steps("test v at C passes 100 %"), ["c1", "c2", "c3"]);
    assert_eq!(steps("test v takes 5 min by 2 at C passes 100 %"), ["v"]);
    assert_eq!(steps("test v takes 5 min of c3 passes 100 %"), ["c3", "v"]);
}

#[test]
fn a_test_with_a_time_is_a_task_of_its_name() {
    let line = line(&with("test v takes 5 min by 2 after c3 at C passes 90 % on fail scrapped"));
    let task = step(&line, "v");
    assert_eq!(task.needs[0][0].count, 2);
    assert_eq!(names_of(&line, &task.after), ["c3"]);
    assert_eq!(line.tests[0].passes, [(0.9, 0.9)]);
    expect(
        &with("test v by 2 at C passes 100 %"),
        &["T103: `by` in this `test` says nothing without `takes`"],
    );
}

#[test]
fn a_procedure_stands_at_one_place_and_belongs_to_one_test() {
    expect(&with("test v of a1, b1 passes 100 %"), &["T405: test v is at A, its step b1 at B"]);
    expect(&with("test v of c3 to c1 passes 100 %"), &["T405: c3 to c1 runs against the order of the file"]);
    expect(
        &with("test v of c1 passes 100 %\ntest w of c1 passes 100 %"),
        &["T405: c1 belongs to test v already"],
    );
    expect("station A crew 1\ntest v passes 100 %\n", &["T405: test v has no steps: nothing is done at A"]);
}

#[test]
fn passes_may_differ_at_first_again_and_by_model() {
    let text = "model S 50 %\nmodel T 50 %\n".to_string()
        + &with("test v of c1 passes 94 %, again 98 % for T passes 80 % on fail scrapped");
    assert_eq!(line(&text).tests[0].passes, [(0.94, 0.98), (0.8, 0.8)]);
    expect(&with("test v of c1 on fail scrapped"), &["T307: test v needs `passes`"]);
    expect(&with("test v of c1 passes 94 %"), &["T307: test v does not say what becomes of units that fail"]);
    expect(&with("test v of c1 passes 94"), &["T301: the share that passes test v needs a share in %"]);
}

#[test]
fn every_outcome_is_read_with_its_share() {
    let line = line(&with(
        "test v of c1 passes 94 %\n on fail 50 % fixed in place takes 10/18/35 min\n on fail 20 % back to A redo a2 then B\n\
         on fail 10 % to R takes 30 min by 1 then B\n on fail 10 % retest in queue\n on fail 10 % scrapped\n at most 3 tries",
    ));
    let test = &line.tests[0];
    assert_eq!(test.outcomes.iter().map(|o| o.share).collect::<Vec<_>>(), [0.5, 0.2, 0.1, 0.1, 0.1]);
    assert_eq!(test.most_tries, Some(3));
    let OutcomeKind::BackTo { route } = &test.outcomes[1].kind else { panic!("second outcome") };
    let stops: Vec<(String, Vec<String>)> =
        route.iter().map(|r| (line.places[r.place.index()].name.clone(), names_of(&line, &r.redo))).collect();
    assert_eq!(stops, [("A".to_string(), vec!["a2".to_string()]), ("B".to_string(), vec!["b1".to_string()])]);
    let OutcomeKind::ToRepair { place, fix, route } = &test.outcomes[2].kind else { panic!("third outcome") };
    assert_eq!((line.places[place.index()].name.as_str(), fix.needs.len(), route.len()), ("R", 1, 1));
    let OutcomeKind::FixedInPlace(fix) = &test.outcomes[0].kind else { panic!("first outcome") };
    assert_eq!(fix.needs[0].count, 1, "one person of the crew where nothing is said");
    assert_eq!(test.outcomes[3].kind, OutcomeKind::Retest { in_place: false });
}

#[test]
fn outcomes_that_do_not_hold_together_are_refused() {
    let fail = |outcome: &str| with(&format!("test v of c1 passes 94 % on fail {outcome}"));
    expect(
        &fail("60 % scrapped on fail 30 % retest in place"),
        &["T305: the shares of the fails of test v sum to 90 %: 60 % + 30 %"],
    );
    expect(
        &fail("scrapped on fail retest in place"),
        &[
            "T307: each of the 2 outcomes of test v needs a share",
            "T307: each of the 2 outcomes of test v needs a share",
        ],
    );
    expect(
        &fail("back to D"),
        &["T405: units that fail test v go back to D, which lies behind the test at C"],
    );
    expect(&fail("back to A redo b1"), &["T405: b1 is done at B, which the returning unit does not visit"]);
    expect(
        &fail("fixed in place takes 5 min by 3"),
        &["T502: the fix after test v needs 3 people, the crew of C has 2"],
    );
    expect(
        &fail("to A takes 5 min"),
        &["T403: units that fail go to A: that is on the line, not a repair bay"],
    );
    expect(
        &(fail("back to R") + "repair R\n"),
        &["T403: units that fail test v go back to R: that is a repair bay, off the line"],
    );
}
