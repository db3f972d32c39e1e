//! One line, run as planned: pilot, replications, gains.

use super::plan::{MOST_REPLICATIONS, Plan, Precision, RunChoices};
use super::{StudyError, warm_up};
use crate::line::{Line, PlaceId, StepKind};
use crate::report::{Caution, Extras, build};
use crate::simulate::{Horizon, Made, Observations, Oversight, Settings, WarmUp, simulate, simulate_each};
use crate::stats::precision::{looks, narrow_enough};
use crate::stats::student::Estimate;
use crate::stats::{Beside, Gain, gained, summarise};
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

/// One in so many of the replications for a station's gain is made at every station; where none of them differs, the
/// rest is not made.
const FIRST_GAINS: u32 = 4;

/// What the line does when the attended work of one station takes `FASTER` of its time.
#[derive(Clone, PartialEq, Debug)]
pub struct GainRun {
    pub place: PlaceId,
    /// What the first replications of the study make once more, on the same random days; fewer of them where nothing
    /// differs.
    pub made: Vec<Made>,
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
    let pilot = warm_up::find_by_pilot(line, &plan, attendant)?;
    let warm_up = pilot.cut;
    run_on(line, &plan, warm_up, pilot.begins(&plan, warm_up), attendant)
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
    run_on(line, plan, warm_up, Observations::default(), attendant)
}

