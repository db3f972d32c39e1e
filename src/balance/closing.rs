//! Wide lines: loads evened out, and for fewest stations or people as many closed as the work allows.

use super::changes::figure;
use super::improve::{Found, Search};
use super::least::{least, offered};
use super::load::Closely;
use super::people::closed_together;
use super::plan::{Aim, ROUNDING, Stopped};
use super::wide::Wide;
use crate::line::PlaceId;

impl Search<'_> {
    /// The plan of a line with many tasks.
    pub(super) fn seek_wide(&mut self) -> Found {
        let found = match self.goal.aim {
            Aim::Stations | Aim::People => self.fewest(),
            Aim::Pace | Aim::Smooth | Aim::Moves => {
                let today = self.today.to_vec();
                Wide::new(self.line, self.trial, self.goal, self.stop, today).even_out(false)
            }
        };
        Found { at: found.0, changes: Vec::new(), stopped: found.1 }
    }

    /// As many stations closed, one by one or all of a crew, as the rest can do the work of, those with the fewest people
    /// first.
    fn fewest(&mut self) -> (Vec<PlaceId>, Stopped) {
        let today = self.today.to_vec();
        let (at, stopped) =
            Wide::new(self.line, self.trial, self.goal, self.stop, today.clone()).even_out(true);
        let mut best = (at, stopped);
        let worth = self.trial.worth(&best.0, Closely::Exactly);
        if worth.over > ROUNDING || stopped == Stopped::Limit {
            return best;
        }
        let aim = self.goal.aim;
        let free = |p: &PlaceId| (0..today.len()).all(|s| today[s] != *p || self.trial.held[s].is_none());
        let mut closable = closed_together(self.line, aim);
        closable.retain(|places| places.iter().all(free));
        let people =
            |places: &[PlaceId]| places.iter().map(|p| offered(self.line, *p, self.goal)).fold(0.0, f64::max);
        closable.sort_by(|a, b| people(a).total_cmp(&people(b)).then(b.cmp(a)));
        let fewest = least(self.line, self.trial, self.goal);
        // One after the other: what is then over its caps is put right before the next.
        let mut closed: Vec<PlaceId> = Vec::new();
        for places in closable {
            if figure(aim, &self.trial.worth(&best.0, Closely::Exactly)) <= fewest {
                break;
            }
            let before = closed.len();
            closed.extend(&places);
            let mut wide = Wide::new(self.line, self.trial, self.goal, self.stop, best.0.clone());
            wide.close(&closed);
            let (at, stopped) = wide.even_out(true);
            let is_closed = at.iter().all(|p| !closed.contains(p));
            if is_closed && self.trial.worth(&at, Closely::Exactly).over <= ROUNDING {
                best.0 = at;
            } else {
                closed.truncate(before);
            }
            if stopped != Stopped::NoBetterMove {
                best.1 = stopped;
                break;
            }
        }
        best
    }
}
