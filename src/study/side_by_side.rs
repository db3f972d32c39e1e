//! Several layouts on the same random days: every pair on the count, every other measure against the
//! first layout, and what follows for whoever has to choose.

use super::StudyError;
use super::compare::{Compared, IGNORED, MEASURES, Side, compare, name_of_count};
use super::plan::{RunChoices, shifts_a_week};
use super::run::Attendant;
use super::together::{Together, count_of_lines, together};
use crate::line::Line;
use crate::report::{
    Advice, COMPARE_SCHEMA, Caution, CompareReport, Difference, DifferenceRow, Extras, LayoutRow, Report,
    advice_sentence, build,
};
use crate::simulate::Observations;
use crate::stats::student::shared_confidence;
use crate::stats::{heads, summarise};
use crate::units::join_and;

/// A layout and the name it goes by.
#[derive(Clone, Debug)]
pub struct Candidate<'l> {
    pub name: String,
    pub line: &'l Line,
}

/// Runs every candidate on the same random days and sets them side by side; the first is the one that the
/// others are set against.
///
/// # Errors
/// The choices do not fit a line, or a run could not go on.
pub fn side_by_side(
    candidates: &[Candidate<'_>],
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<CompareReport, StudyError> {
    let lines: Vec<&Line> = candidates.iter().map(|c| c.line).collect();
    let choices = RunChoices { gains: 0, ..choices.clone() };
    let found = together(&lines, &choices, attendant)?;
    let runs: Vec<Run<'_>> = candidates
        .iter()
        .zip(&found.outcomes)
        .map(|(candidate, outcome)| {
            let summary = summarise(candidate.line, &outcome.observations, &outcome.beside(candidate.line));
            let report = build(candidate.line, &summary, &outcome.add_to(Extras::default()));
            Run { name: &candidate.name, line: candidate.line, observed: &outcome.observations, report }
        })
        .collect();
    Ok(record(&runs, &lines, &found))
}

/// A candidate that has been run.
struct Run<'c> {
    name: &'c str,
    line: &'c Line,
    observed: &'c Observations,
    report: Report,
}

fn record(runs: &[Run<'_>], lines: &[&Line], found: &Together) -> CompareReport {
    let confidence = lines.first().map_or(0.95, |line| line.confidence);
    let count = name_of_count(count_of_lines(lines));
    let pairs = pairs(runs, count, confidence);
    let layouts: Vec<LayoutRow> =
        runs.iter().map(|run| layout_row(run.name, run.line, &run.report)).collect();
    let fewest = runs.iter().map(|run| run.observed.replications.len()).min().unwrap_or(0);
    let mut names: Vec<&str> = lines.iter().map(|line| line.name.as_str()).collect();
    names.dedup();
    let mut record = CompareReport {
        schema: COMPARE_SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: join_and(&names),
        seed: found.plans.first().map_or(0, |plan| plan.seed),
        replications: u32::try_from(fewest).unwrap_or(u32::MAX),
        run: found.words(),
        interrupted: found.is_interrupted(),
        confidence,
        ignored: IGNORED,
        judged_on: count.to_string(),
        advice: advice(&layouts, &pairs),
        base: runs.first().map_or_else(String::new, |run| run.name.to_string()),
        layouts,
        differences: differences(runs, count, &pairs, confidence),
        pairs,
        cautions: cautions(runs.iter().map(|run| &run.report)),
    };
    record.advice.sentence = advice_sentence(&record);
    record
}

/// Every pair on the count, all of which hold together.
fn pairs(runs: &[Run<'_>], count: &str, confidence: f64) -> Vec<DifferenceRow> {
    let each = shared_confidence(confidence, runs.len() * runs.len().saturating_sub(1) / 2);
    let against = |(b, base)| runs[b + 1..].iter().filter_map(move |new| row(new, base, count, each));
    runs.iter().enumerate().flat_map(against).collect()
}

/// Every other layout against the first, on the count and then on everything else.
fn differences(
    runs: &[Run<'_>],
    count: &str,
    pairs: &[DifferenceRow],
    confidence: f64,
) -> Vec<DifferenceRow> {
    let Some((base, others)) = runs.split_first() else { return Vec::new() };
    let each = shared_confidence(confidence, others.len());
    let measures = other_measures(base.line, count);
    let mut rows = Vec::new();
    for new in others {
        rows.extend(pairs.iter().find(|p| p.layout == new.name && p.against == base.name).cloned());
        rows.extend(measures.iter().filter_map(|measure| row(new, base, measure, each)));
    }
    rows
}

/// What the layouts are also compared on; units per hour say the same as units per shift once more.
fn other_measures(base: &Line, count: &str) -> Vec<String> {
    let others = MEASURES.iter().filter(|name| **name != count && !name.starts_with("units per"));
    let mut all = Vec::new();
    for name in others {
        match *name {
            "wait at TEST" => all.extend(base.tests.iter().map(|test| format!("wait at {}", test.name))),
            // The yields of single tests stand with the tests of each layout.
            "first pass yield at TEST" => {}
            "first pass yield" if base.tests.is_empty() => {}
            name => all.push(name.to_string()),
        }
    }
    all
}

/// `None` where one of the two lines does not have the measure.
fn row(new: &Run<'_>, base: &Run<'_>, measure: &str, confidence: f64) -> Option<DifferenceRow> {
    let new_side = Side::of(new.line, measure, new.observed)?;
    let old_side = Side::of(base.line, measure, base.observed)?;
    Some(difference([new.name, base.name], measure, &compare(&new_side, &old_side, confidence)))
}

/// The first of two layouts against the second.
pub(super) fn difference([layout, against]: [&str; 2], measure: &str, compared: &Compared) -> DifferenceRow {
    let (verdict, more) = compared.said();
    DifferenceRow {
        layout: layout.to_string(),
        against: against.to_string(),
        measure: measure.to_string(),
        unit: compared.unit.to_string(),
        verdict,
        share: compared.share(),
        half_width_unpaired: compared.unpaired,
        difference: compared.difference.as_ref().map(Into::into),
        more,
    }
}

/// What a layout does, and what it takes.
pub(super) fn layout_row(name: &str, line: &Line, report: &Report) -> LayoutRow {
    let measures = &report.line_measures;
    let shifts = measures.units_per_shift.as_ref();
    let mut row = LayoutRow {
        layout: name.to_string(),
        units_per_shift: shifts.map(|shifts| shifts.estimate()),
        units_per_hour: measures.units_per_hour,
        shifts_per_week: shifts_a_week(line),
        units_per_week: shifts.and_then(|shifts| Some(shifts.mean * f64::from(shifts_a_week(line)?))),
        chance_of_count: shifts.and_then(|shifts| shifts.chance_of_count),
        flow_time_min: measures.flow_time_min.mean,
        work_in_process: measures.work_in_process,
        labour_min_per_unit: measures.labour_min_per_unit,
        people: people(line),
        places: line.places.iter().map(|p| p.bays + p.slots).sum(),
        floor_m2: report.costs.as_ref().and_then(|costs| costs.floor_m2),
        cost_per_unit: report.costs.as_ref().and_then(|costs| costs.per_unit),
        promises_kept: 0,
        promises_broken: 0,
        promises_undecided: 0,
        holds_kept: report.holds.iter().all(|hold| hold.kept),
    };
    row.count_promises(report.promises.iter().map(|promise| promise.verdict));
    row
}

/// Everybody of a shift: seats of all crews, floaters, those who sit in during breaks, and people of the house
/// in no crew.
fn people(line: &Line) -> u32 {
    let seats: u32 = line.crews.iter().map(|crew| heads(line, crew)).sum();
    let relief = line.relief.as_ref().map_or(0, |relief| relief.count);
    let floaters: u32 = line.floaters.iter().map(|floaters| floaters.count).sum();
    let comes = |group: usize| line.visitors.iter().any(|visitor| visitor.group.index() == group);
    let spare = line.spare_people().into_iter().enumerate().filter(|(group, _)| !comes(*group));
    seats + floaters + relief + spare.map(|(_, spare)| spare).sum::<u32>()
}

/// What each report says, once.
pub(super) fn cautions<'r>(reports: impl Iterator<Item = &'r Report>) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    for caution in reports.flat_map(|report| &report.cautions) {
        if !all.contains(caution) {
            all.push(caution.clone());
        }
    }
    all
}

/// The layout with the highest mean, if the runs can tell it from every other; among layouts that make
/// as much, the one with the fewest people, then places, then the first. The sentence comes later.
pub(super) fn advice(layouts: &[LayoutRow], pairs: &[DifferenceRow]) -> Advice {
    let mut advice = Advice::default();
    let made = |row: &LayoutRow| row.units_per_shift.or(row.units_per_hour).map(|e| e.mean);
    let Some((best, _)) = layouts
        .iter()
        .filter_map(|row| Some((row, made(row)?)))
        .reduce(|best, other| if other.1 > best.1 { other } else { best })
    else {
        return advice;
    };
    advice.most = Some(best.layout.clone());
    let mut alike = vec![best];
    for other in layouts.iter().filter(|row| row.layout != best.layout) {
        let names = [best.layout.as_str(), other.layout.as_str()];
        let of_both = |p: &&DifferenceRow| names.iter().all(|name| *name == p.layout || *name == p.against);
        match pairs.iter().find(of_both).map(|p| (p.verdict, p.more)) {
            Some((Difference::Better | Difference::Worse, _)) => {}
            Some((Difference::Equal, _)) => alike.push(other),
            Some((Difference::CannotTell, more)) => {
                advice.open.push(other.layout.clone());
                advice.more = advice.more.max(more);
            }
            None => advice.open.push(other.layout.clone()),
        }
    }
    let place = |row: &LayoutRow| layouts.iter().position(|other| other.layout == row.layout);
    let take = alike.iter().min_by_key(|row| (row.people, row.places, place(row))).map(|row| &row.layout);
    advice.take = take.filter(|_| advice.open.is_empty()).cloned();
    let named = advice.take.as_ref().unwrap_or(&best.layout);
    advice.equals = alike.iter().map(|row| &row.layout).filter(|name| *name != named).cloned().collect();
    advice
}
