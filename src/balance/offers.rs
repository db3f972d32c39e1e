//! What a full place could give away, guessed from labour: moves and swaps, the best first.

use super::wide::{Going, Look, Wide, steep};
use crate::line::PlaceId;

/// Candidates that look best by labour and are looked at by schedule.
const LOOKED_AT: usize = 24;

/// A change by labour alone.
pub struct Candidate {
    pub going: Going,
    pub worth: f64,
}

impl Wide<'_> {
    /// Moves out of a place and swaps with others, the best by labour first.
    pub(super) fn candidates(&self, place: usize, look: Look) -> Vec<Candidate> {
        let mut found: Vec<Candidate> = Vec::new();
        let here = PlaceId::from_index(place);
        for group in self.free_groups(place) {
            let (first, last) = self.order.range(&self.at, group);
            for to in (first.index()..=last.index()).filter(|to| *to != place && self.may[group][*to]) {
                let going = (group, PlaceId::from_index(to));
                if self.order.keeps_apart(&self.at, &[going]) {
                    found.push(self.by_estimate(going, None, look));
                }
                for other in self.free_groups(to).into_iter().filter(|other| self.may[*other][place]) {
                    let (first, last) = self.order.range(&self.at, other);
                    let back = (other, here);
                    if first <= here && here <= last && self.order.keeps_apart(&self.at, &[going, back]) {
                        found.push(self.by_estimate(going, Some(back), look));
                    }
                }
            }
        }
        let best_first =
            |a: &Candidate, b: &Candidate| b.worth.total_cmp(&a.worth).then(a.going.cmp(&b.going));
        if found.len() > LOOKED_AT {
            found.select_nth_unstable_by(LOOKED_AT, best_first);
            found.truncate(LOOKED_AT);
        }
        found.sort_by(best_first);
        found
    }

    /// Groups at a place that may move now.
    fn free_groups(&self, place: usize) -> Vec<usize> {
        let mut groups: Vec<usize> =
            self.steps_at[place].iter().map(|s| self.order.group_of[*s as usize]).collect();
        groups.sort_unstable();
        groups.dedup();
        groups.retain(|g| self.movable[*g] && self.tabu[*g] <= self.changes);
        groups
    }

    /// What a change between two places gains if each stays as much fuller than its labour as it is.
    fn by_estimate(&self, out: (usize, PlaceId), back: Option<(usize, PlaceId)>, look: Look) -> Candidate {
        let from = self.order.place(&self.at, out.0).index();
        let to = out.1.index();
        let back_group = back.map(|(group, _)| group);
        let mut worth = 0.0;
        for (place, comes, goes) in [(from, back_group, Some(out.0)), (to, Some(out.0), back_group)] {
            let change = |m: usize| {
                let of = |group: Option<usize>| group.map_or(0.0, |g| self.weights.share(g, place, m));
                of(comes) - of(goes)
            };
            let then = self.by_labour(|m| self.labour[place][m] + change(m));
            let factor = match look {
                Look::Means => {
                    let now = self.by_labour(|m| self.labour[place][m]);
                    if now > 0.0 { self.full[place] / now } else { 1.0 }
                }
                Look::Labour => 1.0,
            };
            worth += steep(self.full[place]) - steep(then * factor);
        }
        Candidate { going: std::iter::once(out).chain(back).collect(), worth }
    }
}
