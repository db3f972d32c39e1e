//! First answers: fill one station after the other with the load that looks best.
//!
//! After Hoffmann, "Assembly line balancing with a precedence matrix", Management Science 9 (1963),
//! with the weighing of loads of Sewell & Jacobson (2012): time, positional weight, followers, and
//! how few tasks it takes.

use super::fill::Filler;
use super::set::Set;
use super::way::Way;

/// How a load is weighed: share of the positional weight, of the number of followers and of the
/// number of tasks, the latter two in thousandths of the capacity.
#[derive(Clone, Copy, Debug)]
pub struct Taste {
    position: f64,
    followers: f64,
    count: f64,
}

/// In the order in which they are tried.
pub fn tastes() -> impl Iterator<Item = Taste> {
    const POSITION: [f64; 5] = [0.0, 0.005, 0.010, 0.015, 0.020];
    const OTHERS: [(f64, f64); 3] = [(0.0, 0.0), (0.01, 0.02), (0.02, 0.0)];
    OTHERS.into_iter().flat_map(|(followers, count)| {
        POSITION.into_iter().map(move |position| Taste { position, followers, count })
    })
}

/// The station of each task, from 0, and how many stations that takes.
pub fn filled<const W: usize>(
    way: &Way<W>,
    filler: &mut Filler<W>,
    taste: Taste,
    steps_each: u64,
) -> (Vec<usize>, usize) {
    let unit = way.capacity as f64 / 1000.0;
    let value: Vec<f64> = (0..way.len())
        .map(|k| {
            let time = way.time[k] as f64;
            let position = time + way.after[k].iter().map(|f| way.time[f] as f64).sum::<f64>();
            let followers = way.after[k].len() as f64;
            time + taste.position * position + (taste.followers * followers - taste.count) * unit
        })
        .collect();
    let mut station_of = vec![0; way.len()];
    let mut done = Set::EMPTY;
    let mut station = 0;
    while done != way.all {
        let mut best: Option<f64> = None;
        let mut load: Vec<u16> = Vec::new();
        filler.fill(&done, way.capacity, steps_each, &mut |leaf| {
            let worth: f64 = leaf.load.iter().map(|k| value[*k as usize]).sum();
            if best.is_none_or(|b| worth > b) {
                best = Some(worth);
                load.clear();
                load.extend_from_slice(leaf.load);
            }
            true
        });
        // Stopped before the first load was full (a station of more tasks than steps): take what
        // fits, longest first.
        if best.is_none() {
            load = greedy(way, &done);
        }
        for task in load {
            done.add(task as usize);
            station_of[task as usize] = station;
        }
        station += 1;
    }
    (station_of, station)
}

fn greedy<const W: usize>(way: &Way<W>, done: &Set<W>) -> Vec<u16> {
    let mut room = way.capacity;
    let mut load = Vec::new();
    let mut taken = *done;
    let mut open = way.open_at_start.clone();
    done.iter().flat_map(|k| &way.next[k]).for_each(|f| open[*f as usize] -= 1);
    loop {
        let free = (0..way.len()).filter(|k| open[*k] == 0 && !taken.has(*k) && way.time[*k] <= room);
        let Some(task) = free.min_by_key(|k| way.rank[*k]) else { return load };
        room -= way.time[task];
        taken.add(task);
        load.push(task as u16);
        way.next[task].iter().for_each(|f| open[*f as usize] -= 1);
    }
}
