//! Engines broken on purpose: the follower must catch each, with the right sentence.
//!
//! A real run is bent on its way to the follower, one way at a time, as a faulty engine would have
//! told it. What is not bent must be found clean first, so that the sentence speaks of the bend.

use super::Follower;
use super::text::{line_of, settings_of};
use taktwright::line::{Line, StepId};
use taktwright::simulate::{BayState, Event, Horizon, Replication, Settings, Spot, Watcher, replicate};
use taktwright::units::Time;

/// Stands between engine and follower: for each event the events to hear instead.
struct Bent<'a, B> {
    follower: Follower<'a>,
    bend: B,
}

impl<B: FnMut(Time, Event) -> Vec<Event>> Watcher for Bent<'_, B> {
    const WATCHING: bool = true;

    fn see(&mut self, at: Time, net: Time, event: Event) {
        for event in (self.bend)(at, event) {
            self.follower.see(at, net, event);
        }
    }
}

/// Runs the text with its events bent and its report bent; returns what the follower says.
fn heard(
    line: &Line,
    settings: &Settings,
    bend: &mut impl FnMut(Time, Event) -> Vec<Event>,
    bend_report: impl Fn(&mut Replication),
) -> Vec<String> {
    let mut bent = Bent { follower: Follower::new(line, settings), bend };
    let mut report = replicate(line, settings, 0, &mut bent).expect("the line runs");
    bend_report(&mut report);
    bent.follower.compare(&report);
    bent.follower.faults
}

/// The bend must be caught with these words; the same line unbent must be clean.
fn must_catch(text: &str, units: u64, words: &str, bend: &mut impl FnMut(Time, Event) -> Vec<Event>) {
    let line = line_of(text);
    let settings = settings_of(7, Horizon::Units(units));
    let clean = heard(&line, &settings, &mut |_, event| vec![event], |_| {});
    assert!(clean.is_empty(), "unbent: {clean:#?}");
    let said = heard(&line, &settings, bend, |_| {});
    assert!(said.iter().any(|s| s.contains(words)), "nobody said `{words}`: {said:#?}");
}

fn step_named(line: &Line, name: &str) -> StepId {
    StepId::from_index(line.steps.iter().position(|s| s.name == name).expect("the step is in the line"))
}

/// Two stations, two people and two parallel tasks at the first, a hold and a task at the second.
const PLAIN: &str = "line \"plain\"\nmodel A 100 %\nrelease saturated\n\
    station S1  crew 2\nstation S2  crew 1  slots 2  bays 2\n\
    task a  takes 4 min  by 1  at S1\ntask b  takes 5 min  by 1  at S1\ntask c  takes 2 min  by 1  after a, b  at S1\n\
    hold h  at least 6 min  after c  at S2\ntask d  takes 3 min  by 1  after h  at S2\n";

#[test]
fn a_hold_shortened_by_a_microsecond_is_caught() {
    let hold = step_named(&line_of(PLAIN), "h");
    must_catch(PLAIN, 5, "shorter than its minimum", &mut |_, mut event| {
        if let Event::StepStarted { step, length, ends, unit: 2, .. } = &mut event
            && *step == hold
        {
            *length -= Time::MICROSECOND;
            *ends -= Time::MICROSECOND;
        }
        vec![event]
    });
}

#[test]
fn a_hold_cut_short_by_a_move_is_caught() {
    let hold = step_named(&line_of(PLAIN), "h");
    must_catch(PLAIN, 5, "is cut short", &mut |_, event| match event {
        Event::StepEnded { step, unit: 2, .. } if step == hold => Vec::new(),
        event => vec![event],
    });
}

#[test]
fn a_person_at_two_steps_at_once_is_caught() {
    let second = step_named(&line_of(PLAIN), "a");
    must_catch(PLAIN, 5, "a person who is at work on another step", &mut |_, mut event| {
        if let Event::StepStarted { step, people, unit: 1, .. } = &mut event {
            // The other of the two people is at work on b at the same time.
            if *step == second {
                *people ^= 0b11;
            }
        }
        vec![event]
    });
}

#[test]
fn a_unit_that_leaves_undone_is_caught() {
    let last = step_named(&line_of(PLAIN), "c");
    must_catch(PLAIN, 5, "before it is done there", &mut |_, event| match event {
        Event::StepStarted { step, unit: 1, .. } | Event::StepEnded { step, unit: 1, .. } if step == last => {
            Vec::new()
        }
        event => vec![event],
    });
}

