//! What a good unit costs: people, bays and floor over the units finished.
//!
//! Costs run with the calendar, whatever happens on the line, so each is the same in every replication; the
//! count is not, and the band is the band of the count.

use super::HOUR;
use super::bands::mean_of;
use super::flow::each;
use super::quantiles::Banded;
use crate::line::{Calendar, Costs, GroupId, Line, WeekShift};
use crate::simulate::{Observations, Replication};
use crate::units::Time;

/// Weeks of a year of 365 days.
const WEEKS: f64 = 365.0 / 7.0;

#[derive(Clone, PartialEq, Debug)]
pub struct CostFigures {
    /// Per finished unit: everything, and its parts.
    pub unit: Option<Banded>,
    pub unit_people: Option<Banded>,
    pub unit_bays: Option<Banded>,
    pub unit_space: Option<Banded>,
    /// Everybody, per paid hour.
    pub people_hour: f64,
    /// Per year of such weeks as the file states.
    pub year_people: f64,
    pub year_bays: f64,
    pub year_space: f64,
}

/// Floor of the line, its racks, slots and repair places, square metres; `None` where none is stated.
pub fn floor_m2(line: &Line) -> Option<f64> {
    let space = line.space.as_ref()?;
    let of = line.places.iter().zip(space);
    Some(of.map(|(p, s)| f64::from(p.bays) * s.bay + f64::from(p.slots) * s.slot).sum())
}

/// `None` where the file states no costs.
pub fn costs(line: &Line, observed: &Observations) -> Option<CostFigures> {
    let costs = line.costs.as_ref()?;
    let runs = &observed.replications;
    let people_hour = people_hour(line, costs);
    let (_, net_hours) = year_hours(line.calendar.as_ref());
    let [year_people, year_bays, year_space] = year_parts(line, costs);
    // A year has so many net hours, and each of them bears its part.
    let per_unit = |year: f64| {
        let value = |r: &Replication| {
            let years = r.net.0 as f64 / HOUR / net_hours;
            (r.finished > 0 && net_hours > 0.0).then(|| year * years / r.finished as f64)
        };
        mean_of(&each(runs, value), line.confidence)
    };
    Some(CostFigures {
        unit: per_unit(year_people + year_bays + year_space),
        unit_people: per_unit(year_people),
        unit_bays: per_unit(year_bays),
        unit_space: per_unit(year_space),
        people_hour,
        year_people,
        year_bays,
        year_space,
    })
}

/// Everybody who is paid, on average over the paid hours of the line.
fn people_hour(line: &Line, costs: &Costs) -> f64 {
    let all: f64 =
        line.groups.iter().zip(&costs.people).map(|(group, cost)| f64::from(group.count) * cost).sum();
    let (paid, _) = year_hours(line.calendar.as_ref());
    all - line.calendar.as_ref().map_or(0.0, |calendar| not_on_shift(line, costs, calendar) / paid)
}

/// What people would cost in a year who are not on shifts of this calendar.
fn not_on_shift(line: &Line, costs: &Costs, calendar: &Calendar) -> f64 {
    let of_shift = |shift: &WeekShift| {
        let missing = shift.people.iter().map(|(group, there)| {
            let all = line.groups[group.index()].count;
            f64::from(all.saturating_sub(*there)) * costs.people[group.index()]
        });
        missing.sum::<f64>() * paid(shift).0 as f64 / HOUR * WEEKS
    };
    calendar.week.iter().filter(|shift| !shift.people.is_empty()).map(of_shift).sum()
}

fn paid(shift: &WeekShift) -> Time {
    shift.end - shift.start - shift.unpaid()
}

/// People, bays and floor of a year.
fn year_parts(line: &Line, costs: &Costs) -> [f64; 3] {
    let space = floor_m2(line).unwrap_or(0.0) * costs.square_metre;
    let groups = line.groups.iter().zip(&costs.people).enumerate();
    // By the hours of each group: those of a feeder may be others than the line's.
    let mut people = vec![0.0; line.own_hours.len() + 1];
    for (g, (group, cost)) in groups {
        people[usize::from(line.hours_of_group(GroupId::from_index(g)))] += f64::from(group.count) * cost;
    }
    let people: f64 =
        people.iter().zip(0..).map(|(hour, hours)| hour * year_hours(line.calendar_of(hours)).0).sum();
    let calendars = line.calendar.iter().chain(&line.own_hours);
    let away: f64 = calendars.map(|calendar| not_on_shift(line, costs, calendar)).sum();
    let people = people - away;
    [people, bays(line, costs), space]
}

/// What a year of the line costs; `None` where the file states no costs.
pub fn year_cost(line: &Line) -> Option<f64> {
    line.costs.as_ref().map(|costs| year_parts(line, costs).iter().sum())
}

/// Units that a year makes for each unit of the count: of a shift where there are shifts, else of an hour.
pub fn counts_a_year(line: &Line) -> f64 {
    match &line.calendar {
        Some(calendar) => calendar.week.len() as f64 * WEEKS,
        None => year_hours(None).1,
    }
}

fn bays(line: &Line, costs: &Costs) -> f64 {
    line.places.iter().zip(&costs.bays).map(|(place, cost)| f64::from(place.bays) * cost).sum()
}

/// Paid and net hours of a year: 365/7 weeks like that of the file; round the clock without a calendar.
fn year_hours(calendar: Option<&Calendar>) -> (f64, f64) {
    let Some(calendar) = calendar else { return (365.0 * 24.0, 365.0 * 24.0) };
    let paid: Time = calendar.week.iter().map(paid).sum();
    (paid.0 as f64 / HOUR * WEEKS, calendar.week_net().0 as f64 / HOUR * WEEKS)
}
