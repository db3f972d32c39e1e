//! Whether the crew, the equipment and the room of its place allow a step.

use super::desk::Desk;
use super::needs::{self, Asking};
use super::sharing;
use super::steps::{Around, Steps};
use crate::diagnostic::words::names::duplicate_draws;
use crate::diagnostic::words::{people, precedence};
use crate::line::{Need, PlaceId, Step};
use crate::units::join_and;
use std::collections::BTreeMap;

/// Once every step has its place: who works where nothing was said, and whether the crew, the
/// equipment and the room of the place allow it.
pub(super) fn settle(steps: &mut Steps, around: &Around, desk: &mut Desk) {
    for index in 0..steps.steps.len() {
        if !steps.placed[index] {
            continue;
        }
        let place = around.ground.place(steps.steps[index].place);
        let task = steps.steps[index].hold().is_none();
        let step = &mut steps.steps[index];
        for (model, said) in steps.said_by[index].iter().enumerate().filter(|_| task) {
            if !said {
                step.needs[model] = needs::unsaid(place);
                if let Some(shared) = &mut step.shared {
                    shared.most[model] = step.needs[model].iter().map(|need| need.count).collect();
                }
            }
        }
        judge_people(&steps.steps[index], around, desk);
        judge_equipment(&steps.steps[index], around, desk);
    }
}

/// Could the crew, the equipment and the room of another place take the step? Of those who may share it the fewest do.
pub(super) fn judge_at(step: &Step, place: PlaceId, around: &Around, desk: &mut Desk) {
    let there = Step { place, shared: None, ..step.clone() };
    judge_people(&there, around, desk);
    judge_equipment(&there, around, desk);
}

/// Each different demand once, with the models that make it.
fn judge_people(step: &Step, around: &Around, desk: &mut Desk) {
    let place = around.ground.place(step.place);
    let mut judged: Vec<(&Vec<Need>, Option<&Vec<u32>>)> = Vec::new();
    let applying = |index: usize| step.models[index];
    let differs = step.needs.iter().any(|needs| *needs != step.needs[0]);
    for (index, needs) in step.needs.iter().enumerate() {
        let most = step.shared.as_ref().map(|shared| &shared.most[index]);
        if !applying(index) || judged.contains(&(needs, most)) {
            continue;
        }
        judged.push((needs, most));
        let models: Vec<&str> = around
            .models
            .iter()
            .enumerate()
            .filter(|(other, _)| applying(*other) && step.needs[*other] == *needs)
            .map(|(_, model)| model.name.as_str())
            .collect();
        let models = if differs { format!(" for {}", join_and(&models)) } else { String::new() };
        let asking = Asking { step: &step.name, span: step.span, models: &models };
        let most = most.map(|most| sharing::widest(needs, most));
        let fits = needs::judge(needs, &asking, place, around.staff, desk);
        // What is needed fits: now the most, where more may share it.
        let most = most.filter(|_| fits);
        let fits = fits && most.as_ref().is_none_or(|n| needs::judge(n, &asking, place, around.staff, desk));
        if fits {
            judge_room(step, most.as_ref().unwrap_or(needs), around, desk);
        }
    }
}

fn judge_room(step: &Step, needs: &[Need], around: &Around, desk: &mut Desk) {
    let wanted: u32 = needs.iter().map(|need| need.count).sum();
    for cap in around.room_caps {
        let most = cap.people_at(step.place);
        if cap.counts(step) && wanted > most {
            let place = &around.ground.place(step.place).name;
            desk.fault(people::no_room(step.span, &step.name, wanted, &cap.name, most, place, cap.span));
        }
    }
}

fn judge_equipment(step: &Step, around: &Around, desk: &mut Desk) {
    for (id, _) in &step.equipment {
        let Some(places) = &around.gear.serves[id.index()] else { continue };
        if !places.is_empty() && !places.contains(&step.place) {
            let name = &around.gear.equipment[id.index()].name;
            let at = &around.ground.place(step.place).name;
            let list: Vec<&str> = places.iter().map(|id| around.ground.place(*id).name.as_str()).collect();
            let serves = join_and(&list);
            desk.fault(precedence::out_of_reach(step.span, &step.name, name, at, &serves));
        }
    }
}

/// Two steps that draw under one name would always be slow together.
pub(super) fn judge_draws(steps: &[Step], desk: &mut Desk) {
    let mut known: BTreeMap<&str, &Step> = BTreeMap::new();
    for step in steps {
        match known.get(step.draws_as.as_str()) {
            // Two of one name have been reported as such; what a gate finds is shared by two steps.
            Some(first)
                if first.name != step.name && step.times.iter().all(|t| t.dist.faults().is_none()) =>
            {
                desk.fault(duplicate_draws(step.span, &step.name, &first.name, first.span));
            }
            Some(_) => {}
            None => {
                known.insert(&step.draws_as, step);
            }
        }
    }
}
