//! The record of a sweep: every point against the line as it stands and against the best, and what follows.

use super::{Ran, Sweep};
use crate::report::{
    Advice, AxisRow, Caution, DifferenceRow, FewestRow, LayoutRow, PointLeftOut, PointRow, SWEEP_SCHEMA,
    SweepReport, Verdict, sweep_sentence,
};
use crate::stats::student::shared_confidence;
use crate::study::compare::{IGNORED, compare_series, name_of_count};
use crate::study::side_by_side::{advice, difference};
use crate::study::sweep::Axis;
use crate::study::together::{Together, count_of_lines};
use crate::units::Time;

/// What is only true of sweeps.
const POINTS: &str = "A point says what these settings do, not what it takes to get there. Of neighbours that \
     cannot be told apart, the one that needs less is as good; the highest mean of many is a little lucky.";
const FEWEST: &str = "Whether a promise is kept is judged point by point, each at the confidence of the file; \
     with many points one in twenty undecided ones may look kept or broken by luck.";

/// What else the record says.
pub struct Rest {
    /// Points for which no warm-up of their own was found.
    pub unsettled: Vec<String>,
    pub left_out: Vec<PointLeftOut>,
    pub cautions: Vec<Caution>,
    pub interrupted: bool,
}

pub fn record(asked: &Sweep<'_>, together: &Together, stands: &Ran, ran: &[Ran], rest: Rest) -> SweepReport {
    let (line, count) = (asked.base, name_of_count(count_of_lines(&[asked.base])));
    let among = Among { asked, count, confidence: confidence(line.confidence, ran) };
    let rows: Vec<LayoutRow> = ran.iter().map(|one| one.does.clone()).collect();
    let most = advice(&rows, &[]).most.and_then(|name| ran.iter().find(|one| one.point.name == name));
    let points: Vec<PointRow> = ran.iter().map(|one| among.row(one, stands, most)).collect();
    let pairs: Vec<DifferenceRow> = points.iter().filter_map(|p| p.against_most.clone()).collect();
    let fewest_runs = ran.iter().map(|one| one.replications).min().unwrap_or(stands.replications);
    let mut record = SweepReport {
        schema: SWEEP_SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: line.name.clone(),
        axes: asked.axes.iter().map(axis_row).collect(),
        seed: together.plans.first().map_or(0, |plan| plan.seed),
        replications: u32::try_from(fewest_runs).unwrap_or(u32::MAX),
        run: together.words(),
        interrupted: rest.interrupted,
        confidence: line.confidence,
        ignored: IGNORED,
        judged_on: count.to_string(),
        base: among.row(stands, stands, None),
        advice: Advice { sentence: String::new(), ..advice(&rows, &pairs) },
        fewest: fewest(&points),
        points,
        left_out: rest.left_out,
        cautions: Vec::new(),
    };
    record.cautions = cautions(&record, &rest.unsettled, rest.cautions);
    record.advice.sentence = sweep_sentence(&record);
    record
}

/// Of every pair of points and the line as it stands, all of which hold together: which point is the best
/// is known only after the runs.
fn confidence(confidence: f64, ran: &[Ran]) -> f64 {
    let stands = usize::from(ran.iter().all(|one| one.point.edit.is_some()));
    let lines = ran.len() + stands;
    shared_confidence(confidence, lines * lines.saturating_sub(1) / 2)
}

/// How the points are set against one another.
struct Among<'s> {
    asked: &'s Sweep<'s>,
    count: &'static str,
    confidence: f64,
}

impl Among<'_> {
    fn row(&self, one: &Ran, stands: &Ran, most: Option<&Ran>) -> PointRow {
        let against = |other: &Ran| {
            let compared = compare_series(&one.series, &other.series, self.confidence);
            difference([&one.does.layout, &other.does.layout], self.count, &compared)
        };
        let is_itself = |other: &&Ran| other.point.name != one.point.name;
        let settings = || self.asked.axes.iter().zip(&one.point.settings);
        PointRow {
            settings: settings().map(|(axis, value)| setting(axis, *value)).collect(),
            said: settings().map(|(axis, value)| axis.dial.said(*value)).collect(),
            as_it_stands: one.point.edit.is_none(),
            does: one.does.clone(),
            against_base: one.point.edit.is_some().then(|| against(stands)),
            against_most: most.filter(is_itself).map(against),
            curve: one.curve.clone(),
            promises: one.promises.clone(),
            edit: one.point.edit.clone(),
        }
    }
}

/// Counts as they are, a pace in minutes.
fn setting(axis: &Axis, value: i64) -> f64 {
    if axis.dial.is_a_time() { Time(value).as_minutes() } else { value as f64 }
}

fn axis_row(axis: &Axis) -> AxisRow {
    AxisRow {
        name: axis.name.clone(),
        unit: axis.dial.is_a_time().then(|| "min".to_string()),
        today: setting(axis, axis.today),
        settings: axis.values.iter().map(|value| setting(axis, *value)).collect(),
        words: axis.words(),
    }
}

/// For each promise the fewest people, then places, then the first.
fn fewest(points: &[PointRow]) -> Vec<FewestRow> {
    let Some(first) = points.first() else { return Vec::new() };
    let of = |k: usize| {
        let verdict = |point: &PointRow| point.promises.get(k).map(|promise| promise.verdict);
        let kept = points
            .iter()
            .filter(|point| verdict(point) == Some(Verdict::Kept))
            .min_by_key(|point| (point.does.people, point.does.places));
        let open = |point: &&PointRow| {
            verdict(point) == Some(Verdict::Undecided)
                && kept.is_none_or(|kept| point.does.people < kept.does.people)
        };
        FewestRow {
            promise: first.promises[k].text.clone(),
            point: kept.map(|point| point.does.layout.clone()),
            people: kept.map(|point| point.does.people),
            undecided: points.iter().filter(open).map(|point| point.does.layout.clone()).collect(),
        }
    };
    (0..first.promises.len()).map(of).collect()
}

fn cautions(record: &SweepReport, unsettled: &[String], of_reports: Vec<Caution>) -> Vec<Caution> {
    let caution = |topic: &str, text: &str| Caution { topic: topic.to_string(), text: text.to_string() };
    let mut all = vec![caution("points", POINTS)];
    if !record.fewest.is_empty() {
        all.push(caution("promises", FEWEST));
    }
    if !unsettled.is_empty() {
        let text = format!(
            "No warm-up of their own was found for these, and they are judged after that of the others: {}. \
             A longer run, or a stated warm-up, would settle it.",
            unsettled.join("; ")
        );
        all.push(caution("warm-up", &text));
    }
    all.extend(of_reports);
    all
}
