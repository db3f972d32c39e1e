//! The plan of a run: what was asked for, what the defaults add, and how a warm-up is rounded.

use crate::line::{Line, StartState};
use crate::simulate::{Horizon, WarmUp};
use crate::units::Time;

/// Independent runs, where nobody says how many: enough for a band of about a fifth of the spread.
pub const REPLICATIONS: u32 = 100;
/// Replications in which each station's gain is measured; also the least for a band of one's own.
pub const GAIN_REPLICATIONS: u32 = 20;
/// Replications of the pilot run that finds the warm-up.
pub const PILOT_REPLICATIONS: u32 = 20;
/// At least so many shifts are counted in a replication, in whole weeks, where nobody says how many.
pub const LEAST_SHIFTS: u32 = 20;
/// So many finished units are counted where there is no calendar and nobody says how many.
pub const UNITS: u64 = 1_000;
/// A run that stops itself looks at 20, 40, 80 ... replications, and gives up here.
pub const MOST_REPLICATIONS: usize = 20 << 9;

/// How many replications.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Precision {
    Replications(u32),
    /// Until the half-width of the band of the mean output is at most this share of the mean.
    Within(f64),
}

impl Default for Precision {
    fn default() -> Precision {
        Precision::Replications(REPLICATIONS)
    }
}

/// What to cut from the front, as asked.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum WarmUpChoice {
    /// Found by a pilot run.
    Auto,
    None,
    For(Time),
}

/// What was asked of a run; `None` leaves the choice to the defaults.
#[derive(Clone, PartialEq, Debug)]
pub struct RunChoices {
    pub seed: u64,
    pub precision: Precision,
    pub horizon: Option<Horizon>,
    /// Default: `Auto`, save for a line that starts full (a question about one day): `None`.
    pub warm_up: Option<WarmUpChoice>,
    /// Replications for each station's gain; 0 leaves the gains out.
    pub gains: u32,
}

impl Default for RunChoices {
    fn default() -> RunChoices {
        RunChoices {
            seed: 1,
            precision: Precision::default(),
            horizon: None,
            warm_up: None,
            gains: GAIN_REPLICATIONS,
        }
    }
}

/// The asked and the added, settled for one line.
#[derive(Clone, PartialEq, Debug)]
pub struct Plan {
    pub seed: u64,
    pub precision: Precision,
    pub horizon: Horizon,
    pub warm_up: WarmUpChoice,
    pub gains: u32,
}

impl Plan {
    /// # Errors
    /// Shifts are asked of a line that has none.
    pub fn of(line: &Line, choices: &RunChoices) -> Result<Plan, super::StudyError> {
        if let (Some(Horizon::Shifts(_)), None) = (choices.horizon, &line.calendar) {
            return Err(super::StudyError::NoShifts);
        }
        let warm_up = match (choices.warm_up, line.start) {
            (Some(choice), _) => choice,
            (None, StartState::Full) => WarmUpChoice::None,
            (None, StartState::Empty) => WarmUpChoice::Auto,
        };
        Ok(Plan {
            seed: choices.seed,
            precision: choices.precision,
            horizon: choices.horizon.unwrap_or_else(|| default_horizon(line)),
            warm_up,
            gains: choices.gains,
        })
    }
}

/// With a calendar the fewest whole weeks that hold `LEAST_SHIFTS`, else `UNITS`.
pub fn default_horizon(line: &Line) -> Horizon {
    match shifts_a_week(line) {
        Some(in_week) => Horizon::Shifts(LEAST_SHIFTS.div_ceil(in_week) * in_week),
        None => Horizon::Units(UNITS),
    }
}

/// Shifts of one week without closed days; `None` without a calendar.
pub fn shifts_a_week(line: &Line) -> Option<u32> {
    let calendar = line.calendar.as_ref()?;
    u32::try_from(calendar.week.len()).ok().filter(|n| *n > 0)
}

/// Rounds a cut of so many shifts up to whole weeks where the run counts whole weeks: every weekday
/// then has its share of what is counted.
pub fn round_shifts(cut: u32, in_week: u32, horizon: Horizon) -> u32 {
    match horizon {
        Horizon::Shifts(n) if n % in_week == 0 => cut.div_ceil(in_week) * in_week,
        Horizon::Shifts(_) | Horizon::Units(_) | Horizon::For(_) => cut,
    }
}

/// A length of a run in words: `20 shifts`, `1000 units`, `40 h`.
pub fn horizon_words(horizon: Horizon) -> String {
    use crate::units::count_of;
    match horizon {
        Horizon::Shifts(n) => count_of(n as usize, "shift"),
        Horizon::Units(n) => count_of(usize::try_from(n).unwrap_or(usize::MAX), "unit"),
        Horizon::For(time) => time.to_string(),
    }
}

/// A warm-up in words.
pub fn warm_up_words(warm_up: WarmUp) -> String {
    use crate::units::count_of;
    match warm_up {
        WarmUp::None => "none".to_string(),
        WarmUp::For(time) => time.to_string(),
        WarmUp::Shifts(n) => count_of(n as usize, "shift"),
        WarmUp::Units(n) => count_of(usize::try_from(n).unwrap_or(usize::MAX), "unit"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cut_is_rounded_up_to_whole_weeks_only_in_a_run_of_whole_weeks() {
        assert_eq!(round_shifts(1, 5, Horizon::Shifts(20)), 5);
        assert_eq!(round_shifts(6, 5, Horizon::Shifts(20)), 10);
        assert_eq!(round_shifts(0, 5, Horizon::Shifts(20)), 0);
        assert_eq!(round_shifts(6, 5, Horizon::Shifts(21)), 6);
        assert_eq!(round_shifts(6, 5, Horizon::Units(400)), 6);
    }

    #[test]
    fn lengths_of_runs_read_as_words() {
        assert_eq!(horizon_words(Horizon::Shifts(20)), "20 shifts");
        assert_eq!(horizon_words(Horizon::For(Time::HOUR * 40)), "40 h");
        assert_eq!(warm_up_words(WarmUp::Units(1)), "1 unit");
        assert_eq!(warm_up_words(WarmUp::None), "none");
    }
}
