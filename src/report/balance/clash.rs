//! Statements that no plan keeps together, with their places in the file.

use super::words::{held_words, may_stand};
use crate::balance::{Clash, Said, mean_length};
use crate::diagnostic::{Places, SourceMap};
use crate::line::{Line, StepId};
use crate::units::{count_of, decimals, join_and};
use schemars::JsonSchema;
use serde::Serialize;

/// Statements that no plan keeps together at the pace.
#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ClashReport {
    /// In the order of the file, tasks first, then what ties them together.
    pub statements: Vec<ClashStatement>,
    /// No smaller set clashes, by proof; otherwise none of them can be left out, but there may be a smaller set.
    pub smallest: bool,
}

#[derive(Clone, PartialEq, Debug, Serialize, JsonSchema)]
pub struct ClashStatement {
    /// What it says, in words.
    pub text: String,
    pub file: String,
    /// Counted from 1.
    pub line: usize,
}

pub fn clash_report(line: &Line, clash: &Clash, map: &SourceMap) -> ClashReport {
    let mut places = Places::new(map);
    let statements = clash
        .said
        .iter()
        .map(|said| {
            let span = line.steps[subject(said).index()].span;
            let start = places.range(span).start;
            ClashStatement {
                text: said_words(line, said),
                file: map.get(span.file).map_or_else(String::new, |file| file.path.clone()),
                line: places.place(span.file, start).line,
            }
        })
        .collect();
    ClashReport { statements, smallest: clash.smallest }
}

/// The step whose statement says it.
fn subject(said: &Said) -> StepId {
    match said {
        Said::Takes(step)
        | Said::Stays(step, _)
        | Said::Travels(step)
        | Said::Range(step)
        | Said::Reach(step)
        | Said::Skill(step)
        | Said::People(step)
        | Said::Room(step)
        | Said::Beside(step, _)
        | Said::Apart(step, _)
        | Said::After(step, _) => *step,
    }
}

fn said_words(line: &Line, said: &Said) -> String {
    let step = &line.steps[subject(said).index()];
    let name = &step.name;
    let other = |id: &StepId| line.steps[id.index()].name.as_str();
    let heads = || {
        let each = step.needs.iter().map(|needs| needs.iter().map(|need| need.count).sum::<u32>());
        count_of(each.max().unwrap_or(0) as usize, "person")
    };
    match said {
        Said::Takes(id) => format!("{name} takes {} with {}", longest(line, *id), heads()),
        Said::Stays(_, holding) => {
            let here = &line.places[step.place.index()].name;
            format!("{name} stays at {here}: {}", held_words(line, holding, here))
        }
        Said::Travels(_) => format!("{name} may travel, and begins at none but its own stations"),
        Said::Range(id) => may_stand(line, *id),
        Said::Reach(_) => {
            let limited = step.equipment.iter().map(|(e, _)| &line.equipment[e.index()]);
            let words = limited.filter(|e| !e.serves.is_empty()).map(|e| {
                let served: Vec<&str> =
                    e.serves.iter().map(|p| line.places[p.index()].name.as_str()).collect();
                format!("{}, which serves {}", e.name, join_and(&served))
            });
            format!("{name} takes {}", words.collect::<Vec<_>>().join(", and "))
        }
        Said::Skill(_) => {
            let mut skills: Vec<&str> = step
                .needs
                .iter()
                .flatten()
                .filter_map(|need| need.skill)
                .map(|skill| line.skills[skill.index()].as_str())
                .collect();
            skills.sort_unstable();
            skills.dedup();
            format!("{name} asks for people who can {}", join_and(&skills))
        }
        Said::People(_) => format!("{name} takes {} at once", heads()),
        Said::Room(_) => format!("{name} takes room for {}", heads()),
        Said::Beside(_, id) => format!("{name} is kept beside {}", other(id)),
        Said::Apart(_, id) => format!("{name} is kept apart from {}", other(id)),
        Said::After(_, id) => format!("{name} follows {}", other(id)),
    }
}

/// The mean time of the model that takes longest.
fn longest(line: &Line, step: StepId) -> String {
    let of =
        |m: usize| if line.steps[step.index()].models[m] { mean_length(line, step.index(), m) } else { 0 };
    let most = (0..line.models.len()).map(of).max().unwrap_or(0);
    format!("{} min", decimals(most as f64 / 60e6, 2))
}
