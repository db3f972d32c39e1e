//! Spacing rules against shares: can any endless sequence keep them?
//!
//! Two proofs. One model alone: at most `m` in any `w` lets its share in the long run be m/w at
//! most (place each as early as allowed: the k-th stands w behind the (k-m)-th), and several rules
//! on one model let it be the smallest of their m/w. Two models together: the shares that legal
//! sequences reach form a convex region whose border in a direction is the largest mean weight of
//! a circle through the legal states (the models of the last places; Karp 1978, "A
//! characterization of the minimum cycle mean in a digraph"). A direction in which the stated
//! shares lie outside is a proof, and its weights are the sentence shown.

/// At most `most` of model `model` in any `window`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Rule {
    pub model: usize,
    pub most: u32,
    pub window: u32,
}

/// Legal states looked at for a pair of models; a larger search is left out (the run still keeps
/// the rules, only this proof is not tried).
const STATES: usize = 700;
/// Shares closer to the border than this count as reached.
const EDGE: f64 = 1e-9;

/// A proof that two models can't have their shares together.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Excluded {
    /// weight x share of the one + weight x share of the other ...
    pub weights: (f64, f64),
    /// ... comes to this with the stated shares,
    pub asked: f64,
    /// and to at most this in any legal sequence.
    pub most: f64,
}

/// Whether models `one` and `other` can have these shares under all rules on the two; `free` says
/// that there are units of other models to put between. `None`: they can, or the search is too
/// large to prove that they can't.
/// `budget` counts down the edges looked at; where it is spent, nothing more is proven.
pub(super) fn excluded(
    (one, share_one): (usize, f64),
    (other, share_other): (usize, f64),
    rules: &[Rule],
    free: bool,
    budget: &mut u64,
) -> Option<Excluded> {
    let letters = Letters { one, other, free };
    let states = States::legal(rules, letters)?;
    let per_corner = states.count as u64 * states.edges.len() as u64;
    let asked = [share_one, share_other];
    // Corners of the region found so far; a direction that leaves them all behind the point is
    // asked for its own corner, until the point is inside or proven outside.
    let mut corners: Vec<[f64; 2]> = vec![[0.0, 0.0]];
    for direction in [[1.0, 0.0], [0.0, 1.0], [1.0, 1.0], [-1.0, 0.0], [0.0, -1.0]] {
        spend(budget, per_corner)?;
        corners.push(states.farthest(direction)?);
    }
    // Without other models the origin is no sequence at all.
    if !free {
        corners.remove(0);
    }
    for _ in 0..64 {
        let direction = separating(&corners, asked)?;
        spend(budget, per_corner)?;
        let corner = states.farthest(direction)?;
        let reach = dot(direction, corner);
        if corners.iter().all(|known| dot(direction, *known) < reach - EDGE) {
            corners.push(corner);
            continue;
        }
        // No sequence reaches further this way, and the point does.
        if dot(direction, asked) <= reach + EDGE {
            return None;
        }
        let weights = whole_weights(direction);
        let scale = (weights[0] * weights[0] + weights[1] * weights[1]).sqrt();
        return Some(Excluded {
            weights: (weights[0], weights[1]),
            asked: dot(weights, asked),
            most: reach * scale,
        });
    }
    None
}

