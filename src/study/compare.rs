//! Two layouts on the same random days: paired differences and what they allow to say.

use super::values::nearest;
use crate::line::{Line, Measure, TestId};
use crate::report::Difference;
use crate::simulate::{Observations, Replication};
use crate::stats::precision::more_to_tell;
use crate::stats::student::{Estimate, half_width_apart};
use crate::units::{Time, count_of, decimals, percent};

/// Differences below this share of the older mean are not worth deciding.
pub const IGNORED: f64 = 0.005;

/// Measures that layouts can be compared on, as they are written; TEST is the name of one.
pub const MEASURES: [&str; 9] = [
    "units per shift",
    "units per hour",
    "minutes between units",
    "wait at TEST",
    "flow time",
    "work in process",
    "labour per unit",
    "first pass yield",
    "first pass yield at TEST",
];

/// What the paired differences say of the first layout against the second.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Comparison {
    Better,
    Worse,
    /// The whole interval lies within the differences that are ignored.
    Equal,
    /// So many more replications would tell, where that can be said.
    CannotTell {
        more: Option<usize>,
    },
}

/// A comparison with its numbers.
#[derive(Clone, PartialEq, Debug)]
pub struct Compared {
    pub verdict: Comparison,
    pub difference: Option<Estimate>,
    /// Half-width of the same interval, had the two been run on days of their own.
    pub unpaired: Option<f64>,
    /// Mean of the older layout, in the measure's unit.
    pub old_mean: f64,
    pub unit: &'static str,
}

/// The measure with this name; `at` names a test of this line.
///
/// # Errors
/// The nearest name, where one is near.
pub fn measure_named(line: &Line, text: &str) -> Result<Measure, Option<String>> {
    let of_test = |opens: &str| {
        let test = text.strip_prefix(opens)?;
        let found = line.tests.iter().position(|t| t.name == test);
        let near = || nearest(test, line.tests.iter().map(|t| t.name.as_str()));
        Some(found.map(TestId::from_index).ok_or_else(|| near().map(|name| format!("{opens}{name}"))))
    };
    if let Some(test) = of_test("wait at ") {
        return test.map(Measure::Wait);
    }
    if let Some(test) = of_test("first pass yield at ") {
        return test.map(Measure::FirstPassAt);
    }
    match text {
        "units per shift" if line.calendar.is_some() => Ok(Measure::UnitsPerShift),
        "units per hour" => Ok(Measure::UnitsPerHour),
        "minutes between units" => Ok(Measure::MinutesBetweenUnits),
        "flow time" => Ok(Measure::FlowTime),
        "work in process" => Ok(Measure::WorkInProcess),
        "labour per unit" => Ok(Measure::LabourPerUnit),
        "first pass yield" => Ok(Measure::FirstPassYield),
        _ => Err(nearest(text, MEASURES.into_iter())),
    }
}

/// The name of a count: `units per shift` or, of everything else, `units per hour`.
pub fn name_of_count(measure: Measure) -> &'static str {
    if measure == Measure::UnitsPerShift { MEASURES[0] } else { MEASURES[1] }
}

/// One of two layouts: its line, what was observed, and the measure as that line has it.
#[derive(Clone, Copy, Debug)]
pub struct Side<'o> {
    pub line: &'o Line,
    pub measure: Measure,
    pub observed: &'o Observations,
}

impl<'o> Side<'o> {
    /// `None` where the line does not have the measure of that name.
    pub fn of(line: &'o Line, measure: &str, observed: &'o Observations) -> Option<Side<'o>> {
        let measure = measure_named(line, measure).ok()?;
        Some(Side { line, measure, observed })
    }

    /// One value for each replication, to be kept when the observations are not.
    pub fn series(&self) -> Series {
        let value = |run: &Replication| (run.index, value(self.measure, run));
        Series { measure: self.measure, values: self.observed.replications.iter().map(value).collect() }
    }
}

