//! Feeders: short lines in braces, what they make, and what they must not have to do with the line.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::names::{Kind, Names, name_of};
use super::places::Ground;
use super::quantity;
use super::steps::Steps;
use crate::diagnostic::words::{feeders as words, lanes as lane_words};
use crate::line::{Builds, Feeder, OutcomeKind, Part, PartId, PlaceId, Step, StepId, Test, Window};
use crate::syntax::tree::{BuildsSpec, ClauseKind, Statement, Word};
use crate::units::Time;

/// Parts on one truck, and units by which an order comes ahead, at most.
const MOST: u32 = 10_000;

/// A statement and, behind a feeder or a lane, those in its braces.
pub(super) fn take_in<'a>(statement: &'a Statement, items: &mut Vec<Item<'a>>, desk: &mut Desk) {
    items.push(Item::new(statement));
    let name = name_of(statement);
    for inner in &statement.body {
        let work = matches!(Kind::of(inner.word), Some(Kind::Place | Kind::Work))
            || matches!(inner.word, Word::Window | Word::Keep);
        let item = Item::new(inner);
        match statement.word {
            Word::Feeder if work || inner.word == Word::Shift => {
                items.push(Item { feeder: Some(name.clone()), ..item });
            }
            Word::Lane if work => items.push(Item { lane: Some(name.clone()), ..item }),
            Word::Lane => desk.fault(lane_words::not_in_lane(inner.word_span, inner.word.text(), &name.text)),
            _ => desk.fault(words::not_in_feeder(inner.word_span, inner.word.text(), &name.text)),
        }
    }
}

/// What the trucks of a feeder are like.
struct Trucks {
    size: Option<u32>,
    every: Option<Time>,
    way: Option<Time>,
}

fn trucks_of(statement: &Statement, feeder: &str, desk: &mut Desk) -> Trucks {
    let Some((size, _)) = clause!(statement, ClauseKind::Trucks { size, .. } => size) else {
        return Trucks { size: None, every: None, way: None };
    };
    let size = quantity::count(size, &format!("the parts on one truck of {feeder}"), 1, MOST, desk);
    let every = clause!(statement, ClauseKind::Trucks { every: Some(every), .. } => every);
    let every = every.and_then(|(every, _)| {
        quantity::time_above_zero(every, &format!("the time between trucks of {feeder}"), desk)
    });
    let way = clause!(statement, ClauseKind::Trucks { way: Some(way), .. } => way);
    let way = way.and_then(|(way, _)| {
        quantity::time_above_zero(way, &format!("the way of a truck of {feeder}"), desk)
    });
    Trucks { size, every, way }
}

/// The feeders, in file order; those without a place are left out.
pub(super) fn feeders(
    statements: &[&Statement],
    (ground, hours): (&Ground, &[u16]),
    parts: &[Part],
    names: &Names,
    desk: &mut Desk,
) -> Vec<Feeder> {
    let mut found = Vec::new();
    for ((statement, places), hours) in statements.iter().zip(&ground.feeders).zip(hours) {
        let name = name_of(statement);
        let trucks = clause!(statement, ClauseKind::Trucks { every, .. } => every);
        let Trucks { size: truck, every, way } = trucks_of(statement, &name.text, desk);
        let builds = match clause!(statement, ClauseKind::Builds(builds) => builds) {
            None | Some((BuildsSpec::ToStock, _)) => Builds::ToStock,
            Some((BuildsSpec::Ahead(n), _)) => {
                let what = format!("the units by which feeder {} builds ahead", name.text);
                Builds::Ahead(quantity::count(n, &what, 1, MOST, desk).unwrap_or(1))
            }
        };
        let Some(part) = names.roll(Kind::Part).find(&name.text) else { continue };
        let lot = lot(statement, &name.text, desk);
        let (truck, store) = (truck.unwrap_or(1), parts[part].places);
        let goes_full = trucks.is_some_and(|(every, _)| every.is_none());
        if goes_full && truck > store {
            desk.fault(words::truck_over_store(name.span, &name.text, truck, store));
        }
        if let (Builds::Ahead(ahead), Some((_, trucks))) = (builds, trucks)
            && goes_full
            && truck > ahead
        {
            desk.fault(words::truck_over_orders(trucks.span, &name.text, truck, ahead));
        }
        judge_wrong(statement, &name.text, (builds, lot), &parts[part], desk);
        match *places {
            None => desk.fault(words::without_places(name.span, &name.text)),
            Some((first, last)) => found.push(Feeder {
                name: name.text,
                first,
                last,
                part: PartId::from_index(part),
                truck,
                every,
                way: way.unwrap_or(Time::ZERO),
                builds,
                lot,
                hours: *hours,
                span: name.span,
            }),
        }
    }
    found
}

