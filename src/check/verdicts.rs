//! Tests: their procedure, the share that passes, and what becomes of a unit that fails.

use super::Item;
use super::clauses::{clause, opener};
use super::desk::Desk;
use super::exact::Exact;
use super::mix;
use super::names::{Kind, Names, name_of};
use super::needs::{self, Asking};
use super::quantity::{self, said};
use super::steps::{Around, Steps, called, place_of, states_a_time};
use super::times::{self, sum_to_one};
use crate::diagnostic::Span;
use crate::diagnostic::words::{precedence, ranges as words, statements as statement_words};
use crate::line::{Dist, FailOutcome, Need, OutcomeKind, PlaceId, PlaceKind, Revisit, StepId, Test, TestId};
use crate::syntax::tree::{self, ClauseKind, Expr, ForWhat, Name, Outcome, Statement, Word};

/// The tests and how names find them.
pub(super) struct Tests {
    pub tests: Vec<Test>,
    /// Number in the roll of work -> its test.
    pub of_name: Vec<Option<TestId>>,
    /// Tests whose place or procedure is faulty (which has been reported).
    pub faulty: Vec<bool>,
}

impl Tests {
    pub fn named(&self, name: &Name, names: &Names, desk: &mut Desk) -> Option<TestId> {
        let index = names.find(Kind::Work, name, desk)?;
        if self.of_name[index].is_none() {
            let word = crate::diagnostic::words::names::unknown(
                name.span,
                &name.text,
                "a test",
                &[],
                Some("a step"),
            );
            desk.fault(word);
        }
        self.of_name[index]
    }
}

/// Places every test and its implicit task, and finds its steps. Needs every other step placed.
pub(super) fn procedures(items: &[&Item], steps: &mut Steps, around: &Around, desk: &mut Desk) -> Tests {
    let mut tests = Tests { tests: Vec::new(), of_name: vec![None; items.len()], faulty: Vec::new() };
    // First every place, so that `all steps of its place` sees the implicit tasks of other tests.
    let mut places = Vec::new();
    for (index, item) in items.iter().enumerate().filter(|(_, item)| item.statement.word == Word::Test) {
        let named = named_steps(&item.statement, steps, around, desk);
        let place = place_of_test(item, named.as_deref(), steps, around, desk);
        if let Some(implicit) = steps.of_name[index] {
            steps.place_implicit(implicit, place);
        }
        places.push((index, named, place));
    }
    let mut owner: Vec<Option<usize>> = vec![None; steps.steps.len()];
    for (index, named, place) in places {
        let statement = &*items[index].statement;
        let implicit = steps.of_name[index];
        let of = clause!(statement, ClauseKind::Of(_) => ()).is_some();
        let mut procedure = match (&named, place) {
            (Some(named), _) => named.clone(),
            (None, Some(place)) if !of && implicit.is_none() => steps_at(place, steps),
            (None, _) => Vec::new(),
        };
        procedure.extend(implicit);
        procedure.sort_unstable();
        procedure.dedup();
        let name = name_of(statement);
        let fine =
            place.is_some() && judge_procedure(&name, &procedure, place, statement, steps, around, desk);
        for step in &procedure {
            match owner[step.index()] {
                Some(other) => {
                    let other: &Test = &tests.tests[other];
                    let step = &steps.steps[step.index()].name;
                    desk.fault(words::shared_step(name.span, step, &other.name));
                    break;
                }
                None => owner[step.index()] = Some(tests.tests.len()),
            }
        }
        tests.of_name[index] = Some(TestId::from_index(tests.tests.len()));
        tests.faulty.push(!fine);
        tests.tests.push(Test {
            label: mix::label(statement),
            place: place.unwrap_or(PlaceId(0)),
            steps: procedure,
            passes: Vec::new(),
            outcomes: Vec::new(),
            most_tries: None,
            safety: clause!(statement, ClauseKind::Safety => ()).is_some(),
            draws_as: mix::draws_as(statement, &name),
            name: name.text,
            span: name.span,
        });
    }
    tests
}