/// A measure of each replication, by its number; `None` where nothing was counted.
#[derive(Clone, PartialEq, Debug)]
pub struct Series {
    measure: Measure,
    values: Vec<(u32, Option<f64>)>,
}

impl Series {
    /// With those of further replications behind it.
    #[must_use]
    pub fn and(mut self, more: Series) -> Series {
        self.values.extend(more.values);
        self
    }

    /// Of the mean; `None` where fewer than two replications counted anything.
    pub fn estimate(&self, confidence: f64) -> Option<Estimate> {
        let counted: Vec<f64> = self.values.iter().filter_map(|(_, value)| *value).collect();
        Estimate::of(&counted, confidence)
    }
}

/// Compares `new` with `old` at `confidence` of the one interval.
pub fn compare(new: &Side<'_>, old: &Side<'_>, confidence: f64) -> Compared {
    compare_series(&new.series(), &old.series(), confidence)
}

/// As `compare`, of values that were kept.
pub fn compare_series(new: &Series, old: &Series, confidence: f64) -> Compared {
    let pairs: Vec<(f64, f64)> = new
        .values
        .iter()
        .zip(&old.values)
        .filter(|((n, _), (o, _))| n == o)
        .filter_map(|((_, new), (_, old))| new.zip(*old))
        .collect();
    let (news, olds): (Vec<f64>, Vec<f64>) = pairs.into_iter().unzip();
    let old_mean = olds.iter().sum::<f64>() / olds.len().max(1) as f64;
    let difference = Estimate::of_differences(&news, &olds, confidence);
    let verdict = match difference {
        None => Comparison::CannotTell { more: None },
        Some(d) => judge(&d, news.len(), IGNORED * old_mean.abs(), more_is_better(new.measure)),
    };
    let unpaired = half_width_apart(&news, &olds, confidence);
    Compared { verdict, difference, unpaired, old_mean, unit: unit(new.measure) }
}

fn judge(difference: &Estimate, n: usize, ignored: f64, more_is_better: bool) -> Comparison {
    let half = difference.half_width();
    let (low, high) = (difference.mean - half, difference.mean + half);
    if low >= -ignored && high <= ignored {
        Comparison::Equal
    } else if low > 0.0 {
        if more_is_better { Comparison::Better } else { Comparison::Worse }
    } else if high < 0.0 {
        if more_is_better { Comparison::Worse } else { Comparison::Better }
    } else {
        // Narrow already, but astride the limit: a few more may do, none never does.
        let more = more_to_tell(n, half, difference.mean, ignored);
        Comparison::CannotTell { more: more.map(|more| more.max(1)) }
    }
}

impl Compared {
    /// The verdict as reports have it, and how many more replications would tell.
    pub fn said(&self) -> (Difference, Option<u32>) {
        match self.verdict {
            Comparison::Better => (Difference::Better, None),
            Comparison::Worse => (Difference::Worse, None),
            Comparison::Equal => (Difference::Equal, None),
            Comparison::CannotTell { more } => {
                (Difference::CannotTell, more.map(|more| u32::try_from(more).unwrap_or(u32::MAX)))
            }
        }
    }

    /// The difference as a share of the older mean; `None` where that is 0.
    pub fn share(&self) -> Option<f64> {
        let difference = self.difference?;
        (self.old_mean != 0.0).then(|| difference.mean / self.old_mean)
    }

    /// `0.93 units more (0.71 to 1.15), 5.2 % of 17.9`
    pub fn words(&self) -> String {
        let Some(d) = self.difference else {
            return "nothing to compare: too few replications show this measure".to_string();
        };
        let half = d.half_width();
        let signed = |x: f64| format!("{}{}", if x > 0.0 { "+" } else { "" }, decimals(x, 2));
        let share = match self.share() {
            Some(share) => format!(", {} of {}", percent(share.abs()), decimals(self.old_mean, 2)),
            None => String::new(),
        };
        let numbers = format!(
            "{} {} ({} to {}{share})",
            signed(d.mean),
            self.unit,
            signed(d.mean - half),
            signed(d.mean + half)
        );
        match self.verdict {
            Comparison::Better => format!("better: {numbers}"),
            Comparison::Worse => format!("worse: {numbers}"),
            Comparison::Equal => format!("equal within {}: {numbers}", percent(IGNORED)),
            Comparison::CannotTell { more: Some(more) } => {
                format!("cannot tell: {numbers}; about {} would", count_of(more, "more replication"))
            }
            Comparison::CannotTell { more: None } => format!("cannot tell: {numbers}"),
        }
    }
}

