//! Gates: what they find, and how much of it may go on to a later place.

use super::Item;
use super::clauses::clause;
use super::desk::Desk;
use super::mix;
use super::names::name_of;
use super::quantity::{self, said};
use super::steps::{Around, Steps, called};
use crate::diagnostic::words::{quantities, ranges as words, statements as statement_words};
use crate::line::{Dist, Faults, Gate, GoesOn, PlaceKind, Shape, Step, StepId, Taken, TimeFor};
use crate::syntax::tree::{ClauseKind, Expr, Name, Statement, Word};

/// Faults of one unit on average at most, and faults that may go on.
const MOST: u32 = 50;

/// Turns the task of every gate into what it mends, and adds what is mended later. Needs every step
/// placed and its people said.
pub(super) fn gates(items: &[&Item], steps: &mut Steps, around: &Around, desk: &mut Desk) -> Vec<Gate> {
    let mut gates = Vec::new();
    for (index, item) in items.iter().enumerate().filter(|(_, item)| item.statement.word == Word::Gate) {
        let statement = &*item.statement;
        let Some(step) = steps.of_name[index] else { continue };
        let finds = finds(statement, desk).unwrap_or(1.0);
        let on = clause!(statement, ClauseKind::GoOn { most, to } => (most, to));
        let on = on.and_then(|((most, to), _)| goes_on(statement, step, most, to, steps, around, desk));
        let those = on.map_or(Taken::All, |(most, _)| Taken::Beyond(most));
        let each = steps.steps[step.index()].times.clone();
        steps.steps[step.index()].times = times(&each, finds, those);
        let goes_on = on.map(|(most, to)| {
            let mends = &steps.steps[step.index()];
            let later = Step {
                name: format!("{} left", mends.name),
                place: to,
                times: times(&each, finds, Taken::UpTo(most)),
                after: vec![step],
                ..mends.clone()
            };
            let said_by = steps.said_by[step.index()].clone();
            GoesOn { most, to, step: steps.add(later, said_by) }
        });
        let name = name_of(statement);
        gates.push(Gate {
            label: mix::label(statement),
            place: steps.steps[step.index()].place,
            step,
            finds,
            goes_on,
            name: name.text,
            span: name.span,
        });
    }
    gates
}

/// Per model: as many times as faults are found.
fn times(each: &[TimeFor], mean: f64, taken: Taken) -> Vec<TimeFor> {
    let of = |time: &TimeFor| {
        let faults = Faults { mean, taken, each: time.dist.clone() };
        let dist = Dist { shape: Shape::Faults(Box::new(faults)), timings: time.dist.timings };
        TimeFor { dist, ..time.clone() }
    };
    each.iter().map(of).collect()
}

fn finds(statement: &Statement, desk: &mut Desk) -> Option<f64> {
    let Some((expr, _)) = clause!(statement, ClauseKind::Finds(expr) => expr) else {
        let (name, called) = (name_of(statement), called(statement));
        let example = format!("{called} finds 0.6 per unit takes 3/6/20 min");
        desk.fault(statement_words::missing_clause(name.span, &called, "`finds`", &example));
        return None;
    };
    let what = format!("what {} finds per unit", called(statement));
    let found = quantity::number(expr, &what, desk)?.as_f64();
    if found <= 0.0 || found > f64::from(MOST) {
        let allowed = format!("above 0 and at most {MOST}");
        desk.fault(quantities::out_of_range(expr.span, &what, &said(expr), &allowed));
        return None;
    }
    Some(found)
}

/// How many faults go on at most, and where they are mended.
fn goes_on(
    statement: &Statement,
    step: StepId,
    most: &Expr,
    to: &Name,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<(u32, crate::line::PlaceId)> {
    let what = format!("the faults of {} that go on", called(statement));
    let most = quantity::count(most, &what, 1, MOST, desk);
    let place = around.ground.find(to, around.names, desk)?;
    if !steps.placed[step.index()] {
        return None;
    }
    let own = steps.steps[step.index()].place;
    let one_line = around.ground.feeder_of(own) == around.ground.feeder_of(place);
    if place <= own || !one_line || around.ground.place(place).kind == PlaceKind::Repair {
        let (gate, at) = (name_of(statement).text, &around.ground.place(own).name);
        desk.fault(words::not_behind_the_gate(to.span, &gate, at, &to.text));
        return None;
    }
    Some((most?, place))
}
