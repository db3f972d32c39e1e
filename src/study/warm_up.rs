//! The warm-up: a pilot run from the start, and one cut for all replications and layouts.
//!
//! The series is the mean over the pilot's replications of what comes out: units of each shift
//! (a shift is then the batch), or the time between one finished unit and the next, or units in each
//! of 200 equal parts of the run. The cut is the one that makes the standard error of the mean of
//! what remains smallest (MSER-5; a shift of output is a batch of five fifths), rounded up to whole shifts, or to whole weeks in a run of whole weeks.

use super::plan::{
    PILOT_REPLICATIONS, Plan, WarmUpChoice, default_horizon, horizon_words, round_shifts, shifts_a_week,
    warm_up_words,
};
use super::{Attendant, StudyError};
use crate::line::Line;
use crate::simulate::{Horizon, Observations, Settings, WarmUp, simulate};
use crate::stats::mser::{Cut, mser_of_batches, mser5};
use crate::units::Time;

/// Parts into which a run on the clock is cut: 40 batches of 5.
const PARTS: usize = 200;

/// A pilot run and the cut that it found.
#[derive(Clone, PartialEq, Debug)]
pub struct Pilot {
    pub cut: WarmUp,
    horizon: Horizon,
    /// From the start of every replication; empty where the plan asks for a cut.
    observed: Observations,
}

impl Pilot {
    /// What a run as planned makes first, where the pilot has made it: the same days, as long, and nothing cut.
    pub(super) fn begins(self, plan: &Plan, warm_up: WarmUp) -> Observations {
        if !warm_up.is_none() || self.horizon != plan.horizon {
            return Observations::default();
        }
        let mut begun = self.observed;
        begun.replications.iter_mut().for_each(|replication| replication.finishes = Vec::new());
        begun
    }
}

/// The cut that the plan asks for, or the one that a pilot run finds.
///
/// # Errors
/// The pilot fails, is stopped, or does not settle in the first half of its run.
pub fn find(line: &Line, plan: &Plan, attendant: &impl Attendant) -> Result<WarmUp, StudyError> {
    Ok(find_by_pilot(line, plan, attendant)?.cut)
}

/// As `find`, with the pilot run.
///
/// # Errors
/// As `find`.
pub(super) fn find_by_pilot(
    line: &Line,
    plan: &Plan,
    attendant: &impl Attendant,
) -> Result<Pilot, StudyError> {
    let asked = |cut| Pilot { cut, horizon: plan.horizon, observed: Observations::default() };
    match plan.warm_up {
        WarmUpChoice::None => Ok(asked(WarmUp::None)),
        WarmUpChoice::For(time) => Ok(asked(WarmUp::For(time))),
        WarmUpChoice::Auto => {
            let horizon = pilot_horizon(plan.horizon, default_horizon(line));
            let observed = pilot(line, plan.seed, horizon, attendant)?;
            Ok(Pilot { cut: cut(line, &observed, horizon, plan.horizon)?, horizon, observed })
        }
    }
}

/// The cut that a pilot run would find, where `run`, from the start, is what it would make; `None` where it is not.
pub(super) fn seen_in(
    line: &Line,
    plan: &Plan,
    (run, warm_up): (&Observations, WarmUp),
) -> Option<Result<WarmUp, StudyError>> {
    let horizon = pilot_horizon(plan.horizon, default_horizon(line));
    let same = plan.warm_up == WarmUpChoice::Auto
        && warm_up.is_none()
        && horizon == plan.horizon
        // Of shifts the run keeps what came out of each.
        && matches!(horizon, Horizon::Shifts(_))
        && run.replications.len() == PILOT_REPLICATIONS as usize
        && !run.interrupted;
    same.then(|| cut(line, run, horizon, plan.horizon))
}

/// The pilot is as long as the run, but never shorter than a run by default: a question about one
/// shift still needs a warm-up found over many.
fn pilot_horizon(asked: Horizon, default: Horizon) -> Horizon {
    match (asked, default) {
        (Horizon::Shifts(n), Horizon::Shifts(least)) => Horizon::Shifts(n.max(least)),
        (Horizon::Units(n), Horizon::Units(least)) => Horizon::Units(n.max(least)),
        (asked, Horizon::Shifts(_) | Horizon::Units(_) | Horizon::For(_)) => asked,
    }
}

fn pilot(
    line: &Line,
    seed: u64,
    horizon: Horizon,
    attendant: &impl Attendant,
) -> Result<Observations, StudyError> {
    attendant.begin("pilot run", PILOT_REPLICATIONS);
    let settings = Settings {
        seed,
        first: 0,
        count: PILOT_REPLICATIONS,
        horizon,
        warm_up: WarmUp::None,
        record_finishes: true,
        faster: None,
    };
    let observed = simulate(line, &settings, attendant).map_err(|error| StudyError::of_run(line, &error))?;
    if observed.interrupted { Err(StudyError::Interrupted) } else { Ok(observed) }
}

fn cut(line: &Line, pilot: &Observations, horizon: Horizon, asked: Horizon) -> Result<WarmUp, StudyError> {
    match horizon {
        Horizon::Shifts(shifts) => {
            let found = settled(mser_of_batches(&by_shift(pilot)), horizon)?;
            let rounded = round_shifts(whole(found), shifts_a_week(line).unwrap_or(1), asked);
            within_half(u64::from(rounded), u64::from(shifts), &WarmUp::Shifts(rounded), horizon)?;
            Ok(if rounded == 0 { WarmUp::None } else { WarmUp::Shifts(rounded) })
        }
        Horizon::Units(_) => {
            let found = settled(mser5(&between_units(pilot)), horizon)?;
            Ok(if found == 0 { WarmUp::None } else { WarmUp::Units(found as u64) })
        }
        Horizon::For(time) => {
            // Rounded up to the next shift start by the run itself, where there is a calendar.
            let parts = settled(mser5(&by_part(pilot)), horizon)?;
            let cut = Time(time.micros() / PARTS as i64 * i64::from(whole(parts)));
            Ok(if parts == 0 { WarmUp::None } else { WarmUp::For(cut) })
        }
    }
}

