//! People who move the units of a segment: of which crews, and whether there are so many.

use super::clauses::clause;
use super::desk::Desk;
use super::names::name_of;
use super::needs::{self, needs_said};
use super::people::Staff;
use super::places::Ground;
use crate::diagnostic::Span;
use crate::diagnostic::words::{people as words, statements as statement_words};
use crate::line::{Crew, GroupId, Need, Segment, VISITOR, most_filled};
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
        if rule.index() == Time::ZERO {
            let lasts = if rule.is_pushed() { "index 1.5 min" } else { "moving 0.5 min" };
            desk.fault(statement_words::clause_needs(clause.span, "by", "segment", lasts));
            continue;
        }
        let Some(needs) = needs::needs(list, &called, staff, desk) else { continue };
        let people = able(&ground.segments[segment], ground, staff);
        if fits(&needs, &people, &name.text, clause.span, staff, desk) {
            ground.segments[segment].movers = needs;
        }
    }
}

/// Reports what the people of the segment's crews can't fill, one by one or all at once.
fn fits(needs: &[Need], people: &[u64], segment: &str, span: Span, staff: &Staff, desk: &mut Desk) -> bool {
    let mut fits = true;
    for (k, need) in needs.iter().enumerate() {
        let alike = |other: &&Need| other.skill == need.skill;
        if needs[..k].iter().any(|other| other.skill == need.skill) {
            continue;
        }
        let count = needs.iter().filter(alike).map(|other| other.count).sum();
        let everybody = people.len() as u32;
        let has = most_filled(&[Need { count: everybody, ..*need }], people)[0];
        if count > has {
            let wanted = needs_said(&[Need { count, ..*need }], staff);
            desk.fault(words::too_few_movers(span, segment, &wanted, has));
            fits = false;
        }
    }
    let at_once = most_filled(needs, people).iter().sum::<u32>();
    if fits && at_once < needs.iter().map(|need| need.count).sum() {
        desk.fault(words::movers_not_at_once(span, segment, &needs_said(needs, staff), at_once));
        fits = false;
    }
    fits
}

/// Skills of everybody in the crews that serve its places, without visitors.
fn able(segment: &Segment, ground: &Ground, staff: &Staff) -> Vec<u64> {
    let serves =
        |crew: &&Crew| crew.places.iter().any(|place| segment.first <= *place && *place <= segment.last);
    let people = |crew: &Crew| -> Vec<u64> {
        let gangs = crew.gangs(|place| ground.place(place).bays);
        let skills = |(count, group): &(u32, GroupId)| {
            std::iter::repeat_n(staff.groups[group.index()].skills, (count * gangs) as usize)
        };
        crew.members.iter().flat_map(skills).collect()
    };
    let all = staff.crews.iter().filter(serves).flat_map(people);
    all.filter(|skills| skills & VISITOR == 0).collect()
}
