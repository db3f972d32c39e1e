//! One unit alone at one place with the full crew: when its last step ends.

use super::bay_work::BayWork;
use super::floor::{Floor, Gate};
use super::node::NodeKind;
use super::ready::Walked;
use super::seats::heads;
use super::shop::Shop;

/// Schedules one unit after the other, each alone at its place; what one needs is kept for the next.
pub struct Alone<'a> {
    shop: &'a Shop,
    floor: Floor,
    fresh: Vec<u16>,
    /// (end, local node) of what runs, the next to end last.
    running: Vec<(i64, u16)>,
    walked: Walked,
}

impl<'a> Alone<'a> {
    /// `path` as for [`Floor::new`].
    pub fn new(shop: &'a Shop, path: Vec<i64>) -> Alone<'a> {
        let floor = Floor::new(shop, path);
        Alone { shop, floor, fresh: Vec::new(), running: Vec::new(), walked: Walked::default() }
    }

    /// When the last step of a unit of `model` with all `options` ends that entered the first bay of `place` at 0,
    /// microseconds. What cannot start at all (nobody can, no equipment) is left out.
    ///
    /// `length(local, people)` is how long a node takes with so many people, in microseconds; verdicts pass
    /// at once; windows are not judged. Holds run beside the work; time is attended throughout.
    pub fn makespan(
        &mut self,
        place: usize,
        (model, options): (usize, u64),
        length: impl Fn(usize, u32) -> i64,
    ) -> i64 {
        let (shop, bay) = (self.shop, self.shop.places[place].bay0 as usize);
        self.enters(place, (model, options), &length);
        let mut now = 0;
        loop {
            while let Some(local) = self.fresh.pop() {
                match shop.nodes_of(place)[local as usize].kind {
                    NodeKind::Verdict { .. } => self.floor.done(shop, bay, local, &mut self.fresh),
                    NodeKind::Hold { .. } if !shop.nodes_of(place)[local as usize].takes_equipment() => {
                        self.floor.start_free(shop, bay, local as usize);
                        self.runs_until(now + length(local as usize, 0), local);
                    }
                    NodeKind::Work | NodeKind::Fix { .. } | NodeKind::Hold { .. } => {
                        self.floor.queue(shop, bay, local, 3)
                    }
                }
            }
            self.start_all(bay, now, &length);
            let Some((next, _)) = self.running.last().copied() else { break };
            now = next;
            while let Some((_, local)) = self.running.pop_if(|(ends, _)| *ends == now) {
                self.floor.end(shop, bay, local as usize, now);
                self.floor.done(shop, bay, local, &mut self.fresh);
            }
        }
        if self.floor.bays[bay].undone > 0 {
            self.floor.unqueue(shop, bay);
        }
        self.floor.drop_keeps(shop, bay);
        // Whoever is marked is walked above.
        self.floor.dirty_gangs.clear();
        now
    }

    fn enters(&mut self, place: usize, kind: (usize, u64), length: &impl Fn(usize, u32) -> i64) {
        let (shop, (model, options)) = (self.shop, kind);
        let (bay, nodes) = (shop.places[place].bay0 as usize, shop.nodes_of(place));
        let unit = BayWork::new(model as u16, 0, false, 0);
        self.floor.forget_where(shop.bay_gang[bay] as usize);
        self.fresh.clear();
        // What is mended hangs on the lengths of this unit; all else on its kind.
        let alike = !nodes.iter().any(|node| node.mends);
        if alike && self.floor.enter_alike(shop, bay, (unit, options), &mut self.fresh) {
            return;
        }
        let applies = |k: usize| nodes[k].is_for(model, options) && !(nodes[k].mends && length(k, 0) == 0);
        self.floor.enter(shop, bay, unit, |_| false, applies, &mut self.fresh);
        if alike {
            self.floor.keep_entered(shop, bay, (unit.model, options), &self.fresh);
        }
    }

    /// Walks the list of the bay's crew to its end.
    fn start_all(&mut self, bay: usize, now: i64, length: &impl Fn(usize, u32) -> i64) {
        let shop = self.shop;
        let mut walks_on = true;
        while walks_on {
            let gang = shop.bay_gang[bay] as usize;
            walks_on = self.floor.walk(shop, gang, |_, _, _| Gate::Go, &mut self.walked);
            for at in 0..self.walked.started.len() {
                let local = self.walked.started[at].1;
                let people = self.floor.people[shop.bay_node0[bay] as usize + local as usize];
                let starts = now + self.floor.set_out(shop, bay, shop.bay_gang[bay].into(), people).1;
                self.runs_until(starts + length(local as usize, heads(people)), local);
            }
            self.walked.clear();
        }
    }

    fn runs_until(&mut self, ends: i64, local: u16) {
        let at = self.running.partition_point(|other| *other > (ends, local));
        self.running.insert(at, (ends, local));
    }
}
