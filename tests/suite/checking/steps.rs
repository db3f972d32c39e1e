//! Tasks, holds, precedence, windows, kept equipment.

use super::*;
use taktwright::units::Time;

const MODELS: &str = "model S 50 %\nmodel T 30 %\nmodel A 20 %\n";

#[test]
fn times_may_differ_by_model() {
    let line = line(&format!(
        "{MODELS}station P crew 2\ntask a takes 10 min for T x 1.2 for A 20/30/40 min\ntask b for S, A 5 min for T 6 min\ntask c takes 2 min only T, A\n"
    ));
    let a = step(&line, "a");
    assert_eq!((a.times[0].factor, a.times[1].factor), (1.0, 1.2));
    assert_eq!(a.times[1].dist, a.times[0].dist);
    assert!(a.times[2].dist.as_constant().is_none());
    assert_eq!(step(&line, "b").times[1].dist.as_constant(), Some(6.0 * 60e6));
    assert_eq!(step(&line, "c").models, [false, true, true]);
    expect(
        &format!("{MODELS}station P crew 2\ntask a\ntask b for S 5 min\ntask c for S 5 min only S\n"),
        &["T307: task a needs `takes`", "T307: task b needs a time for T and A"],
    );
    expect(
        &format!("{MODELS}station P crew 2\ntask a takes 1 min for T x 0\n"),
        &["T303: the factor of task a is 0; it must be above 0 and at most 1000"],
    );
}

#[test]
fn a_hold_has_a_minimum_a_draw_or_both() {
    let line = line(
        "station P crew 1\nhold a at least 120 min\nhold b takes 3 h\nhold c at least 120 min takes 100/130/150 min safety attended\n",
    );
    let hold = |name: &str| step(&line, name).hold().cloned().unwrap();
    assert_eq!(hold("a").minimum, Time::HOUR * 2);
    assert_eq!(step(&line, "a").times[0].dist.as_constant(), Some(120.0 * 60e6));
    assert_eq!(hold("b").minimum, Time::ZERO);
    assert!(hold("c").safety && hold("c").attended && !hold("a").attended);
    assert!(step(&line, "c").needs[0].is_empty());
    expect_in_shop("hold h at S1\n", &["T703: hold h has no length"]);
    expect_in_shop("hold h takes 3 min safety at S1\n", &["T307: hold h, marked `safety`, needs `at least`"]);
    expect_in_shop(
        "hold h at least 3 min attended through nights at S1\n",
        &[
            "T103: `attended` does not go with `through nights`: a hold runs on without people, or it stops when they leave",
        ],
    );
    expect_in_shop("hold h at least 3 min by 2 at S1\n", &["T103: a `hold` statement takes no `by`"]);
}

#[test]
fn a_circle_prints_its_path_and_the_models() {
    let found = expect(
        &format!(
            "{MODELS}station P crew 1\ntask a takes 1 min after c\ntask b takes 1 min after a\ntask c takes 1 min after b only T\ntask d takes 1 min after d\n"
        ),
        &[
            "T401: these follow one another in a circle for models S, T and A: a -> b -> c -> a",
            "T401: these follow one another in a circle for models S, T and A: d -> d",
        ],
    );
    assert_eq!(found.faults[0].labels.len(), 2);
}

#[test]
fn after_a_test_means_after_all_its_steps() {
    let line = line(
        "station P crew 1\ntask a takes 1 min\ntask b takes 1 min\ntest v of a, b passes 100 %\nstation Q crew 1\ntask c takes 1 min after v\n",
    );
    assert_eq!(names_of(&line, &step(&line, "c").after), ["a", "b"]);
}

const COAT: &str = "station P crew 2\ntask a takes 5 min by 2\nhold h at least 30 min after a\ntask x takes 1 min\nstation Q crew 1\ntask b takes 5 min after h\n";

#[test]
fn a_window_knows_what_a_miss_undoes() {
    let window = |text: &str| line(&format!("{COAT}{text}\n")).windows.remove(0);
    let found = window("window a end to b start within 24 h, else redo a takes 9 min by 1");
    assert!(found.opens_at_end && !found.judged_at_end);
    let whole = line(&format!("{COAT}window a end to b start within 24 h, else redo a by 1\n"));
    assert_eq!(names_of(&whole, &found.undone), ["a", "h"]);
    assert_eq!(names_of(&whole, &found.redo), ["a"]);
    let found = window("window a start to b end within 24 h, else redo h");
    assert_eq!(names_of(&whole, &found.undone), ["a", "h", "b"]);
}

#[test]
fn a_window_that_does_not_hold_together_is_refused() {
    expect(
        &format!("{COAT}window x end to b start within 24 h, else redo x\n"),
        &["T405: x does not come before b"],
    );
    expect(
        &format!("{COAT}window a end to b start within 24 h, else redo x\n"),
        &["T405: x does not lie between a and b"],
    );
    expect(&format!("{COAT}window a end to b start\n"), &["T307: the window from a to b needs `within`"]);
    expect(
        &format!("{COAT}window a end to b start within 24 h\n"),
        &["T307: the window from a to b needs `else redo`"],
    );
    expect(
        &format!("{COAT}window a end to b start within 24 h, else redo a\n"),
        &["T502: the redo of a needs 2 people, the crew of Q has 1"],
    );
}

#[test]
fn equipment_is_kept_from_one_step_to_a_later_one() {
    let line = line(&format!("equipment rig 2\n{COAT}keep rig from a to b\n"));
    assert_eq!(line.keeps.len(), 1);
    expect(&format!("equipment rig 2\n{COAT}keep rig from b to a\n"), &["T405: b does not come before a"]);
    expect(&format!("{COAT}keep rig from a to b\n"), &["T201: `rig` is not equipment of this file"]);
}
