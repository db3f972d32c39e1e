//! What one more of each thing buys: every lever is a layout, run on the same random days as the line as it
//! stands, first briefly, then closely where it may matter.
//!
//! Owns the two rounds and the ranking. A lever's line comes through the same door as any layout, so what
//! it gains is what `compare` finds for that layout.

mod make;
mod payback;
mod rank;

pub use make::{Lever, NotMade, levers};
pub use payback::Purse;

use super::compare::{Compared, IGNORED, Series, Side, compare_series};
use super::edits::{self, LineFile, NewLayout};
use super::plan::{Plan, Precision, RunChoices};
use super::run::{Attendant, Outcome, rest_of, run_after, run_on};
use super::together::{Together, count_of_lines, longer};
use super::{StudyError, warm_up};
use crate::line::Line;
use crate::report::{LeftOut, LeversReport};
use crate::simulate::{Observations, Oversight, WarmUp};
use crate::stats::student::{Estimate, shared_confidence};

/// Replications of every lever in the first round: the fewest for a band.
pub const SCREENING: u32 = 20;
/// Levers that are looked at closely, at most: the best of the first round.
const CLOSELY: usize = 40;
/// Confidence with which a lever that is left after the first round gains less than is worth deciding.
const SCREENED: f64 = 0.99;

/// A lever whose line could be made.
#[derive(Debug)]
struct Tried {
    lever: Lever,
    line: Line,
    /// What the first round said.
    first: Compared,
    /// Its count in each replication of that round, and the warm-up that a pilot run would find, where the round is
    /// one.
    brief: Series,
    own_cut: Option<Result<WarmUp, StudyError>>,
    /// What the second round said.
    closely: Option<Compared>,
}

/// The line of every lever, or why the file does not allow it.
pub fn lines(file: &LineFile<'_>, levers: &[Lever]) -> Vec<Result<Line, String>> {
    let layouts: Vec<NewLayout<'_>> =
        levers.iter().map(|lever| NewLayout { name: &lever.name, edit: &lever.edit }).collect();
    edits::lines(file, &layouts)
}

/// Makes every lever of `base` (a layout of `file`, called as it is there), runs each against it, and
/// ranks them. `taken` are the names of the file's layouts, `purse` what is said of money.
///
/// # Errors
/// The choices do not fit the line, the line as it stands could not go on, or the run was stopped before
/// there was anything to report.
pub fn rank_levers(
    base: &Line,
    taken: &[&str],
    file: &LineFile<'_>,
    purse: Option<&Purse>,
    choices: &RunChoices,
    attendant: &impl Attendant,
) -> Result<LeversReport, StudyError> {
    let (made, not_made) = levers(base, taken);
    let words = make::made_words(&made);
    let mut left_out: Vec<LeftOut> = not_made.into_iter().map(left).collect();
    let checked = lines(file, &made);
    let mut lines = Vec::new();
    for (lever, line) in made.into_iter().zip(checked) {
        match line {
            Ok(line) => lines.push((lever, line)),
            Err(why) => left_out.push(LeftOut { lever: lever.name, why }),
        }
    }
    let choices = RunChoices { gains: 0, ..choices.clone() };
    let plan = Plan::of(base, &choices)?;
    let mut bench = Bench {
        base,
        plan,
        tests: lines.len(),
        attendant,
        left_out,
        unsettled: Vec::new(),
        interrupted: false,
    };
    let (tried, brief) = bench.screen(lines)?;
    let found = bench.closely(tried, brief)?;
    let rest = rank::Rest { left_out: bench.left_out, interrupted: bench.interrupted, made: words, purse };
    Ok(rank::record(base, &bench.plan, found, rest))
}

fn left((lever, why): NotMade) -> LeftOut {
    LeftOut { lever, why }
}

/// What both rounds came to.
struct Found {
    tried: Vec<Tried>,
    /// The line as it stands, in the second round (in the first where there was none).
    base: Outcome,
    together: Together,
    screening: u32,
    /// Levers for which no warm-up of their own was found; they are run after that of the others.
    unsettled: Vec<String>,
}

struct Bench<'b, A: Attendant> {
    base: &'b Line,
    plan: Plan,
    /// Bands that hold together.
    tests: usize,
    attendant: &'b A,
    left_out: Vec<LeftOut>,
    unsettled: Vec<String>,
    interrupted: bool,
}

