//! `balance` on lines with visitors, learning, feeders, drift, leads who help, walks and gates: each counts as the
//! page on balancing says, by hand.

use crate::follow::text::line_of;
use taktwright::balance::{
    Aim, Goal, Holding, Load, Plan, Reason, holdings, improve, loads, out_of_order, unable,
};
use taktwright::line::{Line, PlaceId, StepId};

/// B2 takes 11 of 10 min; the best of all plans for a short pace is 7/5/7.
const BENCHES: &str = "\
line \"Three benches\"
pace 10 min
people q 9
shift day 06:00 to 14:30 on mon to fri
station B1 \"Cut\" crew 1 q
station B2 \"Join\" crew 1 q
station B3 \"Pack\" crew 1 q
task cut takes 4 min at B1
task file takes 3 min after cut at B2
task join takes 5 min after cut at B2
task glue takes 3 min after join at B2
task pack takes 4 min after glue, file at B3
";

/// Plans for every aim: each keeps every rule, and its loads are those of the line as planned.
fn plans(line: &Line) -> Vec<Plan> {
    let held = holdings(line);
    [Aim::Moves, Aim::Pace, Aim::Smooth, Aim::Stations]
        .into_iter()
        .map(|aim| {
            let plan = improve(line, &Goal::new(aim), &|| false).expect("a pace is stated");
            for (k, step) in line.steps.iter().enumerate() {
                let id = StepId::from_index(k);
                assert!(
                    plan.at[k] == step.place || (held[k].is_none() && unable(line, id, plan.at[k]).is_none())
                );
                assert_eq!(out_of_order(line, &plan.at, id, plan.at[k]), None, "{}", step.name);
            }
            let mut planned = line.clone();
            planned.place_steps(&plan.at);
            let whole: Vec<Load> =
                loads(&planned).into_iter().filter(|l| l.place.index() < line.on_line).collect();
            assert_eq!(plan.after, whole, "{aim:?}");
            plan
        })
        .collect()
}

fn largest(plan: &Plan) -> f64 {
    plan.worth.largest
}

#[test]
fn plain_benches_are_as_by_hand() {
    let plans = plans(&line_of(BENCHES));
    assert!((largest(&plans[1]) - 0.7).abs() < 1e-9);
    assert_eq!(plans[3].worth.stations, 2);
}

#[test]
fn ways_to_the_unit_count() {
    // With 2 min of way at B1: 6 with cutting alone, 9 with filing. 6/8/7 is the best.
    let plans = plans(&line_of(&BENCHES.replace("\"Cut\" crew 1 q", "\"Cut\" crew 1 q walk 2 min")));
    assert!((largest(&plans[1]) - 0.8).abs() < 1e-9, "{:?}", plans[1].worth);
}

#[test]
fn people_who_learn_count_as_if_they_had_learned_and_those_who_help_not_at_all() {
    let plain = plans(&line_of(BENCHES));
    let learning = "learning q x 1.6 at first, 85 % with each doubling\n";
    let helping = "people leads 1 helping up to 30 %, covering B1 to B3\n";
    for more in [learning, helping] {
        let with = plans(&line_of(&format!("{BENCHES}{more}")));
        for (one, other) in plain.iter().zip(&with) {
            assert_eq!((&one.at, &one.worth), (&other.at, &other.worth), "{more}");
        }
    }
}

#[test]
fn work_that_may_drift_counts_where_it_stands() {
    let pushed = format!("{BENCHES}segment all B1 to B3 pushed every 10 min index 1 min\n");
    let drifting = pushed.replace("\"Join\" crew 1 q", "\"Join\" crew 1 q drift 0.6 min");
    let (plain, drifting) = (plans(&line_of(&pushed)), plans(&line_of(&drifting)));
    for (one, other) in plain.iter().zip(&drifting) {
        assert_eq!((&one.at, &one.worth), (&other.at, &other.worth));
    }
    // 7 of 9 min.
    assert!((largest(&plain[1]) - 7.0 / 9.0).abs() < 1e-9);
}

#[test]
fn visitors_do_what_asks_for_them_and_nothing_else() {
    let text = BENCHES.replace("\"Join\" crew 1 q", "\"Join\" crew 1 q, 1 inspector")
        + "visitor inspector 1 from 07:00 to 13:00 can inspect\n\
           task seen takes 2 min by 1 inspect after join at B2\n";
    let line = line_of(&text);
    let seen = line.steps.iter().position(|step| step.name == "seen").expect("it is read");
    let (b1, b2) = (PlaceId::from_index(0), PlaceId::from_index(1));
    let why = unable(&line, StepId::from_index(seen), b1);
    assert_eq!(why, Some(Reason::NoSkill { skill: "inspect".to_string(), wanted: 1, there: 0 }));
    for plan in plans(&line) {
        assert_eq!(plan.at[seen], b2);
        // The visitor looks on while the other glues: 8 min with joining, gluing and looking.
        let joins = plan.at[3] == b2 && plan.at[1] != b2;
        let load = plan.after.iter().find(|load| load.place == b2).expect("B2 has work");
        assert!(!joins || (load.elapsed[0].expect("of the model") - 480e6).abs() < 1e-3, "{load:?}");
    }
}

#[test]
fn work_of_feeders_and_gates_stays_and_the_rest_is_balanced_around_it() {
    let feeder = "feeder frames \"Frames\" store of 4 {\n  station K1 crew 1 q\n    task k1 takes 6 min\n}\n";
    let text = format!("{}{feeder}", BENCHES.replace("join takes 5 min", "join takes 5 min uses 1 frames"));
    let line = line_of(&text);
    let k1 = line.steps.iter().position(|step| step.name == "k1").expect("it is read");
    assert!(matches!(&holdings(&line)[k1], Some(Holding::Feeder { .. })));
    let found = plans(&line);
    assert!(
        (largest(&found[1]) - 0.7).abs() < 1e-9 && found.iter().all(|p| p.at[k1] == line.steps[k1].place)
    );

    // What a gate finds takes 0.5 x 3 min on average: 5.5 at B3 with packing, 8.5 with gluing.
    let gate = format!("{BENCHES}gate punch finds 0.5 per unit takes 3 min by 1 after pack at B3\n");
    let line = line_of(&gate);
    let punch = line.steps.len() - 1;
    assert!(matches!(&holdings(&line)[punch], Some(Holding::Gate { .. })));
    let found = plans(&line);
    assert!(found.iter().all(|plan| plan.at[punch] == PlaceId::from_index(2)));
    // 7/8/5.5 is the best: 7/5/8.5 and 4/8/8.5 have more.
    assert!((largest(&found[1]) - 0.8).abs() < 1e-9, "{:?}", found[1].worth);
}