#[test]
fn a_step_before_its_predecessor_is_caught() {
    let line = line_of(PLAIN);
    let (before, after) = (step_named(&line, "a"), step_named(&line, "c"));
    must_catch(PLAIN, 5, "before a step that it follows is done", &mut |_, mut event| {
        if let Event::StepStarted { step, unit: 1, .. } | Event::StepEnded { step, unit: 1, .. } = &mut event
        {
            *step = match *step {
                s if s == before => after,
                s if s == after => before,
                s => s,
            };
        }
        vec![event]
    });
}

#[test]
fn a_dropped_unit_is_caught() {
    must_catch(PLAIN, 5, "is taken by unit 2", &mut |_, event| match event {
        Event::Finished { unit: 2 } => Vec::new(),
        event => vec![event],
    });
}

#[test]
fn a_unit_that_appears_from_nowhere_is_caught() {
    must_catch(PLAIN, 5, "moves and is not there", &mut |_, event| match event {
        Event::Released { unit: 3, .. } => Vec::new(),
        event => vec![event],
    });
}

#[test]
fn a_missing_change_of_state_is_caught() {
    let mut dropped = false;
    must_catch(PLAIN, 5, "is called", &mut |at, event| match event {
        Event::BayIs { .. } if !dropped && at > Time::ZERO => {
            dropped = true;
            Vec::new()
        }
        event => vec![event],
    });
}

#[test]
fn a_step_that_starts_late_is_caught() {
    let step = step_named(&line_of(PLAIN), "b");
    let mut kept: Option<Event> = None;
    // The start is told only with the next event of a later instant.
    let mut told_at = Time::ZERO;
    must_catch(PLAIN, 5, "b could start and does not", &mut |at, event| {
        let late = if at > told_at { kept.take() } else { None };
        match event {
            Event::StepStarted { step: s, unit: 1, .. } if s == step => {
                kept = Some(event);
                told_at = at;
                Vec::new()
            }
            event => late.into_iter().chain([event]).collect(),
        }
    });
}

#[test]
fn overtaking_in_the_slots_is_caught() {
    let text = "line \"slots\"\nmodel A 100 %\nrelease saturated\nstation S1  crew 1\nstation S2  crew 1  slots 3\n\
                task a  takes 1 min  by 1  at S1\ntask b  takes 5 min  by 1  after a  at S2\n";
    let swap = |unit: u64| match unit {
        3 => 4,
        4 => 3,
        unit => unit,
    };
    must_catch(text, 8, "before the unit that came first", &mut |_, mut event| {
        match &mut event {
            Event::Moved { unit, from: Spot::Slot(_), .. } | Event::Finished { unit } => *unit = swap(*unit),
            Event::StepStarted { unit, place, .. } | Event::StepEnded { unit, place, .. }
                if place.index() == 1 =>
            {
                *unit = swap(*unit);
            }
            _ => {}
        }
        vec![event]
    });
}

/// One bay, then two bays in rotation.
const PUSHED: &str = "line \"pushed\"\nmodel A 100 %\nrelease saturated\n\
    station P1  crew 1\nstation P2  crew 1 per bay  bays 2\n\
    segment all P1 to P2  pushed every 30 min  index 2 min\n\
    task a  takes 20 min  by 1  at P1\ntask b  takes 50 min  by 1  after a  at P2\n";

#[test]
fn a_bay_out_of_its_turn_is_caught() {
    must_catch(PUSHED, 5, "has the unit that is there longest", &mut |_, mut event| {
        // Unit 2 is said to leave in the place of unit 1, which is there longer.
        if let Event::Finished { unit } = &mut event {
            *unit = match *unit {
                1 => 2,
                unit => unit,
            };
        }
        vec![event]
    });
}

#[test]
fn a_push_before_its_signal_is_caught() {
    let step = step_named(&line_of(PUSHED), "a");
    must_catch(PUSHED, 5, "before its signal", &mut |_, event| match event {
        Event::StepEnded { step: s, unit: 2, .. } if s == step => {
            vec![event, Event::Pushed { segment: taktwright::line::SegmentId(0) }]
        }
        event => vec![event],
    });
}

