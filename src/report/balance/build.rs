//! The record of a balance, as printed in JSON.

use super::clash::{ClashReport, clash_report};
use super::page::sentence;
use super::tasks::{Assigned, CheckedRule, OrderRow, assignment, checked, order};
use super::words::reason_words;
use crate::balance::{
    Aim, Change, Holding, Late, Load, Plan, Reason, Stopped, holdings, out_of_order, unable,
};
use crate::diagnostic::SourceMap;
use crate::line::{Line, PlaceId, StepId};
use crate::report::cautions::of_balance;
use crate::report::{Caution, Estimate, ModelLoad};
use schemars::JsonSchema;
use serde::Serialize;

/// Version of the record.
const BALANCE_SCHEMA: &str = "taktwright.balance/1";
/// Tasks of the fullest station that are spoken of.
const MOST_BINDING: usize = 6;

/// The answer of `balance`. Times in minutes, shares of the window; what is not known is null.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct BalanceReport {
    /// `taktwright.balance/1`.
    pub schema: String,
    pub version: String,
    pub line: String,
    pub layout: String,
    /// What the plan brings, to be said aloud.
    pub sentence: String,
    pub aim: AimKind,
    /// The pace for which the loads are shares of windows.
    pub pace_min: Option<f64>,
    /// Shortest pace at which this plan keeps every cap.
    pub shortest_pace_min: f64,
    /// Stations with work.
    pub stations: usize,
    /// People of the crews with work, before and after; who builds parts isn't counted.
    pub people: Pair,
    /// Of the aim's own figure (stations, people, or pace in minutes): no plan has less.
    pub lower_bound: Option<f64>,
    /// The plan is the best there is for its aim.
    pub proven: bool,
    pub stopped_by: StoppedBy,
    /// Plans looked at.
    pub looks: u64,
    pub elapsed_s: Option<f64>,
    /// Every station is within the caps.
    pub feasible: bool,
    /// The share of units of each model that shall keep the window of each station; null where none is asked for.
    pub chance: Option<f64>,
    pub assignment: Vec<Assigned>,
    /// The order of work: every step of the line after what it follows.
    pub order: Vec<OrderRow>,
    pub loads: Vec<StationLoad>,
    /// Sum of the loads over stations x window, mix-weighted, before and after.
    pub line_efficiency: Pair,
    /// 1 less the efficiency.
    pub balance_delay: Pair,
    /// sqrt(sum (largest - load)^2) over the stations, in windows.
    pub smoothness: Pair,
    pub largest_load: Pair,
    /// Sum of what stations are over their caps, in windows.
    pub over_caps: Pair,
    /// What moved from today, in the order in which it should be done.
    pub moved: Vec<Moved>,
    /// Other single changes from today's line, the best first.
    pub other_moves: Vec<Moved>,
    /// The count as planned against today's, on the same random days; null unless asked for.
    pub simulated: Option<Simulated>,
    /// What keeps the fullest station from being emptier, in words.
    pub binding: Vec<String>,
    /// Where some station stays over its caps: statements that no plan keeps together; null where none are proven.
    pub clash: Option<ClashReport>,
    /// Rules that the whole plan was looked at for once more.
    pub checked: Vec<CheckedRule>,
    pub cautions: Vec<Caution>,
}

/// What was looked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AimKind {
    Stations,
    Pace,
    People,
    Smooth,
    Moves,
}

/// Why the search ended: by proof, because no single move is better, after so many plans looked at, or at
/// the caller's limit of time.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StoppedBy {
    Proof,
    NoBetterMove,
    Looks,
    Limit,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct StationLoad {
    pub station: String,
    pub label: Option<String>,
    pub window_min: f64,
    /// Mean time of one unit, mix-weighted, retests included.
    pub elapsed_min: f64,
    /// People x time of one pass, mix-weighted.
    pub labour_min: f64,
    /// Of the window; null where the station had no work.
    pub share_before: Option<f64>,
    /// Of the window; null where no work is left.
    pub share: Option<f64>,
    /// After, retests included; null where the model has no work there.
    pub by_model: Vec<ModelLoad>,
    /// After: how often a unit takes longer than the window; empty unless a chance is asked for.
    pub late: Vec<ModelLate>,
}

/// Units of a model that take longer than the window of a station, one pass without retests, shares 0..1.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ModelLate {
    pub model: String,
    /// Of 2,000 draws; null where the model has no work there.
    pub over: Option<f64>,
    /// By the normal sum of the tasks; null where they don't follow one another.
    pub over_normal: Option<f64>,
}

