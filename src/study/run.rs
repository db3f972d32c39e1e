//! One line, run as planned: pilot, replications, gains.

use super::plan::{MOST_REPLICATIONS, Plan, Precision, RunChoices, warm_up_words};
use super::{StudyError, warm_up};
use crate::line::{Line, PlaceId, PlaceKind, StepKind};
use crate::numbers::student;
use crate::simulate::{Horizon, Observations, Oversight, Settings, WarmUp, simulate};
use crate::units::{Time, percent};

/// Sees a whole study: told what runs now and how many replications of it, then of each one.
pub trait Attendant: Oversight {
    /// From now on so many more replications of `what` run.
    fn begin(&self, what: &str, replications: u32) {
        let _ = (what, replications);
    }
}

impl Attendant for crate::simulate::Unattended {}

/// Attended minutes at a station are multiplied by this to see what a faster station would buy.
pub const FASTER: f64 = 0.95;

/// What the line does when the attended work of one station takes `FASTER` of its time.
#[derive(Clone, PartialEq, Debug)]
pub struct GainRun {
    pub place: PlaceId,
    /// The first replications of the study once more, on the same random days.
    pub observations: Observations,
}

/// A line that has been run.
#[derive(Clone, PartialEq, Debug)]
pub struct Outcome {
    pub observations: Observations,
    pub horizon: Horizon,
    pub warm_up: WarmUp,
    pub gains: Vec<GainRun>,
    /// What the reader must know about how the figures came about.
    pub cautions: Vec<String>,
}

/// Runs `line` as chosen.
///
/// # Errors
/// The choices do not fit the line, the warm-up can't be found, a replication failed, or the run was
/// stopped before there was anything to report.
pub fn run(line: &Line, choices: &RunChoices, attendant: &impl Attendant) -> Result<Outcome, StudyError> {
    let plan = Plan::of(line, choices)?;
    let warm_up = warm_up::find(line, &plan, attendant)?;
    run_after(line, &plan, warm_up, attendant)
}

/// Runs `line` as planned with a warm-up found before: layouts that are compared share one cut.
///
/// # Errors
/// As `run`.
pub fn run_after(
    line: &Line,
    plan: &Plan,
    warm_up: WarmUp,
    attendant: &impl Attendant,
) -> Result<Outcome, StudyError> {
    let settings = Settings {
        seed: plan.seed,
        first: 0,
        count: 0,
        horizon: plan.horizon,
        warm_up,
        record_finishes: false,
        faster: None,
    };
    let mut cautions = Vec::new();
    let observations = replications(line, plan.precision, &settings, attendant, &mut cautions)?;
    if observations.interrupted {
        if observations.replications.len() < 2 {
            return Err(StudyError::Interrupted);
        }
        cautions.push(format!(
            "interrupted: this report rests on the {} replications that were finished",
            observations.replications.len()
        ));
    }
    let gains = gains(line, plan.gains, &settings, &observations, attendant, &mut cautions)?;
    Ok(Outcome { observations, horizon: plan.horizon, warm_up, gains, cautions })
}

fn replications(
    line: &Line,
    precision: Precision,
    settings: &Settings,
    attendant: &impl Attendant,
    cautions: &mut Vec<String>,
) -> Result<Observations, StudyError> {
    let fail = |error| StudyError::of_run(line, &error);
    match precision {
        Precision::Replications(count) => {
            attendant.begin("replications", count);
            simulate(line, &Settings { count, ..settings.clone() }, attendant).map_err(fail)
        }
        Precision::Within(share) => {
            let mut count = 20;
            attendant.begin("replications", count);
            let mut all = simulate(line, &Settings { count, ..settings.clone() }, attendant).map_err(fail)?;
            // Looking only when the number has doubled keeps the band nearly honest.
            while !all.interrupted && !is_within(&all, share, line.confidence) && count < MOST_REPLICATIONS {
                attendant.begin("replications", count);
                let more = Settings { first: count, count, ..settings.clone() };
                let more = simulate(line, &more, attendant).map_err(fail)?;
                count *= 2;
                all.replications.extend(more.replications);
                all.interrupted = more.interrupted;
            }
            cautions.push(format!(
                "the run stopped itself after looking at 20, 40, 80 ... replications: the confidence of {} is \
                 approximate",
                percent(line.confidence)
            ));
            if !all.interrupted && !is_within(&all, share, line.confidence) {
                cautions.push(format!(
                    "the band is still wider than {} after {count} replications, the most that are run",
                    percent(share)
                ));
            }
            Ok(all)
        }
    }
}

/// Is the half-width of the band of the mean output at most `share` of it? (Student's interval, one
/// value per replication.)
fn is_within(observed: &Observations, share: f64, confidence: f64) -> bool {
    let values: Vec<f64> = observed
        .replications
        .iter()
        .filter(|r| r.net > Time::ZERO)
        .map(|r| r.finished as f64 / r.net.micros() as f64)
        .collect();
    if values.len() < 2 {
        return false;
    }
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|x| (x - mean) * (x - mean)).sum();
    let half = student::two_sided(confidence, n - 1.0) * (squares / (n - 1.0) / n).sqrt();
    mean > 0.0 && half <= share * mean
}

/// Runs each station that has attended work with that work shortened, on the same random days.
fn gains(
    line: &Line,
    wanted: u32,
    settings: &Settings,
    base: &Observations,
    attendant: &impl Attendant,
    cautions: &mut Vec<String>,
) -> Result<Vec<GainRun>, StudyError> {
    let count = wanted.min(u32::try_from(base.replications.len()).unwrap_or(u32::MAX));
    if count < 2 || base.interrupted {
        return Ok(Vec::new());
    }
    let places: Vec<PlaceId> = stations_with_work(line).collect();
    attendant.begin("gains by station", count * u32::try_from(places.len()).unwrap_or(u32::MAX));
    let mut gains = Vec::new();
    for place in places {
        let faster = Settings { count, faster: Some((place, FASTER)), ..settings.clone() };
        let observations =
            simulate(line, &faster, attendant).map_err(|error| StudyError::of_run(line, &error))?;
        if observations.interrupted {
            cautions.push("interrupted: the gains by station are left out".to_string());
            return Ok(Vec::new());
        }
        gains.push(GainRun { place, observations });
    }
    Ok(gains)
}

fn stations_with_work(line: &Line) -> impl Iterator<Item = PlaceId> {
    (0..line.on_line).map(PlaceId::from_index).filter(|place| {
        let station = match line.places[place.index()].kind {
            PlaceKind::Station => true,
            PlaceKind::Rack | PlaceKind::Repair => false,
        };
        station && line.steps_at(*place).any(|(_, step)| matches!(step.kind, StepKind::Task))
    })
}

/// How the run was made, for the head of a report: `100 replications of 20 shifts after a warm-up of
/// 5 shifts`.
pub fn run_words(outcome: &Outcome) -> String {
    let replications = crate::units::count_of(outcome.observations.replications.len(), "replication");
    let horizon = super::plan::horizon_words(outcome.horizon);
    match outcome.warm_up {
        WarmUp::None => format!("{replications} of {horizon}, no warm-up"),
        cut @ (WarmUp::For(_) | WarmUp::Shifts(_) | WarmUp::Units(_)) => {
            format!("{replications} of {horizon} after a warm-up of {}", warm_up_words(cut))
        }
    }
}