fn spend(budget: &mut u64, cost: u64) -> Option<()> {
    *budget = budget.checked_sub(cost)?;
    Some(())
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// The direction in the smallest whole numbers, where such up to 24 will do.
fn whole_weights(direction: [f64; 2]) -> [f64; 2] {
    let least = direction.map(f64::abs).into_iter().filter(|w| *w > EDGE).fold(f64::INFINITY, f64::min);
    let by_least = direction.map(|weight| weight / least);
    let is_whole = |weight: &f64| (weight - weight.round()).abs() < 1e-6;
    (1..=24)
        .map(|times| by_least.map(|weight| weight * f64::from(times)))
        .find(|weights| weights.iter().all(is_whole))
        .map_or(direction, |weights| weights.map(f64::round))
}

/// A direction in which `point` lies beyond the hull of the corners; `None` when it lies inside.
/// Only the directions square to a pair of corners, and from a corner to the point, can do so.
fn separating(corners: &[[f64; 2]], point: [f64; 2]) -> Option<[f64; 2]> {
    let mut candidates: Vec<[f64; 2]> = Vec::new();
    for (i, a) in corners.iter().enumerate() {
        candidates.push([point[0] - a[0], point[1] - a[1]]);
        for b in &corners[i + 1..] {
            let along = [b[0] - a[0], b[1] - a[1]];
            candidates.push([-along[1], along[0]]);
            candidates.push([along[1], -along[0]]);
        }
    }
    let beyond = |d: &[f64; 2]| {
        let reach = corners.iter().map(|c| dot(*d, *c)).fold(f64::NEG_INFINITY, f64::max);
        dot(*d, point) - reach
    };
    let unit = |d: [f64; 2]| {
        let length = (d[0] * d[0] + d[1] * d[1]).sqrt();
        (length > EDGE).then(|| [d[0] / length, d[1] / length])
    };
    candidates
        .into_iter()
        .filter_map(unit)
        .map(|d| (beyond(&d), d))
        .filter(|(by, _)| *by > EDGE)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, d)| d)
}

#[derive(Clone, Copy)]
struct Letters {
    one: usize,
    other: usize,
    free: bool,
}

/// The graph of legal states. A letter is 0 (any other model), 1 or 2.
struct States {
    /// (from, to, letter added)
    edges: Vec<(usize, usize, u8)>,
    count: usize,
}

impl States {
    /// Every legal row of the last `window - 1` letters that can be reached from an empty past.
    fn legal(rules: &[Rule], letters: Letters) -> Option<States> {
        let rules: Vec<(u8, u32, u32)> = rules
            .iter()
            .filter_map(|rule| match rule.model {
                model if model == letters.one => Some((1, rule.most, rule.window)),
                model if model == letters.other => Some((2, rule.most, rule.window)),
                _ => None,
            })
            .collect();
        let longest = rules.iter().map(|(_, _, window)| *window).max()?;
        let memory = usize::try_from(longest - 1).ok().filter(|memory| *memory <= 24)?;
        let mut known = std::collections::BTreeMap::from([(vec![0u8; memory], 0usize)]);
        let mut open = vec![vec![0u8; memory]];
        let mut edges = Vec::new();
        while let Some(past) = open.pop() {
            let from = known[&past];
            let first = if letters.free { 0 } else { 1 };
            for letter in first..=2u8 {
                let mut next = past.clone();
                next.push(letter);
                let broken = rules.iter().any(|(of, most, window)| {
                    let start = next.len().saturating_sub(*window as usize);
                    *of == letter && next[start..].iter().filter(|l| **l == letter).count() > *most as usize
                });
                if broken {
                    continue;
                }
                next.remove(0);
                let number = known.len();
                let to = *known.entry(next.clone()).or_insert_with(|| {
                    open.push(next);
                    number
                });
                edges.push((from, to, letter));
                if known.len() > STATES {
                    return None;
                }
            }
        }
        Some(States { count: known.len(), edges })
    }

    /// The corner of the region in a direction: the mean counts of the circle with the largest
    /// mean weight. `None` where there is no circle at all.
    fn farthest(&self, direction: [f64; 2]) -> Option<[f64; 2]> {
        let weight = |letter: u8| match letter {
            1 => direction[0],
            2 => direction[1],
            _ => 0.0,
        };
        // Karp: best[k][v] = largest weight of a walk of k edges from the start to v.
        let n = self.count;
        let mut best = vec![vec![f64::NEG_INFINITY; n]; n + 1];
        let mut from: Vec<Vec<u32>> = vec![vec![u32::MAX; n]; n + 1];
        best[0][0] = 0.0;
        for k in 0..n {
            let (before, after) = best.split_at_mut(k + 1);
            for (edge, (a, b, letter)) in self.edges.iter().enumerate() {
                let reached = before[k][*a] + weight(*letter);
                if reached > after[0][*b] + 1e-12 {
                    after[0][*b] = reached;
                    from[k + 1][*b] = u32::try_from(edge).unwrap_or(u32::MAX);
                }
            }
        }
        let mean = |v: usize| {
            (0..n)
                .filter(|k| best[*k][v].is_finite())
                .map(|k| (best[n][v] - best[k][v]) / (n - k) as f64)
                .fold(f64::INFINITY, f64::min)
        };
        let end = (0..n)
            .filter(|v| best[n][*v].is_finite())
            .map(|v| (mean(v), v))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
        // The walk to that state holds a circle of the largest mean; were it not so, no proof.
        let corner = self.best_circle_on_walk(&from, end.1, weight)?;
        ((dot(direction, corner) - end.0).abs() < EDGE).then_some(corner)
    }

