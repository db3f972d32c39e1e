//! `times x ...` of a station: what it acts on and what it never touches.

use crate::follow::text::line_of;
use taktwright::balance::{Aim, Goal, improve};
use taktwright::line::{Line, PlaceId};

/// Minutes of a step for the first model, worked out by hand from its constant time and the factor on it.
fn minutes(line: &Line, name: &str) -> f64 {
    let step = line.steps.iter().find(|step| step.name == name).expect("the step stands in the file");
    taktwright::draws::moments::mean(&step.times[0].dist) * step.times[0].factor / 60e6
}

const SHOP: &str = "\
line \"Shop\"
pace 20 min
station S1 crew 1 times x 0.5
task cut takes 10 min by 1
task glue takes 4 min for M x 1.5 by 1 after cut
hold set at least 8 min after glue
station S2 crew 1 times x 3
task check takes 5 min by 1 after set
test probe of check passes 100 % safety
task pack takes 2 min by 1 after check
model M 100 %
";

/// 10 x 0.5; 4 x 1.5 x 0.5; the hold and the safety test as stated; 2 x 3.
#[test]
fn a_factor_of_a_station_acts_on_its_tasks_and_on_nothing_that_is_guarded() {
    let line = line_of(SHOP);
    let found = ["cut", "glue", "set", "check", "pack"].map(|name| minutes(&line, name));
    assert_eq!(found, [5.0, 3.0, 8.0, 5.0, 6.0]);
}

#[test]
fn a_task_takes_on_the_factor_of_the_station_it_is_put_at() {
    let by_hand = line_of(&SHOP.replace("by 1 after check", "by 1 after check at S2").replace(
        "task cut takes 10 min by 1\n",
        "task cut takes 10 min by 1\ntask oil takes 6 min by 1 at S2 after set\n",
    ));
    let mut moved = line_of(&SHOP.replace(
        "task cut takes 10 min by 1\n",
        "task cut takes 10 min by 1\ntask oil takes 6 min by 1 at S2 after set\n",
    ));
    let oil = moved.steps.iter().position(|step| step.name == "oil").expect("it stands in the file");
    let mut at: Vec<PlaceId> = moved.steps.iter().map(|step| step.place).collect();
    at[oil] = PlaceId::from_index(0);
    moved.place_steps(&at);
    assert_eq!(minutes(&moved, "oil"), 3.0);
    at[oil] = PlaceId::from_index(1);
    moved.place_steps(&at);
    assert_eq!(
        moved.steps.iter().map(|s| &s.times).collect::<Vec<_>>(),
        by_hand.steps.iter().map(|s| &s.times).collect::<Vec<_>>()
    );
}

/// All work fits the station where it takes half as long: 10 min there, 20 min and more elsewhere.
#[test]
fn balancing_knows_that_a_station_takes_longer() {
    let line = line_of(
        "line \"Two\"\npace 12 min\nstation S1 crew 1 times x 0.5\nstation S2 crew 1\n\
         task a takes 10 min by 1 at S2\ntask b takes 10 min by 1 after a at S2\n",
    );
    let plan = improve(&line, &Goal::new(Aim::Stations), &|| false).expect("it has a pace");
    assert_eq!(plan.at, [PlaceId::from_index(0), PlaceId::from_index(0)]);
    assert_eq!(plan.worth.stations, 1);
    // 5 and 5 at S1 with `--aim pace` would be 10; 5 and 10 apart is 10 as well: nothing is below 10.
    let plan = improve(&line, &Goal::new(Aim::Pace), &|| false).expect("it has a pace");
    assert!((plan.worth.pace / 60e6 - 10.0).abs() < 1e-6, "{}", plan.worth.pace);
}