#[test]
fn a_move_without_a_push_is_caught() {
    let mut pushes = 0;
    must_catch(PUSHED, 5, "without a push", &mut |_, event| match event {
        Event::Pushed { .. } => {
            pushes += 1;
            if pushes == 3 { Vec::new() } else { vec![event] }
        }
        event => vec![event],
    });
}

#[test]
fn a_push_that_leaves_a_unit_behind_is_caught() {
    must_catch(PUSHED, 5, "stays though its segment was pushed", &mut |_, event| match event {
        Event::Moved { unit: 2, from: Spot::Bay(..), .. } => Vec::new(),
        event => vec![event],
    });
}

/// A test whose first try always fails, a window and a shared tool.
const TESTED: &str = "line \"tested\"\nmodel A 100 %\nrelease saturated\nequipment rig 1\n\
    station S1  crew 1\nstation S2  crew 2  bays 2\n\
    task a  takes 3 min  by 1  at S1\ntask b  takes 4 min  by 1  after a  at S1\n\
    task c  takes 5 min  by 1  with rig  after b  at S2\n\
    test q  of c  at S2  passes 0 %, again 100 %  on fail 100 % back to S1 redo b\n";

#[test]
fn a_verdict_before_its_steps_is_caught() {
    let step = step_named(&line_of(TESTED), "c");
    must_catch(TESTED, 3, "falls before its steps are done", &mut |_, event| match event {
        Event::StepEnded { step: s, unit: 1, .. } if s == step => Vec::new(),
        event => vec![event],
    });
}

#[test]
fn a_redo_that_is_left_out_is_caught() {
    let step = step_named(&line_of(TESTED), "b");
    must_catch(TESTED, 3, "before it is done there", &mut |_, event| match event {
        Event::StepStarted { step: s, unit: 1, visit: 1, .. } if s == step => Vec::new(),
        event => vec![event],
    });
}

#[test]
fn equipment_used_twice_is_caught() {
    let line = line_of(TESTED);
    let mut fewer = line.clone();
    fewer.equipment[0].count = 0;
    let settings = settings_of(7, Horizon::Units(3));
    let said = {
        let mut follower = Follower::new(&fewer, &settings);
        let report = replicate(&line, &settings, 0, &mut follower).expect("the line runs");
        follower.compare(&report);
        follower.faults
    };
    assert!(said.iter().any(|s| s.contains("takes equipment that is not free")), "{said:#?}");
}

/// A break, and a window that one person can't keep.
const WINDOW: &str = "line \"window\"\nmodel A 100 %\nrelease saturated\n\
    shift day 06:00 to 14:00 on mon to fri  break 06:20 lasting 10 min\nstation S1  crew 1\n\
    task o  takes 5 min  by 1  at S1\nhold h  at least 10 min  after o  at S1\n\
    task c  takes 6 min  by 1  after h  at S1\ntask x1  takes 20 min  by 1  at S1\n\
    window o end to c start  within 12 min, else redo o\n";

#[test]
fn a_missed_window_that_goes_unsaid_is_caught() {
    let line = line_of(WINDOW);
    let (opens, hold, closes) = (step_named(&line, "o"), step_named(&line, "h"), step_named(&line, "c"));
    // The redo is left out and the closing step told in the place of it.
    must_catch(WINDOW, 1, "after its window closed, without the redo", &mut |_, mut event| {
        match &mut event {
            Event::WindowMissed { .. } => return Vec::new(),
            Event::StepStarted { step, visit, .. } if *step == opens && *visit == 1 => {
                *step = closes;
                *visit = 0;
            }
            Event::StepStarted { step, visit: 1, .. } if *step == hold => return Vec::new(),
            _ => {}
        }
        vec![event]
    });
}

#[test]
fn work_that_ignores_the_break_is_caught() {
    let step = step_named(&line_of(WINDOW), "x1");
    must_catch(WINDOW, 1, "x1 is to end at", &mut |_, mut event| {
        if let Event::StepStarted { step: s, ends, .. } = &mut event
            && *s == step
        {
            *ends -= Time::MINUTE * 10;
        }
        vec![event]
    });
}