/// `wrong 1 %, re-kitted in 12 min`
fn judge_wrong(
    statement: &Statement,
    feeder: &str,
    (builds, lot): (Builds, Option<u32>),
    part: &Part,
    desk: &mut Desk,
) {
    let Some((_, wrong)) = clause!(statement, ClauseKind::Wrong { .. } => ()) else { return };
    let never = part.wrong.as_ref().is_some_and(|wrong| wrong.share <= 0.0);
    if builds == Builds::ToStock {
        desk.fault(words::wrong_to_stock(wrong.span, feeder));
    } else if lot.is_some() && never {
        desk.fault(words::never_wrong_in_lots(wrong.span, feeder));
    }
}

/// `in lots of 10`
fn lot(statement: &Statement, feeder: &str, desk: &mut Desk) -> Option<u32> {
    let (size, _) = clause!(statement, ClauseKind::PartLots(n) => n)?;
    quantity::count(size, &format!("the lot of {feeder}"), 1, MOST, desk)
}

/// What work in feeders says and takes, and who takes what they make.
pub(super) fn judge(
    (feeders, parts): (&[Feeder], &[Part]),
    items: &[&Item],
    ground: &Ground,
    steps: &Steps,
    tests: &[Test],
    windows: &[Window],
    desk: &mut Desk,
) {
    for (index, item) in items.iter().enumerate() {
        let Some(id) = steps.of_name[index].filter(|id| steps.placed[id.index()]) else { continue };
        let step = &steps.steps[id.index()];
        let Some(feeder) = feeders.iter().find(|feeder| feeder.has(step.place)) else { continue };
        for clause in &item.statement.clauses {
            match clause.kind {
                ClauseKind::OnlyWith(_) => {
                    desk.fault(words::no_options(clause.span, &step.name, &feeder.name));
                }
                ClauseKind::Only(_) | ClauseKind::For { .. } if feeder.builds == Builds::ToStock => {
                    desk.fault(words::alike(clause.span, &step.name, &feeder.name));
                }
                _ => {}
            }
        }
    }
    for feeder in feeders.iter().filter(|feeder| feeder.builds != Builds::ToStock) {
        for place in &ground.places[feeder.first.index()..=feeder.last.index()] {
            if place.bays > 1 && !place.ordered {
                desk.fault(words::may_overtake(place.span, &place.name, &feeder.name));
            }
        }
        judge_takers(feeder, feeders, steps, tests, windows, desk);
        judge_lots(feeder, steps, parts, desk);
    }
    judge_once(feeders, items, steps, desk);
    report_circles(feeders, steps, desk);
}

/// Work that is done once a lot stands in a feeder that makes lots.
fn judge_once(feeders: &[Feeder], items: &[&Item], steps: &Steps, desk: &mut Desk) {
    for (index, item) in items.iter().enumerate() {
        let Some((_, once)) = clause!(item.statement, ClauseKind::OnceALot => ()) else { continue };
        let Some(id) = steps.of_name[index].filter(|id| steps.placed[id.index()]) else { continue };
        let step = &steps.steps[id.index()];
        let feeder = feeders.iter().find(|feeder| feeder.has(step.place));
        if feeder.is_none_or(|feeder| feeder.lot.is_none()) {
            desk.fault(words::not_in_lots(once.span, &step.name, feeder.map(|feeder| feeder.name.as_str())));
        }
    }
}

