//! A scenario, run and judged: each expectation for each layout, and the baseline.

use super::baseline::{self, Baseline, LayoutResult, SCHEMA, differences};
use super::compare::{Comparison, Side, compare, measure_named};
use super::scenario::{Expectation, ExpectationKind, Scenario};
use super::together::together;
use super::{Attendant, Outcome, StudyError};
use crate::check::promise_from_text;
use crate::diagnostic::words::scenario as words;
use crate::diagnostic::{Diagnostic, Span};
use crate::line::{Line, Measure, Promise, PromiseKind};
use crate::stats::student::shared_confidence;
use crate::stats::{Judgement, Verdict as PromiseVerdict, judge};
use crate::units::{count_of, decimals};
use std::collections::BTreeMap;

/// Whether what was expected holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Verdict {
    Holds,
    Fails,
    /// The run was too short to tell: never a coin-flip pass.
    CannotTell,
}

/// One thing judged.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// `None` where it is about several layouts.
    pub layout: Option<String>,
    /// As a sentence.
    pub expected: String,
    pub verdict: Verdict,
    /// The numbers, line by line; may be empty.
    pub why: Vec<String>,
}

/// A scenario with its verdicts.
#[derive(Clone, PartialEq, Debug)]
pub struct Verified {
    pub findings: Vec<Finding>,
    /// How it was run, in words.
    pub run: String,
    /// What this run gave, to compare with or to store.
    pub results: Baseline,
    /// What the reader must know about how the figures came about.
    pub cautions: Vec<String>,
    pub interrupted: bool,
}

/// What a scenario is judged on: its layouts, and what each expectation asks of each of them.
#[derive(Clone, PartialEq, Debug)]
pub struct Bench<'l> {
    layouts: Vec<&'l Line>,
    /// In the order of the expectations.
    asked: Vec<Asked>,
}

#[derive(Clone, PartialEq, Debug)]
enum Asked {
    /// One promise for each layout.
    Promises(Vec<Promise>),
    /// Layout `better` against layout `than`, by their places in the bench.
    Better { better: usize, than: usize, measures: [Measure; 2] },
}

/// Holds the scenario against the line: names of layouts, tests and measures, sentences of promises.
/// `all` are the layouts of the line, checked.
///
/// # Errors
/// Every fault, at its place in the scenario file.
pub fn prepare<'l>(scenario: &Scenario, all: &'l [Line]) -> Result<Bench<'l>, Vec<Diagnostic>> {
    let mut faults = Vec::new();
    let known: Vec<String> = all.iter().map(|line| line.layout.clone()).collect();
    let mut layouts = Vec::new();
    for wanted in &scenario.layouts {
        match all.iter().find(|line| line.layout == wanted.value) {
            Some(line) => layouts.push(line),
            None => faults.push(no_layout(wanted.span, &wanted.value, &known)),
        }
    }
    if scenario.layouts.is_empty() {
        layouts.extend(all);
    }
    let asked = scenario
        .expect
        .iter()
        .filter_map(|expectation| match &expectation.kind {
            ExpectationKind::Promise(sentence) => promises(expectation, sentence, &layouts, &mut faults),
            ExpectationKind::Better { layout, than, on } => {
                better(expectation, [layout, than], on, (&layouts, &known), &mut faults)
            }
        })
        .collect();
    if faults.is_empty() { Ok(Bench { layouts, asked }) } else { Err(faults) }
}

fn no_layout(span: Span, name: &str, known: &[String]) -> Diagnostic {
    let near = super::nearest(name, known.iter().map(String::as_str));
    words::no_layout(span, name, near.as_deref(), known)
}

