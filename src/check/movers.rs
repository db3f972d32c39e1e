//! People who move the units of a segment: of which crews, and whether there are so many.

use super::clauses::clause;
use super::desk::Desk;
use super::names::name_of;
use super::needs;
use super::people::Staff;
use super::places::Ground;
use crate::diagnostic::words::{limits, people as words, statements as statement_words};
use crate::line::{Crew, Need, Segment, VISITOR};
use crate::syntax::tree::{ClauseKind, Statement};
use crate::units::Time;

/// Puts them into the segments. Needs every crew.
pub(super) fn movers(statements: &[&Statement], ground: &mut Ground, staff: &Staff, desk: &mut Desk) {
    for statement in statements {
        let Some((list, clause)) = clause!(statement, ClauseKind::By(list) => list) else { continue };
        let name = name_of(statement);
        let called = format!("segment {}", name.text);
        let found = ground.segments.iter().position(|segment| segment.name == name.text);
        let Some(segment) = found else { continue };
        let rule = ground.segments[segment].rule;
        if !rule.is_pushed() {
            // People who move one unit at a time.
            desk.fault(limits::movers_one_by_one(clause.span, &name.text));
            continue;
        }
        if rule.index() == Time::ZERO {
            desk.fault(statement_words::clause_needs(clause.span, "by", "segment", "index 1.5 min"));
            continue;
        }
        if list.len() > 1 {
            desk.fault(limits::clause_not_modelled(list[1].span, "by ... , ...", "segment"));
            continue;
        }
        let Some(needs) = needs::needs(list, &called, staff, desk) else { continue };
        let Some(need) = needs.first().copied() else { continue };
        let has = able(&ground.segments[segment], need, ground, staff);
        if need.count > has {
            let wanted = match need.skill {
                Some(skill) => {
                    let skill = &staff.skills[skill.index()];
                    words::skilled(need.count, skill, staff.groups.iter().any(|group| group.name == *skill))
                }
                None => crate::units::count_of(need.count as usize, "person"),
            };
            desk.fault(words::too_few_movers(clause.span, &name.text, &wanted, has));
            continue;
        }
        ground.segments[segment].movers = Some(need);
    }
}

/// People of the crews that serve its places who can do it, and are no visitors.
fn able(segment: &Segment, need: Need, ground: &Ground, staff: &Staff) -> u32 {
    let serves =
        |crew: &&Crew| crew.places.iter().any(|place| segment.first <= *place && *place <= segment.last);
    let can = |skills: u64| {
        skills & VISITOR == 0 && need.skill.is_none_or(|skill| skills >> skill.index() & 1 == 1)
    };
    let heads = |crew: &Crew| -> u32 {
        let members = crew.members.iter().filter(|(_, group)| can(staff.groups[group.index()].skills));
        let gangs = crew.gangs(|place| ground.place(place).bays);
        members.map(|(count, _)| count).sum::<u32>() * gangs
    };
    staff.crews.iter().filter(serves).map(heads).sum()
}
