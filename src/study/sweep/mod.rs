//! One or two numbers of a line varied, every point on the same random days.
//!
//! Owns the points and the runs. A point is an edit of the line: its line comes through the same door as any
//! layout, so what it does is what `simulate` finds for that layout.

mod axis;
mod record;

pub use axis::{Axis, fit_together};

use super::compare::{Series, Side};
use super::edits::{Draft, LineFile, NewLayout, lines, say, unused};
use super::plan::{Plan, RunChoices};
use super::run::{Attendant, Outcome, run_after};
use super::side_by_side::layout_row;
use super::together::{Together, count_of_lines, longer};
use super::{StudyError, warm_up};
use crate::check::promise_from_text;
use crate::line::Line;
use crate::report::{
    Caution, ChanceAt, Extras, LayoutRow, PointLeftOut, PromiseRow, Report, SweepReport, build,
};
use crate::simulate::WarmUp;
use crate::stats::summarise;

/// What is varied, of which line.
pub struct Sweep<'s> {
    /// A layout of the file, called as it is there.
    pub base: &'s Line,
    /// Names of the file's layouts.
    pub taken: &'s [&'s str],
    pub file: LineFile<'s>,
    pub axes: &'s [Axis],
    /// Judged at every point besides those of the file.
    pub promises: &'s [String],
}

/// A setting of every axis, and the layout that it is.
#[derive(Clone, PartialEq, Debug)]
pub struct Point {
    pub settings: Vec<i64>,
    pub name: String,
    /// `None`: the line as it stands.
    pub edit: Option<String>,
}

/// Is the sentence a promise that this line can be held to?
///
/// # Errors
/// What is wrong with it, with the cure.
pub fn readable_promise(text: &str, line: &Line) -> Result<(), String> {
    promise_from_text(text, line).map(|_| ()).map_err(|fault| {
        let cure: Vec<String> = fault.help.iter().map(|help| format!("; {help}")).collect();
        format!("`{text}` is no promise: {}{}", fault.headline, cure.concat())
    })
}

/// Every point, the second axis within the first.
pub fn points(base: &Line, taken: &[&str], axes: &[Axis]) -> Vec<Point> {
    let mut taken: Vec<String> = taken.iter().map(ToString::to_string).collect();
    let mut all: Vec<Vec<i64>> = vec![Vec::new()];
    for axis in axes {
        let longer = |settings: Vec<i64>| {
            axis.values.iter().map(move |value| [settings.as_slice(), &[*value]].concat())
        };
        all = all.into_iter().flat_map(longer).collect();
    }
    let point = |settings: Vec<i64>| {
        let mut draft = Draft::of(base);
        for (axis, value) in axes.iter().zip(&settings).filter(|(axis, value)| axis.today != **value) {
            draft.set(&axis.dial, *value);
        }
        let edits = draft.edits();
        let named: Vec<String> = axes.iter().zip(&settings).map(|(axis, value)| axis.named(*value)).collect();
        let name = unused(named.join(", "), &mut taken);
        let edit = (!edits.is_empty()).then(|| say::layout(&name, &base.layout, &edits));
        Point { settings, name, edit }
    };
    all.into_iter().map(point).collect()
}

/// A point that was run, as far as the record needs it.
#[derive(Clone, Debug)]
struct Ran {
    point: Point,
    does: LayoutRow,
    curve: Vec<ChanceAt>,
    promises: Vec<PromiseRow>,
    /// Its count, one value for each replication.
    series: Series,
    replications: usize,
}

