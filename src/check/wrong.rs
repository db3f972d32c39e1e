//! False alarms and escapes of tests.

use super::clauses::clause;
use super::desk::Desk;
use super::names::Kind;
use super::procedures::Tests;
use super::quantity;
use super::steps::Around;
use crate::diagnostic::words::{limits, quantities, ranges as words};
use crate::line::{FailOutcome, Finder, Gate, OutcomeKind, TestId, WrongVerdicts};
use crate::syntax::tree::{ClauseKind, Expr, Name, Statement};

/// Units carry a bit for each test that lets faults through.
const MOST: usize = 64;
const WHAT: &str = "tests up to one that judges wrongly";

/// What a test says wrongly; a false alarm becomes the last of its outcomes.
pub(super) fn wrong_verdicts(
    statement: &Statement,
    id: TestId,
    tests: &mut Tests,
    gates: &[Gate],
    around: &Around,
    desk: &mut Desk,
) {
    let name = tests.tests[id.index()].name.clone();
    let alarm = clause!(statement, ClauseKind::FalseAlarm { share, in_place } => (share, *in_place));
    let alarm = alarm.and_then(|((share, in_place), clause)| {
        let what = format!("the share of the fails of {name} that are none");
        Some((below_one(share, &what, desk)?, in_place, clause.span))
    });
    let escapes = clause!(statement, ClauseKind::Escapes { share, to } => (share, to));
    let escapes = escapes.and_then(|((share, to), _)| {
        let what = format!("the share of the passes of {name} that are none");
        let share = below_one(share, &what, desk);
        let finder = finder(to, id, (tests, gates), around, desk);
        Some((share?, finder?))
    });
    if let (true, Some(clause)) =
        (id.index() >= MOST && (alarm.is_some() || escapes.is_some()), statement.clauses.first())
    {
        let found = (id.index() + 1).to_string();
        desk.fault(limits::over_limit(clause.span, WHAT, &found, &MOST.to_string()));
        return;
    }
    let alarms = alarm.map_or(0.0, |(share, ..)| share);
    let test = &mut tests.tests[id.index()];
    let lets_through = escapes.map_or(0.0, |(share, _)| share);
    let mut wrong = WrongVerdicts { escapes, ..WrongVerdicts::default() };
    if let Some((share, in_place, span)) = alarm {
        wrong.sound = test
            .passes
            .iter()
            .map(|(first, _)| WrongVerdicts::share_of_sound(*first, lets_through, alarms))
            .collect();
        wrong.alarm = Some(test.outcomes.len());
        test.outcomes.iter_mut().for_each(|outcome| outcome.share *= 1.0 - share);
        test.outcomes.push(FailOutcome { share, kind: OutcomeKind::Retest { in_place }, span });
    }
    test.wrong = wrong;
}

/// A share above 0 and below 1.
fn below_one(share: &Expr, what: &str, desk: &mut Desk) -> Option<f64> {
    let found = quantity::share(share, what, desk)?.as_f64();
    if found > 0.0 && found < 1.0 {
        return Some(found);
    }
    desk.fault(quantities::out_of_range(
        share.span,
        what,
        &quantity::said(share),
        "above 0 % and below 100 %",
    ));
    None
}

/// What finds what this one lets through stands later on the same line; a test there knows what becomes of a fail.
fn finder(
    to: &Name,
    id: TestId,
    (tests, gates): (&Tests, &[Gate]),
    around: &Around,
    desk: &mut Desk,
) -> Option<Finder> {
    let index = around.names.find(Kind::Work, to, desk)?;
    let own = &tests.tests[id.index()];
    let gate = gates.iter().position(|gate| gate.name == to.text);
    let (finder, at) = match (tests.of_name[index], gate) {
        (Some(test), _) => (Finder::Test(test), tests.tests[test.index()].place),
        (None, Some(gate)) => (Finder::Gate(gate as u16), gates[gate].place),
        (None, None) => {
            desk.fault(words::escapes_to_no_test(to.span, &own.name, &to.text));
            return None;
        }
    };
    if around.ground.feeder_of(own.place) != around.ground.feeder_of(at) || at <= own.place {
        desk.fault(words::escapes_backwards(to.span, &own.name, &to.text));
        return None;
    }
    if let Finder::Test(test) = finder {
        let other = &tests.tests[test.index()];
        if other.outcomes.len() == usize::from(other.wrong.alarm.is_some()) {
            desk.fault(words::escapes_to_no_fail(to.span, &own.name, &to.text, other.span));
            return None;
        }
    }
    Some(finder)
}
