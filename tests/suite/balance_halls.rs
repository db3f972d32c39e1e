//! `balance` on lines of the size of a real hall: the answer keeps every rule, and its loads are those that `check`
//! has for the line as planned.

use crate::house::text_of;
use crate::large::{Hall, hall};
use taktwright::balance::{Aim, Goal, Load, Plan, holdings, improve, loads, unable};
use taktwright::diagnostic::MapSources;
use taktwright::line::{Line, PlaceId, StepId};

/// Large enough to be relieved station by station.
const SMALLER: Hall = Hall { tasks: 270, stations: 16, drawn: false, seed: 7 };

fn line_of(text: &str) -> Line {
    let mut read = taktwright::read("f.line", &MapSources::one("f.line", text), &[]);
    assert!(!read.layouts.is_empty(), "{:?}", read.faults);
    read.layouts.remove(0)
}

/// The line with its tasks where the plan has them.
fn planned(line: &Line, plan: &Plan) -> Line {
    let mut planned = line.clone();
    planned.place_steps(&plan.at);
    planned
}

fn keeps_every_rule(line: &Line, plan: &Plan) {
    let held = holdings(line);
    for (k, step) in line.steps.iter().enumerate() {
        let at = plan.at[k];
        assert!(at == step.place || held[k].is_none(), "{} is held", step.name);
        assert!(at == step.place || unable(line, StepId::from_index(k), at).is_none(), "{}", step.name);
        assert!(step.after.iter().all(|p| plan.at[p.index()] <= at), "{} comes too early", step.name);
    }
}

/// Place, window, times with retests and labour by model.
type Figures<'a> = (PlaceId, f64, &'a [Option<f64>], &'a [f64]);

/// Figures of loads, without the word whether they took draws: work that is brought along doesn't count.
fn figures(loads: &[Load]) -> Vec<Figures<'_>> {
    loads.iter().map(|l| (l.place, l.window, l.with_retests.as_slice(), l.labour.as_slice())).collect()
}

#[test]
fn a_hall_is_evened_out_within_its_rules_and_near_its_bound() {
    let line = line_of(&hall(SMALLER));
    let goal = Goal { most_looks: 1_500, ..Goal::new(Aim::Pace) };
    let plan = improve(&line, &goal, &|| false).expect("a pace is stated");
    keeps_every_rule(&line, &plan);
    // The bound is people x time; a hall as large as this one comes near it.
    let bound = plan.lower_bound.expect("there is one");
    assert!(plan.worth_before.over > 5.0 && plan.worth.over <= 1e-6, "{:?}", plan.worth);
    assert!(plan.worth.pace >= bound && plan.worth.pace <= bound * 1.03, "{:?} {bound}", plan.worth);
    assert_eq!(figures(&plan.after), figures(&loads(&planned(&line, &plan))));
    let again = improve(&line, &goal, &|| false).expect("a pace is stated");
    assert_eq!(plan.at, again.at);
}

#[test]
fn a_thousand_tasks_come_within_two_percent_of_their_bound() {
    // So many looks take about a second of one core, unlike the clock they are the same everywhere.
    let line = line_of(&hall(Hall { tasks: 1_000, stations: 60, drawn: false, seed: 7 }));
    let goal = Goal { most_looks: 4_000, ..Goal::new(Aim::Pace) };
    let plan = improve(&line, &goal, &|| false).expect("a pace is stated");
    keeps_every_rule(&line, &plan);
    let bound = plan.lower_bound.expect("there is one");
    assert!(plan.worth.over <= 1e-6, "{:?}", plan.worth);
    assert!(plan.worth.pace >= bound && plan.worth.pace <= bound * 1.02, "{:?} {bound}", plan.worth);
}

#[test]
fn a_hall_closes_the_stations_that_its_work_does_not_need() {
    // At 25 min the work takes about 93 % of the people's time; at 40 min, under 60 %.
    let text = hall(SMALLER).replace("pace 25", "pace 40");
    let line = line_of(&text);
    let goal = Goal { most_looks: 1_500, ..Goal::new(Aim::Stations) };
    let plan = improve(&line, &goal, &|| false).expect("a pace is stated");
    keeps_every_rule(&line, &plan);
    assert!(plan.worth.over <= 1e-6 && plan.worth.stations < SMALLER.stations, "{:?}", plan.worth);
    assert!(plan.lower_bound.is_some_and(|bound| bound <= plan.worth.stations as f64));
    assert_eq!(plan.worth.stations, loads(&planned(&line, &plan)).len());
}

#[test]
fn fewest_moves_on_a_hall_leave_no_station_over_its_caps() {
    let line = line_of(&hall(SMALLER));
    let plan = improve(&line, &Goal::new(Aim::Moves), &|| false).expect("a pace is stated");
    keeps_every_rule(&line, &plan);
    assert!(plan.worth.over <= 1e-6, "{:?}", plan.worth);
    let moved: usize = plan.at.iter().zip(&line.steps).filter(|(at, step)| **at != step.place).count();
    assert!(moved < 150, "{moved}");
}

#[test]
fn loads_of_one_station_are_those_of_the_whole_line() {
    // The first move of the pod hall, and the other plants as they stand.
    for (plant, least_gain) in [("pod-hall", 0.05), ("workboats", 1e9), ("heat-pumps", 1e9)] {
        let line = line_of(&text_of(&format!("scenarios/{plant}.line")));
        let goal = Goal { least_gain, ..Goal::new(Aim::Moves) };
        let plan = improve(&line, &goal, &|| false).expect("a pace is stated");
        let whole = loads(&planned(&line, &plan));
        let on_line: Vec<Load> = whole.into_iter().filter(|l| l.place.index() < line.on_line).collect();
        assert_eq!(figures(&plan.after), figures(&on_line), "{plant}");
    }
}