fn more_is_better(measure: Measure) -> bool {
    match measure {
        Measure::UnitsPerShift
        | Measure::UnitsPerHour
        | Measure::FirstPassYield
        | Measure::FirstPassAt(_) => true,
        Measure::MinutesBetweenUnits
        | Measure::Wait(_)
        | Measure::FlowTime
        | Measure::WorkInProcess
        | Measure::LabourPerUnit => false,
    }
}

fn unit(measure: Measure) -> &'static str {
    match measure {
        Measure::UnitsPerShift | Measure::UnitsPerHour | Measure::WorkInProcess => "units",
        Measure::MinutesBetweenUnits | Measure::Wait(_) | Measure::FlowTime | Measure::LabourPerUnit => "min",
        Measure::FirstPassYield => "of the units",
        Measure::FirstPassAt(_) => "of the first verdicts",
    }
}

/// The mean of one replication, in `unit`; `None` where nothing was counted.
pub fn value(measure: Measure, run: &Replication) -> Option<f64> {
    let minutes = |micros: f64| micros / Time::MINUTE.micros() as f64;
    let per = |amount: f64, of: f64| (of > 0.0).then(|| amount / of);
    match measure {
        Measure::UnitsPerShift => {
            let units: u64 = run.per_shift.iter().map(|n| u64::from(*n)).sum();
            per(units as f64, run.per_shift.len() as f64)
        }
        Measure::UnitsPerHour => {
            per(run.finished as f64, run.net.micros() as f64 / Time::HOUR.micros() as f64)
        }
        Measure::MinutesBetweenUnits => run.intervals.mean().map(minutes),
        Measure::Wait(test) => run.tests[test.index()].waits.mean().map(minutes),
        Measure::FlowTime => run.flow.mean().map(minutes),
        Measure::WorkInProcess => per(run.presence as f64, run.clock.micros() as f64),
        Measure::LabourPerUnit => crate::stats::labour(run),
        Measure::FirstPassYield => per(run.finished_first_pass as f64, run.finished as f64),
        Measure::FirstPassAt(test) => {
            let counts = &run.tests[test.index()];
            per(counts.first_passes as f64, counts.first_attempts as f64)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn estimate(values: &[f64]) -> Estimate {
        Estimate::of(values, 0.95).expect("two values or more")
    }

    #[test]
    fn a_difference_is_better_worse_equal_or_cannot_be_told() {
        let up = estimate(&[1.0, 1.2, 0.8, 1.1]);
        assert_eq!(judge(&up, 4, 0.1, true), Comparison::Better);
        assert_eq!(judge(&up, 4, 0.1, false), Comparison::Worse);
        let same = estimate(&[0.01, -0.01, 0.0, 0.01]);
        assert_eq!(judge(&same, 4, 0.1, true), Comparison::Equal);
        let wide = estimate(&[3.0, -2.5, 0.5, -0.3]);
        assert!(
            matches!(judge(&wide, 4, 0.1, true), Comparison::CannotTell { more: Some(more) } if more > 4)
        );
    }

    #[test]
    fn a_comparison_says_its_numbers() {
        let compared = Compared {
            verdict: Comparison::Better,
            difference: Some(estimate(&[1.0, 1.0, 1.0])),
            unpaired: None,
            old_mean: 20.0,
            unit: "units",
        };
        assert_eq!(compared.words(), "better: +1 units (+1 to +1, 5 % of 20)");
    }
}
