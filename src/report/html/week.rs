//! Places over the week, drawn: how full in each hour, with attended time shaded.

use super::grid::place_name;
use super::marks::{length, rectangle};
use super::writer::Page;
use crate::report::inputs::Inputs;
use crate::report::record::Report;
use crate::report::rows::{Week, WeekRow};
use crate::units::decimals;

/// Drawn width of an hour, and height of the drawing.
const HOUR: f64 = 3.0;
const HIGH: f64 = 36.0;

pub fn drawings(page: &mut Page, report: &Report, inputs: &Inputs) {
    let Some(week) = &report.week else { return };
    let note = "Over the week, hour by hour: the line is how many units stand there on average, of as many as there \
                are places; shaded is attended time. The hours themselves are in the tables for spreadsheets.";
    page.leaf("p", &[("class", "note")], note);
    page.element("dl", &[("class", "weeks")], |page| {
        for (k, place) in week.places.iter().enumerate() {
            page.element("dt", &[], |page| place_name(page, &place.id, place.label.as_deref(), inputs));
            page.element("dd", &[], |page| strip(page, week, (k, place)));
        }
    });
}

fn strip(page: &mut Page, week: &Week, (k, place): (usize, &WeekRow)) {
    let wide = HOUR * week.hours.len() as f64;
    let view = format!("-1 -2 {} {}", length(wide + 2.0), length(HIGH + 16.0));
    page.element("svg", &[("class", "week"), ("viewBox", &view), ("role", "img")], |page| {
        page.leaf("title", &[], &says(place));
        for (hour, of) in week.hours.iter().enumerate().filter(|(_, of)| of.attended > 0.0) {
            rectangle(page, [HOUR * hour as f64, 0.0, HOUR * of.attended, HIGH], "#e4ece9", "shade");
        }
        for day in 0..=7 {
            let x = length(HOUR * 24.0 * f64::from(day));
            let high = length(HIGH + 4.0);
            page.element(
                "line",
                &[("x1", &x), ("x2", &x), ("y1", "0"), ("y2", &high), ("class", "tick")],
                |_| {},
            );
        }
        page.leaf("path", &[("d", &path(week, (k, place))), ("class", "level")], "");
        for (day, hour) in week.hours.iter().step_by(24).enumerate() {
            let x = length(HOUR * 24.0 * (day as f64 + 0.5));
            let name = hour.from.split(' ').next().unwrap_or_default();
            page.leaf("text", &[("x", &x), ("y", "49"), ("text-anchor", "middle")], name);
        }
    });
}

/// Steps from hour to hour; hours that were not counted are left open.
fn path(week: &Week, (k, place): (usize, &WeekRow)) -> String {
    let y = |units: f64| length(HIGH * (1.0 - units / f64::from(place.places.max(1))));
    let mut path = String::new();
    let mut open = false;
    for (hour, of) in week.hours.iter().enumerate() {
        let (from, to) = (length(HOUR * hour as f64), length(HOUR * (hour as f64 + 1.0)));
        match of.units.get(k).copied().flatten() {
            Some(units) => {
                let start = if open { "V" } else { &format!("M{from} ") };
                path.push_str(&format!("{start}{y} H{to} ", y = y(units)));
                open = true;
            }
            None => open = false,
        }
    }
    path
}

fn says(place: &WeekRow) -> String {
    let units = |of: Option<f64>| of.map_or_else(|| "-".to_string(), |units| decimals(units, 1));
    let fullest = match &place.fullest_from {
        Some(from) => format!("fullest in the hour from {from} with {}", units(place.fullest)),
        None => "no hour was counted".to_string(),
    };
    format!(
        "{} over the week, of {} places: {} in attended time, {} at night and on days off, {fullest}",
        place.id,
        place.places,
        units(place.attended),
        units(place.unattended)
    )
}
