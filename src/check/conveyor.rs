//! Segments that never stand: a conveyor as a segment that is pushed all the time.
//!
//! A unit passes a station of length L in L / speed, and the next one follows it by the distance between
//! two units. So the station holds L / distance units, and one comes every distance / speed: the same as
//! that many bays, pushed every so often, with nothing lost in moving.

use super::clauses::clause;
use super::desk::Desk;
use super::exact::Exact;
use super::names::name_of;
use super::places::Ground;
use super::quantity::{self, Kind};
use crate::diagnostic::Span;
use crate::diagnostic::words::{places as words, quantities, statements as statement_words};
use crate::line::{LateWork, MoveRule, PlaceKind};
use crate::syntax::tree::{ClauseKind, Expr, Name, Statement};
use crate::units::Time;

/// The rule of a segment that never stands.
pub(super) fn rule(statement: &Statement, name: &Name, conveyor: Span, desk: &mut Desk) -> Option<MoveRule> {
    let ((speed, apart), _) = clause!(statement, ClauseKind::Conveyor { speed, apart } => (speed, apart))?;
    let others = statement.clauses.iter().filter(|other| {
        matches!(
            other.kind,
            ClauseKind::PushedWhenReady
                | ClauseKind::PushedEvery { .. }
                | ClauseKind::Index(_)
                | ClauseKind::Moving(_)
        )
    });
    for other in others {
        desk.fault(words::conveyor_and_pushed(other.span, conveyor));
    }
    let every = interval(speed, apart, &name.text, desk)?;
    let late_work = late_work(statement, &name.text, desk);
    Some(MoveRule::PushedEvery { every, index: Time::ZERO, on_the_grid: false, late_work })
}

/// What becomes of work that is not done at the signal.
pub(super) fn late_work(statement: &Statement, segment: &str, desk: &mut Desk) -> LateWork {
    match clause!(statement, ClauseKind::LateWork { most } => most) {
        None => LateWork::HoldsTheLine,
        Some((most, _)) => {
            let what = format!("the open work of a unit in {segment}");
            LateWork::Travels {
                most: most.as_ref().and_then(|most| quantity::count(most, &what, 1, 10_000, desk)),
            }
        }
    }
}

/// Metres apart, and the time between two units; `None` after a report.
fn interval(speed: &Expr, apart: &Expr, segment: &str, desk: &mut Desk) -> Option<Time> {
    let what = format!("the speed of segment {segment}");
    let speed_found = measured(speed, &what, Kind::Speed, "0.25 m per min", desk);
    let apart_found = distance(apart, segment, desk);
    let micros = apart_found?.over(speed_found?)?;
    let what = format!("the time between two units in segment {segment}");
    let found = quantity::within_time(micros, apart, &what, desk)?;
    Time::from_micros_f64(found.as_f64())
}

fn distance(apart: &Expr, segment: &str, desk: &mut Desk) -> Option<Exact> {
    measured(apart, &format!("the way between two units in segment {segment}"), Kind::Length, "6 m", desk)
}

/// An amount of that kind above 0, in metres, or metres per microsecond.
fn measured(expr: &Expr, what: &str, kind: Kind, example: &str, desk: &mut Desk) -> Option<Exact> {
    let found = quantity::value(expr, desk)?;
    if found.kind != kind {
        desk.fault(quantities::wrong_unit(expr.span, what, kind.said(), found.kind.said(), example));
        return None;
    }
    if found.amount <= Exact::ZERO {
        desk.fault(quantities::out_of_range(expr.span, what, &quantity::said(expr), "above 0"));
        return None;
    }
    Some(found.amount)
}

/// Gives the stations of every conveyor their bays, by their lengths.
pub(super) fn lay(places: &[&Statement], segments: &[&Statement], ground: &mut Ground, desk: &mut Desk) {
    let mut used = Vec::new();
    for statement in segments {
        let apart = clause!(statement, ClauseKind::Conveyor { apart, .. } => apart);
        let name = name_of(statement).text;
        let found = ground.segments.iter().find(|segment| segment.name == name);
        let (Some((apart, _)), Some(segment)) = (apart, found) else { continue };
        let (first, last) = (segment.first.index(), segment.last.index());
        // Its faults have been reported with the segment.
        let faults = desk.faults.len();
        let apart = distance(apart, &name, desk);
        desk.faults.truncate(faults);
        let Some(apart) = apart else { continue };
        for place in &mut ground.places[first..=last] {
            let stands = places.iter().position(|other| name_of(other).text == place.name);
            let Some(at) = stands else { continue };
            used.push(at);
            if let Some(bays) = bays(places[at], place.kind, apart, &name, desk) {
                place.bays = bays;
            }
        }
    }
    // A segment with a fault of its own may be the one that a length was meant for.
    let conveyors = |s: &&&Statement| clause!(s, ClauseKind::Conveyor { .. } => ()).is_some();
    let built = |s: &&Statement| ground.segments.iter().any(|segment| segment.name == name_of(s).text);
    if !segments.iter().filter(conveyors).all(built) {
        return;
    }
    for (at, statement) in places.iter().enumerate() {
        if let (false, Some((_, clause))) =
            (used.contains(&at), clause!(statement, ClauseKind::Length(_) => ()))
        {
            let cure = "segment ... moving 0.25 m per min, a unit every 6 m";
            desk.fault(statement_words::clause_needs(clause.span, "length", "station", cure));
        }
    }
}

/// How many units stand in a length, where it is a whole number.
fn bays(statement: &Statement, kind: PlaceKind, apart: Exact, segment: &str, desk: &mut Desk) -> Option<u32> {
    let name = name_of(statement);
    let Some((length, clause)) = clause!(statement, ClauseKind::Length(length) => length) else {
        if kind == PlaceKind::Station {
            let (who, example) =
                (format!("station {}", name.text), format!("station {} length 6 m", name.text));
            let who = format!("{who}, on conveyor {segment},");
            desk.fault(statement_words::missing_clause(name.span, &who, "`length`", &example));
        }
        return None;
    };
    let stated = clause!(statement, ClauseKind::Bays(_) => ());
    if let Some((_, bays)) = stated {
        desk.fault(words::length_and_bays(bays.span, clause.span));
        return None;
    }
    let metres = measured(length, &format!("the length of {}", name.text), Kind::Length, "12 m", desk)?;
    let units = metres.over(apart)?;
    let whole = u32::try_from(units.numerator).ok().filter(|units| (1..=10_000).contains(units));
    match whole.filter(|_| units.is_whole()) {
        Some(units) => Some(units),
        None => {
            let (length, apart) = (quantity::said(length), crate::units::decimals(apart.as_f64(), 3));
            desk.fault(words::not_so_many_units(clause.span, &name.text, &length, &format!("{apart} m")));
            None
        }
    }
}
