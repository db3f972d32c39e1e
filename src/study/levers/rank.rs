//! The record of what was found: levers in their order, what each costs, and the sentence on top.

use super::payback::Purse;
use super::{Found, Tried, is_nothing};
use crate::line::Line;
use crate::report::{
    Caution, Difference, Estimate, Extras, LEVERS_SCHEMA, LeftOut, LeverRow, LeversReport, build,
    levers_sentence,
};
use crate::stats::{counts_a_year, summarise, year_cost};
use crate::study::compare::{Compared, IGNORED, name_of_count};
use crate::study::plan::Plan;
use crate::study::together::count_of_lines;

/// What is only true of levers.
const ONE_AT_A_TIME: &str = "Each lever is pulled alone: gains of two levers do not add up, and the best one \
     moves the bottleneck, so ask again after it. Two levers whose bands overlap may change places. Levers \
     that the first round shows no sign of a gain for are not looked at further: about one in a hundred of \
     those that gain as much as is worth deciding is missed so.";
const NOT_HOW: &str = "\u{201c}5 % off the work\u{201d} and \u{201c}half the fails gone\u{201d} say what it \
     would be worth, not how to get there; no hold and no test marked `safety` is made shorter or easier.";
const NO_VALUE: &str = "The file says what people, bays and floor cost and not what a unit earns: a cost per \
     unit gained is below or above what a unit earns you, and that settles the payback.";

const PAYBACK: &str = "Payback is what a lever costs once over what its gain earns, less its part of what a year with it \
     costs more by the file, at the stated earning a unit and with every unit sold; no interest. The ends of its band \
     are those of the gain. Where a lever costs more to run at the low end than it earns, the band has no end.";

/// What else the record says.
pub struct Rest<'p> {
    pub left_out: Vec<LeftOut>,
    pub interrupted: bool,
    /// How many levers of each kind were made, in words.
    pub made: String,
    pub purse: Option<&'p Purse>,
}

pub fn record(base: &Line, plan: &Plan, found: Found, rest: Rest<'_>) -> LeversReport {
    let summary = summarise(base, &found.base.observations, &found.base.beside(base));
    let report = build(base, &summary, &found.base.add_to(Extras::default()));
    let shifts = report.line_measures.units_per_shift.as_ref().map(|shifts| shifts.estimate());
    let replications = u32::try_from(found.base.observations.replications.len()).unwrap_or(u32::MAX);
    let mut levers: Vec<LeverRow> =
        found.tried.iter().map(|one| row(base, one, replications, rest.purse)).collect();
    levers.sort_by(|a, b| order(a).0.cmp(&order(b).0).then(order(b).1.total_cmp(&order(a).1)));
    for (row, rank) in levers.iter_mut().zip(1..) {
        row.rank = rank;
    }
    let mut record = LeversReport {
        schema: LEVERS_SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: base.name.clone(),
        layout: base.layout.clone(),
        seed: plan.seed,
        run: found.together.words(),
        screening_replications: found.screening,
        replications,
        interrupted: rest.interrupted,
        confidence: base.confidence,
        ignored: IGNORED,
        judged_on: name_of_count(count_of_lines(&[base])).to_string(),
        base: shifts.or(report.line_measures.units_per_hour),
        made: rest.made,
        sentence: String::new(),
        money: base.costs.as_ref().map(|costs| costs.money.clone()),
        earns: rest.purse.map(|purse| purse.earns),
        levers,
        left_out: rest.left_out,
        cautions: cautions(base, rest.purse, &found.unsettled, report.cautions),
    };
    record.sentence = levers_sentence(&record);
    record
}

fn cautions(
    base: &Line,
    purse: Option<&Purse>,
    unsettled: &[String],
    of_report: Vec<Caution>,
) -> Vec<Caution> {
    let own = [("levers", ONE_AT_A_TIME), ("what they take", NOT_HOW)];
    let money = if purse.is_some() { PAYBACK } else { NO_VALUE };
    let costs = (base.costs.is_some() || purse.is_some()).then_some(("payback", money));
    let caution = |(topic, text): (&str, &str)| Caution { topic: topic.to_string(), text: text.to_string() };
    let settling = (!unsettled.is_empty()).then(|| Caution {
        topic: "warm-up".to_string(),
        text: format!(
            "No warm-up of their own was found for these, and they are judged after that of the others: {}. \
             A longer run, or a stated warm-up, would settle it.",
            unsettled.join("; ")
        ),
    });
    own.into_iter().chain(costs).map(caution).chain(settling).chain(of_report).collect()
}

/// Surely better, open, no difference, surely worse; in each the higher gain first.
fn order(row: &LeverRow) -> (u8, f64) {
    let group = match row.verdict {
        Difference::Better => 0,
        Difference::CannotTell if row.screened_out => 2,
        Difference::CannotTell => 1,
        Difference::Equal => 2,
        Difference::Worse => 3,
    };
    (group, row.gained.as_ref().map_or(0.0, |gained| gained.mean))
}

fn row(base: &Line, one: &Tried, replications: u32, purse: Option<&Purse>) -> LeverRow {
    let compared: &Compared = one.closely.as_ref().unwrap_or(&one.first);
    let (verdict, more) = compared.said();
    let gained: Option<Estimate> = compared.difference.as_ref().map(Into::into);
    let cost = extra_cost(base, &one.line);
    let payback = purse.and_then(|p| p.payback(base, &one.lever, verdict, gained.as_ref(), cost));
    let briefly = compared.difference.is_none_or(|d| d.n < replications as usize);
    LeverRow {
        rank: 0,
        kind: one.lever.kind,
        lever: one.lever.name.clone(),
        verdict,
        no_effect: compared.difference.as_ref().is_some_and(is_nothing),
        screened_out: one.closely.is_none() && briefly,
        share: compared.share(),
        more,
        cost_per_year: cost,
        cost_per_unit_gained: cost.zip(gained).and_then(|(cost, gained)| per_unit(base, cost, &gained)),
        once: payback.map(|payback| payback.once),
        payback: payback.and_then(|payback| payback.after),
        never_pays: payback.is_some_and(|payback| payback.never),
        gained,
        edit: one.lever.edit.clone(),
    }
}

/// A year with the lever less a year without it; `None` where the file's costs know no difference.
fn extra_cost(base: &Line, line: &Line) -> Option<f64> {
    let more = year_cost(line)? - year_cost(base)?;
    (more != 0.0).then_some(more)
}

/// Cost of a year over the units gained in it, where the gain is sure: the ends of the band change places.
fn per_unit(base: &Line, cost: f64, gained: &Estimate) -> Option<Estimate> {
    let (low, high) = gained.low.zip(gained.high)?;
    let each = |gain: f64| cost / (gain * counts_a_year(base));
    (low > 0.0).then(|| Estimate {
        mean: each(gained.mean),
        low: Some(each(high)),
        high: Some(each(low)),
        ..*gained
    })
}
