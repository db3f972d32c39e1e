//! People that a step takes, and whether its crew can fill them all at once.

use super::desk::Desk;
use super::people::Staff;
use super::quantity;
use crate::diagnostic::Span;
use crate::diagnostic::words::people as words;
use crate::line::{Crew, Need, Place, SkillId, VISITOR};
use crate::syntax::tree;
use crate::units::{count_of, join_and};

/// People of one step at most; more can't be in one crew.
pub(super) const MOST: u32 = 128;

/// The people of a `by` clause; `by 0` is nobody.
pub(super) fn needs(list: &[tree::Need], who: &str, staff: &Staff, desk: &mut Desk) -> Option<Vec<Need>> {
    needs_to(list, who, staff, desk).map(|(needs, _)| needs)
}

/// The same, and of each need the most (`by 2 to 4`).
pub(super) fn needs_to(
    list: &[tree::Need],
    who: &str,
    staff: &Staff,
    desk: &mut Desk,
) -> Option<(Vec<Need>, Vec<u32>)> {
    let mut found = Vec::new();
    let mut widest = Vec::new();
    let mut fine = true;
    for need in list {
        let what = format!("the number of people of {who}");
        let count = quantity::count(&need.count, &what, u32::from(need.most.is_some()), MOST, desk);
        let most = match (&need.most, count) {
            (None, _) => count,
            (Some(most), count) => quantity::count(most, &what, count.unwrap_or(1), MOST, desk),
        };
        let skill = match &need.skill {
            None => Some(None),
            Some(name) => staff.skill(name, desk).map(Some),
        };
        match (count, most, skill) {
            (Some(0), _, Some(_)) => {}
            (Some(count), Some(most), Some(skill)) => {
                found.push(Need { count, skill });
                widest.push(most);
            }
            (None, _, _) | (_, None, _) | (_, _, None) => fine = false,
        }
    }
    fine.then_some((found, widest))
}

/// Where nothing is said: one person where there is a crew, else nobody.
pub(super) fn unsaid(place: &Place) -> Vec<Need> {
    match place.crew {
        Some(_) => vec![Need { count: 1, skill: None }],
        None => Vec::new(),
    }
}

/// What a report says about the step.
pub(super) struct Asking<'a> {
    pub step: &'a str,
    pub span: Span,
    /// ` for T`, or empty.
    pub models: &'a str,
}

/// Reports needs that the full crew of the place can't fill at once.
pub(super) fn judge(needs: &[Need], asking: &Asking, place: &Place, staff: &Staff, desk: &mut Desk) -> bool {
    let wanted: u32 = needs.iter().map(|need| need.count).sum();
    if wanted == 0 {
        return true;
    }
    let Some(crew) = place.crew.map(|id| &staff.crews[id.index()]) else {
        desk.fault(words::no_crew(asking.span, asking.step, wanted, &place.name));
        return false;
    };
    // A crew whose clause is faulty has been reported and may lack members.
    if crew.members.is_empty() {
        return true;
    }
    let crew_said = match crew.name == place.name {
        true => format!("the crew of {}", place.name),
        false => format!("team {} at {}", crew.name, place.name),
    };
    if wanted > crew.size() {
        let fault = words::too_many_people(
            asking.span,
            asking.step,
            wanted,
            &crew_said,
            crew.size(),
            crew.span,
            asking.models,
        );
        desk.fault(fault);
        return false;
    }
    let before = desk.faults.len();
    for (index, need) in needs.iter().enumerate() {
        let Some(skill) = need.skill else { continue };
        if needs[..index].iter().any(|other| other.skill == need.skill) {
            continue;
        }
        let wanted: u32 =
            needs.iter().filter(|other| other.skill == need.skill).map(|other| other.count).sum();
        let has = able(crew, staff, skill.index());
        if wanted > has {
            let wanted = skilled(wanted, skill, staff);
            desk.fault(words::nobody_can(asking.span, asking.step, &wanted, &crew_said, has, asking.models));
        }
    }
    if desk.faults.len() > before {
        return false;
    }
    if !can_fill(needs, crew, staff) {
        let (needs, members) = (needs_said(needs, staff), members_said(crew, staff));
        let fault = words::not_at_once(asking.span, asking.step, &needs, &crew_said, &members, asking.models);
        desk.fault(fault);
        return false;
    }
    true
}

/// Whether the full crew of a place can fill them at once.
pub(super) fn can(needs: &[Need], place: &Place, staff: &Staff) -> bool {
    match place.crew.map(|id| &staff.crews[id.index()]) {
        Some(crew) => can_fill(needs, crew, staff),
        None => needs.iter().all(|need| need.count == 0),
    }
}

