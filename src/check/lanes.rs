//! Lanes: which places they hold, which units take them, and what must not reach across them.

use super::clauses::clause;
use super::desk::Desk;
use super::exact::Exact;
use super::mix;
use super::names::{Kind, Names, name_of};
use super::places::Ground;
use super::quantity::{self, said};
use super::steps::Steps;
use super::times::sum_to_one;
use crate::diagnostic::words::{lanes as words, names as name_words, statements as statement_words};
use crate::line::{Chosen, Lane, Lanes, Model};
use crate::syntax::tree::{ChosenBy, ClauseKind, Head, Name, Statement, Word};

/// The group that a `lane` statement belongs to.
pub(super) fn group_of(lane: &Statement) -> Option<&Name> {
    if lane.word != Word::Lane {
        return None;
    }
    let (spans, _) = clause!(lane, ClauseKind::Of(spans) => spans)?;
    spans.first().map(|(name, _)| name)
}

/// Places of the line (numbers of their statements) in its order, the lanes of each group one behind the other
/// where the first place of any of them stands.
pub(super) fn side_by_side(
    order: Vec<usize>,
    in_lanes: &[Option<usize>],
    lanes: &[&Statement],
) -> Vec<usize> {
    let group = |place: usize| {
        let lane = lanes[in_lanes[place]?];
        // A lane of no group stands for itself.
        Some(group_of(lane).map_or_else(|| name_of(lane).text, |name| format!("of {}", name.text)))
    };
    let mut found: Vec<usize> = Vec::with_capacity(order.len());
    for place in &order {
        if found.contains(place) {
            continue;
        }
        let Some(name) = group(*place) else {
            found.push(*place);
            continue;
        };
        let mut members: Vec<usize> =
            order.iter().copied().filter(|other| group(*other).as_ref() == Some(&name)).collect();
        members.sort_by_key(|place| in_lanes[*place]);
        found.extend(members);
    }
    found
}

/// The groups in the order of the line; those that are faulty in themselves are left out. `lanes` and `lane`
/// statements in file order.
pub(super) fn lanes(
    (groups, lanes): &(Vec<&Statement>, Vec<&Statement>),
    ground: &Ground,
    models: &[Model],
    names: &Names,
    desk: &mut Desk,
) -> Vec<Lanes> {
    for lane in lanes {
        let name = name_of(lane);
        match group_of(lane) {
            Some(group) => drop(names.find(Kind::Lanes, group, desk)),
            None => {
                let (who, example) = (format!("lane {}", name.text), format!("lane {} of booths", name.text));
                desk.fault(statement_words::missing_clause(name.span, &who, "`of`", &example));
            }
        }
    }
    let mut found: Vec<Lanes> = Vec::new();
    for statement in groups {
        let own = |(_, lane): &(usize, &&Statement)| {
            group_of(lane).is_some_and(|group| group.text == name_of(statement).text)
        };
        let own: Vec<(usize, &Statement)> =
            lanes.iter().enumerate().filter(own).map(|(index, lane)| (index, *lane)).collect();
        found.extend(one(statement, &own, ground, models, names, desk));
    }
    found.sort_by_key(|lanes| lanes.first());
    found.iter().for_each(|lanes| judge_place(lanes, ground, desk));
    found
}

fn one(
    statement: &Statement,
    own: &[(usize, &Statement)],
    ground: &Ground,
    models: &[Model],
    names: &Names,
    desk: &mut Desk,
) -> Option<Lanes> {
    let name = name_of(statement);
    let Some((chosen, _)) = clause!(statement, ClauseKind::Chosen(by) => *by) else {
        let (who, example) =
            (format!("lanes {}", name.text), format!("lanes {} chosen by the shortest queue", name.text));
        desk.fault(statement_words::missing_clause(name.span, &who, "`chosen`", &example));
        return None;
    };
    if own.len() < 2 {
        // A lane that could not be read is none too few.
        if !desk.is_broken(Word::Lane) {
            desk.fault(words::only_one(name.span, &name.text));
        }
        return None;
    }
    let chosen = match chosen {
        ChosenBy::Model => Chosen::ByModel,
        ChosenBy::Share => Chosen::ByShare,
        ChosenBy::ShortestQueue => Chosen::ByShortestQueue,
    };
    let shares = match chosen {
        Chosen::ByShare => shares(&name, own, desk),
        Chosen::ByModel | Chosen::ByShortestQueue => vec![0.0; own.len()],
    };
    let mut lanes = Vec::with_capacity(own.len());
    for ((index, lane), share) in own.iter().zip(shares) {
        let (name, only) = (name_of(lane), clause!(lane, ClauseKind::Only(list) => list));
        if let (Chosen::ByShare, Some((_, only))) = (chosen, only) {
            desk.fault(words::share_and_models(only.span, &name.text));
        }
        let only = only.map(|(list, _)| list.as_slice());
        let models = mix::applies(only, names, models.len(), desk);
        let Some((first, last)) = ground.lanes[*index] else {
            desk.fault(words::without_places(name.span, &name.text));
            return None;
        };
        let (label, span) = (mix::label(lane), name.span);
        lanes.push(Lane { name: name.text, label, first, last, models, share, span });
    }
    judge_models(&name, chosen, &lanes, models, desk);
    let (label, draws_as) = (mix::label(statement), mix::draws_as(statement, &name));
    Some(Lanes { name: name.text, label, chosen, lanes, draws_as, span: name.span })
}

