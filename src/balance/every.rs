//! Small questions: every plan is looked at.

use super::changes::is_better;
use super::improve::{Found, Search};
use super::load::Closely;
use super::plan::{Stopped, Worth};
use crate::line::PlaceId;

/// Plans of a question that is settled by looking at all of them.
const FEW: f64 = 3_000.0;

impl Search<'_> {
    /// Every plan, where there are few; `None` where there are many.
    pub(super) fn all_plans(&mut self) -> Option<Found> {
        let plans: f64 = self.trial.may.iter().map(|may| may.len() as f64).product();
        if plans > FEW {
            return None;
        }
        let order: Vec<usize> =
            crate::line::Precedence::of_line(self.line).order().iter().map(|s| s.index()).collect();
        let mut best = (self.today.to_vec(), self.trial.worth(self.today, Closely::Exactly));
        let mut at = self.today.to_vec();
        if !self.every(&order, 0, &mut at, &mut best) {
            return Some(Found { at: best.0, changes: Vec::new(), stopped: Stopped::Limit });
        }
        let stopped = if self.trial.guessed { Stopped::NoBetterMove } else { Stopped::Proof };
        Some(Found { at: best.0, changes: Vec::new(), stopped })
    }

    fn every(
        &mut self,
        order: &[usize],
        from: usize,
        at: &mut Vec<PlaceId>,
        best: &mut (Vec<PlaceId>, Worth),
    ) -> bool {
        let Some(&step) = order.get(from) else {
            if (self.stop)() {
                return false;
            }
            if !self.trial.in_order(at) {
                return true;
            }
            let worth = self.trial.worth(at, Closely::Exactly);
            if is_better(self.goal.aim, (&worth, at), (&best.1, &best.0), self.today) {
                *best = (at.clone(), worth);
            }
            return true;
        };
        let earliest = self.line.steps[step].after.iter().map(|p| at[p.index()]).max();
        let own = at[step];
        for place in self.trial.may[step].clone() {
            if earliest.is_none_or(|e| place >= e) {
                at[step] = place;
                if !self.every(order, from + 1, at, best) {
                    return false;
                }
            }
        }
        at[step] = own;
        true
    }
}
