//! How full places are over the week.

use crate::line::Line;
use crate::report::rows::{Week, WeekHour, WeekRow};
use crate::stats::{Summary, WeekFigures, attended};
use crate::units::{Time, time_of_week};

pub fn week(line: &Line, summary: &Summary) -> Option<Week> {
    let of_the_line = attended(line.calendar.as_ref());
    let row = |figures: &WeekFigures| {
        let place = &line.places[figures.place.index()];
        let name = (place.name.clone(), place.label.clone(), place.bays);
        WeekRow::of(name, &figures.by_hour, &attended(line.calendar_of(line.hours_at(figures.place))))
    };
    let hours = of_the_line.iter().enumerate().map(|(hour, attended)| WeekHour {
        from: time_of_week(Time::HOUR * hour as i64),
        attended: *attended,
        units: summary.week.iter().map(|figures| figures.by_hour[hour]).collect(),
    });
    let places: Vec<WeekRow> = summary.week.iter().map(row).collect();
    (!places.is_empty()).then(|| Week { places, hours: hours.collect() })
}
