//! Saturated lines of exponential stations, solved exactly as Markov chains.

/// Units of work per unit of time of a saturated line with these mean times, so many places between
/// the stations, blocking after service, and unlimited room after the last.
///
/// State: for every station but the first the units that are before it, in it, or done in the
/// station before and held there by it. A station whose unit is done and held keeps its place, so
/// it can take one less.
pub fn throughput(means: &[f64], between: usize) -> f64 {
    let base = between + 3;
    let states = base.pow(means.len() as u32 - 1);
    let digits = |state: usize| -> Vec<usize> {
        (0..means.len() - 1).map(|k| state / base.pow(k as u32) % base).collect()
    };
    // Every way a state is left: where to, how fast; illegal states have none and are never reached.
    let moves: Vec<Vec<(usize, f64)>> =
        (0..states).map(|s| leave(&digits(s), means, between, base)).collect();
    let rate: Vec<f64> = moves.iter().map(|m| m.iter().map(|(_, r)| r).sum()).collect();
    let fastest = rate.iter().copied().fold(0.0, f64::max) * 1.05;
    let mut share = vec![0.0; states];
    share[0] = 1.0;
    for _ in 0..200_000 {
        let mut next: Vec<f64> = share.iter().zip(&rate).map(|(p, r)| p * (1.0 - r / fastest)).collect();
        for (s, ways) in moves.iter().enumerate() {
            for (to, r) in ways {
                next[*to] += share[s] * r / fastest;
            }
        }
        let change: f64 = next.iter().zip(&share).map(|(a, b)| (a - b).abs()).sum();
        share = next;
        if change < 1e-14 {
            break;
        }
    }
    // What leaves the first station is what leaves the line: the first works whenever it is not held.
    let held = |state: usize| {
        let levels = digits(state);
        levels[0] > room(&levels, 0, between)
    };
    (0..states).filter(|s| !held(*s)).map(|s| share[s]).sum::<f64>() / means[0]
}

/// Units that can be before and in station k + 1 without holding the one before.
fn room(levels: &[usize], k: usize, between: usize) -> usize {
    let is_held = k + 1 < levels.len() && levels[k + 1] > room(levels, k + 1, between);
    between + 1 - usize::from(is_held)
}

fn leave(levels: &[usize], means: &[f64], between: usize, base: usize) -> Vec<(usize, f64)> {
    let legal = (0..levels.len()).all(|k| levels[k] <= room(levels, k, between) + 1);
    if !legal {
        return Vec::new();
    }
    let number = |levels: &[usize]| levels.iter().rev().fold(0, |n, level| n * base + level);
    let mut ways = Vec::new();
    for station in 0..means.len() {
        let has_unit = station == 0 || levels[station - 1] > 0;
        let is_held = station < levels.len() && levels[station] > room(levels, station, between);
        if has_unit && !is_held {
            let mut after = levels.to_vec();
            if station > 0 {
                after[station - 1] -= 1;
            }
            if station < levels.len() {
                after[station] += 1;
            }
            ways.push((number(&after), 1.0 / means[station]));
        }
    }
    ways
}
