//! The record of losses: levels in whole thousandths, so that the parts add up exactly.

use super::{Found, ORDER, Stage};
use crate::line::{Line, Ratio};
use crate::report::{Caution, Estimate, LOSSES_SCHEMA, LossCause, LossRow, LossesReport, losses_sentence};
use crate::stats::student::{self, shared_confidence};
use crate::study::compare::{compare_series, name_of_count};
use crate::study::together::{Together, count_of_lines};
use crate::units::{Time, join_and, whole_half_even};

/// What is only true of losses.
const ORDER_MATTERS: &str = "Each row is what the line would make more without that cause, with everything below \
     it switched off already. Causes hide behind one another, so another order gives other parts; their \
     sum is the same.";

pub fn record(line: &Line, together: &Together, found: Found) -> LossesReport {
    let good = found.stages.first().and_then(|stage| stage.series.estimate(line.confidence));
    let good_thousandths = good.map_or(0, |good| thousandths(good.mean));
    let (losses, start_thousandths) = rows(line, &found.stages, good_thousandths);
    let off = |cause: &LossCause| found.stages.iter().any(|stage| stage.off == Some(*cause));
    let first = together.outcomes.first().map(|outcome| &outcome.observations);
    let replications = first.map_or(0, |observed| observed.replications.len());
    let mut record = LossesReport {
        schema: LOSSES_SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: line.name.clone(),
        layout: line.layout.clone(),
        seed: together.plans.first().map_or(0, |plan| plan.seed),
        replications: u32::try_from(replications).unwrap_or(u32::MAX),
        run: together.words(),
        confidence: line.confidence,
        judged_on: name_of_count(count_of_lines(&[line])).to_string(),
        pace_min: line.pace.map(Ratio::as_minutes),
        shift_min: shift_length(line),
        start_thousandths,
        losses,
        good_thousandths,
        good: good.as_ref().map(Into::into),
        switched_off: ORDER.iter().copied().filter(off).collect(),
        sentence: String::new(),
        left_out: found.left_out,
        cautions: cautions(&found.unsettled, found.cautions),
    };
    record.sentence = losses_sentence(&record);
    record
}

/// What is lost, from the top, and what it is lost from. Every level is rounded once, so the differences
/// add up.
fn rows(line: &Line, stages: &[Stage], good: i64) -> (Vec<LossRow>, i64) {
    // Bands of the switched-off causes and of what is left.
    let confidence = shared_confidence(line.confidence, stages.len());
    let mut losses: Vec<LossRow> = Vec::new();
    let mut left = good;
    let mut add = |cause: LossCause, level: i64, lost: Option<Estimate>| {
        losses.push(LossRow { cause, lost_thousandths: level - left, left_thousandths: left, lost });
        left = level;
    };
    for pair in stages.windows(2) {
        let [before, after] = pair else { continue };
        let level = after.series.estimate(line.confidence).map(|made| thousandths(made.mean));
        if let (Some(cause), Some(level)) = (after.off, level) {
            let more = compare_series(&after.series, &before.series, confidence).difference;
            add(cause, level, more.as_ref().map(Into::into));
        }
    }
    let (shift, net) = room(line);
    if let Some(net) = net {
        let lost = stages.last().and_then(|ideal| against_room(ideal, net, confidence));
        add(LossCause::Balance, thousandths(net), lost);
    }
    if let Some(shift) = shift.filter(|shift| net != Some(*shift)) {
        add(LossCause::PlannedStops, thousandths(shift), None);
    }
    losses.reverse();
    (losses, left)
}

/// A mean in whole thousandths.
fn thousandths(units: f64) -> i64 {
    whole_half_even(1000.0 * units)
}

/// What the pace has room for less what is made with nothing going wrong.
fn against_room(ideal: &Stage, room: f64, confidence: f64) -> Option<Estimate> {
    let made: student::Estimate = ideal.series.estimate(confidence)?;
    let less =
        student::Estimate { mean: room - made.mean, low: room - made.high, high: room - made.low, ..made };
    Some((&less).into())
}

/// Units that a shift, and its net time, have room for at the pace; of an hour where there are no shifts.
fn room(line: &Line) -> (Option<f64>, Option<f64>) {
    let Some(pace) = line.pace.map(Ratio::as_minutes).filter(|pace| *pace > 0.0) else {
        return (None, None);
    };
    let Some(calendar) = &line.calendar else { return (None, Some(60.0 / pace)) };
    let (net, shifts) = calendar.shift_net();
    (shift_length(line).map(|shift| shift / pace), Some(net.as_minutes() / shifts as f64 / pace))
}

/// Minutes of the mean shift, pauses and all.
fn shift_length(line: &Line) -> Option<f64> {
    let week = &line.calendar.as_ref()?.week;
    let all: Time = week.iter().map(|shift| shift.end - shift.start).sum();
    Some(all.as_minutes() / week.len() as f64)
}

fn cautions(unsettled: &[LossCause], of_report: Vec<Caution>) -> Vec<Caution> {
    let caution = |topic: &str, text: String| Caution { topic: topic.to_string(), text };
    let mut all = vec![caution("order", ORDER_MATTERS.to_string())];
    if !unsettled.is_empty() {
        let names: Vec<&str> = unsettled.iter().map(|cause| cause.words()).collect();
        all.push(caution(
            "warm-up",
            format!(
                "No warm-up of its own was found for the line without these, and it is judged after that of the \
                 others: {}. A longer run, or a stated warm-up, would settle it.",
                join_and(&names)
            ),
        ));
    }
    all.extend(of_report);
    all
}
