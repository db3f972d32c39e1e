//! Work and the breaks: what rests, what people finish first, what is begun only if it fits.

use super::run::Run;
use super::settings::RunErrorKind;
use super::watcher::Watcher;
use crate::balance::mean_length;
use crate::line::{AtBreaks, Line};
use crate::schedule::Shop;
use crate::units::Time;

impl<W: Watcher> Run<'_, W> {
    /// When a task that starts or goes on now, and still takes `left`, ends.
    #[inline]
    pub(super) fn end_of_task(&mut self, bay: usize, local: u16, left: i64) -> i64 {
        match self.goes_through(bay, local as usize) {
            true => self.clock.now() + left,
            false => self.clock_in_mut(bay).end_of_work(left),
        }
    }

    /// It goes on whether people are attended or not: they finish it first. The way to it rests.
    #[inline]
    pub(super) fn goes_through(&self, bay: usize, local: usize) -> bool {
        self.c.shop.node(bay, local).through && !self.walks.is_on(self.c.shop.bay_node0[bay] as usize + local)
    }

    /// What a task that is due then still takes.
    pub(super) fn left_until(&mut self, bay: usize, local: usize, due: i64) -> i64 {
        if self.goes_through(bay, local) {
            return due - self.clock.now();
        }
        let clock = self.clock_in_mut(bay);
        clock.net_at(due) - clock.net()
    }

    /// A task that people finish first begins, or goes on.
    #[inline]
    pub(super) fn overrun_begins(&mut self, bay: usize, local: u16) {
        if self.goes_through(bay, local as usize) {
            let at = self.c.shop.bay_node0[bay] as usize + local as usize;
            self.overruns[at] = self.clock.now() - self.clock_in(bay).net();
        }
    }

    /// It ends, or rests, or the counted window ends: person time that it took beyond net time.
    #[inline]
    pub(super) fn overrun_ends(&mut self, bay: usize, local: u16, people: u128) {
        if self.c.shop.node(bay, local as usize).through {
            self.count_overrun(bay, local, people);
        }
    }

    fn count_overrun(&mut self, bay: usize, local: u16, people: u128) {
        let at = self.c.shop.bay_node0[bay] as usize + local as usize;
        let since = std::mem::replace(&mut self.overruns[at], -1);
        if since < 0 || !self.counted {
            return;
        }
        let cut_net = self.cut_net_of(self.hours_in(bay));
        let beyond = self.clock.now() - self.clock_in(bay).net() - since.max(self.cut_clock - cut_net);
        let place = self.c.shop.bay_place[bay] as usize;
        self.seen.places[place].overrun += Time(beyond * i64::from(people.count_ones()));
    }

    /// The counted window ends: what runs on is counted up to here.
    pub(super) fn settle_overruns(&mut self) {
        if self.overruns.is_empty() {
            return;
        }
        for bay in 0..self.bays.len() {
            let nodes = self.c.shop.places[self.c.shop.bay_place[bay] as usize].nodes;
            for local in 0..nodes {
                let people = self.floor.people[self.c.shop.bay_node0[bay] as usize + local as usize];
                self.overrun_ends(bay, local, people);
            }
        }
    }
}

/// Adds to `fits` the work that is begun only if it fits before the next break: its mean time.
///
/// # Errors
/// It fits before none.
pub(super) fn add_what_must_fit(
    line: &Line,
    shop: &Shop,
    fits: &mut [Option<Vec<i64>>],
) -> Result<(), RunErrorKind> {
    for (at, node) in shop.nodes.iter().enumerate() {
        let Some(step) = line.steps.get(node.step as usize) else { continue };
        if step.at_breaks != AtBreaks::OnlyIfItFits {
            continue;
        }
        let Some(calendar) = line.calendar_of(line.hours_at(step.place)) else { continue };
        let longest = calendar.longest_stretch();
        let mut needed: Vec<i64> =
            (0..shop.models).map(|model| mean_length(line, node.step as usize, model)).collect();
        let most = (0..shop.models).filter(|m| step.models[*m]).map(|m| needed[m]).max().unwrap_or(0);
        if most > longest.0 {
            return Err(RunErrorKind::NeverFits { step: step.name.clone(), takes: Time(most), longest });
        }
        if let Some(window) = &fits[at] {
            needed.iter_mut().zip(window).for_each(|(own, other)| *own = (*own).max(*other));
        }
        fits[at] = Some(needed);
    }
    Ok(())
}

/// Some work goes through breaks: people are then busy in unattended time.
pub(super) fn goes_through_breaks(line: &Line) -> bool {
    line.steps.iter().any(|step| step.at_breaks == AtBreaks::Through)
}
