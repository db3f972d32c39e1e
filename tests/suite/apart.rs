//! Work that is kept apart, by hand to the microsecond.

use crate::by_hand::finishes;
use crate::follow::text::{line_of, read, record};
use taktwright::line::Line;
use taktwright::simulate::{BayState, Event, Horizon};
use taktwright::units::Time;

fn min(minutes: i64) -> Time {
    Time::from_minutes(minutes)
}

/// When steps of that name started, in minutes; every number here is a whole one.
fn starts(line: &Line, events: &[(Time, Event)], name: &str) -> Vec<i64> {
    let wanted = line.steps.iter().position(|s| s.name == name).expect("the step is in the line");
    let started = |(time, event): &(Time, Event)| match event {
        Event::StepStarted { step, .. } if step.index() == wanted => Some(time.0 / min(1).0),
        _ => None,
    };
    events.iter().filter_map(started).collect()
}

/// Two people. Ready at 0: lift 10 (the longest path), paint 6, clean 4. Lift and paint start; at 6 a person is
/// free and clean, under the lift, has no room: 10 to 14. The unit is done at 14, not at 10.
#[test]
fn nobody_works_under_the_lift() {
    let text = "line \"lift\"\nrelease saturated\nzone under\nstation S1 crew 2\n\
         task lift takes 10 min by 1\ntask paint takes 6 min by 1\ntask clean takes 4 min by 1 in under\n";
    let line = line_of(&format!("{text}exclude work in under while lift runs\n"));
    let (report, events) = record(&line, Horizon::For(min(43)));
    assert_eq!(starts(&line, &events, "lift"), [0, 14, 28, 42]);
    assert_eq!(starts(&line, &events, "clean"), [10, 24, 38]);
    assert_eq!(report.finished, 3);
    let (_, events) = record(&line_of(text), Horizon::For(min(43)));
    assert_eq!(starts(&line_of(text), &events, "clean"), [6, 16, 26, 36]);
}

/// The other way round: clean 9 is the longest path and starts first, with paint 6; lift 5, ready at 0 as well,
/// waits for clean though somebody is free at 6: 9 to 14.
#[test]
fn the_lift_waits_for_whoever_is_under_it() {
    let line = line_of(
        "line \"lift\"\nrelease saturated\nzone under\nstation S1 crew 2\n\
         task clean takes 9 min by 1 in under\ntask paint takes 6 min by 1\ntask lift takes 5 min by 1\n\
         exclude work in under while lift runs\n",
    );
    let (_, events) = record(&line, Horizon::For(min(29)));
    assert_eq!(starts(&line, &events, "lift"), [9, 23]);
    assert_eq!(starts(&line, &events, "clean"), [0, 14, 28]);
}

/// Grind 5 at S1, coat 12 at S2 next to it. Unit 0: ground 0 to 5, coated 5 to 17; unit 1 stands in S1 from 5 and is
/// ground 17 to 22, when the coat is done; then coated 22 to 34. So every 17 min. Of the first 51: S1 works 15 and is
/// short of room 36, S2 works 36 and is starved 15.
#[test]
fn no_dust_near_an_open_coat() {
    let text = "line \"dust\"\nrelease saturated\nstation S1 crew 1\nstation S2 crew 1\n\
         task grind takes 5 min by 1 at S1\ntask coat takes 12 min by 1 after grind at S2\n";
    let line = line_of(&format!("{text}exclude grind while coat runs within 1 place\n"));
    let (report, events) = record(&line, Horizon::For(min(51)));
    assert_eq!(starts(&line, &events, "grind"), [0, 17, 34]);
    assert_eq!(starts(&line, &events, "coat"), [5, 22, 39]);
    let states = |place: usize, state: BayState| report.places[place].states[state as usize] / min(1).0;
    assert_eq!((states(0, BayState::Working), states(0, BayState::ShortOfRoom)), (15, 36));
    assert_eq!((states(1, BayState::Working), states(1, BayState::Starved)), (36, 15));
}

/// A station further off is free to grind: the rack between is a place of the line, too.
#[test]
fn further_off_nothing_is_kept_apart() {
    let text = "line \"dust\"\nrelease saturated\nstation S1 crew 1\nrack H1 places 1\nstation S2 crew 1\n\
         task grind takes 5 min by 1 at S1\ntask coat takes 12 min by 1 after grind at S2\n";
    let near = line_of(&format!("{text}exclude grind while coat runs within 2 places\n"));
    let (_, events) = record(&near, Horizon::For(min(30)));
    assert_eq!(starts(&near, &events, "grind"), [0, 17]);
    let refused = read(&format!("{text}exclude grind while coat runs within 1 place\n"));
    assert!(refused.is_err_and(|errors| errors.len() == 1 && errors[0].starts_with("T408")));
}

