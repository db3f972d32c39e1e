//! Bin packing bounds: how many stations some tasks need, whatever their order.
//!
//! A weight is a function of a task's time such that tasks that fit together never weigh more than
//! the station's cap (a dual feasible function); then the sum over the cap, rounded up, is a bound.
//! The families are those of Fekete & Schepers, "New classes of fast lower bounds for bin packing
//! problems", Mathematical Programming 91 (2001); for k = 1 and 2 the first gives the counting
//! bounds LM2 and LM3 of the literature.

/// How many weights a search carries; the first is the time itself.
pub const WEIGHTS: usize = 8;
/// Thresholds tried at most.
const MOST_CUTS: usize = 400;

/// One weight for each task, and what a station takes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Weight {
    pub of: Vec<i64>,
    pub cap: i64,
}

impl Weight {
    /// Stations needed for all tasks together.
    pub fn need(&self) -> i64 {
        up(self.of.iter().sum(), self.cap)
    }
}

/// Quotient rounded up; `by` > 0, `sum` >= 0.
pub fn up(sum: i64, by: i64) -> i64 {
    (sum + by - 1) / by
}

/// The time itself.
pub fn plain(times: &[i64], capacity: i64) -> Weight {
    Weight { of: times.to_vec(), cap: capacity }
}

/// u(k): how many (k+1)-ths of the capacity are exceeded, in k-ths of a station; on a whole number
/// of (k+1)-ths, that share itself.
pub fn parts(times: &[i64], capacity: i64, k: i64) -> Weight {
    let of = times.iter().map(|t| {
        let (whole, rest) = (t * (k + 1) / capacity, t * (k + 1) % capacity);
        if rest == 0 { whole * k } else { whole * (k + 1) }
    });
    Weight { of: of.collect(), cap: k * (k + 1) }
}

/// U(cut): tasks over capacity - cut fill a station, tasks under cut weigh nothing. 0 < 2 cut <= capacity.
pub fn beyond(times: &[i64], capacity: i64, cut: i64) -> Weight {
    let of = times.iter().map(|&t| match t {
        _ if t > capacity - cut => capacity,
        _ if t < cut => 0,
        _ => t,
    });
    Weight { of: of.collect(), cap: capacity }
}

fn cuts(times: &[i64], capacity: i64) -> Vec<i64> {
    let mut cuts: Vec<i64> = times.iter().copied().filter(|t| *t > 0 && 2 * t <= capacity).collect();
    // Between two times nothing changes at the low end; at the high end it does just above capacity - time.
    cuts.extend(times.iter().filter(|t| 2 * **t > capacity).map(|t| capacity - t + 1));
    cuts.retain(|c| *c > 0 && 2 * c <= capacity);
    cuts.sort_unstable();
    cuts.dedup();
    let stride = cuts.len().div_ceil(MOST_CUTS).max(1);
    cuts.into_iter().step_by(stride).collect()
}

/// The best bound of both families; 0 for no tasks. Every time must be within `capacity`.
pub fn need(times: &[i64], capacity: i64) -> i64 {
    let mut best = up(times.iter().sum(), capacity);
    if times.iter().all(|t| 2 * t < capacity) && best <= 1 {
        return best;
    }
    for k in 1..=4 {
        best = best.max(parts(times, capacity, k).need());
    }
    cuts(times, capacity).into_iter().fold(best, |best, cut| best.max(beyond(times, capacity, cut).need()))
}

/// The weights that a search carries: the time, the counting weights, and the thresholds that ask
/// most of all tasks together, each from another part of the range.
pub fn chosen(times: &[i64], capacity: i64) -> [Weight; WEIGHTS] {
    let mut cuts: Vec<(i64, i64)> = cuts(times, capacity)
        .into_iter()
        .map(|cut| (beyond(times, capacity, cut).of.iter().sum::<i64>(), cut))
        .collect();
    cuts.sort_unstable_by(|a, b| b.cmp(a));
    let mut kept: Vec<i64> = Vec::new();
    for (_, cut) in cuts {
        if kept.len() < WEIGHTS - 4 && kept.iter().all(|k| (k - cut).abs() * 25 > capacity) {
            kept.push(cut);
        }
    }
    std::array::from_fn(|w| match w {
        0 => plain(times, capacity),
        1..=3 => parts(times, capacity, w as i64),
        _ => match kept.get(w - 4) {
            Some(cut) => beyond(times, capacity, *cut),
            None => parts(times, capacity, w as i64),
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counting_bounds_are_those_of_the_textbook() {
        // Three tasks over half of 10 and two of exactly half: 3 + 2/2 stations (LM2).
        assert_eq!(parts(&[6, 7, 8, 5, 5], 10, 1).need(), 4);
        // Sixths: 8 -> 6, 4 -> 3, 3 -> 2 of a station of 9 (LM3: over two thirds, over one third, one third).
        assert_eq!(parts(&[8, 4, 3], 9, 2).of, [6, 3, 2]);
    }

    #[test]
    fn a_threshold_sees_what_the_sum_does_not() {
        // Four tasks of 6 leave 4 each, and four of 5 fill two more stations: 6, not 44 / 10 = 5.
        assert_eq!(need(&[6, 6, 6, 6, 5, 5, 5, 5], 10), 6);
    }

    #[test]
    fn no_weight_ever_asks_for_more_than_one_station_for_tasks_that_fit() {
        for capacity in 1..14 {
            for a in 0..=capacity {
                for b in 0..=capacity - a {
                    let times = [a, b, capacity - a - b];
                    assert!(need(&times, capacity) <= 1, "{times:?} of {capacity}");
                    for weight in chosen(&times, capacity) {
                        assert!(weight.need() <= 1, "{times:?} of {capacity}: {weight:?}");
                    }
                }
            }
        }
    }
}
