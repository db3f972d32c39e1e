//! Labour of each group by model: what a place's people have to do for one unit, as a share of their time. A
//! first guess at loads that costs nothing.

use super::load::mean_length;
use super::order::Order;
use super::window::room_per_unit;
use crate::line::{Line, PlaceId};

pub struct Weights {
    /// Per group and model: people x mean time of one unit without the factors of stations, microseconds.
    groups: Vec<Vec<f64>>,
    /// Per step and model, likewise.
    steps: Vec<Vec<f64>>,
    /// Per place: people x window of one unit, over the factor of the station; none where nobody works.
    offered: Vec<f64>,
}

impl Weights {
    pub fn new(line: &Line, order: &Order) -> Weights {
        let steps: Vec<Vec<f64>> = (0..line.steps.len())
            .map(|s| (0..line.models.len()).map(|m| labour(line, s, m)).collect())
            .collect();
        let sum =
            |group: &Vec<crate::line::StepId>, m: usize| group.iter().map(|s| steps[s.index()][m]).sum();
        let groups = order
            .groups
            .iter()
            .map(|group| (0..line.models.len()).map(|m| sum(group, m)).collect())
            .collect();
        let offered = (0..line.on_line)
            .map(|p| {
                let place = &line.places[p];
                let people = place.crew.map_or(0, |crew| line.crews[crew.index()].size());
                room_per_unit(line, PlaceId::from_index(p)).unwrap_or(0.0) * f64::from(people) / place.times
            })
            .collect();
        Weights { groups, steps, offered }
    }

    /// Per model: the share of the people's time that these steps take at a place.
    pub fn of_place(&self, steps: &[u32], place: usize) -> Vec<f64> {
        let models = self.groups.first().map_or(0, Vec::len);
        let offered = self.offered[place];
        let share = |m: usize| match offered > 0.0 {
            true => steps.iter().map(|s| self.steps[*s as usize][m]).sum::<f64>() / offered,
            false => 0.0,
        };
        (0..models).map(share).collect()
    }

    /// The share of the people's time that a group takes at a place.
    pub fn share(&self, group: usize, place: usize, model: usize) -> f64 {
        match self.offered[place] > 0.0 {
            true => self.groups[group][model] / self.offered[place],
            false => 0.0,
        }
    }
}

fn labour(line: &Line, step: usize, model: usize) -> f64 {
    let it = &line.steps[step];
    if !it.models[model] || it.times[model].factor <= 0.0 {
        return 0.0;
    }
    let heads: u32 = it.needs[model].iter().map(|need| need.count).sum();
    let taken = line.share_with(it, model);
    let own = it.times[model].own / it.times[model].factor;
    f64::from(heads) * mean_length(line, step, model) as f64 * own * taken
}
