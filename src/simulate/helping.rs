//! People who lend a hand: what they may spend in a shift, what they have spent, what they helped with.

use super::compiled::Compiled;
use super::observations::HelpCounts;
use super::run::Run;
use super::watcher::{Event, Watcher};
use crate::balance::mean_length;
use crate::draws::moments::mean;
use crate::line::Line;
use crate::schedule::{Node, NodeKind, Shop};

/// Mean time per (node of the shop, model), microseconds; empty where nobody helps.
pub(super) fn planned(line: &Line, shop: &Shop) -> Vec<i64> {
    if shop.helpers.is_empty() {
        return Vec::new();
    }
    let of = |node: &Node, model: usize| match node.kind {
        NodeKind::Verdict { .. } | NodeKind::Hold { .. } => 0.0,
        NodeKind::Fix { test, outcome } => {
            let outcome = &line.tests[test as usize].outcomes[outcome as usize];
            outcome.kind.fix().map_or(0.0, |fix| mean(&fix.time))
        }
        NodeKind::Work => {
            let step = &line.steps[node.step as usize];
            let redo = node.copy_of_window.map(|window| &line.windows[window as usize]);
            let redo = redo.and_then(|window| window.redo_of(node.step));
            let travel = step.travel.filter(|_| node.brought).map_or(1.0, |travel| travel.factor);
            match redo.and_then(|window| window.redo_time.as_ref()) {
                Some(time) => mean(time),
                None => mean_length(line, node.step as usize, model) as f64 * travel,
            }
        }
    };
    let models = |node| (0..shop.models).map(move |model| crate::units::whole_half_even(of(node, model)));
    shop.nodes.iter().flat_map(models).collect()
}

/// What those who help are at.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Help {
    Works,
    Walks,
}

impl<W: Watcher> Run<'_, W> {
    /// A shift of some hours begins: everybody who helps and is there may spend their part of it. `away` says who of each
    /// group is not; nobody if it says nothing. Of each group so many `sit_in`, the first of those who came.
    pub(super) fn helpers_come(&mut self, hours: usize, away: &[Vec<bool>], mut sit_in: Vec<u32>) {
        let c: &Compiled = self.c;
        if c.shop.helpers.is_empty() {
            return;
        }
        let shift = self.shift_of(hours);
        let of_week = self.clock_of_mut(hours).shift(shift).of_week;
        let week = c.line.calendar_of(hours as u16).map_or(&[][..], |calendar| &calendar.week);
        let shift = week.get(of_week).map_or(crate::units::Time::ZERO, |shift| shift.net());
        let net = self.net_of(hours);
        let theirs: Vec<bool> = (c.line.helping.iter())
            .map(|helping| self.hours_of_group(helping.group.index()) == hours)
            .collect();
        let mut here = vec![0u128; c.line.helping.len()];
        let mut come = vec![HelpCounts::default(); c.line.helping.len()];
        for (k, helper) in c.shop.helpers.iter().enumerate() {
            let (group, of) = (usize::from(helper.group), usize::from(helper.statement));
            if !theirs[of] {
                continue;
            }
            let absent = away.get(group).is_some_and(|away| away[helper.person as usize]);
            let sits_in = !absent && sit_in.get(group).is_some_and(|seats| *seats > 0);
            if sits_in {
                sit_in[group] -= 1;
            }
            come[of].absent += i64::from(absent);
            come[of].standing_in += i64::from(sits_in);
            let state = &mut self.floor.helpers[k];
            state.there = !absent && !sits_in;
            state.left = c.line.helping[of].budget(shift).0;
            state.left += if state.works { net } else { 0 };
            here[of] |= u128::from(state.there) << helper.nth;
            self.floor.mark_helped(&c.shop, k);
        }
        for (k, come) in come.into_iter().enumerate().filter(|(k, _)| theirs[*k]) {
            let (now, counts) = (&mut self.helping[k], &mut self.seen.helping[k]);
            counts.absent -= (come.absent - now.absent) * net;
            counts.standing_in -= (come.standing_in - now.standing_in) * net;
            (now.absent, now.standing_in) = (come.absent, come.standing_in);
        }
        for ((helping, here), _) in c.line.helping.iter().zip(here).zip(theirs).filter(|(_, theirs)| *theirs)
        {
            self.see(Event::HelpersCame { group: helping.group, here });
        }
        self.stops.may_mend = true;
    }

    /// These people begin (`1`) or end (`-1`) work, or a walk, for a gang: what those among them who help have left
    /// to spend runs down meanwhile.
    pub(super) fn helpers_change(&mut self, gang: usize, people: u128, sign: i64, what: Help) {
        let net = self.net_of_gang(gang);
        for (helper, _) in self.c.shop.gangs[gang].helpers_among(people) {
            let state = &mut self.floor.helpers[helper];
            state.left += sign * net;
            state.works = sign > 0;
            let of = usize::from(self.c.shop.helpers[helper].statement);
            let (now, counts) = (&mut self.helping[of], &mut self.seen.helping[of]);
            let (now, sum) = match what {
                Help::Works => (&mut now.busy, &mut counts.busy),
                Help::Walks => (&mut now.walking, &mut counts.walking),
            };
            *now += sign;
            *sum -= sign * net;
        }
    }

    /// The counted window begins (`-1`) or ends (`1`).
    pub(super) fn settle_help(&mut self, sign: i64) {
        for (k, helping) in self.c.line.helping.iter().enumerate() {
            let net = sign * self.net_of_group(helping.group.index());
            let (now, counts) = (&self.helping[k], &mut self.seen.helping[k]);
            counts.busy += now.busy * net;
            counts.walking += now.walking * net;
            counts.standing_in += now.standing_in * net;
            counts.mending += now.mending * net;
            counts.absent += now.absent * net;
        }
    }

    /// Which statement of `helping` is about a group of people.
    pub(super) fn helping_of(&self, group: usize) -> Option<usize> {
        self.c.line.helping.iter().position(|helping| helping.group.index() == group)
    }

    /// A task begins with these people: it counts once for each statement of which somebody helps.
    pub(super) fn count_help(&mut self, gang: usize, people: u128) {
        let shop = &self.c.shop;
        let mut last = None;
        for (helper, _) in shop.gangs[gang].helpers_among(people) {
            let statement = shop.helpers[helper].statement as usize;
            if last != Some(statement) {
                self.seen.helping[statement].tasks += 1;
                last = Some(statement);
            }
        }
    }
}
