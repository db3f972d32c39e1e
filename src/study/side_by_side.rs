//! Several layouts on the same random days: every pair on the measure that counts, every other measure
//! against the first layout, and what follows for whoever has to choose.

use super::compare::{Compared, Comparison, IGNORED, Side, compare};
use super::plan::{Plan, RunChoices, horizon_words};
use super::run::{Attendant, Outcome, run_after};
use super::{StudyError, verify, warm_up_words};
use crate::line::{Line, Measure, TestId};
use crate::report::{
    Advice, COMPARE_SCHEMA, Caution, Comparison as Record, Difference, DifferenceRow, Estimate, Extras,
    LayoutRow, Report, build,
};
use crate::simulate::WarmUp;
use crate::stats::student::{self, shared_confidence};
use crate::stats::summarise;
use crate::units::{count_of, decimals, join_and, percent};

/// A layout and the name it goes by.
#[derive(Clone, Debug)]
pub struct Candidate<'l> {
    pub name: String,
    pub line: &'l Line,
}

/// Runs every candidate on the same random days, after one warm-up, and sets them side by side; the
/// first is the one that the others are set against.
///
/// # Errors
/// The choices do not fit a line, or a run could not go on.
pub fn side_by_side(
    candidates: &[Candidate<'_>],
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<Record, StudyError> {
    let lines: Vec<&Line> = candidates.iter().map(|c| c.line).collect();
    let choices = RunChoices { gains: 0, ..choices.clone() };
    let plans = lines.iter().map(|line| Plan::of(line, &choices)).collect::<Result<Vec<_>, _>>()?;
    let warm_up = verify::longest_warm_up(&lines, &plans, attendant)?;
    let mut runs = Vec::new();
    for (candidate, plan) in candidates.iter().zip(&plans) {
        let outcome = run_after(candidate.line, plan, warm_up, attendant)?;
        let summary = summarise(candidate.line, &outcome.observations, &outcome.beside(candidate.line));
        let report = build(candidate.line, &summary, &outcome.add_to(Extras::default()));
        runs.push(Run { name: &candidate.name, line: candidate.line, outcome, report });
    }
    Ok(record(&runs, plans.first(), warm_up))
}

/// A candidate that has been run.
struct Run<'c> {
    name: &'c str,
    line: &'c Line,
    outcome: Outcome,
    report: Report,
}

fn record(runs: &[Run<'_>], plan: Option<&Plan>, warm_up: WarmUp) -> Record {
    let confidence = runs.first().map_or(0.95, |run| run.line.confidence);
    let by_shift = runs.iter().all(|run| run.line.calendar.is_some());
    let main = if by_shift { Measure::UnitsPerShift } else { Measure::UnitsPerHour };
    let name = name_of(main, None);
    let mut pairs = Vec::new();
    let all = runs.len() * runs.len().saturating_sub(1) / 2;
    for (b, base) in runs.iter().enumerate() {
        for new in &runs[b + 1..] {
            pairs.extend(row(new, base, &name, shared_confidence(confidence, all)));
        }
    }
    let mut differences = Vec::new();
    if let Some((base, others)) = runs.split_first() {
        for new in others {
            differences
                .extend(pairs.iter().find(|p| p.layout == new.name && p.against == base.name).cloned());
            let each = shared_confidence(confidence, others.len());
            differences.extend(measures(base.line, main).iter().filter_map(|m| row(new, base, m, each)));
        }
    }
    let replications = runs.iter().map(|run| run.outcome.observations.replications.len()).min().unwrap_or(0);
    let base = runs.first().map_or_else(String::new, |run| run.name.to_string());
    Record {
        schema: COMPARE_SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: title(runs),
        seed: plan.map_or(0, |plan| plan.seed),
        replications: u32::try_from(replications).unwrap_or(u32::MAX),
        run: run_words(plan, replications, warm_up),
        interrupted: runs.iter().any(|run| run.outcome.observations.interrupted),
        confidence,
        ignored: IGNORED,
        judged_on: name,
        advice: advice(runs, &pairs, by_shift),
        base,
        layouts: runs.iter().map(layout_row).collect(),
        differences,
        pairs,
        cautions: cautions(runs),
    }
}

/// The name of the line; of every line, where they differ.
fn title(runs: &[Run<'_>]) -> String {
    let mut names: Vec<&str> = runs.iter().map(|run| run.line.name.as_str()).collect();
    names.dedup();
    join_and(&names)
}

fn run_words(plan: Option<&Plan>, replications: usize, warm_up: WarmUp) -> String {
    let Some(plan) = plan else { return "nothing was run".to_string() };
    let cut = match warm_up {
        WarmUp::None => "no warm-up".to_string(),
        cut @ (WarmUp::For(_) | WarmUp::Shifts(_) | WarmUp::Units(_)) => {
            format!("warm-up {}", warm_up_words(cut))
        }
    };
    let replications = count_of(replications, "replication");
    format!("{replications} of {} each, {cut}, seed {}", horizon_words(plan.horizon), plan.seed)
}

/// What the layouts are also compared on, as it is written in scenario files.
fn measures(base: &Line, main: Measure) -> Vec<String> {
    let mut all = vec![
        name_of(Measure::UnitsPerHour, None),
        name_of(Measure::MinutesBetweenUnits, None),
        name_of(Measure::FlowTime, None),
        name_of(Measure::WorkInProcess, None),
        name_of(Measure::LabourPerUnit, None),
    ];
    if !base.tests.is_empty() {
        all.push(name_of(Measure::FirstPassYield, None));
    }
    all.extend(base.tests.iter().map(|test| name_of(Measure::Wait(TestId(0)), Some(&test.name))));
    // Per shift, the hour says the same once more.
    all.retain(|name| main != Measure::UnitsPerShift || *name != "units per hour");
    all.retain(|name| *name != name_of(main, None));
    all
}

fn name_of(measure: Measure, test: Option<&str>) -> String {
    match measure {
        Measure::UnitsPerShift => "units per shift".to_string(),
        Measure::UnitsPerHour => "units per hour".to_string(),
        Measure::MinutesBetweenUnits => "minutes between units".to_string(),
        Measure::Wait(_) => format!("wait at {}", test.unwrap_or("TEST")),
        Measure::FlowTime => "flow time".to_string(),
        Measure::WorkInProcess => "work in process".to_string(),
        Measure::LabourPerUnit => "labour per unit".to_string(),
        Measure::FirstPassYield => "first pass yield".to_string(),
    }
}

/// `None` where one of the two lines does not have the measure.
fn row(new: &Run<'_>, base: &Run<'_>, measure: &str, confidence: f64) -> Option<DifferenceRow> {
    let new_side = Side::of(new.line, measure, &new.outcome.observations)?;
    let old_side = Side::of(base.line, measure, &base.outcome.observations)?;
    let compared = compare(&new_side, &old_side, confidence);
    let (verdict, more) = match compared.verdict {
        Comparison::Better => (Difference::Better, None),
        Comparison::Worse => (Difference::Worse, None),
        Comparison::Equal => (Difference::Equal, None),
        Comparison::CannotTell { more } => (Difference::CannotTell, more),
    };
    Some(DifferenceRow {
        layout: new.name.to_string(),
        against: base.name.to_string(),
        measure: measure.to_string(),
        unit: compared.unit.to_string(),
        verdict,
        share: share(&compared),
        half_width_unpaired: compared.unpaired,
        difference: compared.difference.as_ref().map(shown),
        more: more.map(|more| u32::try_from(more).unwrap_or(u32::MAX)),
    })
}

fn share(compared: &Compared) -> Option<f64> {
    let difference = compared.difference?;
    (compared.old_mean != 0.0).then(|| difference.mean / compared.old_mean)
}

fn shown(estimate: &student::Estimate) -> Estimate {
    Estimate {
        mean: estimate.mean,
        low: Some(estimate.low),
        high: Some(estimate.high),
        confidence: estimate.confidence,
        n: u32::try_from(estimate.n).unwrap_or(u32::MAX),
    }
}

fn layout_row(run: &Run<'_>) -> LayoutRow {
    let (report, measures) = (&run.report, &run.report.line_measures);
    let shifts = measures.units_per_shift.as_ref();
    let mut row = LayoutRow {
        layout: run.name.to_string(),
        units_per_shift: shifts.map(|s| Estimate {
            mean: s.mean,
            low: s.low,
            high: s.high,
            confidence: s.confidence,
            n: s.n,
        }),
        units_per_hour: measures.units_per_hour,
        chance_of_count: shifts.and_then(|s| s.chance_of_count),
        flow_time_min: measures.flow_time_min.mean,
        work_in_process: measures.work_in_process,
        labour_min_per_unit: measures.labour_min_per_unit,
        people: seats(run.line),
        places: run.line.places.iter().map(|p| p.bays + p.slots).sum(),
        promises_kept: 0,
        promises_broken: 0,
        promises_undecided: 0,
        holds_kept: report.holds.iter().all(|hold| hold.kept),
    };
    row.count_promises(report.promises.iter().map(|promise| promise.verdict));
    row
}

fn seats(line: &Line) -> u32 {
    let of = |crew: &crate::line::Crew| crew.members.iter().map(|(count, _)| count).sum::<u32>();
    line.crews.iter().map(|crew| of(crew) * line.gangs_of(crew)).sum()
}

/// What each report says, once.
fn cautions(runs: &[Run<'_>]) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    for caution in runs.iter().flat_map(|run| &run.report.cautions) {
        if !all.contains(caution) {
            all.push(caution.clone());
        }
    }
    all
}

/// The layout with the highest mean, if the runs can tell it from every other; among layouts that make
/// as much, the one with the fewest people, then places, then the first.
fn advice(runs: &[Run<'_>], pairs: &[DifferenceRow], by_shift: bool) -> Advice {
    let mean = |run: &Run<'_>| {
        let measures = &run.report.line_measures;
        match by_shift {
            true => measures.units_per_shift.as_ref().map(|s| s.mean),
            false => measures.units_per_hour.map(|e| e.mean),
        }
    };
    let nothing =
        |sentence: String| Advice { take: None, equals: Vec::new(), open: Vec::new(), more: None, sentence };
    let Some((best, most)) = runs
        .iter()
        .filter_map(|run| Some((run, mean(run)?)))
        .reduce(|best, other| if other.1 > best.1 { other } else { best })
    else {
        return nothing("Nothing was finished, so nothing can be compared.".to_string());
    };
    let unit = if by_shift { "units a shift" } else { "units an hour" };
    let (mut equals, mut open, mut more) = (Vec::new(), Vec::new(), None);
    for other in runs.iter().filter(|run| run.name != best.name) {
        let pair = pairs.iter().find(|p| {
            (p.layout == best.name && p.against == other.name)
                || (p.layout == other.name && p.against == best.name)
        });
        match pair.map(|p| (p.verdict, p.more)) {
            Some((Difference::Better | Difference::Worse, _)) => {}
            Some((Difference::Equal, _)) => equals.push(other),
            Some((Difference::CannotTell, n)) => {
                open.push(other.name.to_string());
                more = more.max(n);
            }
            None => open.push(other.name.to_string()),
        }
    }
    let quoted = |name: &str| format!("\u{201c}{name}\u{201d}");
    if !open.is_empty() {
        let names: Vec<String> = open.iter().map(|name| quoted(name)).collect();
        let how = match more {
            Some(more) => {
                format!("; about {} of each would tell", count_of(more as usize, "more replication"))
            }
            None => String::new(),
        };
        let sentence = format!(
            "These runs cannot tell which to take: {} makes {} {unit} on average, but cannot be told from {}{how}.",
            quoted(best.name),
            decimals(most, 2),
            join_and(&names)
        );
        let equals = equals.iter().map(|run| run.name.to_string()).collect();
        return Advice { take: None, equals, open, more, sentence };
    }
    let mut alike: Vec<&Run<'_>> = equals.clone();
    alike.push(best);
    let size = |run: &Run<'_>| {
        let row = layout_row(run);
        (row.people, row.places, runs.iter().position(|other| other.name == run.name))
    };
    let take = alike.iter().min_by_key(|run| size(run)).copied().unwrap_or(best);
    let broken = layout_row(take).promises_broken;
    let mut sentence = match equals.is_empty() {
        true => format!("Take {}: it makes {} {unit}", quoted(take.name), decimals(most, 2)),
        false => {
            let others: Vec<String> =
                alike.iter().filter(|run| run.name != take.name).map(|run| quoted(run.name)).collect();
            format!(
                "Take {}: {} the same within {}, {} {unit}, and it needs the fewest people and places",
                quoted(take.name),
                if others.len() == 1 {
                    format!("{} makes", others[0])
                } else {
                    format!("{} make", join_and(&others))
                },
                percent(IGNORED),
                decimals(mean(take).unwrap_or(most), 2)
            )
        }
    };
    sentence.push_str(&against_the_base(runs, pairs, take));
    sentence.push('.');
    if broken > 0 {
        sentence.push_str(&format!(" It breaks {}.", count_of(broken as usize, "promise")));
    }
    Advice {
        take: Some(take.name.to_string()),
        equals: alike.iter().filter(|run| run.name != take.name).map(|run| run.name.to_string()).collect(),
        open,
        more,
        sentence,
    }
}

/// `, 3.1 (2.9 to 3.3) more than “today”`
fn against_the_base(runs: &[Run<'_>], pairs: &[DifferenceRow], take: &Run<'_>) -> String {
    let Some(base) = runs.first().filter(|base| base.name != take.name) else { return String::new() };
    let pair = pairs.iter().find(|p| p.layout == take.name && p.against == base.name);
    match pair.and_then(|p| p.difference) {
        Some(Estimate { mean, low: Some(low), high: Some(high), .. }) if low > 0.0 => {
            let number = |x: f64| decimals(x, 2);
            format!(
                ", {} ({} to {}) more than \u{201c}{}\u{201d}",
                number(mean),
                number(low),
                number(high),
                base.name
            )
        }
        Some(_) | None => String::new(),
    }
}