fn promises(
    expectation: &Expectation,
    sentence: &str,
    layouts: &[&Line],
    faults: &mut Vec<Diagnostic>,
) -> Option<Asked> {
    let promises: Result<Vec<Promise>, Diagnostic> =
        layouts.iter().map(|line| promise_from_text(sentence, line)).collect();
    // The same sentence is wrong for every layout, or for one of them: one fault says it.
    promises
        .map(Asked::Promises)
        .map_err(|fault| {
            faults.push(words::bad_sentence(expectation.span, sentence, &fault.headline, &fault.help))
        })
        .ok()
}

fn better(
    expectation: &Expectation,
    names: [&String; 2],
    on: &str,
    (layouts, known): (&[&Line], &[String]),
    faults: &mut Vec<Diagnostic>,
) -> Option<Asked> {
    let mut place = |name: &String| {
        let found = layouts.iter().position(|line| line.layout == *name);
        match found {
            Some(_) => {}
            None if known.contains(name) => faults.push(words::layout_not_run(expectation.span, name)),
            None => faults.push(no_layout(expectation.span, name, known)),
        }
        found
    };
    let (better, than) = (place(names[0]), place(names[1]));
    // A layout may have other tests, so each line is asked for its own.
    let (better, than) = (better?, than?);
    match (measure_named(layouts[better], on), measure_named(layouts[than], on)) {
        (Ok(of_better), Ok(of_than)) => Some(Asked::Better { better, than, measures: [of_better, of_than] }),
        (Err(near), _) | (Ok(_), Err(near)) => {
            let known = near.as_deref().map_or(super::compare::MEASURES.to_vec(), |near| vec![near]);
            faults.push(words::unknown_measure(expectation.span, on, &known));
            None
        }
    }
}

/// Runs every layout of the bench and judges the scenario, against `stored` where there is one.
///
/// # Errors
/// A layout can't be run.
pub fn verify(
    scenario: &Scenario,
    bench: &Bench<'_>,
    stored: Option<&Baseline>,
    attendant: &impl Attendant,
) -> Result<Verified, StudyError> {
    let runs = together(&bench.layouts, &scenario.run, attendant)?;
    let (run, interrupted) = (runs.words(), runs.is_interrupted());
    let outcomes = runs.outcomes;
    let results = results(&bench.layouts, &outcomes, run.clone());
    let mut findings = expectations(scenario, bench, &outcomes);
    if let Some(stored) = stored {
        findings.extend(against(stored, &results, scenario.band));
    }
    let mut cautions: Vec<String> = outcomes.iter().flat_map(|outcome| outcome.cautions.clone()).collect();
    cautions.dedup();
    Ok(Verified { findings, run, results, cautions, interrupted })
}

fn results(layouts: &[&Line], outcomes: &[Outcome], run: String) -> Baseline {
    Baseline {
        schema: SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: layouts.first().map_or_else(String::new, |line| line.name.clone()),
        run,
        layouts: layouts
            .iter()
            .zip(outcomes)
            .map(|(line, o)| baseline::result(line, &o.observations))
            .collect(),
    }
}

fn expectations(scenario: &Scenario, bench: &Bench<'_>, outcomes: &[Outcome]) -> Vec<Finding> {
    let comparisons = bench.asked.iter().filter(|asked| matches!(asked, Asked::Better { .. })).count();
    let mut findings = Vec::new();
    for (expectation, asked) in scenario.expect.iter().zip(&bench.asked) {
        let expected = expectation.text();
        match asked {
            Asked::Promises(promises) => {
                let runs = bench.layouts.iter().zip(outcomes).zip(promises);
                findings.extend(
                    runs.map(|((line, outcome), promise)| promised(&expected, promise, line, outcome)),
                );
            }
            Asked::Better { better, than, measures } => {
                let side = |which: usize, measure: Measure| Side {
                    line: bench.layouts[which],
                    measure,
                    observed: &outcomes[which].observations,
                };
                let compared = compare(
                    &side(*better, measures[0]),
                    &side(*than, measures[1]),
                    shared_confidence(bench.layouts[*better].confidence, comparisons),
                );
                findings.push(Finding {
                    layout: None,
                    expected,
                    verdict: match compared.verdict {
                        Comparison::Better => Verdict::Holds,
                        Comparison::Worse | Comparison::Equal => Verdict::Fails,
                        Comparison::CannotTell { .. } => Verdict::CannotTell,
                    },
                    why: vec![compared.words()],
                });
            }
        }
    }
    findings
}

