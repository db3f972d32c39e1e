//! Who may be away, and which tasks one absence stops.

use super::calendar::days;
use super::desk::Desk;
use super::people::Staff;
use super::quantity;
use crate::diagnostic::words::{calendar, people as words};
use crate::line::{Absence, Crew, Line, Need, Step, VISITOR, manning};
use crate::syntax::tree::{Head, Statement, Word};
use crate::units::join_and;

/// `absent 6 %, mon 9 %`
pub(super) fn absence(
    statement: &Statement,
    has_shifts: bool,
    staff: &Staff,
    desk: &mut Desk,
) -> Option<Absence> {
    let Head::Absent { share, on } = &statement.head else { return None };
    let before = desk.faults.len();
    let what = "the share of people who are absent";
    let of = |expr, desk: &mut Desk| quantity::share(expr, what, desk).map(|share| share.as_f64());
    let mut by_weekday = [of(share, desk).unwrap_or(0.0); 7];
    let mut said = [false; 7];
    for (first, last, expr) in on {
        let share = of(expr, desk).unwrap_or(0.0);
        for day in days(*first, *last) {
            if std::mem::replace(&mut said[day], true) {
                desk.fault(words::weekday_twice(expr.span, super::calendar::DAYS[day].1));
            }
            by_weekday[day] = share;
        }
    }
    if !staff.stated && !desk.is_broken(Word::People) {
        desk.fault(words::not_stated(statement.word_span, "absent"));
    }
    if !has_shifts && !desk.is_broken(Word::Shift) {
        let what = "who is absent is drawn at the start of each shift";
        desk.fault(calendar::no_calendar(statement.word_span, what));
    }
    (desk.faults.len() == before).then_some(Absence { by_weekday, span: statement.word_span })
}

/// The tasks that wait for a whole shift when one person is absent, where somebody may be.
pub(super) fn report_stopped(line: &Line, desk: &mut Desk) {
    let Some(absence) = line.absence else { return };
    if absence.by_weekday.iter().all(|share| *share == 0.0) {
        return;
    }
    let spare = line.spare_people();
    // Tasks of one crew that the same absence stops are one doubt, at the first of them.
    let mut doubts: Vec<(words::Missed, Vec<&Step>)> = Vec::new();
    for step in line.steps.iter().filter(|step| step.hold().is_none()) {
        let Some(crew) = line.places[step.place.index()].crew.map(|crew| &line.crews[crew.index()]) else {
            continue;
        };
        if let Some((needs, groups)) = stopped(line, step, crew, &spare) {
            let missed = words::Missed {
                wanted: needs_said(line, &needs),
                group: join_and(&groups),
                crew: crew.name.clone(),
                exactly: step.exactly,
            };
            match doubts.iter_mut().find(|(other, _)| *other == missed) {
                Some((_, steps)) => steps.push(step),
                None => doubts.push((missed, vec![step])),
            }
        }
    }
    for (missed, steps) in doubts {
        let names: Vec<&str> = steps.iter().map(|step| step.name.as_str()).collect();
        desk.fault(words::one_absence_stops(steps[0].span, &names, &missed));
    }
}

/// The needs that can't be met, for the first model for which they can't, and the groups any one of
/// whom is missed.
fn stopped<'l>(line: &'l Line, step: &Step, crew: &Crew, spare: &[u32]) -> Option<(Vec<Need>, Vec<&'l str>)> {
    let skills_without = |away: usize| -> Vec<u64> {
        let each = crew.members.iter().enumerate().flat_map(|(m, (count, group))| {
            let there = count - u32::from(m == away);
            std::iter::repeat_n(line.groups[group.index()].skills, there as usize)
        });
        each.collect()
    };
    for (model, needs) in step.needs.iter().enumerate().filter(|(model, _)| step.models[*model]) {
        if model > 0 && step.models[0] && *needs == step.needs[0] {
            continue;
        }
        let missed: Vec<&str> = (0..crew.members.len())
            // Visitors are never absent.
            .filter(|m| line.groups[crew.members[*m].1.index()].skills & VISITOR == 0)
            .filter(|m| spare[crew.members[*m].1.index()] == 0)
            .filter(|m| !line.has_floater_for(crew, crew.members[*m].1))
            .filter(|m| manning(needs, &skills_without(*m), step.exactly).is_none())
            .map(|m| line.groups[crew.members[m].1.index()].name.as_str())
            .collect();
        if !missed.is_empty() {
            return Some((needs.clone(), missed));
        }
    }
    None
}

fn needs_said(line: &Line, needs: &[Need]) -> String {
    let said: Vec<String> = needs
        .iter()
        .map(|need| match need.skill {
            Some(skill) => {
                let name = &line.skills[skill.index()];
                words::skilled(need.count, name, line.groups.iter().any(|group| group.name == *name))
            }
            None => crate::units::count_of(need.count as usize, "person"),
        })
        .collect();
    join_and(&said)
}