/// As `run_after`, where the first replications are made already.
///
/// # Errors
/// As `run`.
pub(super) fn run_on(
    line: &Line,
    plan: &Plan,
    warm_up: WarmUp,
    begun: Observations,
    attendant: &impl Attendant,
) -> Result<Outcome, StudyError> {
    let settings = settings_of(plan, warm_up);
    let mut cautions = Vec::new();
    let observations = replications(line, plan.precision, &settings, begun, attendant, &mut cautions)?;
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

/// From the first replication on.
fn settings_of(plan: &Plan, warm_up: WarmUp) -> Settings {
    Settings {
        seed: plan.seed,
        first: 0,
        count: 0,
        horizon: plan.horizon,
        warm_up,
        record_finishes: false,
        faster: None,
    }
}

/// The replications from `first` on of a run that is asked for `count`.
///
/// # Errors
/// A replication failed.
pub(super) fn rest_of(
    line: &Line,
    plan: &Plan,
    warm_up: WarmUp,
    (first, count): (u32, u32),
    attendant: &impl Attendant,
) -> Result<Observations, StudyError> {
    let settings = Settings { first, ..settings_of(plan, warm_up) };
    let mut rest = Observations::default();
    go_on(line, &settings, count.saturating_sub(first) as usize, &mut rest, attendant)?;
    Ok(rest)
}

fn replications(
    line: &Line,
    precision: Precision,
    settings: &Settings,
    begun: Observations,
    attendant: &impl Attendant,
    cautions: &mut Vec<String>,
) -> Result<Observations, StudyError> {
    let mut all = begun;
    match precision {
        Precision::Replications(count) => {
            all.replications.truncate(count as usize);
            go_on(line, settings, count as usize, &mut all, attendant)?;
            Ok(all)
        }
        Precision::Within(share) => {
            // Looking only when the number has doubled keeps the band nearly honest.
            for look in looks(MOST_REPLICATIONS) {
                go_on(line, settings, look, &mut all, attendant)?;
                if all.interrupted || is_within(&all, share, line.confidence) {
                    break;
                }
            }
            cautions.push(format!(
                "the run stopped itself after looking at 20, 40, 80 ... replications: the confidence of {} is \
                 approximate",
                percent(line.confidence)
            ));
            if !all.interrupted && !is_within(&all, share, line.confidence) {
                cautions.push(format!(
                    "the band is still wider than {} after {} replications, the most that are run",
                    percent(share),
                    all.replications.len()
                ));
            }
            Ok(all)
        }
    }
}

/// Runs the line on until there are so many replications of it, from the one that follows those there are.
///
/// # Errors
/// A replication failed.
pub(super) fn go_on(
    line: &Line,
    settings: &Settings,
    until: usize,
    all: &mut Observations,
    attendant: &impl Attendant,
) -> Result<(), StudyError> {
    let done = all.replications.len();
    if done > 0 && done >= until {
        return Ok(());
    }
    let part = Settings {
        first: settings.first + whole(done),
        count: whole(until.saturating_sub(done)),
        ..settings.clone()
    };
    attendant.begin("replications", part.count);
    let more = simulate(line, &part, attendant).map_err(|error| StudyError::of_run(line, &error))?;
    let before = std::mem::take(&mut all.replications);
    *all = Observations { replications: before.into_iter().chain(more.replications).collect(), ..more };
    Ok(())
}

/// Is the band of the mean output as narrow as wished? (Student's interval, one value per
/// replication; output per net time, so that it holds with and without shifts.)
fn is_within(observed: &Observations, share: f64, confidence: f64) -> bool {
    let values: Vec<f64> = observed
        .replications
        .iter()
        .filter(|r| r.net > Time::ZERO)
        .map(|r| r.finished as f64 / r.net.micros() as f64)
        .collect();
    Estimate::of(&values, confidence).is_some_and(|e| narrow_enough(e.mean, e.half_width(), share))
}

/// Runs each station that has attended work with that work shortened, on the same random days: first a few of them,
/// then the rest at the stations with which some of these few differ.
fn gains(
    line: &Line,
    wanted: u32,
    settings: &Settings,
    base: &Observations,
    attendant: &impl Attendant,
    cautions: &mut Vec<String>,
) -> Result<Vec<GainRun>, StudyError> {
    let count = wanted.min(whole(base.replications.len()));
    if count < 2 || base.interrupted {
        return Ok(Vec::new());
    }
    let first = (count / FIRST_GAINS).max(2);
    let as_is: Vec<Made> = base.made().collect();
    let mut all: Vec<GainRun> =
        stations_with_work(line).map(|place| GainRun { place, made: Vec::new() }).collect();
    for (what, part) in [("gains by station", 0..first), ("gains, the rest", first..count)] {
        let which: Vec<usize> =
            (0..all.len()).filter(|k| all[*k].made.is_empty() || all[*k].differs(&as_is)).collect();
        attendant.begin(what, whole(part.len()) * whole(which.len()));
        let runs: Vec<Settings> = which
            .iter()
            .map(|k| Settings {
                first: settings.first + part.start,
                count: whole(part.len()),
                faster: Some((all[*k].place, FASTER)),
                ..settings.clone()
            })
            .collect();
        // Only what was made is kept: a whole record for every station would fill the memory.
        let keep = |run: Observations| (!run.interrupted).then(|| run.made().collect::<Vec<Made>>());
        let made =
            simulate_each(line, &runs, attendant, keep).map_err(|error| StudyError::of_run(line, &error))?;
        for (k, made) in which.into_iter().zip(made) {
            let Some(made) = made else {
                cautions.push("interrupted: the gains by station are left out".to_string());
                return Ok(Vec::new());
            };
            all[k].made.extend(made);
        }
    }
    Ok(all)
}

impl GainRun {
    /// Some replication makes another count than the line as it is.
    fn differs(&self, as_is: &[Made]) -> bool {
        self.made.iter().zip(as_is).any(|(faster, as_is)| faster != as_is)
    }
}

fn whole(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn stations_with_work(line: &Line) -> impl Iterator<Item = PlaceId> {
    line.places_in_order().filter(|place| {
        line.places[place.index()].is_station()
            && line.steps_at(*place).any(|(_, step)| matches!(step.kind, StepKind::Task))
    })
}

impl Outcome {
    /// What stands beside the observations: units gained at each station, with their bands.
    pub fn beside(&self, line: &Line) -> Beside {
        let as_is: Vec<Made> = self.observations.made().collect();
        let gained_at = |gain: &GainRun| {
            let units = gained(line, &as_is, &gain.made)?;
            Some(Gain { place: gain.place, units })
        };
        Beside { gains: self.gains.iter().filter_map(gained_at).collect() }
    }

    /// Adds how the run was made to what a report carries.
    #[must_use]
    pub fn add_to(&self, mut extras: Extras) -> Extras {
        let about_the_run = |text: &String| Caution { topic: "this run".to_string(), text: text.clone() };
        extras.cautions.extend(self.cautions.iter().map(about_the_run));
        extras
    }

    /// What the report of this run tells its reader to know before acting.
    pub fn cautions_of(&self, line: &Line) -> Vec<Caution> {
        let summary = summarise(line, &self.observations, &self.beside(line));
        build(line, &summary, &self.add_to(Extras::default())).cautions
    }
}