/// A paired difference of units per shift (per hour where there are no shifts).
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Simulated {
    /// In words.
    pub text: String,
    /// Today's mean.
    pub before: f64,
    /// Planned less today.
    pub difference: Option<Estimate>,
}

#[derive(Clone, Copy, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Pair {
    pub before: f64,
    pub after: f64,
}

/// A change: one task, or two that change places.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Moved {
    pub tasks: Vec<MovedTask>,
    /// Largest load before and after this change.
    pub largest_load: Pair,
    pub over_caps: Pair,
    /// Shortest pace that keeps the caps, min.
    pub pace_min: Pair,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct MovedTask {
    pub task: String,
    pub label: Option<String>,
    pub from: String,
    pub to: String,
}

/// The record of a plan for its line; `map` knows the places of statements.
pub fn balance_report(line: &Line, plan: &Plan, map: &SourceMap) -> BalanceReport {
    let held = holdings(line);
    let planned = plan.on(line);
    let (before, after) = (&plan.worth_before, &plan.worth);
    let efficiency = |loads: &[Load]| {
        let shares: Vec<f64> = loads
            .iter()
            .filter(|l| line.places[l.place.index()].is_station())
            .map(|l| l.mean_share_with_retests(line))
            .collect();
        if shares.is_empty() { 0.0 } else { shares.iter().sum::<f64>() / shares.len() as f64 }
    };
    let pair = |of: &dyn Fn(&[Load]) -> f64| Pair { before: of(&plan.before), after: of(&plan.after) };
    let line_efficiency = pair(&efficiency);
    let moved: Vec<Moved> = plan.changes.iter().map(|change| moved_row(line, change)).collect();
    let mut report = BalanceReport {
        schema: BALANCE_SCHEMA.to_string(),
        version: env!("CARGO_PKG_VERSION").to_string(),
        line: line.name.clone(),
        layout: line.layout.clone(),
        sentence: String::new(),
        aim: aim_of(plan),
        pace_min: line.pace.map(|p| p.as_minutes()),
        shortest_pace_min: minutes(after.pace),
        stations: after.stations,
        people: Pair { before: f64::from(before.people), after: f64::from(after.people) },
        lower_bound: plan.lower_bound.map(|bound| match plan.aim {
            Aim::Pace => minutes(bound),
            Aim::Stations | Aim::People | Aim::Smooth | Aim::Moves => bound,
        }),
        proven: plan.stopped == Stopped::Proof,
        stopped_by: stopped_by(plan),
        looks: plan.looks,
        elapsed_s: None,
        // A millionth of a window is rounding.
        feasible: after.over <= 1e-6,
        chance: plan.caps.chance,
        assignment: assignment(line, &planned, &held),
        order: order(line, &planned),
        loads: loads(line, plan),
        line_efficiency,
        balance_delay: Pair { before: 1.0 - line_efficiency.before, after: 1.0 - line_efficiency.after },
        smoothness: Pair { before: before.smoothness, after: after.smoothness },
        largest_load: Pair { before: before.largest, after: after.largest },
        over_caps: Pair { before: before.over, after: after.over },
        moved: if moved.is_empty() { differences(line, plan) } else { moved },
        other_moves: plan.others.iter().map(|change| moved_row(line, change)).collect(),
        simulated: None,
        binding: binding(line, &planned, plan, &held),
        clash: plan.clash.as_ref().map(|clash| clash_report(line, clash, map)),
        checked: checked(line, &planned, plan, &held),
        cautions: of_balance(line),
    };
    report.sentence = sentence(&report);
    report
}

fn aim_of(plan: &Plan) -> AimKind {
    match plan.aim {
        Aim::Stations => AimKind::Stations,
        Aim::Pace => AimKind::Pace,
        Aim::People => AimKind::People,
        Aim::Smooth => AimKind::Smooth,
        Aim::Moves => AimKind::Moves,
    }
}

fn stopped_by(plan: &Plan) -> StoppedBy {
    match plan.stopped {
        Stopped::Proof => StoppedBy::Proof,
        Stopped::NoBetterMove => StoppedBy::NoBetterMove,
        Stopped::Looks => StoppedBy::Looks,
        Stopped::Limit => StoppedBy::Limit,
    }
}

fn minutes(micros: f64) -> f64 {
    micros / 60e6
}

fn name(line: &Line, place: PlaceId) -> String {
    line.places[place.index()].name.clone()
}