/// How much of the series to cut, if it settles in its first half.
fn settled(cut: Option<Cut>, horizon: Horizon) -> Result<usize, StudyError> {
    match cut {
        Some(Cut { dropped, past_half: false, .. }) => Ok(dropped),
        Some(_) | None => Err(StudyError::NeverSettles {
            cut: "half".to_string(),
            run: horizon_words(horizon),
            longer: longer(horizon),
        }),
    }
}

fn within_half(cut: u64, run: u64, words: &WarmUp, horizon: Horizon) -> Result<(), StudyError> {
    if cut * 2 <= run {
        return Ok(());
    }
    Err(StudyError::NeverSettles {
        cut: warm_up_words(*words),
        run: horizon_words(horizon),
        longer: longer(horizon),
    })
}

/// The option that asks for four times the run.
fn longer(horizon: Horizon) -> String {
    match horizon {
        Horizon::Shifts(n) => format!("`--shifts {}`", n.saturating_mul(4)),
        Horizon::Units(n) => format!("`--units {}`", n.saturating_mul(4)),
        Horizon::For(time) => format!("`--for {}h`", crate::units::decimals(time.as_minutes() / 15.0, 1)),
    }
}

/// Mean over the replications of the k-th value, as far as all of them reach.
fn mean_series<T>(pilot: &Observations, series: impl Fn(usize) -> Vec<T>) -> Vec<f64>
where
    T: Copy + Into<f64>,
{
    let all: Vec<Vec<T>> = (0..pilot.replications.len()).map(series).collect();
    let reach = all.iter().map(Vec::len).min().unwrap_or(0);
    (0..reach).map(|k| all.iter().map(|one| one[k].into()).sum::<f64>() / all.len() as f64).collect()
}

fn by_shift(pilot: &Observations) -> Vec<f64> {
    mean_series(pilot, |r| pilot.replications[r].per_shift.clone())
}

fn between_units(pilot: &Observations) -> Vec<f64> {
    mean_series(pilot, |r| {
        let finishes = &pilot.replications[r].finishes;
        let before = std::iter::once(&Time::ZERO).chain(finishes);
        finishes.iter().zip(before).map(|(this, last)| (*this - *last).as_minutes()).collect()
    })
}

fn by_part(pilot: &Observations) -> Vec<f64> {
    mean_series(pilot, |r| {
        let run = &pilot.replications[r];
        let mut parts = vec![0_u32; PARTS];
        for finish in &run.finishes {
            let part = i128::from(finish.micros()) * PARTS as i128 / i128::from(run.net.micros().max(1));
            let part = usize::try_from(part).unwrap_or(0).min(PARTS - 1);
            parts[part] += 1;
        }
        parts
    })
}

fn whole(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulate::Replication;

    #[test]
    fn a_slow_start_is_cut_and_a_steady_series_is_not() {
        // 3, 9, then 18 and 19 in turn: only the slow start stands out.
        let mut shifts = vec![3.0, 9.0];
        shifts.extend((0..18).map(|k| 18.0 + f64::from(k % 2)));
        assert_eq!(settled(mser_of_batches(&shifts), Horizon::Shifts(20)), Ok(2));
        assert_eq!(settled(mser_of_batches(&[18.0; 20]), Horizon::Shifts(20)), Ok(0));
    }

    #[test]
    fn a_series_that_climbs_to_its_end_never_settles() {
        let climbing: Vec<f64> = (0..20).map(f64::from).collect();
        assert!(matches!(
            settled(mser_of_batches(&climbing), Horizon::Shifts(20)),
            Err(StudyError::NeverSettles { longer, .. }) if longer == "`--shifts 80`"
        ));
    }

    #[test]
    fn the_pilot_is_never_shorter_than_a_run_by_default() {
        assert_eq!(pilot_horizon(Horizon::Shifts(1), Horizon::Shifts(20)), Horizon::Shifts(20));
        assert_eq!(pilot_horizon(Horizon::Shifts(50), Horizon::Shifts(20)), Horizon::Shifts(50));
        assert_eq!(pilot_horizon(Horizon::For(Time::HOUR), Horizon::Units(1000)), Horizon::For(Time::HOUR));
    }

    #[test]
    fn the_series_is_the_mean_over_replications_as_far_as_all_reach() {
        let minutes = |m: &[i64]| m.iter().map(|m| Time::from_minutes(*m)).collect();
        let one = |shifts: &[u32], finishes: &[i64]| Replication {
            per_shift: shifts.to_vec(),
            finishes: minutes(finishes),
            net: Time::from_minutes(200),
            ..Replication::default()
        };
        let pilot = Observations {
            replications: vec![one(&[2, 4], &[10, 30, 40]), one(&[4, 6, 9], &[20, 30])],
            ..Observations::default()
        };
        assert_eq!(by_shift(&pilot), [3.0, 5.0]);
        assert_eq!(between_units(&pilot), [15.0, 15.0]);
        assert_eq!(by_part(&pilot)[10], 0.5);
        assert_eq!(by_part(&pilot)[30], 1.0);
    }
}
