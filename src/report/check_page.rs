//! The page of `check`: takt with its arithmetic, work content, people, loads and times, as one record.
//!
//! Published as `taktwright.check/1`. The caller brings what needs distributions (moments, contents,
//! loads); what the line itself says is read here.

use schemars::JsonSchema;
use serde::Serialize;

use super::LoadRow;
use crate::line::{Calendar, Demand, Line, Period, Ratio};
use crate::stats::{days_with_shifts, heads};
use crate::units::Time;

pub const CHECK_SCHEMA: &str = "taktwright.check/1";

/// Everything that `check` found; several files or layouts make several line pages.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CheckPage {
    /// `taktwright.check/1`.
    pub schema: String,
    pub version: String,
    pub diagnostics: Vec<DiagnosticRow>,
    pub lines: Vec<LinePage>,
}

impl CheckPage {
    pub fn new(diagnostics: Vec<DiagnosticRow>, lines: Vec<LinePage>) -> CheckPage {
        CheckPage {
            schema: CHECK_SCHEMA.to_string(),
            version: env!("CARGO_PKG_VERSION").to_string(),
            diagnostics,
            lines,
        }
    }
}

/// Lines and columns from 1; the end is past the last character.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct DiagnosticRow {
    pub code: String,
    pub severity: String,
    pub message: String,
    pub file: String,
    pub line: u32,
    pub column: u32,
    pub end_line: u32,
    pub end_column: u32,
    pub help: Option<String>,
}

/// One line in one layout.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LinePage {
    pub line: String,
    pub layout: String,
    pub takt: Option<TaktRow>,
    /// Planned interval, min.
    pub pace_min: Option<f64>,
    pub models: Vec<ContentRow>,
    pub crews: Vec<CrewRow>,
    pub groups: Vec<GroupRow>,
    pub loads: Vec<LoadLine>,
    pub times: Vec<TimeRow>,
}

/// Takt = net time / demand of the same period.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct TaktRow {
    pub takt_min: f64,
    /// Net time of the period, min; null where the takt is stated and no demand or calendar is.
    pub net_min: Option<f64>,
    /// Units of the period.
    pub demand: Option<f64>,
    /// `hour`, `shift`, `day` or `week`.
    pub period: Option<String>,
    /// The sum as a fraction: `445 min / 18 = 24.7222 min`.
    pub arithmetic: String,
}

/// Work content of a model, min.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ContentRow {
    pub model: String,
    pub label: Option<String>,
    pub share: f64,
    /// Sum of mean time x people.
    pub labour_min: f64,
    /// Sum over the stations of the mean time one unit takes there alone.
    pub elapsed_min: f64,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CrewRow {
    pub crew: String,
    pub places: Vec<String>,
    pub per_bay: bool,
    /// Heads wanted, all bays together.
    pub wanted: u32,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct GroupRow {
    pub group: String,
    /// Who exists; null where the file does not say and every crew is simply there.
    pub existing: Option<u32>,
    pub wanted: u32,
    /// Shifts that have another number of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_shifts: Vec<ShiftPeople>,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ShiftPeople {
    pub shift: String,
    pub people: u32,
}

/// Load of a place; 1 = the whole window.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct LoadLine {
    pub place: String,
    pub label: Option<String>,
    pub window_min: f64,
    pub mean: f64,
    /// The same with retests, fixes in place and work sent back.
    pub mean_with_retests: f64,
    pub by_model: Vec<super::ModelLoad>,
}

/// A time in the file, min.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct TimeRow {
    pub step: String,
    pub label: Option<String>,
    pub place: String,
    /// Null where all models have the same.
    pub model: Option<String>,
    pub people: u32,
    /// As many may share it; `people` where the number is exact. The times are those of `people`.
    pub most_people: u32,
    pub mean_min: f64,
    pub sd_min: f64,
    pub p05_min: f64,
    pub p50_min: f64,
    pub p95_min: f64,
    /// Timings behind it, where the file says.
    pub timings: Option<u32>,
}

/// What the caller computed with distributions.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PageExtras {
    /// (labour, elapsed) minutes, in the order of `Line::models`.
    pub content: Vec<(f64, f64)>,
    pub loads: Vec<LoadRow>,
    pub times: Vec<TimeRow>,
}

/// The page of one checked line.
pub fn line_page(line: &Line, extras: &PageExtras) -> LinePage {
    LinePage {
        line: line.name.clone(),
        layout: line.layout.clone(),
        takt: line.takt.map(|takt| takt_row(line, takt)),
        pace_min: line.pace.map(Ratio::as_minutes),
        models: line
            .models
            .iter()
            .zip(&extras.content)
            .map(|(model, (labour, elapsed))| ContentRow {
                model: model.name.clone(),
                label: model.label.clone(),
                share: model.share,
                labour_min: *labour,
                elapsed_min: *elapsed,
            })
            .collect(),
        crews: crews(line),
        groups: groups(line),
        loads: extras.loads.iter().map(|row| load_line(line, row)).collect(),
        times: extras.times.clone(),
    }
}

