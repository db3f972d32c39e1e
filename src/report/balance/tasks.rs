//! Tasks with their stations and people, the order of work, and what the plan was checked for.

use crate::balance::{Holding, Plan, out_of_order, unable};
use crate::draws::moments::mean;
use crate::line::{Line, PlaceId, Precedence, Step, StepId};
use crate::report::sheets::people;
use crate::units::count_of;
use schemars::JsonSchema;
use serde::Serialize;

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct Assigned {
    pub task: String,
    pub label: Option<String>,
    pub station: String,
    /// Where it stands in the file.
    pub today: String,
    /// Who does it, as in `2` or `1 plumb + 1`; by model where they differ; empty for nobody.
    pub people: String,
    /// The zone that it takes of those of which the file lets it take one; null where there is no choice.
    pub side: Option<String>,
    /// The one that it takes in the file.
    pub side_today: Option<String>,
    /// Mean time where it is planned, over the models that have it, min.
    pub mean_min: f64,
}

/// A step of the line in the order of work, holds and what is done on racks included.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct OrderRow {
    pub task: String,
    pub label: Option<String>,
    /// It is a hold.
    pub hold: bool,
    /// Steps before it on the longest way to it; 0 where it follows nothing.
    pub rank: usize,
    /// What it follows, as the file says.
    pub after: Vec<String>,
    pub station: String,
    pub today: String,
}

/// A rule of the whole plan, and whether the plan keeps it.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct CheckedRule {
    pub rule: String,
    pub kept: bool,
}

/// Tasks at stations, by station and file; what is held is left out of the choice but listed too. `planned` has its
/// tasks where the plan has them.
pub fn assignment(line: &Line, planned: &Line, held: &[Option<Holding>]) -> Vec<Assigned> {
    let mut rows: Vec<(PlaceId, usize)> = (0..line.steps.len())
        .filter(|k| {
            line.steps[*k].hold().is_none()
                && !matches!(held[*k], Some(Holding::Rack | Holding::Feeder { .. }))
        })
        .map(|k| (planned.steps[k].place, k))
        .collect();
    rows.sort_unstable();
    let side = |of: &Line, k: usize| {
        let zone = of.steps[k].zones.first().filter(|_| !of.steps[k].sides.is_empty());
        zone.map(|zone| of.zones[zone.index()].name.clone())
    };
    let row = |(at, k): (PlaceId, usize)| Assigned {
        task: line.steps[k].name.clone(),
        label: line.steps[k].label.clone(),
        station: line.places[at.index()].name.clone(),
        today: line.places[line.steps[k].place.index()].name.clone(),
        people: people_words(line, &line.steps[k]),
        side: side(planned, k),
        side_today: side(line, k),
        mean_min: mean_minutes(line, &planned.steps[k]),
    };
    rows.into_iter().map(row).collect()
}

fn people_words(line: &Line, step: &Step) -> String {
    let models: Vec<usize> = (0..line.models.len()).filter(|m| step.models[*m]).collect();
    let of = |m: usize| {
        let least: u32 = step.needs[m].iter().map(|need| need.count).sum();
        people(line, &step.needs[m], step.shared.as_ref().is_some_and(|shared| shared.most_people(m) > least))
    };
    let words: Vec<String> = models.iter().map(|m| of(*m)).collect();
    match words.iter().all(|word| *word == words[0]) {
        true => words.into_iter().next().unwrap_or_default(),
        false => {
            let each = models.iter().zip(words).filter(|(_, word)| !word.is_empty());
            let each = each.map(|(m, word)| format!("{word} for {}", line.models[*m].name));
            each.collect::<Vec<String>>().join(", ")
        }
    }
}

fn mean_minutes(line: &Line, step: &Step) -> f64 {
    let own = || line.models.iter().enumerate().filter(|(m, _)| step.models[*m]);
    let share: f64 = own().map(|(_, model)| model.share).sum();
    let time: f64 =
        own().map(|(m, model)| model.share * mean(&step.times[m].dist) * step.times[m].factor).sum();
    if share > 0.0 { time / share / 60e6 } else { 0.0 }
}

/// Every step that is done to units of the line, in an order in which each stands after what it follows.
pub fn order(line: &Line, planned: &Line) -> Vec<OrderRow> {
    let name = |place: PlaceId| line.places[place.index()].name.clone();
    let on_line = |step: StepId| line.feeder_at(line.steps[step.index()].place).is_none();
    let mut rank = vec![0; line.steps.len()];
    let mut rows = Vec::new();
    for &step in Precedence::of_line(line).order() {
        let it = &line.steps[step.index()];
        let before: Vec<StepId> = it.after.iter().copied().filter(|s| on_line(*s)).collect();
        rank[step.index()] = before.iter().map(|s| rank[s.index()] + 1).max().unwrap_or(0);
        if !on_line(step) {
            continue;
        }
        rows.push(OrderRow {
            task: it.name.clone(),
            label: it.label.clone(),
            hold: it.hold().is_some(),
            rank: rank[step.index()],
            after: before.iter().map(|s| line.steps[s.index()].name.clone()).collect(),
            station: name(planned.steps[step.index()].place),
            today: name(it.place),
        });
    }
    rows
}

/// The plan looked at once more, rule by rule and apart from the search.
pub fn checked(line: &Line, planned: &Line, plan: &Plan, held: &[Option<Holding>]) -> Vec<CheckedRule> {
    let steps = || (0..line.steps.len()).map(StepId::from_index);
    let follows: usize = line.steps.iter().map(|step| step.after.len()).sum();
    let in_order = steps().all(|s| out_of_order(planned, &plan.at, s, plan.at[s.index()]).is_none());
    let moved = || steps().filter(|s| plan.at[s.index()] != line.steps[s.index()].place);
    let able = moved().all(|s| unable(line, s, plan.at[s.index()]).is_none());
    let stays = moved().all(|s| held[s.index()].is_none());
    let kept = held.iter().flatten().count();
    // A millionth of a window is rounding.
    let within = plan.worth.over <= 1e-6;
    let mut all = vec![
        (
            format!(
                "nothing comes before what it follows ({}), leaves what it is kept beside, or comes to what it is \
                 kept apart from",
                count_of(follows, "statement")
            ),
            in_order,
        ),
        (
            format!(
                "crew, skills, room, reach of equipment and the file allow the station of each of {}",
                count_of(moved().count(), "moved task")
            ),
            able,
        ),
    ];
    if kept > 0 {
        let what = "holds, tests, windows, what hangs on them, and what the file says";
        all.push((format!("{} that balancing leaves alone: {what}", count_of(kept, "step")), stays));
    }
    all.push(("no station, model or crew is over its cap".to_string(), within));
    all.into_iter().map(|(rule, kept)| CheckedRule { rule, kept }).collect()
}
