//! Equipment, zones and how many people they hold.

use super::clauses::clause;
use super::desk::Desk;
use super::mix::label;
use super::names::{Kind, Names, name_of};
use super::places::Ground;
use super::quantity;
use super::steps::Steps;
use crate::diagnostic::words::{ranges, statements as words};
use crate::line::{Equipment, EquipmentId, Keep, PlaceId, RoomCap, StepId, Zone, ZoneId};
use crate::syntax::tree::{ClauseKind, Head, Name, Statement};
use crate::units::Time;

/// Pieces of one kind of equipment, people in one zone.
const MOST: u32 = 10_000;

/// Equipment and, per kind, the places it serves (all where it names none).
pub(super) struct Gear {
    pub equipment: Vec<Equipment>,
    pub serves: Vec<Option<Vec<PlaceId>>>,
}

pub(super) fn gear(statements: &[&Statement], ground: &Ground, names: &Names, desk: &mut Desk) -> Gear {
    let mut gear = Gear { equipment: Vec::new(), serves: Vec::new() };
    for statement in statements {
        let name = name_of(statement);
        let count = match &statement.head {
            Head::Value(expr) => {
                quantity::count(expr, &format!("the number of {}", name.text), 1, MOST, desk)
            }
            _ => Some(1),
        };
        let serving = clause!(statement, ClauseKind::Serving(spans) => spans);
        let serves: Option<Vec<PlaceId>> = serving
            .map(|(spans, _)| ground.spans(spans, names, desk).into_iter().map(|(id, ..)| id).collect());
        let moving = clause!(statement, ClauseKind::Moving(moving) => moving)
            .and_then(|(way, _)| quantity::time(way, &format!("the way of {}", name.text), desk));
        gear.equipment.push(Equipment {
            moving: moving.unwrap_or(Time::ZERO),
            first: Vec::new(),
            label: label(statement),
            count: count.unwrap_or(MOST),
            serves: serves.clone().unwrap_or_default(),
            name: name.text,
            span: name.span,
        });
        gear.serves.push(serves);
    }
    gear
}

/// The equipment with the tasks that get it before others; each must take it.
pub(super) fn with_ranks(
    mut equipment: Vec<Equipment>,
    statements: &[&Statement],
    (steps, keeps): (&Steps, &[Keep]),
    names: &Names,
    desk: &mut Desk,
) -> Vec<Equipment> {
    for (index, statement) in statements.iter().enumerate() {
        let Some((ranks, _)) = clause!(statement, ClauseKind::First(ranks) => ranks) else { continue };
        let mut first: Vec<Vec<StepId>> = Vec::new();
        for rank in ranks {
            let mut of_rank = Vec::new();
            for name in rank {
                let found = names.find(Kind::Work, name, desk).and_then(|found| steps.of_name[found]);
                let Some(step) = found else { continue };
                let id = EquipmentId::from_index(index);
                let uses = steps.steps[step.index()].equipment.iter().any(|(e, _)| *e == id);
                let keeps = keeps.iter().any(|keep| keep.equipment == id && keep.from == step);
                if !uses && !keeps {
                    desk.fault(ranges::does_not_take(name.span, &name.text, &equipment[index].name));
                } else if of_rank.contains(&step) || first.iter().flatten().any(|other| *other == step) {
                    desk.fault(words::repeated_in_list(name.span, &name.text, "first"));
                } else {
                    of_rank.push(step);
                }
            }
            first.push(of_rank);
        }
        equipment[index].first = first;
    }
    super::windows::judge_keeps(keeps, &steps.steps, &equipment, desk);
    equipment
}

/// The zones and their caps, then the joint caps of `limit` statements.
pub(super) fn room(
    zones: &[&Statement],
    limits: &[&Statement],
    ground: &Ground,
    names: &Names,
    desk: &mut Desk,
) -> (Vec<Zone>, Vec<RoomCap>) {
    let mut caps = Vec::new();
    let mut found = Vec::new();
    for (index, statement) in zones.iter().enumerate() {
        let name = name_of(statement);
        caps.extend(cap(statement, &name, Some(vec![ZoneId::from_index(index)]), ground, names, desk));
        found.push(Zone { label: label(statement), name: name.text, span: name.span });
    }
    for statement in limits {
        let name = name_of(statement);
        let of = clause!(statement, ClauseKind::Of(list) => list);
        let zones = of.map(|(list, _)| zones_of(list, names, desk));
        match cap(statement, &name, zones, ground, names, desk) {
            Some(cap) => caps.push(cap),
            None => {
                let who = format!("limit {}", name.text);
                let example = format!("limit {} of floor, walls up to 3 people", name.text);
                desk.fault(words::missing_clause(name.span, &who, "`up to`", &example));
            }
        }
    }
    (found, caps)
}

fn zones_of(list: &[(Name, Option<Name>)], names: &Names, desk: &mut Desk) -> Vec<ZoneId> {
    let mut zones: Vec<ZoneId> = Vec::new();
    for (from, to) in list {
        let first = names.find(Kind::Zone, from, desk);
        let last = to.as_ref().map_or(first, |to| names.find(Kind::Zone, to, desk));
        let (Some(first), Some(last)) = (first, last) else { continue };
        for index in first.min(last)..=first.max(last) {
            let zone = ZoneId::from_index(index);
            match zones.contains(&zone) {
                true => desk.fault(words::repeated_in_list(from.span, &from.text, "of")),
                false => zones.push(zone),
            }
        }
    }
    zones
}

/// `up to 3 people`, `up to 4 people at A06`; `None` without such a clause.
fn cap(
    statement: &Statement,
    name: &Name,
    zones: Option<Vec<ZoneId>>,
    ground: &Ground,
    names: &Names,
    desk: &mut Desk,
) -> Option<RoomCap> {
    let mut general: Option<(u32, crate::diagnostic::Span)> = None;
    let mut at: Vec<(PlaceId, u32)> = Vec::new();
    let mut any = false;
    for clause in &statement.clauses {
        let ClauseKind::UpTo { people, at: place } = &clause.kind else { continue };
        any = true;
        let people = quantity::count(people, &format!("the people in {}", name.text), 0, MOST, desk);
        match place {
            None => match general {
                Some((_, first)) => {
                    desk.fault(words::repeated_clause(clause.span, first, "up to", statement.word.text()));
                }
                None => general = Some((people.unwrap_or(MOST), clause.span)),
            },
            Some(place) => {
                let id = ground.find(place, names, desk);
                if let (Some(id), Some(people)) = (id, people) {
                    match at.iter().any(|(known, _)| *known == id) {
                        true => desk.fault(words::repeated_in_list(place.span, &place.text, "up to")),
                        false => at.push((id, people)),
                    }
                }
            }
        }
    }
    // With caps at some stations only, the others have none that could bind.
    let people = general.map_or(MOST, |(people, _)| people);
    if zones.is_none() {
        // Room on a unit of the line says nothing of the parts on a feeder's bench.
        let benches = ground.feeders.iter().flatten().flat_map(|(first, last)| first.index()..=last.index());
        at.extend(benches.map(|place| (PlaceId::from_index(place), u32::MAX)));
    }
    any.then(|| RoomCap { name: name.text.clone(), zones, people, at, span: name.span })
}