fn promised(expected: &str, promise: &Promise, line: &Line, outcome: &Outcome) -> Finding {
    let judgement = judge(line, &outcome.observations, &promise.kind);
    Finding {
        layout: Some(line.layout.clone()),
        expected: expected.to_string(),
        verdict: match judgement.verdict {
            PromiseVerdict::Kept => Verdict::Holds,
            PromiseVerdict::Broken => Verdict::Fails,
            PromiseVerdict::Undecided { .. } => Verdict::CannotTell,
        },
        why: judgement_words(&judgement, &promise.kind).into_iter().collect(),
    }
}

/// The figure, its band and the limit; `None` for the audit of holds.
fn judgement_words(judgement: &Judgement, kind: &PromiseKind) -> Option<String> {
    let estimate = match (kind, judgement.estimate) {
        (PromiseKind::NoHoldShort, _) => return None,
        (PromiseKind::CountOnShare { .. } | PromiseKind::Measure { .. }, Some(estimate)) => estimate,
        (PromiseKind::CountOnShare { .. } | PromiseKind::Measure { .. }, None) => {
            return Some("nothing of this was counted".to_string());
        }
    };
    let band = match (estimate.low, estimate.high) {
        (Some(low), Some(high)) => format!(" ({} to {})", decimals(low, 3), decimals(high, 3)),
        (Some(low), None) => format!(" ({} or more)", decimals(low, 3)),
        (None, Some(high)) => format!(" (up to {})", decimals(high, 3)),
        (None, None) => String::new(),
    };
    let side = if judgement.at_least { "at least" } else { "at most" };
    let more = match judgement.verdict {
        PromiseVerdict::Undecided { more: Some(more) } => {
            let more = usize::try_from(more).unwrap_or(usize::MAX);
            format!("; about {} would tell", count_of(more, "more replication"))
        }
        PromiseVerdict::Undecided { more: None } | PromiseVerdict::Kept | PromiseVerdict::Broken => {
            String::new()
        }
    };
    Some(format!(
        "{}{band}, {side} {} wanted{more}",
        decimals(estimate.value, 3),
        decimals(judgement.limit, 3)
    ))
}

/// What is stored against what came out, layout by layout.
fn against(stored: &Baseline, now: &Baseline, band: f64) -> Vec<Finding> {
    let old: BTreeMap<&str, &LayoutResult> = stored.layouts.iter().map(|l| (l.layout.as_str(), l)).collect();
    let mut findings: Vec<Finding> = now
        .layouts
        .iter()
        .map(|layout| {
            let mut why = match old.get(layout.layout.as_str()) {
                Some(old) => differences(old, layout, band),
                None => vec!["this layout is not stored".to_string()],
            };
            if !why.is_empty() && stored.version != now.version {
                why.push(format!("stored by version {}, this is {}", stored.version, now.version));
            }
            if !why.is_empty() && stored.run != now.run {
                why.insert(0, format!("stored from another run: {}", stored.run));
            }
            finding_of(Some(layout.layout.clone()), why)
        })
        .collect();
    let gone = stored.layouts.iter().filter(|old| !now.layouts.iter().any(|new| new.layout == old.layout));
    findings.extend(gone.map(|old| {
        finding_of(Some(old.layout.clone()), vec!["stored, but this scenario no longer runs it".to_string()])
    }));
    findings
}

fn finding_of(layout: Option<String>, why: Vec<String>) -> Finding {
    Finding {
        layout,
        expected: "as in the baseline".to_string(),
        verdict: if why.is_empty() { Verdict::Holds } else { Verdict::Fails },
        why,
    }
}