    /// The walk of n edges that ends at `end` holds a circle of the largest mean: counts on it.
    fn best_circle_on_walk(
        &self,
        from: &[Vec<u32>],
        end: usize,
        weight: impl Fn(u8) -> f64,
    ) -> Option<[f64; 2]> {
        let mut walk = Vec::with_capacity(self.count);
        let mut at = end;
        for k in (1..=self.count).rev() {
            let (a, b, letter) = self.edges[*from.get(k)?.get(at)? as usize];
            walk.push((b, letter));
            at = a;
        }
        let mut last_seen: Vec<Option<usize>> = vec![None; self.count];
        let mut best: Option<(f64, [f64; 2])> = None;
        for (position, (state, _)) in walk.iter().enumerate() {
            if let Some(start) = last_seen[*state] {
                let circle = &walk[start..position];
                let mut counts = [0.0; 2];
                let mut sum = 0.0;
                for (_, letter) in circle {
                    sum += weight(*letter);
                    match letter {
                        1 => counts[0] += 1.0,
                        2 => counts[1] += 1.0,
                        _ => {}
                    }
                }
                let length = circle.len() as f64;
                if best.as_ref().is_none_or(|(mean, _)| sum / length > *mean + 1e-12) {
                    best = Some((sum / length, counts.map(|count| count / length)));
                }
            }
            last_seen[*state] = Some(position);
        }
        best.map(|(_, corner)| corner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rule(model: usize, most: u32, window: u32) -> Rule {
        Rule { model, most, window }
    }

    #[test]
    fn every_second_and_every_third_place_collide() {
        // A in every second and B in every third place: sooner or later both want one place.
        let rules = [rule(0, 1, 2), rule(1, 1, 3)];
        let found = excluded((0, 0.5), (1, 1.0 / 3.0), &rules, true, &mut 1_000_000_000).unwrap();
        // B in every third place leaves two places side by side, one of them for A (1/3, 1/3); A in
        // every second leaves every fourth for B (1/2, 1/4). The line through both: A + 2 B = 1.
        assert_eq!(found.weights, (1.0, 2.0));
        assert!((found.most - 1.0).abs() < 1e-9 && (found.asked - 7.0 / 6.0).abs() < 1e-9, "{found:?}");
        // With A in every third place they fit.
        assert_eq!(excluded((0, 1.0 / 3.0), (1, 1.0 / 3.0), &rules, true, &mut 1_000_000_000), None);
        assert_eq!(
            excluded((0, 0.5), (1, 0.25), &[rule(0, 1, 2), rule(1, 1, 4)], true, &mut 1_000_000_000),
            None
        );
    }

    #[test]
    fn two_models_alone_must_fill_every_place() {
        let rules = [rule(0, 1, 2), rule(1, 1, 2)];
        assert_eq!(excluded((0, 0.5), (1, 0.5), &rules, false, &mut 1_000_000_000), None);
        let found = excluded((0, 0.4), (1, 0.6), &rules, false, &mut 1_000_000_000).unwrap();
        assert!(found.asked > found.most);
    }

    #[test]
    fn loose_rules_exclude_nothing() {
        let rules = [rule(0, 1, 2), rule(1, 2, 5)];
        assert_eq!(excluded((0, 0.15), (1, 0.30), &rules, true, &mut 1_000_000_000), None);
    }

    #[test]
    fn a_spent_budget_proves_nothing() {
        let rules = [rule(0, 1, 2), rule(1, 1, 3)];
        assert_eq!(excluded((0, 0.5), (1, 1.0 / 3.0), &rules, true, &mut 10), None);
    }

    #[test]
    fn a_search_too_large_proves_nothing() {
        assert_eq!(excluded((0, 0.9), (1, 0.1), &[rule(0, 20, 40)], true, &mut 1_000_000_000), None);
    }
}
