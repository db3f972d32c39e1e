//! One unit alone at one place with the full crew: when its last step ends.

use super::bay_work::BayWork;
use super::floor::{Floor, Gate};
use super::node::NodeKind;
use super::ready::Walked;
use super::seats::heads;
use super::shop::Shop;

/// When each step starts and ends, counted from the unit's entry, and the end of the last one.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Makespan {
    /// Microseconds.
    pub length: i64,
    /// (local node, start, end, people), in order of start.
    pub bars: Vec<(u16, i64, i64, u128)>,
    /// Steps that could not start at all (nobody can, no equipment).
    pub stuck: bool,
}

/// Schedules one unit of `model` with all `options` in the first bay of `place`.
///
/// `length(local, people)` is how long a node takes with so many people, in microseconds; verdicts pass
/// at once; windows are not judged. Holds run beside the work; time is attended throughout.
pub fn one_unit(
    shop: &Shop,
    floor: &mut Floor,
    place: usize,
    model: usize,
    options: u64,
    length: impl Fn(usize, u32) -> i64,
) -> Makespan {
    let bay = shop.places[place].bay0 as usize;
    let gang = shop.bay_gang[bay] as usize;
    let nodes = shop.nodes_of(place);
    let unit = BayWork::new(model as u16, 0, false, 0);
    let mut fresh = Vec::new();
    let mut result = Makespan::default();
    let mut running: Vec<(i64, u16)> = Vec::new();
    let (mut now, mut walked) = (0, Walked::default());
    let applies = |k: usize| nodes[k].is_for(model, options) && !(nodes[k].mends && length(k, 0) == 0);
    floor.forget_where(gang);
    floor.enter(shop, bay, unit, |_| false, applies, &mut fresh);
    loop {
        while let Some(local) = fresh.pop() {
            let node = &nodes[local as usize];
            match node.kind {
                NodeKind::Verdict { .. } => floor.done(shop, bay, local, &mut fresh),
                NodeKind::Hold { .. } => {
                    floor.start_free(shop, bay, local as usize);
                    let ends = now + length(local as usize, 0);
                    running.push((ends, local));
                    result.bars.push((local, now, ends, 0));
                }
                NodeKind::Work | NodeKind::Fix { .. } => floor.queue(shop, bay, local, 3),
            }
        }
        start_all(shop, floor, bay, &mut walked, |floor, local| {
            let people = floor.people[shop.bay_node0[bay] as usize + local as usize];
            let starts = now + floor.set_out(shop, bay, people).1;
            let ends = starts + length(local as usize, heads(people));
            running.push((ends, local));
            result.bars.push((local, starts, ends, people));
        });
        running.sort_unstable();
        if running.is_empty() {
            break;
        }
        now = running[0].0;
        while running.first().is_some_and(|(ends, _)| *ends == now) {
            let (_, local) = running.remove(0);
            floor.end(shop, bay, local as usize, now);
            floor.done(shop, bay, local, &mut fresh);
        }
    }
    result.stuck = floor.bays[bay].undone > 0;
    if result.stuck {
        floor.unqueue(shop, bay);
    }
    floor.drop_keeps(shop, bay);
    result.length = now;
    result
}

/// Walks the list of the bay's crew to its end.
fn start_all(
    shop: &Shop,
    floor: &mut Floor,
    bay: usize,
    walked: &mut Walked,
    mut begin: impl FnMut(&mut Floor, u16),
) {
    let mut walks_on = true;
    while walks_on {
        let gang = shop.bay_gang[bay] as usize;
        walks_on = floor.walk(shop, gang, |_, _, _| Gate::Go, walked);
        walked.started.drain(..).for_each(|(_, local)| begin(floor, local));
    }
}
