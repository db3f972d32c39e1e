//! Hours of their own: which shifts stand in the braces of a feeder, and what has to do with two calendars.

use super::calendar;
use super::clauses::clause;
use super::desk::Desk;
use super::names::name_of;
use super::people::Staff;
use super::places::Ground;
use super::sorted::Sorted;
use crate::diagnostic::words::feeders as words;
use crate::line::{Calendar, Crew, Floaters, Helping, OF_THE_LINE, Place, PlaceId};
use crate::syntax::tree::{ClauseKind, Statement, Word};

/// The hours that feeders have of their own.
#[derive(Default)]
pub(super) struct Hours {
    /// In file order.
    pub own: Vec<Calendar>,
    /// Per `feeder` statement: the number of its hours, 0 for those of the line.
    pub of_feeders: Vec<u16>,
}

/// The shifts that stand in no braces.
pub(super) fn of_the_line<'i>(sorted: &Sorted<'i>) -> Vec<&'i Statement> {
    sorted.within(Word::Shift, None)
}

/// The hours of every feeder. Days on which the line is closed are so for all.
pub(super) fn hours(sorted: &Sorted, line: Option<&Calendar>, desk: &mut Desk) -> Hours {
    let mut found = Hours::default();
    for feeder in sorted.of(Word::Feeder) {
        let name = name_of(feeder);
        let shifts = sorted.within(Word::Shift, Some(&name.text));
        if shifts.is_empty() {
            found.of_feeders.push(OF_THE_LINE);
            continue;
        }
        for shift in &shifts {
            report_counts(shift, &name.text, desk);
        }
        found.own.push(Calendar {
            week: calendar::week_of(&shifts, false, desk),
            first_weekday: line.map_or(0, |line| line.first_weekday),
            first_date: line.and_then(|line| line.first_date),
            closed: line.map_or_else(Vec::new, |line| line.closed.clone()),
        });
        found.of_feeders.push(found.own.len() as u16);
    }
    found
}

/// Nobody in a feeder goes home, stays longer or stays away by the units of the line.
fn report_counts(shift: &Statement, feeder: &str, desk: &mut Desk) {
    let home = clause!(shift, ClauseKind::Home { .. } => ()).map(|(_, clause)| clause);
    let when = clause!(shift, ClauseKind::WhenUnder { .. } => ()).map(|(_, clause)| clause);
    for clause in home.into_iter().chain(when) {
        desk.fault(words::counts_units(clause.span, &name_of(shift).text, feeder));
    }
}

/// Overtime is said of a shift of the line.
pub(super) fn report_overtime(overtime: &[&Statement], sorted: &Sorted, desk: &mut Desk) {
    for statement in overtime {
        let name = name_of(statement);
        let feeders = sorted.of(Word::Feeder).into_iter().map(|feeder| name_of(feeder).text);
        let has = |feeder: &String| {
            let shifts = sorted.within(Word::Shift, Some(feeder));
            shifts.iter().any(|shift| name_of(shift).text == name.text)
        };
        if let Some(feeder) = feeders.into_iter().find(has) {
            desk.fault(words::counts_units(name.span, &name.text, &feeder));
        }
    }
}

/// What crews serve and who is in them: a person has one calendar.
pub(super) fn judge_people(staff: &Staff, ground: &Ground, desk: &mut Desk) {
    let at = |place: &PlaceId| ground.place(*place).hours;
    for crew in &staff.crews {
        if let Some(other) = crew.places.iter().find(|place| at(place) != at(&crew.places[0])) {
            let [one, other] = [&crew.places[0], other].map(|place| ground.place(*place).name.as_str());
            desk.fault(words::serves_two_hours(crew.span, &crew.name, one, other));
        }
    }
    let hours = |crew: &Crew| crew.places.first().map_or(OF_THE_LINE, at);
    for (index, group) in staff.groups.iter().enumerate() {
        let wants = |crew: &&Crew| crew.members.iter().any(|(_, id)| id.index() == index);
        let mut crews = staff.crews.iter().filter(wants);
        let Some(first) = crews.next() else { continue };
        if let Some(other) = crews.find(|other| hours(other) != hours(first)) {
            desk.fault(words::works_two_hours(group.span, &group.name, &first.name, &other.name));
        }
    }
}

/// Those who stand in and those who help have the hours of the places that they cover: one calendar. Where nothing is
/// said they cover the places that have the hours of their crews, or else those of the line.
pub(super) fn cover(
    (floaters, helping): (&mut [Floaters], &mut [Helping]),
    staff: &Staff,
    places: &[Place],
    desk: &mut Desk,
) {
    if places.iter().all(|place| place.hours == OF_THE_LINE) {
        return;
    }
    let at = |place: PlaceId| &places[place.index()];
    let all = |hours: u16| {
        let of = move |place: &PlaceId| at(*place).hours == hours;
        (0..places.len()).map(PlaceId::from_index).filter(of).collect::<Vec<PlaceId>>()
    };
    let mut settle = |covering: &mut Option<Vec<PlaceId>>, span, who: &str, crew: Option<&Crew>| {
        let works_at = crew.and_then(|crew| crew.places.first()).copied();
        let Some(stated) = covering else {
            *covering = Some(all(works_at.map_or(OF_THE_LINE, |place| at(place).hours)));
            return;
        };
        let first = works_at.or(stated.first().copied());
        let other = |first: &PlaceId| stated.iter().find(|place| at(**place).hours != at(*first).hours);
        if let Some((first, other)) = first.and_then(|first| Some((first, other(&first)?))) {
            let [one, other] = [first, *other].map(|place| at(place).name.as_str());
            desk.fault(words::covers_two_hours(span, who, one, other));
        }
    };
    for one in floaters {
        settle(&mut one.covering, one.span, "floaters", None);
    }
    for one in helping {
        let wants = |crew: &&Crew| crew.members.iter().any(|(_, id)| *id == one.group);
        let name = &staff.groups[one.group.index()].name;
        settle(&mut one.covering, one.span, name, staff.crews.iter().find(wants));
    }
}