/// Runs every point against the line as it stands.
///
/// # Errors
/// The choices do not fit the line, the line as it stands could not go on, or the run was stopped before
/// there was anything to report.
pub fn sweep(
    asked: &Sweep<'_>,
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<SweepReport, StudyError> {
    let choices = RunChoices { gains: 0, ..choices.clone() };
    let base = promised(asked.base.clone(), asked.promises);
    let plan = Plan::of(&base, &choices)?;
    let mut bench = Bench {
        plan: &plan,
        cut: warm_up::find(&base, &plan, attendant)?,
        attendant,
        unsettled: Vec::new(),
        left_out: Vec::new(),
        cautions: Vec::new(),
        interrupted: false,
    };
    let (mut lined, left_out) = point_lines(asked);
    bench.left_out = left_out;
    lined.retain(|(point, line)| line.as_ref().is_none_or(|line| bench.settles(point, line)));
    let outcome = run_after(&base, &plan, bench.cut, attendant)?;
    let today = asked.axes.iter().map(|axis| axis.today).collect();
    let stands =
        bench.ran(&Point { settings: today, name: base.layout.clone(), edit: None }, &base, &outcome);
    let together = Together { plans: vec![plan.clone()], warm_up: bench.cut, outcomes: vec![outcome] };
    let mut ran = Vec::new();
    for (point, line) in &lined {
        match line {
            None => {
                let does = LayoutRow { layout: point.name.clone(), ..stands.does.clone() };
                ran.push(Ran { point: point.clone(), does, ..stands.clone() });
            }
            Some(line) => ran.extend(bench.run(point, line)),
        }
    }
    let Bench { unsettled, left_out, cautions, interrupted, .. } = bench;
    let rest = record::Rest { unsettled, left_out, cautions, interrupted };
    Ok(record::record(asked, &together, &stands, &ran, rest))
}

/// The line with further promises; those that it cannot be held to were refused before.
fn promised(mut line: Line, promises: &[String]) -> Line {
    let more: Vec<_> = promises.iter().filter_map(|text| promise_from_text(text, &line).ok()).collect();
    line.promises.extend(more);
    line
}

/// Every point that the file allows, no line where it is the line as it stands; and why the others are not.
pub fn point_lines(asked: &Sweep<'_>) -> (Vec<(Point, Option<Line>)>, Vec<PointLeftOut>) {
    let points = points(asked.base, asked.taken, asked.axes);
    let new = |point: &'_ Point| point.edit.is_some();
    let layouts: Vec<NewLayout<'_>> = points
        .iter()
        .filter_map(|point| Some(NewLayout { name: &point.name, edit: point.edit.as_deref()? }))
        .collect();
    let mut checked = lines(&asked.file, &layouts).into_iter();
    let (mut lined, mut left_out) = (Vec::new(), Vec::new());
    for point in &points {
        let line = if new(point) { checked.next() } else { None };
        match line {
            None => lined.push((point.clone(), None)),
            Some(Ok(line)) => lined.push((point.clone(), Some(promised(line, asked.promises)))),
            Some(Err(why)) => left_out.push(PointLeftOut { point: point.name.clone(), why }),
        }
    }
    (lined, left_out)
}

struct Bench<'b, A: Attendant> {
    plan: &'b Plan,
    /// The longest warm-up that any of them needs.
    cut: WarmUp,
    attendant: &'b A,
    /// Points for which no warm-up of their own was found.
    unsettled: Vec<String>,
    left_out: Vec<PointLeftOut>,
    /// What the reports of all points say, once.
    cautions: Vec<Caution>,
    interrupted: bool,
}

impl<A: Attendant> Bench<'_, A> {
    /// Takes its warm-up into account; a point that cannot be run is left out.
    fn settles(&mut self, point: &Point, line: &Line) -> bool {
        match warm_up::find(line, self.plan, self.attendant) {
            Ok(own) => self.cut = longer(self.cut, own),
            Err(StudyError::NeverSettles { .. }) => self.unsettled.push(point.name.clone()),
            Err(error) => return self.leave_out(point, &error),
        }
        true
    }

    /// A run that was stopped ends the study, with what there is.
    fn leave_out(&mut self, point: &Point, error: &StudyError) -> bool {
        match error {
            StudyError::Interrupted => self.interrupted = true,
            StudyError::Run(_)
            | StudyError::NoShifts
            | StudyError::NothingToChoose
            | StudyError::NeverSettles { .. } => {
                self.left_out.push(PointLeftOut { point: point.name.clone(), why: error.to_string() });
            }
        }
        false
    }

    fn run(&mut self, point: &Point, line: &Line) -> Option<Ran> {
        if self.attendant.stop() {
            self.interrupted = true;
            return None;
        }
        match run_after(line, self.plan, self.cut, self.attendant) {
            Ok(outcome) => Some(self.ran(point, line, &outcome)),
            Err(error) => {
                self.leave_out(point, &error);
                None
            }
        }
    }

    /// What is kept of a run.
    fn ran(&mut self, point: &Point, line: &Line, outcome: &Outcome) -> Ran {
        let observed = &outcome.observations;
        self.interrupted |= observed.interrupted;
        let summary = summarise(line, observed, &outcome.beside(line));
        let report = build(line, &summary, &outcome.add_to(Extras::default()));
        for caution in &report.cautions {
            if !self.cautions.contains(caution) {
                self.cautions.push(caution.clone());
            }
        }
        let side = Side { line, measure: count_of_lines(&[line]), observed };
        Ran {
            point: point.clone(),
            does: layout_row(&point.name, line, &report),
            curve: curve(&report),
            promises: report.promises,
            series: side.series(),
            replications: observed.replications.len(),
        }
    }
}

/// Each count with the share of the shifts that make at least so many.
fn curve(report: &Report) -> Vec<ChanceAt> {
    let Some(shifts) = &report.line_measures.units_per_shift else { return Vec::new() };
    let all: u64 = shifts.histogram.iter().map(|at| at.shifts).sum();
    let mut left = all;
    let chance = |at: &crate::report::ShiftsAt| {
        let chance = left as f64 / all.max(1) as f64;
        left -= at.shifts;
        ChanceAt { units: at.units, chance }
    };
    shifts.histogram.iter().map(chance).collect()
}
