//! People, crews, equipment and room.

use super::*;
use taktwright::line::Need;

#[test]
fn crews_without_people_statements_are_simply_there() {
    let line = line(
        "station A crew 2 fitters, 1 plumbers\ntask a takes 1 min by 1 plumbers, 1\nstation B crew 3\ntask b takes 1 min\n",
    );
    assert!(!line.people_stated);
    let groups: Vec<(&str, u32)> = line.groups.iter().map(|g| (g.name.as_str(), g.count)).collect();
    assert_eq!(groups, [("fitters", 2), ("plumbers", 1), ("B", 3)]);
    assert_eq!(line.skills, ["fitters", "plumbers"]);
    assert_eq!(line.groups[2].skills, 0);
    let needs = &step(&line, "a").needs[0];
    assert_eq!(needs.len(), 2);
    assert_eq!(needs[1], Need { count: 1, skill: None });
    assert_eq!(
        step(&line, "b").needs[0],
        [Need { count: 1, skill: None }],
        "one person where nothing is said"
    );
}

#[test]
fn groups_that_the_file_states_must_suffice() {
    let people = "people fitters 5 can plumb\n";
    let line =
        line(&format!("{people}station A crew 2 fitters per bay bays 2\ntask a takes 1 min by 1 plumb\n"));
    assert!(line.people_stated);
    assert_eq!(line.skills, ["fitters", "plumb"]);
    assert_eq!(line.groups[0].skills, 0b11);
    expect(
        &format!(
            "{people}station A crew 2 fitters per bay bays 2\ntask a takes 1 min\nstation B crew 2 fitters\ntask b takes 1 min\n"
        ),
        &["T503: the crews want 6 fitters (A 2 x 2, B 2), `people` says 5 exist"],
    );
    expect(
        &format!("{people}station A crew 2 fiters\ntask a takes 1 min\n"),
        &["T201: `fiters` is not a group of people of this file"],
    );
    expect(
        "people fitters\nstation A crew 900 fitters\ntask a takes 1 min\n",
        &[
            "T307: people fitters needs a number",
            "T303: the number of fitters in the crew of A is 900; it must be at most 128",
        ],
    );
}

#[test]
fn a_task_that_its_crew_can_never_do_is_refused() {
    let shop = "people fitters 4 can drill\npeople plumbers 2 can plumb, drill\nstation A crew 2 fitters, 1 plumbers\n";
    let with = |by: &str| format!("{shop}task a takes 1 min by {by}\n");
    expect(&with("1 plumb, 2"), &[]);
    expect(&with("4"), &["T502: a needs 4 people, the crew of A has 3"]);
    expect(&with("2 plumb"), &["T501: a needs 2 who can plumb, the crew of A has 1"]);
    expect(&with("1 weld"), &["T201: nobody in this file can `weld`"]);
    expect(&with("1 plumb, 3 drill"), &["T502: a needs 4 people, the crew of A has 3"]);
    expect(
        "people a 2 can x, y\npeople b 2\nstation A crew 1 a, 1 b\ntask t takes 1 min by 1 x, 1 y\n",
        &[
            "T501: t needs 1 who can x and 1 who can y at once, the crew of A (1 a and 1 b) can't fill all of them",
        ],
    );
    expect("station A\ntask t takes 1 min by 2\n", &["T501: t needs 2 people, A has no crew"]);
    expect("station A\ntask t takes 1 min\n", &[]);
    expect("station A crew 1\ntask t takes 1 min by 0\n", &[]);
}

#[test]
fn people_may_differ_by_model() {
    let text = "model S 50 %\nmodel T 50 %\nstation A crew 2\ntask a takes 1 min by 1 for T by 3\n";
    expect(text, &["T502: a needs 3 people for T, the crew of A has 2"]);
    let line = line(&text.replace("by 3", "by 2"));
    let counts: Vec<u32> = line.steps[0].needs.iter().map(|needs| needs[0].count).collect();
    assert_eq!(counts, [1, 2]);
    // A need that no unit makes is not judged.
    expect(&text.replace("for T by 3", "for T by 3 only S"), &[]);
}

#[test]
fn teams_serve_several_stations() {
    let text = "station A\ntask a takes 1 min by 2\nrack H places 2\nstation B\ntask b takes 1 min\nteam crewx crew 2 serving A to B\n";
    let line = line(text);
    assert_eq!(line.crews.len(), 1);
    assert_eq!(line.crews[0].places.len(), 2);
    assert_eq!(place(&line, "A").crew, place(&line, "B").crew);
    assert_eq!(place(&line, "H").crew, None);
    expect(
        &text.replace("A to B", "A, H"),
        &["T403: team crewx serves H: that is a rack, and nobody works at a rack"],
    );
    expect(
        &text.replace("station A\n", "station A crew 2\n"),
        &["T104: A has two crews: its own and team crewx"],
    );
    expect(
        &text.replace("serving A to B", "per bay serving A to B"),
        &[
            "T103: `per bay` does not go with `serving`: team crewx serves 2 places, and a crew for every bay stays at its bay",
        ],
    );
    expect("station A\ntask a takes 1 min\nteam x serving A\n", &["T307: team x needs a `crew`"]);
}

#[test]
fn equipment_is_counted_and_serves_its_stations() {
    let text = "station A crew 1\ntask a takes 1 min with hoist, 2 rig\nstation B crew 1\ntask b takes 1 min\nequipment hoist serving A\nequipment rig 2\n";
    let found = line(text);
    assert_eq!(step(&found, "a").equipment.len(), 2);
    assert_eq!(found.equipment[0].count, 1);
    expect(&text.replace("2 rig\n", "3 rig\n"), &["T503: task a needs 3 rig, there is 2"]);
    expect(
        &text.replace("b takes 1 min", "b takes 1 min with hoist"),
        &["T403: b works with hoist at B: hoist serves A"],
    );
}

#[test]
fn a_task_must_fit_into_its_zones() {
    let text = "zone floor\nzone wall up to 2 people\nlimit cab of floor, wall up to 3 people, 4 at B\nlimit unit up to 5 people\n\
        station A crew 6\ntask a takes 1 min by 2 in wall\nstation B crew 6\ntask b takes 1 min by 4 in floor\n";
    let found = line(text);
    assert_eq!(found.room_caps.len(), 3);
    assert_eq!(found.room_caps[1].people_at(step(&found, "b").place), 4);
    assert_eq!(found.room_caps[2].zones, None);
    expect(
        &text.replace("by 2 in wall", "by 3 in wall"),
        &["T502: a needs 3 people in wall, which holds at most 2 at A"],
    );
    expect(
        &text.replace("by 4 in floor", "by 6 in floor"),
        &["T502: b needs 6 people in cab, which holds at most 4 at B"],
    );
    expect(
        &text.replace("zone wall up to 2 people", "zone wall up to 2 people up to 3 people"),
        &["T104: this `zone` has two `up to` clauses"],
    );
}

#[test]
fn crews_have_limits() {
    expect(
        "station A crew 100 a, 100 b\ntask t takes 1 min\n",
        &["T902: people in the crew of A: 200, the limit is 128"],
    );
    let skills: Vec<String> = (0..64).map(|n| format!("s{n}")).collect();
    expect(
        &format!("people a 3 can {}\nstation A crew 1 a\ntask t takes 1 min\n", skills.join(", ")),
        &["T902: skills and groups of people: 65, the limit is 63"],
    );
}