/// P2 stands in one lane, P3 and P4 in the other: from P2 to P5 it is one place, from P3 two, and P2 and P3 are never near.
/// All units take the first lane: P1 0 to 1, grind at P2 1 to 5, coat at P5 5 to 11. At 5 unit 1 comes to P2 and waits until
/// 11; its coat is done at 21. With nothing kept apart it is ground from 5 to 9 and coated from 11 to 17.
#[test]
fn beside_lanes_the_shortest_way_counts() {
    let text = "line \"dust\"\nmodel A 100 %\nmodel B 0 %\nrelease saturated\nstation P1 crew 1\nlanes ways chosen by model\n\
         lane one of ways only A {\n  station P2 crew 1\n}\nlane two of ways only B {\n  station P3 crew 1\n  station P4\n}\n\
         station P5 crew 1\ntask x takes 1 min by 1 at P1\ntask grind takes 4 min by 1 after x at P2\n\
         task buff takes 4 min by 1 after x at P3\ntask coat takes 6 min by 1 after x at P5\n";
    let finishes_with = |exclude: &str| {
        let line = line_of(&format!("{text}{exclude}"));
        finishes(&record(&line, Horizon::For(min(22))).1)
    };
    let wide = "exclude grind while coat runs within 1 place\n";
    assert_eq!(finishes_with(wide), [(0, min(11)), (1, min(21))]);
    assert_eq!(finishes_with("exclude buff while coat runs within 2 places\n")[1], (1, min(17)));
    for apart in ["buff while coat runs within 1 place", "grind while buff runs within 4 places"] {
        let refused = read(&format!("{text}exclude {apart}\n"));
        assert!(refused.is_err_and(|errors| errors.len() == 1 && errors[0].starts_with("T408")), "{apart}");
    }
}

/// A coat waits for dust, too. Grind 5 at S1, wash 3 and coat 12 at S2. Unit 0 is washed 5 to 8; unit 1 is ground 5
/// to 10, so the coat waits from 8 to 10 and lasts to 22. Unit 1 follows: wash 22 to 25, coat 27 (unit 2 is ground
/// 22 to 27) to 39.
#[test]
fn a_coat_waits_for_the_dust() {
    let line = line_of(
        "line \"dust\"\nrelease saturated\nstation S1 crew 1\nstation S2 crew 1\n\
         task grind takes 5 min by 1 at S1\ntask wash takes 3 min by 1 after grind at S2\n\
         task coat takes 12 min by 1 after wash at S2\nexclude grind while coat runs within 1 places\n",
    );
    let (report, events) = record(&line, Horizon::For(min(39)));
    assert_eq!(starts(&line, &events, "coat"), [10, 27]);
    assert_eq!(starts(&line, &events, "grind"), [0, 5, 22]);
    assert_eq!(report.places[1].states[BayState::ShortOfRoom as usize], 4 * min(1).0);
}

/// A hold bars and never waits. Units come at 3, 6, 9, 12. Two bays: unit 0 is ground 3 to 8, unit 1 6 to 11; the
/// coat of unit 0 cures from 8 on though unit 1 is being ground, to 20; that of unit 1 from 11 to 23. Units 2
/// and 3, in the bays since 9 and 12, are ground from 23 on.
#[test]
fn a_hold_bars_and_does_not_wait() {
    let line = line_of(
        "line \"cure\"\nrelease every 3 min\nstation S1 crew 2 bays 2\nrack H1 places 4\n\
         task grind takes 5 min by 1 at S1\nhold cure at least 12 min after grind at H1\n\
         exclude grind while cure runs within 1 place\n",
    );
    let (report, events) = record(&line, Horizon::For(min(26)));
    assert_eq!(starts(&line, &events, "grind"), [3, 6, 23, 23]);
    assert_eq!(starts(&line, &events, "cure"), [8, 11]);
    assert_eq!(report.places[0].states[BayState::ShortOfRoom as usize], (14 + 11) * min(1).0);
}

/// Who may be on either side is on the first one: on the left a waits for the lift, 10 to 14; on the right it is done
/// from 0 to 4 and the unit at 10.
#[test]
fn what_may_be_on_either_side_is_kept_apart_where_it_is() {
    let text = |sides: &str| {
        format!(
            "line \"sides\"\nrelease saturated\nzone left\nzone right\nstation S1 crew 2\n\
             task lift takes 10 min by 1\ntask a takes 4 min by 1 in {sides}\nexclude work in left while lift runs\n"
        )
    };
    for (sides, a, lift) in
        [("left or right", [10, 24], [0, 14, 28]), ("right or left", [0, 10], [0, 10, 20])]
    {
        let line = line_of(&text(sides));
        let (_, events) = record(&line, Horizon::For(min(29)));
        assert_eq!(starts(&line, &events, "a")[..2], a, "{sides}");
        assert_eq!(starts(&line, &events, "lift")[..3], lift, "{sides}");
    }
}
