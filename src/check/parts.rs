//! Parts: what arrives in lots or from a feeder, what a store holds, what tasks take from it.

use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::{Kind, Names, name_of};
use super::{calendar, quantity, times};
use crate::diagnostic::words::{quantities, statements as words};
use crate::line::{Amiss, Dist, Lateness, Lots, LotsWhen, Origin, Part, PartId, StartState};
use crate::syntax::tree::{self, ClauseKind, Expr, Name, Statement, TimeSpec, Word};
use crate::units::Time;

/// Places of one store at most.
const MOST: u32 = 1_000_000;

/// All parts, in the order of the file: the statements `supply` and `feeder`.
pub(super) fn parts(statements: &[&Statement], start: StartState, desk: &mut Desk) -> Vec<Part> {
    statements.iter().map(|statement| part(statement, start, desk)).collect()
}

fn part(statement: &Statement, start: StartState, desk: &mut Desk) -> Part {
    let name = name_of(statement);
    let called = format!("{} {}", statement.word.text(), name.text);
    let (origin, example) = match statement.word {
        Word::Feeder => (Origin::Made, format!("{called} store of 6 {{ ... }}")),
        _ => {
            let example = format!("{called} in lots of 40 every 2 h store of 80");
            (Origin::Bought(lots(statement, &name, &called, &example, desk)), example)
        }
    };
    let stored = clause!(statement, ClauseKind::StoreOf { places, at_start } => (places, at_start));
    if stored.is_none() {
        desk.fault(words::missing_clause(name.span, &called, "`store of`", &example));
    }
    let places = stored.and_then(|((places, _), _)| {
        quantity::count(places, &format!("the places of the store of {}", name.text), 1, MOST, desk)
    });
    let at_start = stored.and_then(|((_, at_start), _)| at_start.as_ref()).and_then(|stock| {
        let what = format!("the parts of {} at the start", name.text);
        within(stock, &what, 0, places.unwrap_or(MOST), "what its store holds", desk)
    });
    let places = places.unwrap_or(MOST);
    Part {
        label: mix::label(statement),
        places,
        at_start: at_start.unwrap_or(match start {
            StartState::Full => places,
            StartState::Empty => 0,
        }),
        origin,
        short: clause!(statement, ClauseKind::Short { share, arriving } => (share, arriving))
            .and_then(|((share, time), _)| amiss(share, time, ("short", "arrives"), &called, desk)),
        wrong: clause!(statement, ClauseKind::Wrong { share, rekitted } => (share, rekitted))
            .and_then(|((share, time), _)| amiss(share, time, ("wrong", "is re-kitted"), &called, desk)),
        draws_as: mix::draws_as(statement, &name),
        name: name.text,
        span: name.span,
    }
}

fn lots(statement: &Statement, name: &Name, called: &str, example: &str, desk: &mut Desk) -> Lots {
    let Some(((size, when, late), _)) =
        clause!(statement, ClauseKind::Lots { size, when, late } => (size, when, late))
    else {
        match clause!(statement, ClauseKind::PartLots(_) => ()) {
            Some((_, lots)) => {
                desk.fault(words::missing_clause(lots.span, called, "when its lots come", example))
            }
            None => desk.fault(words::missing_clause(name.span, called, "`in lots of`", example)),
        }
        let gap = Dist::constant(Time::HOUR);
        return Lots { size: 1, when: LotsWhen::Every { gap, on_the_clock: false }, late: None };
    };
    Lots {
        size: quantity::count(size, &format!("the lot of {called}"), 1, MOST, desk).unwrap_or(1),
        when: due(when, called, desk),
        late: late.as_ref().and_then(|(share, by)| lateness(share, by, called, desk)),
    }
}

/// A count between two bounds, the upper one with its reason.
fn within(expr: &Expr, what: &str, least: u32, most: u32, why: &str, desk: &mut Desk) -> Option<u32> {
    let found = quantity::count(expr, what, least, MOST, desk)?;
    if found > most {
        let allowed = format!("at most {most}, {why}");
        desk.fault(quantities::out_of_range(expr.span, what, &quantity::said(expr), &allowed));
        return None;
    }
    Some(found)
}

