//! Fewer people on a shift: `shift late ... with 12 assemblers, 3 testers`.

use super::clauses::clause;
use super::course::Course;
use super::desk::Desk;
use super::hours;
use super::names::{Kind, Names, name_of};
use super::people::Staff;
use super::places::Ground;
use super::quantity;
use super::sorted::Sorted;
use crate::diagnostic::words::{feeders, people as words, statements};
use crate::line::{Calendar, Crew, GroupId, OF_THE_LINE, VISITOR};
use crate::syntax::tree::{ClauseKind, Statement, Word};

/// Who is who, and whose hours hold where.
pub(super) struct Known<'a> {
    pub staff: &'a Staff,
    pub ground: &'a Ground,
    pub names: &'a Names,
}

/// Tells the shifts of the line, and those of feeders, how many of each group they have.
pub(super) fn shifts(sorted: &Sorted, course: &mut Course, known: &Known, desk: &mut Desk) {
    if let Some(calendar) = &mut course.calendar {
        of_calendar(&hours::of_the_line(sorted), calendar, OF_THE_LINE, known, desk);
    }
    for (feeder, hours) in sorted.of(Word::Feeder).iter().zip(&course.hours.of_feeders) {
        let own = usize::from(*hours).checked_sub(1).and_then(|own| course.hours.own.get_mut(own));
        if let Some(calendar) = own {
            let stated = sorted.within(Word::Shift, Some(&name_of(feeder).text));
            of_calendar(&stated, calendar, *hours, known, desk);
        }
    }
}

fn of_calendar(stated: &[&Statement], calendar: &mut Calendar, hours: u16, known: &Known, desk: &mut Desk) {
    for statement in stated {
        let people = people_of(statement, hours, known, desk);
        let name = name_of(statement).text;
        for shift in calendar.week.iter_mut().filter(|shift| shift.name == name) {
            shift.people.clone_from(&people);
        }
    }
}

/// The groups that the shift names, each once.
fn people_of(statement: &Statement, hours: u16, known: &Known, desk: &mut Desk) -> Vec<(GroupId, u32)> {
    let Some((list, clause)) = clause!(statement, ClauseKind::With(list) => list) else { return Vec::new() };
    let called = format!("shift {}", name_of(statement).text);
    if !known.staff.stated {
        if !desk.is_broken(Word::People) {
            desk.fault(words::not_stated(clause.word_span, "with"));
        }
        return Vec::new();
    }
    let mut found: Vec<(GroupId, u32)> = Vec::new();
    for (count, name) in list {
        let id = known.names.find(Kind::People, name, desk).map(GroupId::from_index);
        let Some(count) = count else {
            let example = format!("with 2 {}", name.text);
            desk.fault(statements::missing_clause(
                name.span,
                &called,
                &format!("a number of {}", name.text),
                &example,
            ));
            continue;
        };
        let Some(id) = id else { continue };
        let group = &known.staff.groups[id.index()];
        if group.skills & VISITOR != 0 {
            desk.fault(words::visitors_on_a_shift(name.span, &name.text));
            continue;
        }
        if known.hours_of(id) != hours {
            desk.fault(feeders::works_other_hours(name.span, &name.text, &called));
            continue;
        }
        let what = format!("the number of {} in {called}", name.text);
        let Some(count) = quantity::count(count, &what, 0, group.count, desk) else { continue };
        match found.iter().any(|(other, _)| *other == id) {
            true => desk.fault(statements::repeated_in_list(name.span, &name.text, "with")),
            false => found.push((id, count)),
        }
    }
    found
}

impl Known<'_> {
    /// Those of the crews that want people of a group; whoever is in no crew has those of the line.
    fn hours_of(&self, group: GroupId) -> u16 {
        let wants = |crew: &&Crew| crew.members.iter().any(|(_, id)| *id == group);
        let place = self.staff.crews.iter().find(wants).and_then(|crew| crew.places.first());
        place.map_or(OF_THE_LINE, |place| self.ground.place(*place).hours)
    }
}
