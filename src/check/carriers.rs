//! Carriers: pallets, moulds, cradles that units need from one place to another.

use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::name_of;
use super::places::Ground;
use super::steps::Around;
use super::{quantity, times};
use crate::diagnostic::words::{carriers as words, statements as statement_words};
use crate::line::{Carriers, OutcomeKind, PlaceId, StartState, Test};
use crate::syntax::tree::{ClauseKind, Head, Name, Statement};

/// Carriers of one kind.
const MOST: u32 = 10_000;

pub(super) fn carriers(
    statements: &[&Statement],
    start: StartState,
    tests: &[Test],
    around: &Around,
    desk: &mut Desk,
) -> Vec<Carriers> {
    let one = |statement: &&Statement| one(statement, start, tests, around, desk);
    statements.iter().filter_map(one).collect()
}

fn one(
    statement: &Statement,
    start: StartState,
    tests: &[Test],
    around: &Around,
    desk: &mut Desk,
) -> Option<Carriers> {
    let (ground, names) = (around.ground, around.names);
    let name = name_of(statement);
    let called = format!("carriers {}", name.text);
    let example = format!("{called} 40 from C01 to C21 returning in 3 min");
    let count = match &statement.head {
        Head::Value(expr) => quantity::count(expr, &format!("the number of {called}"), 1, MOST, desk),
        _ => {
            desk.fault(statement_words::missing_clause(name.span, &called, "a number", &example));
            None
        }
    };
    let Some(((from, to), clause)) = clause!(statement, ClauseKind::Carried { from, to } => (from, to))
    else {
        desk.fault(statement_words::missing_clause(name.span, &called, "`from ... to`", &example));
        return None;
    };
    let back = clause!(statement, ClauseKind::Returning(time) => time);
    let back = back.map(|(time, _)| times::dist(time, &format!("the way back of {called}"), desk));
    let (first, last) = (ground.find(from, names, desk), ground.find(to, names, desk));
    let (first, last) = (first?, last?);
    let way = Way { name: &name, from, to, first, last };
    way.judge(clause.span, tests, ground, desk).then_some(())?;
    let count = count?;
    let places = first.index()..=last.index();
    let room: u32 = places.map(|p| &ground.places[p]).map(|place| place.bays + place.slots).sum();
    if start == StartState::Full && first.index() < ground.on_line && room > count {
        desk.fault(words::too_few_for_a_full_line(name.span, &name.text, count, room));
    }
    Some(Carriers {
        label: mix::label(statement),
        count,
        first,
        last,
        back: back.flatten(),
        draws_as: mix::draws_as(statement, &name),
        name: name.text,
        span: name.span,
    })
}

/// Where units have a carrier.
struct Way<'a> {
    name: &'a Name,
    from: &'a Name,
    to: &'a Name,
    first: PlaceId,
    last: PlaceId,
}

impl Way<'_> {
    /// Whether units can take one there, and give it back.
    fn judge(&self, span: crate::diagnostic::Span, tests: &[Test], ground: &Ground, desk: &mut Desk) -> bool {
        let (first, last) = (self.first, self.last);
        let (place, end) = (ground.place(first), ground.place(last));
        let on_one_line = ground.feeder_of(first) == ground.feeder_of(last);
        // Repair bays have no segment.
        if first > last || !on_one_line || place.segment.is_none() || end.segment.is_none() {
            desk.fault(words::no_way(span, &self.name.text, &self.from.text, &self.to.text));
            return false;
        }
        let segment = place.segment.map(|s| &ground.segments[s.index()]);
        if let Some(segment) = segment.filter(|s| s.rule.is_pushed() && s.first != first) {
            let entrance = &ground.place(segment.first).name;
            desk.fault(words::in_a_push(self.from.span, &self.name.text, &self.from.text, entrance));
            return false;
        }
        let inside = |place: PlaceId| first <= place && place <= last;
        for test in tests {
            let routes = test.outcomes.iter().filter_map(|o| match &o.kind {
                OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => Some(route),
                OutcomeKind::FixedInPlace { .. } | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => None,
            });
            for stop in routes.flatten() {
                if ground.feeder_of(stop.place) == ground.feeder_of(first)
                    && inside(stop.place) != inside(test.place)
                {
                    let at = &ground.place(stop.place).name;
                    desk.fault(words::sent_across(span, &self.name.text, &test.name, at));
                    return false;
                }
            }
        }
        true
    }
}