fn due(when: &tree::LotsWhen, called: &str, desk: &mut Desk) -> LotsWhen {
    match when {
        tree::LotsWhen::Every { gap, on_the_clock } => {
            LotsWhen::Every { gap: gap_between(gap, called, desk), on_the_clock: *on_the_clock }
        }
        tree::LotsWhen::Days { days, at } => {
            let time = calendar::clock(at, desk).unwrap_or(Time::ZERO);
            let in_week = |day: usize| Time((Time::DAY * day as i64 + time).0.rem_euclid(Time::WEEK.0));
            let mut dues: Vec<Time> = calendar::days_in(days).into_iter().map(in_week).collect();
            dues.sort_unstable();
            LotsWhen::Days(dues)
        }
        tree::LotsWhen::AtLevel { level, lead } => LotsWhen::AtLevel {
            level: quantity::count(level, &format!("the level at which {called} is ordered"), 0, MOST, desk)
                .unwrap_or(0),
            lead: times::dist(lead, &format!("the time until lots of {called} arrive"), desk)
                .unwrap_or_else(|| Dist::constant(Time::HOUR)),
        },
    }
}

fn gap_between(gap: &TimeSpec, called: &str, desk: &mut Desk) -> Dist {
    let what = format!("the time between lots of {called}");
    let dist = times::dist(gap, &what, desk);
    if dist.as_ref().is_some_and(|dist| dist.as_constant().is_some_and(|value| value < 1.0)) {
        desk.fault(quantities::out_of_range(gap.span, &what, "0", "longer than 0"));
    }
    dist.unwrap_or_else(|| Dist::constant(Time::HOUR))
}

fn lateness(share: &Expr, by: &TimeSpec, called: &str, desk: &mut Desk) -> Option<Lateness> {
    let share = quantity::share(share, &format!("the share of late lots of {called}"), desk);
    let by = times::dist(by, &format!("the lateness of lots of {called}"), desk);
    Some(Lateness { share: share?.as_f64(), by: by? })
}

/// `short 2.5 %, arriving in 30/90/480 min`, `wrong 1 %, re-kitted in 12 min`
fn amiss(
    share: &Expr,
    time: &TimeSpec,
    (how, until): (&str, &str),
    called: &str,
    desk: &mut Desk,
) -> Option<Amiss> {
    let share = quantity::share(share, &format!("the share of units for which {called} is {how}"), desk);
    let time = times::dist(time, &format!("the time until what is {how} of {called} {until}"), desk);
    Some(Amiss { share: share?.as_f64(), time: time? })
}

/// `uses 1 panels, 2 trims`
pub(super) fn uses(
    statement: &Statement,
    called: &str,
    parts: &[Part],
    names: &Names,
    desk: &mut Desk,
) -> Vec<(PartId, u32)> {
    let mut found: Vec<(PartId, u32)> = Vec::new();
    let list = clause!(statement, ClauseKind::Uses(list) => list);
    for (count, name) in list.map_or(&[][..], |(list, _)| list) {
        let id = names.find(Kind::Part, name, desk).map(PartId::from_index);
        let most = id.map_or(MOST, |id| parts[id.index()].places);
        let count = taken(count.as_ref(), name, called, most, desk);
        let (Some(count), Some(id)) = (count, id) else { continue };
        match found.iter().any(|(other, _)| *other == id) {
            true => desk.fault(words::repeated_in_list(name.span, &name.text, "uses")),
            false => found.push((id, count)),
        }
    }
    found
}

fn taken(count: Option<&Expr>, name: &Name, called: &str, most: u32, desk: &mut Desk) -> Option<u32> {
    let Some(expr) = count else { return Some(1) };
    let what = format!("the number of {} that {called} uses", name.text);
    within(expr, &what, 1, most, "what their store holds", desk)
}