/// The shares of the lanes, which sum to 1.
fn shares(group: &Name, lanes: &[(usize, &Statement)], desk: &mut Desk) -> Vec<f64> {
    let mut found: Vec<(Exact, String)> = Vec::new();
    for (_, lane) in lanes {
        let name = name_of(lane);
        match &lane.head {
            Head::Value(expr) => {
                let share = quantity::share(expr, &format!("the share of lane {}", name.text), desk);
                found.extend(share.map(|share| (share, said(expr))));
            }
            _ => {
                let (who, example) =
                    (format!("lane {}", name.text), format!("lane {} 50 % of {}", name.text, group.text));
                desk.fault(statement_words::missing_clause(name.span, &who, "a share", &example));
            }
        }
    }
    let equal = vec![1.0 / lanes.len() as f64; lanes.len()];
    if found.len() < lanes.len() {
        return equal;
    }
    sum_to_one(&found, &format!("the shares of lanes {}", group.text), group.span, desk).unwrap_or(equal)
}

/// Units of every model have a lane, and only one where the model decides.
fn judge_models(group: &Name, chosen: Chosen, lanes: &[Lane], models: &[Model], desk: &mut Desk) {
    for (m, model) in models.iter().enumerate() {
        let takes: Vec<String> =
            lanes.iter().filter(|lane| lane.models[m]).map(|lane| lane.name.clone()).collect();
        match chosen {
            Chosen::ByModel if takes.len() != 1 => {
                desk.fault(words::not_one_lane(group.span, &group.text, &model.name, &takes));
                return;
            }
            Chosen::ByShortestQueue if takes.is_empty() => {
                desk.fault(words::no_way_for(group.span, &group.text, &model.name));
            }
            Chosen::ByModel | Chosen::ByShortestQueue | Chosen::ByShare => {}
        }
    }
    for lane in lanes.iter().filter(|lane| !lane.models.contains(&true)) {
        desk.fault(name_words::unused(lane.span, &lane.name, "lane", "let it take some model"));
    }
}

/// A place of the line stands before them and one behind them, and all of it moves when ready.
fn judge_place(lanes: &Lanes, ground: &Ground, desk: &mut Desk) {
    let on_line = |index: &usize| {
        *index < ground.on_line && ground.lane_of(crate::line::PlaceId::from_index(*index)).is_none()
    };
    let before = lanes.first().index().checked_sub(1).filter(on_line);
    let behind = Some(lanes.last().index() + 1).filter(on_line);
    for (place, side) in [(before, "before"), (behind, "behind")] {
        if place.is_none() {
            desk.fault(words::no_place(lanes.span, &lanes.name, side));
        }
    }
    let all = before.into_iter().chain(lanes.first().index()..=lanes.last().index()).chain(behind);
    for place in all.map(|index| &ground.places[index]) {
        let segment = place.segment.map(|id| &ground.segments[id.index()]);
        if let Some(segment) = segment.filter(|segment| segment.rule.is_pushed()) {
            desk.fault(words::beside_a_push(lanes.span, &lanes.name, &place.name, &segment.name));
            return;
        }
    }
}

/// Work in a lane is for the models that take it.
pub(super) fn settle(all: &[Lanes], steps: &mut Steps, desk: &mut Desk) {
    for (step, _) in steps.steps.iter_mut().zip(&steps.placed).filter(|(_, placed)| **placed) {
        let lane = all.iter().find_map(|lanes| Some(&lanes.lanes[lanes.lane_of(step.place)?]));
        let Some(lane) = lane else { continue };
        let had = step.models.contains(&true);
        step.models.iter_mut().zip(&lane.models).for_each(|(has, takes)| *has &= takes);
        if had && !step.models.contains(&true) {
            desk.fault(words::nobody_has_it(step.span, &step.name, &lane.name));
        }
    }
}