impl<A: Attendant> Bench<'_, A> {
    /// The first round: everything, briefly.
    fn screen(&mut self, lines: Vec<(Lever, Line)>) -> Result<(Vec<Tried>, Round), StudyError> {
        let cut = warm_up::find(self.base, &self.plan, self.attendant)?;
        let count = match self.plan.precision {
            Precision::Replications(n) => n.min(SCREENING),
            Precision::Within(_) => SCREENING,
        };
        let plan = Plan { precision: Precision::Replications(count), ..self.plan.clone() };
        let total = u32::try_from(lines.len() + 1).unwrap_or(u32::MAX).saturating_mul(count);
        self.attendant.begin("all levers, briefly", total);
        let quiet = Quiet(self.attendant);
        let base = run_after(self.base, &plan, cut, &quiet)?;
        let mut tried = Vec::new();
        for (lever, line) in lines {
            if self.attendant.stop() {
                self.interrupted = true;
                break;
            }
            match run_after(&line, &plan, cut, &quiet) {
                Ok(run) => {
                    self.interrupted |= run.observations.interrupted;
                    let brief = self.series(&line, &run.observations);
                    let first = self.against(&brief, &self.series(self.base, &base.observations));
                    let own_cut = warm_up::seen_in(&line, &self.plan, (&run.observations, cut));
                    tried.push(Tried { lever, line, first, brief, own_cut, closely: None });
                }
                Err(error) => self.leave_out(&lever, &error),
            }
        }
        Ok((tried, Round { base, cut, count }))
    }

    /// The counts of a lever, as often as asked: what the first round made, where nothing more is cut, and the rest.
    fn look_closely(
        &mut self,
        one: &Tried,
        (cut, before): (WarmUp, WarmUp),
        brief: u32,
    ) -> Result<Series, StudyError> {
        let (observed, begun) = match self.plan.precision {
            Precision::Replications(count) if cut == before => {
                let rest = rest_of(&one.line, &self.plan, cut, (brief, count), self.attendant)?;
                (rest, Some(one.brief.clone()))
            }
            Precision::Replications(_) | Precision::Within(_) => {
                (run_after(&one.line, &self.plan, cut, self.attendant)?.observations, None)
            }
        };
        self.interrupted |= observed.interrupted;
        let rest = self.series(&one.line, &observed);
        Ok(match begun {
            Some(begun) => begun.and(rest),
            None => rest,
        })
    }

    /// A lever that cannot be run; a run that was stopped ends the study, with what there is.
    fn leave_out(&mut self, lever: &Lever, error: &StudyError) {
        match error {
            StudyError::Interrupted => self.interrupted = true,
            StudyError::Run(_)
            | StudyError::NoShifts
            | StudyError::NothingToChoose
            | StudyError::NeverSettles { .. } => {
                self.left_out.push(LeftOut { lever: lever.name.clone(), why: error.to_string() });
            }
        }
    }

    fn series(&self, line: &Line, observed: &Observations) -> Series {
        Side { line, measure: count_of_lines(&[self.base]), observed }.series()
    }

    fn against(&self, new: &Series, old: &Series) -> Compared {
        compare_series(new, old, shared_confidence(self.base.confidence, self.tests.max(1)))
    }

    /// The second round: what may matter, as often as asked, with one warm-up for all.
    fn closely(&mut self, mut tried: Vec<Tried>, round: Round) -> Result<Found, StudyError> {
        let Round { base, mut cut, count } = round;
        let cut_before = cut;
        let enough = self.plan.precision == Precision::Replications(count);
        let mut chosen: Vec<usize> = match self.interrupted || enough {
            true => Vec::new(),
            false => (0..tried.len()).filter(|k| may_matter(&tried[*k].first)).collect(),
        };
        let gain = |k: &usize| tried[*k].first.difference.map_or(0.0, |d| d.mean);
        chosen.sort_by(|a, b| gain(b).total_cmp(&gain(a)));
        chosen.truncate(CLOSELY);
        for k in &chosen {
            let seen = tried[*k].own_cut.take();
            let own = seen.unwrap_or_else(|| warm_up::find(&tried[*k].line, &self.plan, self.attendant));
            let lever = &tried[*k].lever;
            match own {
                Ok(own) => cut = longer(cut, own),
                Err(StudyError::NeverSettles { .. }) => self.unsettled.push(lever.name.clone()),
                Err(error) => self.leave_out(lever, &error),
            }
        }
        let mut base = base;
        if !chosen.is_empty() && !self.interrupted {
            // Where nothing more is cut, the first round is the beginning of the second.
            let begun = if cut == cut_before { base.observations } else { Observations::default() };
            base = run_on(self.base, &self.plan, cut, begun, self.attendant)?;
            self.interrupted |= base.observations.interrupted;
            let stands = self.series(self.base, &base.observations);
            for k in chosen {
                if self.interrupted {
                    break;
                }
                match self.look_closely(&tried[k], (cut, cut_before), count) {
                    Ok(series) => tried[k].closely = Some(self.against(&series, &stands)),
                    Err(error) => self.leave_out(&tried[k].lever, &error),
                }
            }
        }
        tried.retain(|one| self.left_out.iter().all(|left| left.lever != one.lever.name));
        let together =
            Together { plans: vec![self.plan.clone()], warm_up: cut, outcomes: vec![base.clone()] };
        let unsettled = std::mem::take(&mut self.unsettled);
        Ok(Found { tried, base, together, screening: count, unsettled })
    }
}

/// The first round as far as the second one needs it.
struct Round {
    base: Outcome,
    cut: WarmUp,
    count: u32,
}

/// It is not the same on every day, and may gain what is worth deciding.
fn may_matter(first: &Compared) -> bool {
    let Some(difference) = first.difference else { return true };
    !is_nothing(&difference) && upper(&difference) > IGNORED * first.old_mean.abs()
}

/// No replication differs.
fn is_nothing(difference: &Estimate) -> bool {
    difference.mean == 0.0 && difference.half_width() == 0.0
}

/// Upper end of the one band at `SCREENED`: the half-widths are as the quantiles of Student's t.
fn upper(difference: &Estimate) -> f64 {
    use crate::numbers::student::two_sided;
    let freedom = difference.n as f64 - 1.0;
    let narrower = two_sided(SCREENED, freedom) / two_sided(difference.confidence, freedom);
    difference.mean + difference.half_width() * narrower
}

/// Counts every run to one bar.
struct Quiet<'a, A: Attendant>(&'a A);

impl<A: Attendant> Oversight for Quiet<'_, A> {
    fn finished_one(&self) {
        self.0.finished_one();
    }

    fn stop(&self) -> bool {
        self.0.stop()
    }
}

impl<A: Attendant> Attendant for Quiet<'_, A> {}
