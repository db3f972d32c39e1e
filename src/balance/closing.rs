//! Wide lines: loads evened out, and for fewest stations as many closed as the work allows.

use super::improve::{Found, Search};
use super::least::{least, offered};
use super::load::Closely;
use super::plan::{Aim, Stopped};
use super::wide::Wide;
use crate::line::PlaceId;

impl Search<'_> {
    /// The plan of a line with many tasks.
    pub(super) fn seek_wide(&mut self) -> Found {
        let found = match self.goal.aim {
            Aim::Stations => self.fewest(),
            Aim::Pace | Aim::Smooth | Aim::Moves => {
                let today = self.today.to_vec();
                Wide::new(self.line, self.trial, self.goal, self.stop, today).even_out(false)
            }
        };
        Found { at: found.0, changes: Vec::new(), stopped: found.1 }
    }

    /// As many stations closed as the rest can do the work of, those with the fewest people first.
    fn fewest(&mut self) -> (Vec<PlaceId>, Stopped) {
        let today = self.today.to_vec();
        let (at, stopped) =
            Wide::new(self.line, self.trial, self.goal, self.stop, today.clone()).even_out(true);
        let mut best = (at, stopped);
        let worth = self.trial.worth(&best.0, Closely::Exactly);
        if worth.over > 1e-6 || stopped == Stopped::Limit {
            return best;
        }
        let mut closable: Vec<PlaceId> = (0..self.line.on_line)
            .map(PlaceId::from_index)
            .filter(|p| self.line.places[p.index()].is_station())
            .filter(|p| (0..today.len()).all(|s| today[s] != *p || self.trial.held[s].is_none()))
            .collect();
        let people = |p: &PlaceId| offered(self.line, *p, self.goal);
        closable.sort_by(|a, b| people(a).total_cmp(&people(b)).then(b.cmp(a)));
        let fewest = least(self.line, self.trial, self.goal) as usize;
        let most = worth.stations.saturating_sub(fewest);
        // One after the other: what is then over its caps is put right before the next.
        let mut closed: Vec<PlaceId> = Vec::new();
        for place in closable {
            if closed.len() >= most {
                break;
            }
            closed.push(place);
            let mut wide = Wide::new(self.line, self.trial, self.goal, self.stop, best.0.clone());
            wide.close(&closed);
            let (at, stopped) = wide.even_out(true);
            let is_closed = at.iter().all(|p| !closed.contains(p));
            if is_closed && self.trial.worth(&at, Closely::Exactly).over <= 1e-6 {
                best.0 = at;
            } else {
                closed.pop();
            }
            if stopped != Stopped::NoBetterMove {
                best.1 = stopped;
                break;
            }
        }
        best
    }
}
