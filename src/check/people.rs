//! People and crews: who exists, who can do what, who is wanted where.

use super::clauses::clause;
use super::desk::Desk;
use super::mix::label;
use super::names::{Kind, Names, name_of};
use super::places::Ground;
use super::quantity;
use super::visitors;
use crate::diagnostic::Span;
use crate::diagnostic::words::{limits, people as words, precedence, statements as statement_words};
use crate::line::{Crew, CrewId, Group, GroupId, PlaceId, PlaceKind, SkillId, VISITOR, Visitor, wanted};
use crate::syntax::tree::{ClauseKind, Expr, Head, Name, Statement, Word};
use crate::units::count_of;
use std::collections::BTreeMap;

/// Skills have a bit each, and visitors one.
const SKILLS: usize = 63;
/// People of one crew (of one bay's, if per bay).
const CREW: u32 = 128;
/// People of one group.
const GROUP: u32 = 100_000;

/// Everybody.
#[derive(Default)]
pub(super) struct Staff {
    pub skills: Vec<String>,
    pub groups: Vec<Group>,
    pub crews: Vec<Crew>,
    pub visitors: Vec<Visitor>,
    /// The file has `people` statements.
    pub stated: bool,
    /// How many groups come from them.
    stated_groups: usize,
}

impl Staff {
    /// A skill or a group of that name; an unknown one is reported.
    pub fn skill(&self, name: &Name, desk: &mut Desk) -> Option<SkillId> {
        let found = self.skills.iter().position(|skill| *skill == name.text);
        if found.is_none() && !desk.is_broken(Word::People) {
            let near = desk.near(&name.text, self.skills.iter().map(String::as_str));
            desk.fault(crate::diagnostic::words::names::unknown_skill(
                name.span,
                &name.text,
                &near,
                self.stated_groups > 0,
            ));
        }
        found.map(SkillId::from_index)
    }

    /// How many of a group that the file states are in no crew.
    pub fn free_of(&self, group: GroupId, ground: &Ground) -> u32 {
        self.left_of(group, ground).unwrap_or(0)
    }

    /// As `free_of`; `None` where the crews want more than there are.
    pub fn left_of(&self, group: GroupId, ground: &Ground) -> Option<u32> {
        self.groups[group.index()].count.checked_sub(self.wanted(ground)[group.index()])
    }

    fn wanted(&self, ground: &Ground) -> Vec<u32> {
        wanted(self.groups.len(), &self.crews, |place| ground.place(place).bays)
    }

    /// The groups that the file states and no crew wants.
    pub fn idle_groups(&self) -> impl Iterator<Item = &Group> {
        self.groups[..self.stated_groups].iter().enumerate().filter_map(|(index, group)| {
            let wanted = |crew: &Crew| crew.members.iter().any(|(_, id)| id.index() == index);
            (!self.crews.iter().any(wanted)).then_some(group)
        })
    }
}

/// The statements that say who exists and who is wanted.
pub(super) struct Asked<'s> {
    /// `people` and `visitor`
    pub people: Vec<&'s Statement>,
    pub teams: Vec<&'s Statement>,
    /// Stations, racks and repair bays in file order.
    pub places: Vec<&'s Statement>,
}

pub(super) fn staff(asked: &Asked, ground: &mut Ground, names: &Names, desk: &mut Desk) -> Staff {
    let mut staff = Staff {
        stated: asked.people.iter().any(|statement| statement.word == Word::People),
        ..Staff::default()
    };
    for statement in &asked.people {
        group(statement, &mut staff, desk);
    }
    staff.stated_groups = staff.groups.len();
    for statement in &asked.places {
        own_crew(statement, &mut staff, ground, names, desk);
    }
    for statement in &asked.teams {
        team(statement, &mut staff, ground, names, desk);
    }
    if staff.skills.len() > SKILLS {
        let span = asked.people.first().map_or(Span::default(), |statement| statement.span);
        let found = staff.skills.len().to_string();
        desk.fault(limits::over_limit(span, "skills and groups of people", &found, &SKILLS.to_string()));
        staff.skills.truncate(SKILLS);
    }
    count_wanted(&staff, ground, desk);
    staff
}

/// The bit of a skill, new ones added; skills beyond the limit get none (which is reported).
fn skill_bit(name: &str, skills: &mut Vec<String>) -> u64 {
    let index = skills.iter().position(|skill| skill == name).unwrap_or_else(|| {
        skills.push(name.to_string());
        skills.len() - 1
    });
    if index < SKILLS { 1 << index } else { 0 }
}

