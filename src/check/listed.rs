//! Names of work in a list: a task stands for its step, a test for the steps of its procedure.

use super::desk::Desk;
use super::names::Kind;
use super::procedures::Tests;
use super::steps::{Around, Steps};
use crate::diagnostic::words::{ranges, statements as words};
use crate::line::StepId;
use crate::syntax::tree::Name;

/// All steps of a list, rising, each once. `None` after a report.
pub(super) fn listed(
    names: &[Name],
    clause: &str,
    steps: &Steps,
    tests: &Tests,
    around: &Around,
    desk: &mut Desk,
) -> Option<Vec<StepId>> {
    let (mut found, mut seen, mut fine) = (Vec::new(), Vec::new(), true);
    for name in names {
        let Some(index) = around.names.find(Kind::Work, name, desk) else {
            fine = false;
            continue;
        };
        if seen.contains(&index) {
            desk.fault(words::repeated_in_list(name.span, &name.text, clause));
            continue;
        }
        seen.push(index);
        let named = steps_of(index, steps, tests);
        if named.is_empty() {
            desk.fault(ranges::not_a_step(name.span, &name.text));
            fine = false;
        }
        found.extend(named);
    }
    found.sort_unstable();
    found.dedup();
    (fine && !found.is_empty()).then_some(found)
}

/// The steps of the work at `index` among the names; none where it is no step.
pub(super) fn steps_of(index: usize, steps: &Steps, tests: &Tests) -> Vec<StepId> {
    match tests.of_name[index] {
        Some(test) => tests.tests[test.index()].steps.clone(),
        None => steps.of_name[index].into_iter().collect(),
    }
}
