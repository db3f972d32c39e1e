//! One station, or one crew, less: all its work put elsewhere, and what is then over its caps put right.

use super::changes::figure;
use super::improve::{ALIKE, Search};
use super::load::Closely;
use super::people::closed_together;
use super::plan::Aim;
use crate::line::{PlaceId, StepId};

impl Search<'_> {
    /// A plan with one station less, or the people of one crew, that is over its caps no more than this one.
    pub(super) fn emptied(&mut self, at: &[PlaceId]) -> Option<Vec<PlaceId>> {
        let aim = self.goal.aim;
        let now = self.trial.worth(at, Closely::Exactly);
        let loads = self.trial.loads(at, Closely::AtMeans);
        let share = |place: &PlaceId| {
            let load = loads.iter().find(|load| load.place == *place);
            load.map_or(0.0, |load| load.mean_share(self.line))
        };
        let mut all: Vec<(f64, Vec<PlaceId>)> = closed_together(self.line, aim)
            .into_iter()
            .filter(|places| places.iter().any(|p| loads.iter().any(|load| load.place == *p)))
            .map(|places| (places.iter().map(share).sum(), places))
            .collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        for (_, places) in all {
            if (self.stop)() || self.trial.looks >= self.goal.most_looks {
                return None;
            }
            let Some(trial) = self.without(at, &places) else { continue };
            // Nobody may be over because a station is gone: what is over is first put right.
            let eased = self.descend_from(trial, &places);
            let worth = self.trial.worth(&eased, Closely::Exactly);
            if worth.over <= now.over + ALIKE && figure(aim, &worth) < figure(aim, &now) {
                return Some(eased);
            }
        }
        None
    }

    /// All work of some places put elsewhere, each task where it does least harm.
    fn without(&mut self, at: &[PlaceId], places: &[PlaceId]) -> Option<Vec<PlaceId>> {
        let mut trial = at.to_vec();
        let steps: Vec<usize> = (0..at.len()).filter(|s| places.contains(&at[*s])).collect();
        // To the left in the order of work, to the right from its end: either keeps the order.
        for step in steps {
            let mut best: Option<(f64, PlaceId)> = None;
            for to in self.trial.may[step].clone() {
                if places.contains(&to) {
                    continue;
                }
                let was = std::mem::replace(&mut trial[step], to);
                if self.fits_around(&trial, step, places) {
                    let worth = self.trial.worth(&trial, Closely::AtMeans);
                    let bad = worth.over * 100.0 + worth.squares;
                    if best.is_none_or(|(least, _)| bad < least - ALIKE) {
                        best = Some((bad, to));
                    }
                }
                trial[step] = was;
            }
            trial[step] = best?.1;
        }
        self.trial.in_order(&trial).then_some(trial)
    }

    /// Is a step in order with all that does not stand at the places being emptied?
    fn fits_around(&self, at: &[PlaceId], step: usize, emptied: &[PlaceId]) -> bool {
        let line = self.line;
        let before = line.steps[step].after.iter().all(|p| {
            let p = at[p.index()];
            emptied.contains(&p) || p <= at[step]
        });
        let id = StepId::from_index(step);
        before
            && (0..at.len())
                .filter(|k| line.steps[*k].after.contains(&id))
                .all(|k| emptied.contains(&at[k]) || at[k] >= at[step])
    }

    /// Lowers what is over the caps without using `closed`.
    fn descend_from(&mut self, from: Vec<PlaceId>, closed: &[PlaceId]) -> Vec<PlaceId> {
        let may: Vec<Vec<PlaceId>> = self.trial.may.clone();
        self.trial.may.iter_mut().for_each(|list| list.retain(|p| !closed.contains(p)));
        let found = self.descend(from, Aim::Moves);
        self.trial.may = may;
        found.at
    }
}