fn group(statement: &Statement, staff: &mut Staff, desk: &mut Desk) {
    let name = name_of(statement);
    let count = match &statement.head {
        Head::Value(expr) => quantity::count(expr, &format!("the number of {}", name.text), 1, GROUP, desk),
        _ => {
            let who = format!("{} {}", statement.word.text(), name.text);
            let example = format!("{who} 4");
            desk.fault(statement_words::missing_clause(name.span, &who, "a number", &example));
            None
        }
    };
    let mut skills = skill_bit(&name.text, &mut staff.skills);
    if let Some((can, _)) = clause!(statement, ClauseKind::Can(list) => list) {
        for skill in can {
            skills |= skill_bit(&skill.text, &mut staff.skills);
        }
    }
    if statement.word == Word::Visitor {
        skills |= VISITOR;
        let group = GroupId::from_index(staff.groups.len());
        staff.visitors.extend(visitors::visitor(statement, group, desk));
    }
    // A faulty number must not make every crew too large.
    let count = count.unwrap_or(GROUP);
    staff.groups.push(Group { label: label(statement), count, skills, name: name.text, span: name.span });
}

/// `station A05 crew 2 testers per bay`
fn own_crew(statement: &Statement, staff: &mut Staff, ground: &mut Ground, names: &Names, desk: &mut Desk) {
    if statement.word == Word::Rack {
        return;
    }
    let name = name_of(statement);
    let Some(index) = names.roll(Kind::Place).find(&name.text) else { return };
    // Of two stations of one name the first has it; the second has been reported.
    if names.roll(Kind::Place).span(index) != name.span {
        return;
    }
    let Some(id) = ground.find(&name, names, desk) else { return };
    let found = clause!(statement, ClauseKind::Crew { members, per_bay } => (members, *per_bay));
    let Some(((members, per_bay), clause)) = found else { return };
    let members = self::members(members, &name.text, clause.span, staff, names, desk);
    add_crew(Crew { name: name.text, members, per_bay, places: vec![id], span: clause.span }, staff, ground);
}

fn add_crew(crew: Crew, staff: &mut Staff, ground: &mut Ground) {
    let id = CrewId::from_index(staff.crews.len());
    for place in &crew.places {
        ground.places[place.index()].crew = Some(id);
    }
    staff.crews.push(crew);
}

/// `team testers crew 3 testers serving B11, B12`
fn team(statement: &Statement, staff: &mut Staff, ground: &mut Ground, names: &Names, desk: &mut Desk) {
    let name = name_of(statement);
    let who = format!("team {}", name.text);
    let crew = clause!(statement, ClauseKind::Crew { members, per_bay } => (members, *per_bay));
    let serving = clause!(statement, ClauseKind::Serving(spans) => spans);
    if crew.is_none() {
        let example = format!("team {} crew 3 serving A05, A06", name.text);
        desk.fault(statement_words::missing_clause(name.span, &who, "a `crew`", &example));
    }
    if serving.is_none() {
        let example = format!("team {} crew 3 serving A05, A06", name.text);
        desk.fault(statement_words::missing_clause(name.span, &who, "`serving`", &example));
    }
    let members = crew.map(|((list, per_bay), clause)| {
        (members(list, &name.text, clause.span, staff, names, desk), per_bay, clause.span)
    });
    let places = serving.map(|(spans, _)| served(spans, &name, staff, ground, names, desk));
    let (Some((members, per_bay, span)), Some(places)) = (members, places) else { return };
    if per_bay && places.len() > 1 {
        let other = serving.map_or(span, |(_, clause)| clause.span);
        let served = count_of(places.len(), "place");
        desk.fault(statement_words::per_bay_and_serving(span, other, &name.text, &served));
    }
    add_crew(Crew { name: name.text, members, per_bay, places, span }, staff, ground);
}