fn takt_row(line: &Line, takt: Ratio) -> TaktRow {
    let minutes = takt.as_minutes();
    let shown = crate::units::decimals(minutes, 4);
    let sides = line.demand.and_then(|d| Some((d, net_of(line.calendar.as_ref(), d.period)?)));
    let Some((demand, net)) = sides else {
        return TaktRow {
            takt_min: minutes,
            net_min: None,
            demand: line.demand.map(units_of),
            period: line.demand.map(|d| word(d.period).to_string()),
            arithmetic: format!("{shown} min, as stated"),
        };
    };
    let (net_min, units) = (net, units_of(demand));
    let derived = net_min / units;
    let sum = format!(
        "{} min net a {} / {} = {} min",
        crate::units::decimals(net_min, 2),
        word(demand.period),
        crate::units::decimals(units, 3),
        crate::units::decimals(derived, 4)
    );
    // A stated takt may be the derived one rounded to the digits typed.
    let arithmetic = match (derived - minutes).abs() <= 1e-9 * minutes {
        true => sum,
        false => format!("{sum}; stated {shown} min"),
    };
    TaktRow {
        takt_min: minutes,
        net_min: Some(net_min),
        demand: Some(units),
        period: Some(word(demand.period).to_string()),
        arithmetic,
    }
}

fn units_of(demand: Demand) -> f64 {
    demand.units as f64 / demand.denominator as f64
}

fn word(period: Period) -> &'static str {
    match period {
        Period::Hour => "hour",
        Period::Shift => "shift",
        Period::Day => "day",
        Period::Week => "week",
    }
}

/// Net minutes of a period: of the mean shift, the mean day with shifts, the week; without a calendar
/// round the clock (and no shift).
fn net_of(calendar: Option<&Calendar>, period: Period) -> Option<f64> {
    let week = calendar.map_or(Time::WEEK, Calendar::week_net).as_minutes();
    match (period, calendar) {
        (Period::Hour, _) => Some(60.0),
        (Period::Week, _) => Some(week),
        (Period::Day, None) => Some(Time::DAY.as_minutes()),
        (Period::Day, Some(c)) => (!c.week.is_empty()).then(|| week / days_with_shifts(c) as f64),
        (Period::Shift, None) => None,
        (Period::Shift, Some(c)) => (!c.week.is_empty()).then(|| week / c.week.len() as f64),
    }
}

fn crews(line: &Line) -> Vec<CrewRow> {
    line.crews
        .iter()
        .map(|crew| CrewRow {
            crew: crew.name.clone(),
            places: crew.places.iter().map(|p| line.places[p.index()].name.clone()).collect(),
            per_bay: crew.per_bay,
            wanted: heads(line, crew),
        })
        .collect()
}

fn groups(line: &Line) -> Vec<GroupRow> {
    line.groups
        .iter()
        .enumerate()
        .map(|(g, group)| {
            let wanted = line.crews.iter().map(|crew| {
                let members: u32 =
                    crew.members.iter().filter(|(_, id)| id.index() == g).map(|(n, _)| n).sum();
                let gangs = heads(line, crew).checked_div(crew.size()).unwrap_or(0);
                members * gangs
            });
            GroupRow {
                group: group.name.clone(),
                existing: line.people_stated.then_some(group.count),
                wanted: wanted.sum(),
                in_shifts: in_shifts(line, g),
            }
        })
        .collect()
}

/// Shifts that say how many of a group they have, each once.
fn in_shifts(line: &Line, group: usize) -> Vec<ShiftPeople> {
    let shifts = line.calendar.iter().chain(&line.own_hours).flat_map(|calendar| &calendar.week);
    let stated = shifts.flat_map(|shift| {
        let of = shift.people.iter().filter(|(id, _)| id.index() == group);
        of.map(|(_, people)| ShiftPeople { shift: shift.name.clone(), people: *people })
    });
    let mut found: Vec<ShiftPeople> = Vec::new();
    for shift in stated {
        if !found.contains(&shift) {
            found.push(shift);
        }
    }
    found
}

fn load_line(line: &Line, row: &LoadRow) -> LoadLine {
    let place = &line.places[row.place.index()];
    let by_model = line.models.iter().zip(&row.by_model);
    LoadLine {
        place: place.name.clone(),
        label: place.label.clone(),
        window_min: row.window_min,
        mean: row.mean,
        mean_with_retests: row.mean_with_retests,
        by_model: by_model
            .map(|(model, load)| super::ModelLoad { model: model.name.clone(), load: *load })
            .collect(),
    }
}
