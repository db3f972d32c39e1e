//! People of no crew who lend a hand: how much of their time, and where.

use super::clauses::clause;
use super::desk::Desk;
use super::names::{Kind, Names, name_of};
use super::people::Staff;
use super::places::Ground;
use super::quantity;
use crate::diagnostic::Span;
use crate::diagnostic::words::{calendar, limits, people, statements as words};
use crate::line::{GroupId, Helping, PlaceId};
use crate::syntax::tree::{ClauseKind, Expr, Statement, Word};
use crate::units::Time;

/// People of one group who help: each has a seat in every crew that they cover.
pub(super) const MOST: u32 = 64;

pub(super) fn helping(
    asked: &[&Statement],
    staff: &Staff,
    ground: &Ground,
    names: &Names,
    has_shifts: bool,
    desk: &mut Desk,
) -> Vec<Helping> {
    let mut found = Vec::new();
    for statement in asked {
        let name = name_of(statement);
        let share = clause!(statement, ClauseKind::Helping(share) => share);
        let covering = clause!(statement, ClauseKind::Covering(spans) => spans);
        let answering = clause!(statement, ClauseKind::Answering(time) => time);
        let Some((share, clause)) = share else {
            let besides = [(covering.is_some(), "covering"), (answering.is_some(), "answering")];
            if let Some((_, said)) = besides.iter().find(|(stands, _)| *stands) {
                let who = format!("people {} {said}", name.text);
                let example = format!("people {} 4 helping up to 30 %, covering A01", name.text);
                desk.fault(words::missing_clause(name.span, &who, "`helping`", &example));
            }
            continue;
        };
        let what = format!("the share of their time that {} help", name.text);
        let amount = quantity::share(share, &what, desk).map(|share| share.as_f64());
        let covering = covering.map(|(spans, _)| {
            let places = ground.spans(spans, names, desk).into_iter();
            places.map(|(place, _, _)| place).collect::<Vec<PlaceId>>()
        });
        let group = names.find(Kind::People, &name, desk).map(GroupId::from_index);
        let (Some(amount), Some(group)) = (amount, group) else { continue };
        // 0 % takes the help away that the layout below has.
        if is_fit(group, clause.span, (staff, ground), has_shifts, desk) && amount > 0.0 {
            let answering = answering.map_or(Time::ZERO, |(time, _)| how_fast(time, &name.text, desk));
            found.push(Helping { group, share: amount, covering, answering, span: clause.span });
        }
    }
    found
}

/// How long it takes until they are there.
pub(super) fn how_fast(time: &Expr, who: &str, desk: &mut Desk) -> Time {
    quantity::time(time, &format!("how fast {who} come"), desk).unwrap_or(Time::ZERO)
}

/// Somebody of the group is left to help: those in crews are at work there.
fn is_fit(
    group: GroupId,
    span: Span,
    (staff, ground): (&Staff, &Ground),
    has_shifts: bool,
    desk: &mut Desk,
) -> bool {
    let before = desk.faults.len();
    let stated = &staff.groups[group.index()];
    match staff.left_of(group, ground) {
        Some(0) => desk.fault(people::nobody_left_to_help(span, &stated.name, stated.count)),
        Some(left) if left > MOST => {
            let what = format!("{} who help", stated.name);
            desk.fault(limits::over_limit(span, &what, &left.to_string(), &MOST.to_string()));
        }
        Some(_) | None => {}
    }
    if !has_shifts && !desk.is_broken(Word::Shift) {
        desk.fault(calendar::no_calendar(span, "how much people help is said of each shift"));
    }
    desk.faults.len() == before
}
