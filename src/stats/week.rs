//! The hours of the week: how many units stand in racks, repair places and under long holds.

use crate::line::{Calendar, Line, PlaceId};
use crate::simulate::{HOURS, Observations, Replication};
use crate::units::Time;

/// Of a place, Monday 00:00 first.
#[derive(Clone, PartialEq, Debug)]
pub struct WeekFigures {
    pub place: PlaceId,
    /// Units there on average in each hour of the week; `None` where no such hour was counted.
    pub by_hour: Vec<Option<f64>>,
}

/// Places that show the week.
pub fn week(line: &Line, observed: &Observations) -> Vec<WeekFigures> {
    let places = line.places_over_the_week();
    let shown = (0..line.places.len()).filter(|place| places[*place]);
    shown.map(|place| of_place(PlaceId::from_index(place), &observed.replications)).collect()
}

fn of_place(place: PlaceId, runs: &[Replication]) -> WeekFigures {
    let sum =
        |of: &dyn Fn(&Replication) -> Option<i64>| runs.iter().filter_map(of).map(i128::from).sum::<i128>();
    let by_hour = (0..HOURS).map(|hour| {
        let counted = sum(&|run| run.hours.get(hour).copied());
        let units = sum(&|run| run.places[place.index()].by_hour.get(hour).copied());
        (counted > 0).then(|| units as f64 / counted as f64)
    });
    WeekFigures { place, by_hour: by_hour.collect() }
}

/// Share of each hour of the week that is attended, by the calendar alone; of a feeder's, where it has its own.
pub fn attended(calendar: Option<&Calendar>) -> Vec<f64> {
    let mut attended = vec![Time::ZERO; HOURS];
    for shift in calendar.iter().flat_map(|calendar| &calendar.week) {
        for (hour, of) in attended.iter_mut().enumerate() {
            let from = Time::HOUR * hour as i64;
            // A shift may run over from Sunday into Monday.
            for start in [shift.start, shift.start - Time::DAY * 7] {
                let end = start + (shift.end - shift.start);
                let both = end.min(from + Time::HOUR) - start.max(from);
                *of += both.max(Time::ZERO);
            }
        }
    }
    attended.into_iter().map(|time| time.as_minutes() / 60.0).collect()
}
