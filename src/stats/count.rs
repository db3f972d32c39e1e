//! The count: good units per shift and hour, how the shifts spread, the chance of the count asked.

use super::bands::{Grouped, mean_of, ratio_of};
use super::quantiles::Banded;
use super::{HOUR, MINUTE};
use crate::line::{Calendar, Demand, Line, Period};
use crate::simulate::{Observations, Replication};
use crate::units::Time;

#[derive(Clone, PartialEq, Debug)]
pub struct Count {
    /// Finished units per net hour.
    pub per_hour: Option<Banded>,
    /// `None` without a calendar, or when no whole shift was counted.
    pub per_shift: Option<PerShift>,
    /// When the last crew goes home on shifts that made the count, minutes from the shift's start.
    pub home: Option<HomeTime>,
    /// Over all replications.
    pub finished: u64,
    pub scrapped: u64,
    pub set_aside: u64,
    /// Share of each model among the finished units, in the order of `Line::models`.
    pub by_model: Vec<Option<f64>>,
}

#[derive(Clone, PartialEq, Debug)]
pub struct PerShift {
    /// Of the mean over shifts, one value per replication.
    pub mean: Banded,
    /// How single shifts spread, all replications together: not to be read as a band of the mean.
    pub sd: Option<f64>,
    pub p05: Option<Banded>,
    pub p50: Option<Banded>,
    pub p95: Option<Banded>,
    /// Shifts by their count, from the smallest seen to the greatest, gaps filled with 0.
    pub histogram: Vec<ShiftsAt>,
    pub shifts: u64,
    /// Of the first counted shift of the first replication.
    pub first: Option<u32>,
    pub asked: Option<Asked>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ShiftsAt {
    pub units: u32,
    pub shifts: u64,
}

/// The count asked of a shift and how often it is made.
#[derive(Clone, PartialEq, Debug)]
pub struct Asked {
    /// Exact: units = numerator / denominator.
    pub target: Fraction,
    pub from: AskedFrom,
    /// Share of shifts with at least the target.
    pub chance: Option<Banded>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Fraction {
    pub numerator: i128,
    pub denominator: i128,
}

impl Fraction {
    pub fn value(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    fn is_reached_by(self, units: u32) -> bool {
        i128::from(units) * self.denominator >= self.numerator
    }
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AskedFrom {
    Demand,
    /// The count after which the crews go home.
    Home,
}

#[derive(Clone, PartialEq, Debug)]
pub struct HomeTime {
    pub mean: Option<Banded>,
    pub p50: Option<Banded>,
    pub p95: Option<Banded>,
}

pub fn count(line: &Line, observed: &Observations) -> Count {
    let runs = &observed.replications;
    let total = |of: fn(&Replication) -> u64| runs.iter().map(of).sum::<u64>();
    let finished = total(|r| r.finished);
    let hourly: Vec<f64> = runs
        .iter()
        .filter(|r| r.net > Time::ZERO)
        .map(|r| r.finished as f64 / (r.net.0 as f64 / HOUR))
        .collect();
    let by_model = (0..line.models.len())
        .map(|m| {
            let units: u64 = runs.iter().map(|r| r.finished_by_model[m]).sum();
            (finished > 0).then(|| units as f64 / finished as f64)
        })
        .collect();
    Count {
        per_hour: mean_of(&hourly, line.confidence),
        per_shift: per_shift(line, runs),
        home: home(line, runs),
        finished,
        scrapped: total(|r| r.scrapped),
        set_aside: total(|r| r.set_aside),
        by_model,
    }
}

/// Shifts by their count; index = units.
type ShiftCounts = Vec<u64>;

fn add_shifts(sum: &mut ShiftCounts, run: &Replication) {
    for units in &run.per_shift {
        let at = *units as usize;
        if at >= sum.len() {
            sum.resize(at + 1, 0);
        }
        sum[at] += 1;
    }
}

fn per_shift(line: &Line, runs: &[Replication]) -> Option<PerShift> {
    line.calendar.as_ref()?;
    let mean = mean_of(&shift_means(runs), line.confidence)?;
    let counts: Grouped<ShiftCounts> = Grouped::gather(runs, line.confidence, add_shifts);
    let percentile = |p: f64| counts.estimate(|c| quantile(c, p));
    let least = counts.all.iter().position(|n| *n > 0)?;
    let histogram = (least..counts.all.len())
        .map(|units| ShiftsAt { units: u32::try_from(units).unwrap_or(u32::MAX), shifts: counts.all[units] })
        .collect();
    Some(PerShift {
        mean,
        sd: spread(&counts.all),
        p05: percentile(0.05),
        p50: percentile(0.5),
        p95: percentile(0.95),
        histogram,
        shifts: counts.all.iter().sum(),
        first: runs.first().and_then(|run| run.per_shift.first().copied()),
        asked: asked(line).map(|(target, from)| Asked {
            target,
            from,
            chance: chance_of(runs, line.confidence, |units| target.is_reached_by(units)),
        }),
    })
}

/// Mean units per shift of every replication that counted a whole shift.
pub(super) fn shift_means(runs: &[Replication]) -> Vec<f64> {
    runs.iter()
        .filter(|r| !r.per_shift.is_empty())
        .map(|r| r.per_shift.iter().map(|u| u64::from(*u)).sum::<u64>() as f64 / r.per_shift.len() as f64)
        .collect()
}

/// Share of shifts whose count passes, with the band of a share inside runs.
pub(super) fn chance_of(
    runs: &[Replication],
    confidence: f64,
    passes: impl Fn(u32) -> bool,
) -> Option<Banded> {
    ratio_of(runs, confidence, |r| {
        (r.per_shift.iter().filter(|units| passes(**units)).count() as u64, r.per_shift.len() as u64)
    })
}

/// A percentile of the counts of single shifts.
pub(super) fn shift_percentile(runs: &[Replication], confidence: f64, p: f64) -> Option<Banded> {
    let counts: Grouped<ShiftCounts> = Grouped::gather(runs, confidence, add_shifts);
    counts.estimate(|c| quantile(c, p))
}

/// The count of rank ceil(p n), at least 1.
fn quantile(counts: &ShiftCounts, p: f64) -> Option<f64> {
    let n: u64 = counts.iter().sum();
    let rank = ((p * n as f64).ceil() as u64).clamp(1, n.max(1));
    let mut seen = 0;
    counts
        .iter()
        .position(|shifts| {
            seen += shifts;
            n > 0 && seen >= rank
        })
        .map(|units| units as f64)
}

/// Standard deviation of single shifts (divisor n - 1), squares in integers.
fn spread(counts: &ShiftCounts) -> Option<f64> {
    let n: u128 = counts.iter().map(|c| u128::from(*c)).sum();
    if n < 2 {
        return None;
    }
    let with_units = || counts.iter().enumerate().map(|(units, c)| (units as u128, u128::from(*c)));
    let sum: u128 = with_units().map(|(u, c)| u * c).sum();
    let squares: u128 = with_units().map(|(u, c)| u * u * c).sum();
    // n (n - 1) s^2 = n sum x^2 - (sum x)^2, a whole number that cannot be negative.
    Some(((n * squares - sum * sum) as f64 / (n * (n - 1)) as f64).sqrt())
}

/// What a shift is asked to make: the demand, else the count after which all shifts go home.
fn asked(line: &Line) -> Option<(Fraction, AskedFrom)> {
    let calendar = line.calendar.as_ref()?;
    if let Some(demand) = line.demand {
        return demand_per_shift(demand, calendar).map(|f| (f, AskedFrom::Demand));
    }
    let mut homes = calendar.week.iter().map(|shift| shift.home.map(|h| h.units));
    let first = homes.next()??;
    homes
        .all(|units| units == Some(first))
        .then_some((Fraction { numerator: i128::from(first), denominator: 1 }, AskedFrom::Home))
}

/// Demand of the mean shift: of the week's demand each shift its equal part.
pub fn demand_per_shift(demand: Demand, calendar: &Calendar) -> Option<Fraction> {
    let shifts = i128::try_from(calendar.week.len()).ok().filter(|n| *n > 0)?;
    let (units, per) = (i128::from(demand.units), i128::from(demand.denominator));
    let (numerator, denominator) = match demand.period {
        Period::Shift => (units, per),
        Period::Day => (units * days_with_shifts(calendar), per * shifts),
        Period::Week => (units, per * shifts),
        Period::Hour => (units * i128::from(calendar.week_net().0), per * i128::from(Time::HOUR.0) * shifts),
    };
    Some(Fraction { numerator, denominator })
}

/// Days of the week on which a shift starts.
pub fn days_with_shifts(calendar: &Calendar) -> i128 {
    let mut days: Vec<i64> = calendar.week.iter().map(|s| s.start.0.div_euclid(Time::DAY.0)).collect();
    days.dedup();
    days.len() as i128
}

fn home(line: &Line, runs: &[Replication]) -> Option<HomeTime> {
    let sum = |all: &mut Vec<i64>, r: &Replication| all.extend(r.home_at.iter().map(|t| t.0));
    let gathered: Grouped<Vec<i64>> = Grouped::gather(runs, line.confidence, sum);
    let percentile = |p: f64| {
        gathered.estimate(|times| {
            let mut sorted = times.clone();
            sorted.sort_unstable();
            let rank = ((p * sorted.len() as f64).ceil() as usize).max(1);
            sorted.get(rank - 1).map(|t| *t as f64 / MINUTE)
        })
    };
    let means: Vec<f64> = runs
        .iter()
        .filter(|r| !r.home_at.is_empty())
        .map(|r| r.home_at.iter().map(|t| t.0 as f64).sum::<f64>() / r.home_at.len() as f64 / MINUTE)
        .collect();
    let mean = mean_of(&means, line.confidence);
    mean.is_some().then(|| HomeTime { mean, p50: percentile(0.5), p95: percentile(0.95) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_and_percentiles_of_shifts_are_those_of_the_list() {
        // 16, 17, 17, 18: mean 17, squares about it 1 + 0 + 0 + 1 over 3.
        let mut counts = ShiftCounts::new();
        add_shifts(&mut counts, &Replication { per_shift: vec![17, 16, 18, 17], ..Replication::default() });
        assert!((spread(&counts).unwrap() - (2.0_f64 / 3.0).sqrt()).abs() < 1e-15);
        assert_eq!(quantile(&counts, 0.25), Some(16.0));
        assert_eq!(quantile(&counts, 0.26), Some(17.0));
        assert_eq!(quantile(&counts, 0.95), Some(18.0));
        assert_eq!(quantile(&ShiftCounts::new(), 0.5), None);
        assert_eq!(spread(&vec![0, 1]), None);
    }

    #[test]
    fn a_demand_of_any_period_comes_down_to_the_shift() {
        let shift = |day: i64, from: i64| crate::line::WeekShift {
            name: "day".to_string(),
            start: Time::DAY * day + Time::HOUR * from,
            end: Time::DAY * day + Time::HOUR * (from + 8),
            pauses: Vec::new(),
            relieved: Vec::new(),
            home: None,
            overtime: None,
            only_under: None,
            people: Vec::new(),
        };
        // Two days of two shifts of 8 h.
        let calendar = Calendar {
            week: vec![shift(0, 6), shift(0, 14), shift(1, 6), shift(1, 14)],
            first_weekday: 0,
            first_date: None,
            closed: Vec::new(),
        };
        let per = |period| {
            demand_per_shift(Demand { units: 185, denominator: 10, period }, &calendar).unwrap().value()
        };
        assert_eq!(per(Period::Shift), 18.5);
        assert_eq!(per(Period::Day), 9.25);
        assert_eq!(per(Period::Week), 4.625);
        assert_eq!(per(Period::Hour), 148.0);
    }
}
