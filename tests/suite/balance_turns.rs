//! `balance` on lines whose units are turned: no plan lets a step find its unit otherwise.

use taktwright::balance::{Aim, Goal, Holding, Plan, holdings, improve};
use taktwright::diagnostic::MapSources;
use taktwright::line::Line;

use crate::random_lines::dice::Dice;
use std::fmt::Write;

fn read(text: &str) -> Option<Line> {
    let mut read = taktwright::read("f.line", &MapSources::one("f.line", text), &[]);
    (!read.faults.iter().any(|fault| fault.is_error())).then(|| read.layouts.remove(0))
}

fn plan(line: &Line, aim: Aim) -> Plan {
    improve(line, &Goal { most_looks: 300, ..Goal::new(aim) }, &|| false).expect("a pace is stated")
}

/// Names of what is held since units are turned.
fn held(line: &Line) -> Vec<String> {
    let turned = holdings(line).into_iter().map(|held| matches!(held, Some(Holding::Turned { .. })));
    let steps = line.steps.iter().zip(turned).filter(|(_, turned)| *turned);
    steps.map(|(step, _)| step.name.clone()).collect()
}

fn text(rails: &str, last: &str) -> String {
    format!(
        "line \"turned\"\npace 10 min\nstation S1 crew 1\nstation S2 crew 1\nstation S3 crew 1\n\
         orientation low\norientation high after turn\ntask a takes 2 min at S1 needs low\n\
         task turn takes 3 min after a at S1\ntask rails takes 7 min{rails} at S2 needs high\n\
         task more takes 6 min at S2\ntask last takes 9 min at S3{last}\n"
    )
}

/// S1 has 5 min and S2 13 of 10. Without `after` only S1 and S2 say that rails come after the turn: both stay, and what
/// moves is more, to S1: 11 and 7. With it rails may go to S1 behind the turn, or the turn to S2 before them.
#[test]
fn steps_of_which_places_alone_say_how_the_unit_stands_stay() {
    let line = read(&text("", "")).expect("it reads");
    assert_eq!(held(&line), ["turn", "rails"]);
    let found = plan(&line, Aim::Moves);
    let at: Vec<usize> = found.at.iter().map(|place| place.index()).collect();
    assert_eq!(at, [0, 0, 1, 0, 2]);
    let line = read(&text(" after turn", "")).expect("it reads");
    assert_eq!(held(&line), Vec::<String>::new());
    // What may find it either way holds nothing.
    let line = read(&text(" after turn", " needs low, high")).expect("it reads");
    assert_eq!(held(&line), Vec::<String>::new());
}

/// Random lines of three stations: whatever is asked for, the line as planned is taken by the checker, too.
#[test]
fn a_plan_of_a_line_with_turns_is_taken_by_the_checker() {
    let mut dice = Dice::new(11);
    let (mut read_well, mut moved, mut turned) = (0, 0, 0);
    for _ in 0..1_200 {
        let count = dice.from(5, 8);
        let mut rows: Vec<(u32, String)> = Vec::new();
        let (mut high, mut flat) = (Vec::new(), Vec::new());
        let mut place = 1;
        for task in 0..count {
            place = (place + u32::from(dice.chance(40))).min(3);
            let mut row = format!("task t{task} takes {} min", dice.from(1, 9));
            if task > 0 && dice.chance(60) {
                let _ = write!(row, " after t{}", dice.from(0, task - 1));
            }
            match dice.from(0, 5) {
                0 => high.push(format!("t{task}")),
                1 => flat.push(format!("t{task}")),
                2 => row.push_str(" needs high"),
                3 => row.push_str(dice.one_of::<&str>(&[
                    " needs low",
                    " needs high, flat",
                    " needs low, high",
                ])),
                _ => {}
            }
            rows.push((place, row));
        }
        if high.is_empty() || flat.is_empty() {
            continue;
        }
        let test = if dice.chance(30) {
            let at = rows[rows.len() - 1].0;
            format!("test q of t{} at S{at} passes 90 % on fail back to S1 redo t0\n", count - 1)
        } else {
            String::new()
        };
        let file = |at: &[u32]| {
            let tasks: String =
                rows.iter().zip(at).map(|((_, row), at)| format!("{row} at S{at}\n")).collect();
            format!(
                "line \"random\"\npace 12 min\nstation S1 crew 1\nstation S2 crew 1\nstation S3 crew 1\n\
                 orientation low\norientation high after {}\norientation flat after {}\n{tasks}{test}",
                high.join(", "),
                flat.join(", ")
            )
        };
        let today: Vec<u32> = rows.iter().map(|(place, _)| *place).collect();
        let Some(line) = read(&file(&today)) else { continue };
        read_well += 1;
        turned += u32::from(!held(&line).is_empty());
        for aim in [Aim::Moves, Aim::Smooth, Aim::Stations] {
            let planned = plan(&line, aim);
            let at: Vec<u32> = planned.at.iter().map(|place| place.index() as u32 + 1).collect();
            moved += u32::from(at != today);
            assert!(read(&file(&at)).is_some(), "{aim:?}\n{}\nplanned\n{}", file(&today), file(&at));
        }
    }
    println!("{read_well} read, {turned} of them with steps that stay, {moved} plans move something");
    assert!(read_well > 50 && turned > 20 && moved > 50);
}