/// Lots of one model bring parts before their turn: those must find room, and must leave the one that is due some.
fn judge_lots(feeder: &Feeder, steps: &Steps, parts: &[Part], desk: &mut Desk) {
    let (Some(lot), Builds::Ahead(ahead)) = (feeder.lot, feeder.builds) else { return };
    if lot > ahead {
        desk.fault(words::lot_over_orders(feeder.span, &feeder.name, lot, ahead));
        return;
    }
    let takes = |step: &&Step| step.uses.iter().any(|(part, _)| *part == feeder.part);
    let takers: Vec<&Step> = steps.steps.iter().filter(takes).collect();
    let models = takers.first().map_or(0, |step| step.models.len());
    let taken = (0..models).filter(|m| takers.iter().any(|step| step.models[*m])).count() as u32;
    // Of each other model, all of a lot but its first part may be there before the one that is due.
    let early = taken.saturating_sub(1) * (lot - 1);
    let (goes_full, places) = (feeder.every.is_none(), parts[feeder.part.index()].places);
    let truck = if goes_full { feeder.truck } else { 1 };
    if early + truck > places {
        desk.fault(words::lots_over_store(feeder.span, &feeder.name, early, truck, places));
    } else if goes_full && early > 0 && truck > 1 && truck <= ahead && early + truck > ahead {
        desk.fault(words::lots_over_truck(feeder.span, &feeder.name, early, truck, ahead));
    }
}

/// One part is built for each unit, so each unit takes one, once.
fn judge_takers(
    feeder: &Feeder,
    feeders: &[Feeder],
    steps: &Steps,
    tests: &[Test],
    windows: &[Window],
    desk: &mut Desk,
) {
    let mut taken: Vec<&Step> = Vec::new();
    for (index, step) in steps.steps.iter().enumerate() {
        let Some((_, pieces)) = step.uses.iter().find(|(part, _)| *part == feeder.part) else { continue };
        let id = StepId::from_index(index);
        let twice = |other: &&&Step| other.models.iter().zip(&step.models).any(|(a, b)| *a && *b);
        let why = if *pieces > 1 {
            Some(format!("it takes {pieces}"))
        } else if feeders.iter().any(|other| other.has(step.place)) {
            Some("it makes parts itself, not units".to_string())
        } else if !step.options.is_empty() {
            Some("it is only for units with an option".to_string())
        } else if let Some(other) = taken.iter().find(twice) {
            Some(format!("{} takes one for the same units", other.name))
        } else {
            done_again(id, tests, windows)
        };
        if let Some(why) = why {
            desk.fault(words::not_one_each(step.span, &step.name, &feeder.name, &why));
        }
        taken.push(step);
    }
}

/// Why a step may be done twice on one unit, if it may.
fn done_again(step: StepId, tests: &[Test], windows: &[Window]) -> Option<String> {
    let redone = |kind: &OutcomeKind, of_test: bool| match kind {
        OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => {
            of_test || route.iter().any(|visit| visit.redo.contains(&step))
        }
        OutcomeKind::FixedInPlace { .. } | OutcomeKind::Retest { .. } => of_test,
        OutcomeKind::Scrapped => false,
    };
    let test = tests.iter().find(|test| {
        let of_test = test.steps.contains(&step);
        test.outcomes.iter().any(|outcome| redone(&outcome.kind, of_test))
    });
    if let Some(test) = test {
        return Some(format!("it is done again when test {} fails", test.name));
    }
    let window = windows.iter().any(|w| w.undone.contains(&step) || w.redo.contains(&step));
    window.then(|| "it is done again when a window is missed".to_string())
}

/// A feeder may take parts of another one, but none that wait for its own.
fn report_circles(feeders: &[Feeder], steps: &Steps, desk: &mut Desk) {
    let needs = |feeder: &Feeder| -> Vec<usize> {
        let here = |place: PlaceId| feeder.has(place);
        let taken = steps.steps.iter().filter(|step| here(step.place)).flat_map(|step| &step.uses);
        taken.filter_map(|(part, _)| feeders.iter().position(|other| other.part == *part)).collect()
    };
    let all: Vec<Vec<usize>> = feeders.iter().map(needs).collect();
    for start in 0..feeders.len() {
        // The shortest way round that begins and ends here; told where it has the first feeder in it.
        let mut ways: Vec<Vec<usize>> = vec![vec![start]];
        let mut seen = vec![false; feeders.len()];
        while let Some(way) = (!ways.is_empty()).then(|| ways.remove(0)) {
            let at = way[way.len() - 1];
            if all[at].contains(&start) {
                if way.iter().all(|other| *other >= start) {
                    let mut path: Vec<String> = way.iter().map(|k| feeders[*k].name.clone()).collect();
                    path.push(feeders[start].name.clone());
                    desk.fault(words::circle(feeders[start].span, &path));
                }
                break;
            }
            for next in &all[at] {
                if !std::mem::replace(&mut seen[*next], true) {
                    ways.push(way.iter().copied().chain([*next]).collect());
                }
            }
        }
    }
}