/// The places that a team serves; racks inside a range are passed over.
fn served(
    spans: &[(Name, Option<Name>)],
    team: &Name,
    staff: &Staff,
    ground: &Ground,
    names: &Names,
    desk: &mut Desk,
) -> Vec<PlaceId> {
    let mut places: Vec<PlaceId> = Vec::new();
    for (id, span, named) in ground.spans(spans, names, desk) {
        let place = ground.place(id);
        if place.kind == PlaceKind::Rack {
            if named {
                desk.fault(precedence::team_at_rack(span, &team.text, &place.name));
            }
        } else if places.contains(&id) {
            desk.fault(statement_words::repeated_in_list(span, &place.name, "serving"));
        } else if let Some(crew) = place.crew {
            let crew = &staff.crews[crew.index()];
            let one =
                if crew.name == place.name { "its own".to_string() } else { format!("team {}", crew.name) };
            let other = format!("team {}", team.text);
            desk.fault(statement_words::two_crews(span, crew.span, &place.name, &one, &other));
        } else {
            places.push(id);
        }
    }
    places
}

/// The members of a crew. A bare number means people of a nameless group named like the crew.
fn members(
    list: &[(Expr, Option<Name>)],
    crew: &str,
    span: Span,
    staff: &mut Staff,
    names: &Names,
    desk: &mut Desk,
) -> Vec<(u32, GroupId)> {
    let mut found: Vec<(u32, GroupId)> = Vec::new();
    for (count, group) in list {
        let what = match group {
            Some(group) => format!("the number of {} in the crew of {crew}", group.text),
            None => format!("the crew of {crew}"),
        };
        let count = quantity::count(count, &what, 1, CREW, desk);
        let id = match group {
            Some(name) if staff.stated => {
                let id = names.find(Kind::People, name, desk).map(GroupId::from_index);
                if let Some(id) = id.filter(|id| found.iter().any(|(_, other)| other == id)) {
                    desk.fault(statement_words::repeated_in_list(
                        name.span,
                        &staff.groups[id.index()].name,
                        "crew",
                    ));
                }
                id
            }
            Some(name) => Some(implied_group(name, staff)),
            None => {
                let group = Group { name: crew.to_string(), label: None, count: 0, skills: 0, span };
                staff.groups.push(group);
                Some(GroupId::from_index(staff.groups.len() - 1))
            }
        };
        if let (Some(count), Some(id)) = (count, id) {
            found.push((count, id));
        }
    }
    let size: u32 = found.iter().map(|(n, _)| n).sum();
    if size > CREW {
        desk.fault(limits::over_limit(
            span,
            &format!("people in the crew of {crew}"),
            &size.to_string(),
            &CREW.to_string(),
        ));
    }
    found
}

/// Without `people` statements a group is there as soon as a crew names it.
fn implied_group(name: &Name, staff: &mut Staff) -> GroupId {
    let known = staff.groups.iter().position(|group| group.name == name.text && group.skills != 0);
    let index = known.unwrap_or_else(|| {
        let skills = skill_bit(&name.text, &mut staff.skills);
        staff.groups.push(Group { name: name.text.clone(), label: None, count: 0, skills, span: name.span });
        staff.groups.len() - 1
    });
    GroupId::from_index(index)
}

/// Adds up who is wanted: stated groups must suffice, implied ones are as large as wanted.
fn count_wanted(staff: &Staff, ground: &Ground, desk: &mut Desk) {
    let mut wanted: BTreeMap<GroupId, Vec<(u64, String)>> = BTreeMap::new();
    for crew in &staff.crews {
        let bays = u64::from(crew.gangs(|place| ground.place(place).bays));
        for (count, group) in &crew.members {
            let text = match bays {
                1 => format!("{} {count}", crew.name),
                bays => format!("{} {bays} x {count}", crew.name),
            };
            wanted.entry(*group).or_default().push((u64::from(*count) * bays, text));
        }
    }
    for (id, parts) in &wanted {
        let sum: u64 = parts.iter().map(|(n, _)| n).sum();
        let group = &staff.groups[id.index()];
        if id.index() < staff.stated_groups && sum > u64::from(group.count) {
            let texts: Vec<&str> = parts.iter().map(|(_, text)| text.as_str()).collect();
            desk.fault(words::not_enough_people(
                group.span,
                &group.name,
                group.count,
                sum,
                &texts.join(", "),
            ));
        }
    }
}

/// Implied groups are as large as all crews want them.
pub(super) fn size_implied_groups(staff: &mut Staff, ground: &Ground) {
    let wanted = staff.wanted(ground);
    for (group, wanted) in staff.groups.iter_mut().zip(wanted).skip(staff.stated_groups) {
        group.count = wanted;
    }
}