/// Steps named by `of`: single ones and stretches in file order at one place.
fn named_steps(
    statement: &Statement,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<Vec<StepId>> {
    let (spans, _) = clause!(statement, ClauseKind::Of(spans) => spans)?;
    let mut found: Vec<StepId> = Vec::new();
    let mut fine = true;
    for (from, to) in spans {
        let first = step_of_test(from, steps, around, desk);
        let last = match to {
            Some(to) => step_of_test(to, steps, around, desk),
            None => first,
        };
        let (Some(first), Some(last)) = (first, last) else {
            fine = false;
            continue;
        };
        let to = to.as_ref().unwrap_or(from);
        if first > last {
            desk.fault(words::against_the_file(from.span.to(to.span), &from.text, &to.text));
            fine = false;
            continue;
        }
        let place = steps.steps[first.index()].place;
        let between = (first.index()..=last.index()).filter(|i| {
            let here = steps.placed[*i] && steps.steps[*i].place == place;
            here || *i == first.index() || *i == last.index()
        });
        found.extend(between.map(StepId::from_index));
    }
    fine.then_some(found)
}

fn step_of_test(name: &Name, steps: &Steps, around: &Around, desk: &mut Desk) -> Option<StepId> {
    let index = around.names.find(Kind::Work, name, desk)?;
    let step = steps.of_name[index];
    if step.is_none() {
        desk.fault(words::not_a_step(name.span, &name.text));
    }
    step
}

/// `at`, else the place of the steps it names, else the place it stands under.
fn place_of_test(
    item: &Item,
    named: Option<&[StepId]>,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<PlaceId> {
    let at = clause!(item.statement, ClauseKind::At(_) => ()).is_some();
    match named.and_then(|named| named.first()) {
        Some(first) if !at => steps.placed[first.index()].then(|| steps.steps[first.index()].place),
        // Its `of` names nothing that is known, which has been reported.
        None if !at && clause!(item.statement, ClauseKind::Of(_) => ()).is_some() => None,
        Some(_) | None => place_of(item, around, desk),
    }
}

/// All steps of a place that are no implicit task of a test, in file order.
fn steps_at(place: PlaceId, steps: &Steps) -> Vec<StepId> {
    (0..steps.steps.len())
        .filter(|i| steps.placed[*i] && steps.steps[*i].place == place)
        .map(StepId::from_index)
        .collect()
}

fn judge_procedure(
    name: &Name,
    procedure: &[StepId],
    place: Option<PlaceId>,
    statement: &Statement,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> bool {
    let Some(place) = place else { return false };
    if !states_a_time(statement) {
        for clause in &statement.clauses {
            let needs_time = matches!(
                clause.kind,
                ClauseKind::By(_)
                    | ClauseKind::With(_)
                    | ClauseKind::In(_)
                    | ClauseKind::After(_)
                    | ClauseKind::Only(_)
                    | ClauseKind::OnlyWith(_)
                    | ClauseKind::For { what: ForWhat::Factor(_) | ForWhat::People(_), .. }
            );
            if needs_time {
                let opens = opener(&clause.kind);
                desk.fault(statement_words::clause_needs(clause.word_span, opens, "test", "takes"));
            }
        }
    }
    if procedure.is_empty() {
        if clause!(statement, ClauseKind::Of(_) => ()).is_none() && desk.broken().is_empty() {
            desk.fault(words::no_steps(name.span, &name.text, &around.ground.place(place).name));
        }
        return false;
    }
    let elsewhere =
        procedure.iter().find(|id| steps.placed[id.index()] && steps.steps[id.index()].place != place);
    if let Some(id) = elsewhere {
        let step = &steps.steps[id.index()];
        let (here, there) = (&around.ground.place(place).name, &around.ground.place(step.place).name);
        desk.fault(words::two_places(name.span, &name.text, here, &step.name, there, step.span));
        return false;
    }
    true
}

/// Passes, outcomes and tries of every test. Needs every step of every test settled.
pub(super) fn verdicts(items: &[&Item], tests: &mut Tests, steps: &Steps, around: &Around, desk: &mut Desk) {
    for (index, item) in items.iter().enumerate() {
        let Some(id) = tests.of_name[index] else { continue };
        let statement = &*item.statement;
        let test = &tests.tests[id.index()];
        let passes = passes(statement, around, desk);
        let outcomes = outcomes(statement, test, tests.faulty[id.index()], steps, around, desk);
        let most_tries = clause!(statement, ClauseKind::AtMostTries(n) => n).and_then(|(n, _)| {
            quantity::count(n, &format!("the number of tries of {}", test.name), 1, 1000, desk)
        });
        let fails = passes.iter().any(|(first, again)| *first < 1.0 || *again < 1.0);
        let states_outcome = statement.clauses.iter().any(|c| matches!(c.kind, ClauseKind::OnFail { .. }));
        if fails && !states_outcome {
            desk.fault(statement_words::no_outcome(test.span, &test.name));
        }
        let test = &mut tests.tests[id.index()];
        test.passes = passes;
        test.outcomes = outcomes;
        test.most_tries = most_tries;
    }
}

/// Per model: the share that passes at first and again.
fn passes(statement: &Statement, around: &Around, desk: &mut Desk) -> Vec<(f64, f64)> {
    let called = called(statement);
    let rates = |first: &Expr, again: &Option<Expr>, desk: &mut Desk| {
        let first = quantity::share(first, &format!("the share that passes {called}"), desk);
        let again = again
            .as_ref()
            .map(|again| quantity::share(again, &format!("the share that passes {called} again"), desk))
            .unwrap_or(first);
        let rate = |share: Option<Exact>| share.map_or(1.0, Exact::as_f64);
        (rate(first), rate(again))
    };
    let stated = clause!(statement, ClauseKind::Passes { first, again } => (first, again));
    let base = stated.map(|((first, again), _)| rates(first, again, desk));
    let mut own: Vec<Option<((f64, f64), Span)>> = vec![None; around.models.len()];
    for clause in &statement.clauses {
        let ClauseKind::For { models, what: ForWhat::Passes { first, again } } = &clause.kind else {
            continue;
        };
        let found = rates(first, again, desk);
        for name in models {
            let Some(model) = mix::model(name, around.names, desk) else { continue };
            match own[model.index()] {
                Some((_, first)) => {
                    let what = "the share that passes";
                    desk.fault(statement_words::repeated_for_model(name.span, first, &name.text, what));
                }
                None => own[model.index()] = Some((found, clause.span)),
            }
        }
    }
    if base.is_none() && own.iter().any(Option::is_none) {
        let span = name_of(statement).span;
        desk.fault(statement_words::missing_clause(span, &called, "`passes`", "passes 94 %, again 98 %"));
    }
    own.into_iter().map(|own| own.map_or(base.unwrap_or((1.0, 1.0)), |(rates, _)| rates)).collect()
}

fn outcomes(
    statement: &Statement,
    test: &Test,
    faulty: bool,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Vec<FailOutcome> {
    let stated: Vec<(&Option<Expr>, &Outcome, Span)> = statement
        .clauses
        .iter()
        .filter_map(|clause| match &clause.kind {
            ClauseKind::OnFail { share, outcome } => Some((share, outcome, clause.span)),
            _ => None,
        })
        .collect();
    let mut found = Vec::new();
    let mut shares = Vec::new();
    for (share, outcome, span) in &stated {
        let share = match share {
            Some(expr) => {
                quantity::share(expr, "the share of the fails", desk).map(|found| (found, said(expr)))
            }
            None if stated.len() == 1 => Some((Exact::ONE, "100 %".to_string())),
            None => {
                let example = "on fail 90 % fixed in place takes 10 min";
                let who = format!("each of the {} outcomes of test {}", stated.len(), test.name);
                desk.fault(statement_words::missing_clause(*span, &who, "a share", example));
                None
            }
        };
        let kind = outcome_kind(outcome, test, *span, faulty, steps, around, desk);
        if let Some(share) = share {
            shares.push(share);
        }
        if let Some(kind) = kind {
            found.push(FailOutcome { share: 0.0, kind, span: *span });
        }
    }
    if shares.len() < stated.len() || stated.is_empty() {
        return found;
    }
    let what = format!("the shares of the fails of test {}", test.name);
    if let Some(shares) = sum_to_one(&shares, &what, stated[0].2, desk) {
        for (outcome, share) in found.iter_mut().zip(shares) {
            outcome.share = share;
        }
    }
    found
}

fn outcome_kind(
    outcome: &Outcome,
    test: &Test,
    span: Span,
    faulty: bool,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<OutcomeKind> {
    match outcome {
        Outcome::Scrapped => Some(OutcomeKind::Scrapped),
        Outcome::Retest { in_place } => Some(OutcomeKind::Retest { in_place: *in_place }),
        Outcome::FixedInPlace { takes, by } => {
            let place = (!faulty).then_some(test.place);
            let (time, needs) = fix(takes, by.as_deref(), place, test, span, around, desk)?;
            Some(OutcomeKind::FixedInPlace { time, needs })
        }
        Outcome::BackTo { place, redo, then } => {
            let first = around.ground.find(place, around.names, desk);
            let redo = redo_steps(redo, steps, around, desk);
            let route = route(first.map(|id| (id, place)), then, &redo, test, faulty, steps, around, desk);
            Some(OutcomeKind::BackTo { route: route? })
        }
        Outcome::ToRepair { place, takes, by, then } => {
            let bay = around.ground.find(place, around.names, desk);
            let bay = bay.and_then(|id| is_repair(id, place, around, desk));
            let work = fix(takes, by.as_deref(), bay, test, span, around, desk);
            let route = route(None, then, &[], test, faulty, steps, around, desk);
            let (time, needs) = work?;
            Some(OutcomeKind::ToRepair { place: bay?, time, needs, route: route? })
        }
    }
}

fn is_repair(id: PlaceId, name: &Name, around: &Around, desk: &mut Desk) -> Option<PlaceId> {
    if around.ground.place(id).kind == PlaceKind::Repair {
        return Some(id);
    }
    desk.fault(precedence::not_a_repair_bay(name.span, &name.text));
    None
}

/// Time and people of a fix at `place`.
fn fix(
    takes: &tree::TimeSpec,
    by: Option<&[tree::Need]>,
    place: Option<PlaceId>,
    test: &Test,
    span: Span,
    around: &Around,
    desk: &mut Desk,
) -> Option<(Dist, Vec<Need>)> {
    let what = format!("the fix after test {}", test.name);
    let time = times::dist(takes, &what, desk);
    let place = place.map(|id| around.ground.place(id));
    let needs = match (by, place) {
        (Some(by), _) => needs::needs(by, &what, around.staff, desk),
        (None, Some(place)) => Some(needs::unsaid(place)),
        (None, None) => None,
    };
    if let (Some(needs), Some(place)) = (&needs, place) {
        needs::judge(needs, &Asking { step: &what, span, models: "" }, place, around.staff, desk);
    }
    Some((time?, needs?))
}

/// The steps that `redo` names; a test stands for its steps.
fn redo_steps(list: &[Name], steps: &Steps, around: &Around, desk: &mut Desk) -> Vec<(StepId, Span)> {
    list.iter().filter_map(|name| Some((step_of_test(name, steps, around, desk)?, name.span))).collect()
}

/// The places a failed unit visits again, with the steps redone at each.
#[expect(clippy::too_many_arguments, reason = "first and then are two parts of one route")]
fn route(
    first: Option<(PlaceId, &Name)>,
    then: &[Name],
    redo: &[(StepId, Span)],
    test: &Test,
    faulty: bool,
    steps: &Steps,
    around: &Around,
    desk: &mut Desk,
) -> Option<Vec<Revisit>> {
    let mut fine = true;
    let mut stops: Vec<(PlaceId, &Name)> = first.into_iter().collect();
    for name in then {
        match around.ground.find(name, around.names, desk) {
            Some(id) => stops.push((id, name)),
            None => fine = false,
        }
    }
    for (id, name) in &stops {
        fine &= may_return_to(*id, name, test, faulty, around, desk);
    }
    for (id, span) in redo {
        let step = &steps.steps[id.index()];
        let visited = stops.iter().any(|(place, _)| *place == step.place);
        if steps.placed[id.index()] && fine && !visited && !stops.is_empty() {
            let at = &around.ground.place(step.place).name;
            desk.fault(words::not_on_the_way(*span, &step.name, at));
            fine = false;
        }
    }
    let revisit = |place: PlaceId| {
        let mut named: Vec<StepId> =
            redo.iter().map(|(id, _)| *id).filter(|id| steps.steps[id.index()].place == place).collect();
        named.sort_unstable();
        named.dedup();
        Revisit { place, redo: if named.is_empty() { steps_at(place, steps) } else { named } }
    };
    fine.then(|| stops.iter().map(|(place, _)| revisit(*place)).collect())
}

/// Units go back to places on the line, at or before the test.
fn may_return_to(
    id: PlaceId,
    name: &Name,
    test: &Test,
    faulty: bool,
    around: &Around,
    desk: &mut Desk,
) -> bool {
    let place = around.ground.place(id);
    if place.kind == PlaceKind::Repair {
        desk.fault(precedence::back_to_repair_bay(name.span, &test.name, &place.name));
        return false;
    }
    if !faulty && id > test.place {
        let at = &around.ground.place(test.place).name;
        desk.fault(words::behind_the_test(name.span, &test.name, &place.name, at));
        return false;
    }
    true
}