fn moved_row(line: &Line, change: &Change) -> Moved {
    let task = |(step, from, to): &(StepId, PlaceId, PlaceId)| {
        let step = &line.steps[step.index()];
        MovedTask {
            task: step.name.clone(),
            label: step.label.clone(),
            from: name(line, *from),
            to: name(line, *to),
        }
    };
    let (before, after) = (&change.before, &change.after);
    Moved {
        tasks: change.moved.iter().map(task).collect(),
        largest_load: Pair { before: before.largest, after: after.largest },
        over_caps: Pair { before: before.over, after: after.over },
        pace_min: Pair { before: minutes(before.pace), after: minutes(after.pace) },
    }
}

/// Where no order of changes is known: all of them as one.
fn differences(line: &Line, plan: &Plan) -> Vec<Moved> {
    let moved: Vec<(StepId, PlaceId, PlaceId)> = line
        .steps
        .iter()
        .zip(&plan.at)
        .enumerate()
        .filter(|(_, (step, at))| step.place != **at)
        .map(|(k, (step, at))| (StepId::from_index(k), step.place, *at))
        .collect();
    match moved.is_empty() {
        true => Vec::new(),
        false => {
            vec![moved_row(line, &Change { moved, before: plan.worth_before, after: plan.worth })]
        }
    }
}

fn loads(line: &Line, plan: &Plan) -> Vec<StationLoad> {
    let mut places: Vec<PlaceId> = plan.before.iter().chain(&plan.after).map(|l| l.place).collect();
    places.sort_unstable();
    places.dedup();
    let of = |loads: &[Load], place: PlaceId| loads.iter().find(|l| l.place == place).cloned();
    places
        .into_iter()
        .filter(|p| line.places[p.index()].is_station())
        .map(|place| {
            let (before, after) = (of(&plan.before, place), of(&plan.after, place));
            let share = |load: &Load| load.mean_share_with_retests(line);
            let any = after.as_ref().or(before.as_ref());
            StationLoad {
                station: name(line, place),
                label: line.places[place.index()].label.clone(),
                window_min: any.map_or(0.0, |load| minutes(load.window)),
                elapsed_min: after.as_ref().map_or(0.0, |load| minutes(share(load) * load.window)),
                labour_min: after.as_ref().map_or(0.0, |load| minutes(load.mean_labour(line))),
                share_before: before.as_ref().map(share),
                share: after.as_ref().map(share),
                by_model: line
                    .models
                    .iter()
                    .enumerate()
                    .map(|(m, model)| ModelLoad {
                        model: model.name.clone(),
                        load: after.as_ref().and_then(|l| l.with_retests[m].map(|t| t / l.window)),
                    })
                    .collect(),
                late: after.as_ref().map_or_else(Vec::new, |load| late(line, load)),
            }
        })
        .collect()
}

fn late(line: &Line, load: &Load) -> Vec<ModelLate> {
    let of = |(model, late): (&crate::line::Model, &Option<Late>)| ModelLate {
        model: model.name.clone(),
        over: late.as_ref().map(|late| late.over),
        over_normal: late.as_ref().and_then(|late| late.normal),
    };
    line.models.iter().zip(&load.late).map(of).collect()
}

/// The fullest station, and for each task there why it can't go to the stations beside it.
fn binding(line: &Line, planned: &Line, plan: &Plan, held: &[Option<Holding>]) -> Vec<String> {
    let stations: Vec<&Load> =
        plan.after.iter().filter(|l| line.places[l.place.index()].is_station()).collect();
    let fullest = stations
        .iter()
        .max_by(|a, b| a.mean_share_with_retests(line).total_cmp(&b.mean_share_with_retests(line)));
    let Some(fullest) = fullest.map(|load| load.place) else { return Vec::new() };
    let beside = |step: i64| {
        let mut at = fullest.index() as i64;
        loop {
            at += step;
            let index = usize::try_from(at).ok().filter(|k| *k < line.on_line)?;
            if line.places[index].is_station() {
                return Some(PlaceId::from_index(index));
            }
        }
    };
    let mut said = vec![format!("{} is the fullest station", name(line, fullest))];
    for step in (0..line.steps.len()).map(StepId::from_index) {
        if plan.at[step.index()] != fullest || said.len() > MOST_BINDING {
            continue;
        }
        if let Some(holding) = &held[step.index()] {
            said.push(reason_words(planned, step, fullest, &Reason::Held(holding.clone())));
            continue;
        }
        for place in [beside(-1), beside(1)].into_iter().flatten() {
            let why = out_of_order(planned, &plan.at, step, place).or_else(|| unable(planned, step, place));
            if let Some(reason) = why {
                said.push(format!(
                    "not to {}: {}",
                    name(line, place),
                    reason_words(planned, step, place, &reason)
                ));
            }
        }
    }
    said
}

/// The JSON Schema of the record, as published in the documentation.
pub fn balance_schema() -> String {
    crate::report::json::schema_of::<BalanceReport>()
}
