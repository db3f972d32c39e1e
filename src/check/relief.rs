//! Breaks in turn: who sits in, whether they can, and whether the turns fit into the shift.

use super::clauses::clause;
use super::desk::Desk;
use super::mix::label;
use super::people::Staff;
use super::places::Ground;
use super::quantity;
use crate::diagnostic::words::{calendar as words, people};
use crate::line::{Calendar, Crew, OF_THE_LINE, Relief, Step, WeekShift, wanted};
use crate::syntax::tree::{ClauseKind, Head, Statement, Word};
use crate::units::Time;

/// People of the statement at most.
const MOST: u32 = 1000;

pub(super) fn relief(
    statement: Option<&Statement>,
    calendar: Option<&Calendar>,
    (staff, ground): (&Staff, &Ground),
    steps: &[Step],
    desk: &mut Desk,
) -> Option<Relief> {
    let statement = statement?;
    let Some(calendar) = calendar else {
        if !desk.is_broken(Word::Shift) {
            desk.fault(words::no_calendar(
                statement.word_span,
                "relief lets people take the breaks of a shift",
            ));
        }
        return None;
    };
    if !staff.stated {
        if !desk.is_broken(Word::People) {
            desk.fault(people::not_stated(statement.word_span, "relief"));
        }
        return None;
    }
    let Head::Value(count) = &statement.head else { return None };
    let count = quantity::count(count, "the number of people for relief", 1, MOST, desk)?;
    let can = clause!(statement, ClauseKind::Can(list) => list);
    let mut skills = 0;
    for name in can.map_or(&[][..], |(list, _)| list) {
        skills |= staff.skill(name, desk).map_or(0, |skill| 1 << skill.index());
    }
    let relief = Relief { label: label(statement), count, skills, span: statement.word_span };
    report_missing_skills(&relief, staff, ground, steps, desk);
    for shift in first_days(calendar) {
        judge_turns(&relief, shift, seats(staff, ground), desk);
    }
    Some(relief)
}

/// One of each shift: its days are alike.
fn first_days(calendar: &Calendar) -> Vec<&WeekShift> {
    let mut found: Vec<&WeekShift> = Vec::new();
    for shift in &calendar.week {
        if !found.iter().any(|other| other.name == shift.name) {
            found.push(shift);
        }
    }
    found
}

/// People of all crews who take their breaks in turn: those of feeders with hours of their own have their own breaks.
fn seats(staff: &Staff, ground: &Ground) -> u32 {
    let of_line = |crew: &&Crew| crew.places.iter().all(|place| ground.place(*place).hours == OF_THE_LINE);
    let crews: Vec<Crew> = staff.crews.iter().filter(of_line).cloned().collect();
    wanted(staff.groups.len(), &crews, |place| ground.place(place).bays).iter().sum()
}

/// Whoever sits in does all that the other may be at.
fn report_missing_skills(relief: &Relief, staff: &Staff, ground: &Ground, steps: &[Step], desk: &mut Desk) {
    let has_crew = |step: &&Step| {
        let place = ground.place(step.place);
        place.crew.is_some() && place.hours == OF_THE_LINE
    };
    for step in steps.iter().filter(has_crew) {
        let asked = step.needs.iter().flatten().filter(|need| need.count > 0).filter_map(|need| need.skill);
        // Visitors have hours, and no breaks.
        let visits =
            |skill: u64| staff.visitors.iter().any(|v| staff.groups[v.group.index()].skills & skill != 0);
        let missing = asked
            .into_iter()
            .find(|skill| relief.skills & (1 << skill.index()) == 0 && !visits(1 << skill.index()));
        if let Some(skill) = missing {
            let skill = &staff.skills[skill.index()];
            desk.fault(people::relief_cannot(relief.span, &step.name, skill, step.span));
            return;
        }
    }
}

/// Each break goes round before the next one, or the next pause, begins.
fn judge_turns(relief: &Relief, shift: &WeekShift, people: u32, desk: &mut Desk) {
    for pause in &shift.relieved {
        let length = pause.end - pause.start;
        let turns = people.div_ceil(relief.count);
        let (needed, room) = (length * i64::from(turns), shift.room_for_turns(pause.start));
        if needed > room {
            let at = crate::units::time_of_day(pause.start);
            let times = [length, needed, room].map(|time: Time| time.to_string());
            desk.fault(words::turns_do_not_fit(relief.span, (people, relief.count, turns), &at, &times));
            return;
        }
    }
}
