//! Rows of places over the hours of the week.

use crate::units::{Time, time_of_week};
use schemars::JsonSchema;
use serde::Serialize;

/// How full places are in each hour of the week; Monday 00:00 first.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Week {
    /// Racks, repair places and stations with a hold that goes by the clock.
    pub places: Vec<WeekRow>,
    pub hours: Vec<WeekHour>,
}

/// An hour of the week.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct WeekHour {
    /// When it begins, as `Mon 00:00`.
    pub from: String,
    /// Share of it that is attended, by the calendar.
    pub attended: f64,
    /// Units there on average, in the order of `places`; null where no such hour was counted.
    pub units: Vec<Option<f64>>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct WeekRow {
    pub id: String,
    pub label: Option<String>,
    pub places: u32,
    /// The hour in which most are there, the first of equal ones, and how many; null where none was counted.
    pub fullest_from: Option<String>,
    pub fullest: Option<f64>,
    /// Units there on average outside attended time, and in it; null where nothing is counted.
    pub unattended: Option<f64>,
    pub attended: Option<f64>,
}

impl WeekRow {
    /// The row of a place; `attended` is the share of each hour that is.
    pub fn of(
        (id, label, places): (String, Option<String>, u32),
        by_hour: &[Option<f64>],
        attended: &[f64],
    ) -> WeekRow {
        let counted = || by_hour.iter().enumerate().filter_map(|(hour, units)| Some((hour, (*units)?)));
        let fullest = counted().reduce(|most, next| if next.1 > most.1 { next } else { most });
        let mean = |share: &dyn Fn(f64) -> f64| {
            let weight: f64 = counted().map(|(hour, _)| share(attended[hour])).sum();
            let units: f64 = counted().map(|(hour, units)| share(attended[hour]) * units).sum();
            (weight > 0.0).then(|| units / weight)
        };
        WeekRow {
            id,
            label,
            places,
            fullest_from: fullest.map(|(hour, _)| time_of_week(Time::HOUR * hour as i64)),
            fullest: fullest.map(|(_, units)| units),
            unattended: mean(&|attended| 1.0 - attended),
            attended: mean(&|attended| attended),
        }
    }
}