/// People of the crew who have a skill.
fn able(crew: &Crew, staff: &Staff, skill: usize) -> u32 {
    crew.members
        .iter()
        .filter(|(_, group)| staff.groups[group.index()].skills & (1 << skill) != 0)
        .map(|(count, _)| count)
        .sum()
}

/// One person per need: a matching of needs and people by augmenting paths (Kuhn 1955), people of
/// one group being alike.
fn can_fill(needs: &[Need], crew: &Crew, staff: &Staff) -> bool {
    let mut roles: Vec<u64> = Vec::new();
    for need in needs {
        let mask = need.skill.map_or(0, |skill| 1u64 << skill.index());
        roles.extend((0..need.count).map(|_| mask));
    }
    let groups: Vec<(usize, u64)> = crew
        .members
        .iter()
        .map(|(count, group)| (*count as usize, staff.groups[group.index()].skills))
        .collect();
    let mut taken: Vec<Vec<usize>> = vec![Vec::new(); groups.len()];
    (0..roles.len()).all(|role| place_role(role, &roles, &groups, &mut taken, &mut vec![false; groups.len()]))
}

fn place_role(
    role: usize,
    roles: &[u64],
    groups: &[(usize, u64)],
    taken: &mut [Vec<usize>],
    tried: &mut [bool],
) -> bool {
    for (index, (count, skills)) in groups.iter().enumerate() {
        let for_anybody = roles[role] == 0 && skills & VISITOR != 0;
        if tried[index] || for_anybody || roles[role] & !skills != 0 {
            continue;
        }
        tried[index] = true;
        if taken[index].len() < *count {
            taken[index].push(role);
            return true;
        }
        for position in 0..taken[index].len() {
            let other = taken[index][position];
            if place_role(other, roles, groups, taken, tried) {
                taken[index][position] = role;
                return true;
            }
        }
    }
    false
}

fn skilled(count: u32, skill: SkillId, staff: &Staff) -> String {
    let name = &staff.skills[skill.index()];
    words::skilled(count, name, staff.groups.iter().any(|group| group.name == *name))
}

pub(super) fn needs_said(needs: &[Need], staff: &Staff) -> String {
    let parts: Vec<String> = needs
        .iter()
        .map(|need| match need.skill {
            Some(skill) => skilled(need.count, skill, staff),
            None => count_of(need.count as usize, "person"),
        })
        .collect();
    join_and(&parts)
}

fn members_said(crew: &Crew, staff: &Staff) -> String {
    let parts: Vec<String> = crew
        .members
        .iter()
        .map(|(count, group)| {
            let group = &staff.groups[group.index()];
            match group.skills {
                0 => count_of(*count as usize, "person"),
                _ => format!("{count} {}", group.name),
            }
        })
        .collect();
    join_and(&parts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::line::{Group, GroupId};

    fn crew_of(groups: &[(u32, u64)]) -> (Crew, Staff) {
        let mut staff = Staff::default();
        for (index, (count, skills)) in groups.iter().enumerate() {
            let name = format!("g{index}");
            let group = Group { name, label: None, count: *count, skills: *skills, span: Span::default() };
            staff.groups.push(group);
        }
        let members = groups.iter().enumerate().map(|(i, (n, _))| (*n, GroupId::from_index(i))).collect();
        let crew = Crew {
            name: "c".to_string(),
            members,
            per_bay: false,
            places: Vec::new(),
            span: Span::default(),
        };
        (crew, staff)
    }

    fn need(count: u32, skill: Option<u8>) -> Need {
        Need { count, skill: skill.map(SkillId) }
    }

    #[test]
    fn one_person_fills_one_need() {
        // One who can 0 and 1, one who can 0.
        let (crew, staff) = crew_of(&[(1, 0b11), (1, 0b01)]);
        assert!(can_fill(&[need(1, Some(0)), need(1, Some(1))], &crew, &staff));
        assert!(!can_fill(&[need(2, Some(1))], &crew, &staff));
        let (crew, staff) = crew_of(&[(1, 0b11), (1, 0b00)]);
        assert!(!can_fill(&[need(1, Some(0)), need(1, Some(1))], &crew, &staff));
    }

    #[test]
    fn people_make_room_for_one_another() {
        // The general need takes the first person until the skilled need wants that one.
        let (crew, staff) = crew_of(&[(2, 0b1), (1, 0b0)]);
        assert!(can_fill(&[need(1, None), need(2, Some(0))], &crew, &staff));
        assert!(!can_fill(&[need(2, None), need(2, Some(0))], &crew, &staff));
    }
}
