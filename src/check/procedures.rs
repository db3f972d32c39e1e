//! Tests: where they are and which steps are their procedure.

use super::Item;
use super::clauses::{clause, opener};
use super::desk::Desk;
use super::mix;
use super::names::{Kind, Names, name_of};
use super::steps::{Around, Steps, place_of, states_a_time};
use crate::diagnostic::words::{ranges as words, statements as statement_words};
use crate::line::{PlaceId, StepId, Test, TestId, WrongVerdicts};
use crate::syntax::tree::{ClauseKind, ForWhat, Name, Statement, Word};

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
            wrong: WrongVerdicts::default(),
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

pub(super) fn step_of_test(name: &Name, steps: &Steps, around: &Around, desk: &mut Desk) -> Option<StepId> {
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
pub(super) fn steps_at(place: PlaceId, steps: &Steps) -> Vec<StepId> {
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
                    | ClauseKind::InOneOf(_)
                    | ClauseKind::After(_)
                    | ClauseKind::Needs(_)
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