#[test]
fn a_report_that_differs_from_what_was_seen_is_caught() {
    let line = line_of(TESTED);
    let settings = settings_of(7, Horizon::Units(3));
    let bent = |bend: &dyn Fn(&mut Replication), words: &str| {
        let said = heard(&line, &settings, &mut |_, event| vec![event], bend);
        assert!(said.iter().any(|s| s.contains(words)), "nobody said `{words}`: {said:#?}");
    };
    bent(&|r| r.finished += 1, "finished: 3, reported 4");
    bent(&|r| r.unit_time += 1, "Little");
    bent(&|r| r.places[0].states[3] += 1, "states of S1 together");
    bent(
        &|r| r.places[1].states.swap(BayState::Working as usize, BayState::WaitingForSignal as usize),
        "working at S2",
    );
    bent(&|r| r.tests[0].attempts -= 1, "attempts of q");
    bent(&|r| r.tests[0].queue += 1, "queue of q");
    bent(&|r| r.crews[0].busy += 1, "work of crew");
    bent(&|r| r.crews[0].absent += 1, "absence of crew");
    bent(&|r| r.crews[0].short_shifts += 1, "short shifts of crew");
    bent(&|r| r.crews[0].not_on_shift += 1, "people of crew");
    bent(&|r| r.equipment_busy[0] -= 1, "use of rig");
    bent(&|r| r.clock += Time::MICROSECOND, "net time of the window");
    bent(&|r| r.flow.record(1), "flow times");
}

#[test]
fn help_from_somebody_who_did_not_come_is_caught() {
    let text = "line \"help\"\nshift day 06:00 to 14:00\npeople fit 1\npeople lea 1 helping up to 40 %\n\
        station S1 crew 1 fit\ntask a takes 4 min by 1 at S1\ntask b takes 5 min by 1 at S1\n";
    must_catch(text, 5, "takes help from somebody who is not there", &mut |_, event| match event {
        Event::HelpersCame { group, .. } => vec![Event::HelpersCame { group, here: 0 }],
        event => vec![event],
    });
}

#[test]
fn a_start_before_its_people_have_walked_is_caught() {
    let text = "line \"walk\"\nshift day 06:00 to 14:00\nrelease saturated\n\
        station S1 crew 1 walk 1 min\ntask a takes 4 min by 1 at S1\n";
    must_catch(text, 5, "its people have yet to walk there", &mut |_, event| match event {
        Event::SetOut { unit: 2, .. } => Vec::new(),
        event => vec![event],
    });
}

/// Two people move every unit, and whoever is there does the work of both stations.
const MOVED: &str = "line \"moved\"\nmodel A 100 %\nrelease saturated\nstation P\nstation Q\n\
    team all crew 2 serving P, Q\nsegment all P to Q moving 1 min by 2\n\
    task p  takes 3 min  by 1  at P\ntask q  takes 5 min  by 1  at Q  after p\n";

#[test]
fn a_unit_that_nobody_moves_is_caught() {
    let mut moves = 0;
    must_catch(MOVED, 5, "comes without the people who move it", &mut |_, event| {
        moves += u32::from(matches!(event, Event::MovesUnits { .. }));
        if moves == 3 && matches!(event, Event::MovesUnits { .. }) { Vec::new() } else { vec![event] }
    });
}

#[test]
fn a_unit_moved_by_too_few_is_caught() {
    must_catch(MOVED, 5, "move the units of all", &mut |_, event| match event {
        Event::MovesUnits { segment, crew, gang, people, until } => {
            vec![Event::MovesUnits { segment, crew, gang, people: people & 1, until }]
        }
        event => vec![event],
    });
}

/// Where the move of unit 1 isn't told of it still waits as its people begin on unit 0 at Q.
#[test]
fn work_that_takes_those_who_move_the_next_unit_is_caught() {
    must_catch(MOVED, 5, "takes people for whom a move in all waits", &mut |at, event| match event {
        Event::Moved { unit: 1, .. } if at == Time::from_minutes(5) => Vec::new(),
        event => vec![event],
    });
}

#[test]
fn work_on_a_unit_that_stands_otherwise_is_caught() {
    let text = PLAIN.replace("after h  at S2", "after h  at S2  needs high") + "orientation high after c\n";
    let turn = step_named(&line_of(&text), "c");
    must_catch(&text, 5, "d starts on a unit that stands as it came in", &mut |_, event| match event {
        Event::StepEnded { step, unit: 2, .. } if step == turn => Vec::new(),
        event => vec![event],
    });
}
