//! What a full place could give away, guessed from labour: moves and swaps, the best first.

use super::wide::{Going, Look, Wide};
use crate::line::PlaceId;

/// Candidates that look best by labour and are looked at by schedule.
const LOOKED_AT: usize = 24;

/// A change by labour alone.
pub struct Candidate {
    pub going: Going,
    pub worth: f64,
}

/// A group that goes, one that may come back for it, and what that gains: many of them for each that is looked at.
type Offer = (f64, (usize, PlaceId), Option<(usize, PlaceId)>);

/// How full a place is, and how much fuller than its labour.
#[derive(Clone, Copy)]
struct Now {
    steep: f64,
    factor: f64,
}

impl Wide<'_> {
    /// Moves out of a place and swaps with others, the best by labour first.
    pub(super) fn candidates(&self, place: usize, look: Look) -> Vec<Candidate> {
        let mut found: Vec<Offer> = Vec::new();
        let here = PlaceId::from_index(place);
        let from = self.now(place, look);
        // Of each place that something may go to: how full it is, and the groups there that may come here.
        let mut others: Vec<Option<(Now, Vec<usize>)>> = vec![None; self.line.on_line];
        for group in self.free_groups(place) {
            let (first, last) = self.order.range(&self.at, group);
            for to in (first.index()..=last.index()).filter(|to| *to != place && self.may[group][*to]) {
                let (then, back) =
                    others[to].get_or_insert_with(|| (self.now(to, look), self.coming(to, here)));
                let going = (group, PlaceId::from_index(to));
                let mut offer = |back: Option<(usize, PlaceId)>| {
                    let other = back.map(|(other, _)| other);
                    let left = self.taken_off(place, from, (other, Some(group)));
                    let worth = left + self.taken_off(to, *then, (Some(group), other));
                    found.push((worth, going, back));
                };
                if self.order.keeps_apart(&self.at, &[going]) {
                    offer(None);
                }
                for other in back.iter() {
                    let back = (*other, here);
                    // The range of each was found with the other where it stands.
                    let apart = !self.order.are_neighbours(group, *other);
                    if apart && self.order.keeps_apart(&self.at, &[going, back]) {
                        offer(Some(back));
                    }
                }
            }
        }
        let best_first = |a: &Offer, b: &Offer| b.0.total_cmp(&a.0).then_with(|| (a.1, a.2).cmp(&(b.1, b.2)));
        if found.len() > LOOKED_AT {
            found.select_nth_unstable_by(LOOKED_AT, best_first);
            found.truncate(LOOKED_AT);
        }
        found.sort_by(best_first);
        let whole = |(worth, out, back): Offer| Candidate {
            going: std::iter::once(out).chain(back).collect(),
            worth,
        };
        found.into_iter().map(whole).collect()
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

    /// Groups at a place that may move to another now.
    fn coming(&self, from: usize, to: PlaceId) -> Vec<usize> {
        let mut groups = self.free_groups(from);
        groups.retain(|group| {
            let (first, last) = self.order.range(&self.at, *group);
            self.may[*group][to.index()] && first <= to && to <= last
        });
        groups
    }

    fn now(&self, place: usize, look: Look) -> Now {
        let factor = match look {
            Look::Means => {
                let now = self.by_labour(|m| self.labour[place][m]);
                if now > 0.0 { self.full[place] / now } else { 1.0 }
            }
            Look::Labour => 1.0,
        };
        Now { steep: self.steep(self.full[place]), factor }
    }

    /// What a change takes off a place if it stays as much fuller than its labour as it is.
    fn taken_off(&self, place: usize, now: Now, (comes, goes): (Option<usize>, Option<usize>)) -> f64 {
        let of = |group: Option<usize>, m: usize| group.map_or(0.0, |g| self.weights.share(g, place, m));
        let then = self.by_labour(|m| self.labour[place][m] + (of(comes, m) - of(goes, m)));
        now.steep - self.steep(then * now.factor)
    }
}
