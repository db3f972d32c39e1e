//! What a push is booked with: was it late, who was last, and how long the others waited for them.

use super::run::Run;
use super::units::NONE;
use super::watcher::Watcher;
use crate::units::Time;

impl<W: Watcher> Run<'_, W> {
    /// Before a push: was it late, and who was last?
    pub(super) fn book_push(&mut self, s: usize) {
        let stretch = self.c.stretches[s];
        let state = self.stretches[s];
        let net = self.clock.net();
        let (mut last, mut next_to_last, mut ties) = (i64::MIN, i64::MIN, 0i64);
        for place in stretch.first..=stretch.last {
            let ready = self.ready_net(s, place);
            if ready > last {
                (next_to_last, last, ties) = (last, ready, 1);
            } else {
                ties += i64::from(ready == last);
                next_to_last = if ready == last { last } else { next_to_last.max(ready) };
            }
        }
        let delay = (last - next_to_last.max(state.signal_net)).max(0);
        for place in stretch.first..=stretch.last {
            if self.ready_net(s, place) == last {
                let counts = &mut self.seen.places[place];
                counts.last_millionths += 1_000_000 / ties as u64;
                counts.delay_caused += Time(delay / ties);
            }
        }
        let counts = &mut self.seen.segments[s];
        counts.pushes += 1;
        let late = if stretch.every.is_some() { net - state.signal_net } else { 0 };
        counts.on_time += u64::from(late == 0);
        counts.delay += Time(late);
    }

    /// Net time since which a place of a pushed segment has been ready.
    fn ready_net(&self, s: usize, place: usize) -> i64 {
        let state = &self.stretches[s];
        let bay = self.c.shop.places[place].bay0 as usize + self.places[place].due as usize;
        let own = if self.bays[bay].unit == NONE {
            state.pushed_net
        } else if !self.bays[bay].done {
            // It goes with open work: since it might, or at the signal.
            self.drift_ready(place).map_or(self.clock.net(), |since| since.max(state.pushed_net))
        } else {
            self.bays[bay].done_net.max(state.pushed_net)
        };
        // A place that was stopped is ready at the end of the stop at the earliest.
        let own = self.stops.ended_net.get(place).map_or(own, |ended| own.max(*ended));
        if place == self.c.stretches[s].last { own.max(state.room_net) } else { own }
    }
}
