//! The time of what a gate finds: a Poisson number of faults, each with a time of its own.
//!
//! The number is the quantile of one uniform, rising with it; it depends on the unit alone, so that the
//! two steps that share the faults of a unit (`Taken`) agree on it however often one of them is begun.

use super::sampler::Sampler;
use super::stream::Stream;
use crate::line::{Faults, Taken};
use std::sync::OnceLock;

/// Cells in which the law of the sum is laid out for `cdf` and `at`; draws and moments don't need it.
const CELLS: usize = 1_200;
/// Numbers with less chance than this, all together, are left out.
const REST: f64 = 1e-14;

#[derive(Clone, Debug)]
pub struct Found {
    pub(super) taken: Taken,
    each: Sampler,
    /// P(N <= n).
    up_to: Vec<f64>,
    /// Chances of the sum in cells of equal width around 0, 1, 2... widths, and the width: dear, so made once and when
    /// first asked for.
    laid_out: OnceLock<(Vec<f64>, f64)>,
}

impl Found {
    /// `faults.mean` is above 0 and at most 50: its first chance, e^-mean, is far from 0.
    pub fn new(faults: &Faults) -> Found {
        let mut chance = libm::exp(-faults.mean);
        let mut sum = chance;
        let mut up_to = vec![sum];
        while 1.0 - sum > REST && up_to.len() < 1_000 {
            chance *= faults.mean / up_to.len() as f64;
            sum += chance;
            up_to.push(sum);
        }
        Found { taken: faults.taken, each: Sampler::new(&faults.each), up_to, laid_out: OnceLock::new() }
    }

    /// Faults of the unit of that index, wherever they are mended.
    pub fn faults(&self, stream: &Stream, index: u64) -> u32 {
        let u = stream.uniform(index, 0);
        // What rounding leaves beyond the last sum counts as the last number.
        self.up_to.iter().position(|upper| u < *upper).unwrap_or(self.up_to.len() - 1) as u32
    }

    /// The time of those that are mended here: of all of them the k-th has a draw of its own, whoever
    /// mends it. `more`: faults that the unit has besides; they are its last ones.
    pub fn draw(&self, stream: &Stream, (index, visit): (u64, u32), more: u32) -> f64 {
        let found = self.faults(stream, index) + more;
        let those = match self.taken {
            Taken::All => 0..found,
            Taken::Beyond(most) => most.min(found)..found,
            Taken::UpTo(most) => 0..most.min(found),
        };
        // A visit is a 16-bit count, so that no two faults share a draw.
        those.map(|k| self.each.draw(stream, index, visit & 0xffff | (k + 1) << 16)).sum()
    }

    /// (number mended here, its chance), without numbers of no chance.
    fn chances(&self) -> Vec<f64> {
        let mut chances: Vec<f64> = Vec::new();
        let mut below = 0.0;
        for (n, upper) in self.up_to.iter().enumerate() {
            let here = self.taken.of(n as u32) as usize;
            chances.resize(chances.len().max(here + 1), 0.0);
            chances[here] += upper - below;
            below = *upper;
        }
        chances
    }

    /// How much longer mending takes on average where each of `chances` brings one fault more.
    pub fn mean_of_more(&self, chances: &[f64]) -> f64 {
        // The law of how many come: one factor after another.
        let mut more = vec![1.0];
        for chance in chances {
            more.push(0.0);
            for n in (0..more.len()).rev() {
                more[n] = more[n] * (1.0 - chance) + if n > 0 { more[n - 1] * chance } else { 0.0 };
            }
        }
        let mut below = 0.0;
        let mut sum = 0.0;
        for (n, upper) in self.up_to.iter().enumerate() {
            let own = self.taken.of(n as u32);
            let besides =
                |(e, chance): (usize, &f64)| f64::from(self.taken.of((n + e) as u32) - own) * chance;
            sum += (upper - below) * more.iter().enumerate().map(besides).sum::<f64>();
            below = *upper;
        }
        sum * self.each.mean()
    }

    pub fn mean(&self) -> f64 {
        let numbers: f64 = self.chances().iter().enumerate().map(|(n, chance)| n as f64 * chance).sum();
        numbers * self.each.mean()
    }

    /// Law of total variance: E(n) var(each) + var(n) E(each)^2.
    pub fn variance(&self) -> f64 {
        let chances = self.chances();
        let power = |p: i32| -> f64 {
            chances.iter().enumerate().map(|(n, chance)| libm::pow(n as f64, f64::from(p)) * chance).sum()
        };
        let mean = power(1);
        mean * self.each.variance() + (power(2) - mean * mean) * self.each.mean() * self.each.mean()
    }

    fn lay_out(&self) -> (Vec<f64>, f64) {
        let spread = self.variance().max(0.0).sqrt();
        let width = (self.mean() + 14.0 * spread).max(1.0) / CELLS as f64;
        let below = |j: usize| self.each.cdf((j as f64 + 0.5) * width);
        let one: Vec<f64> = (0..CELLS).map(|j| below(j) - if j == 0 { 0.0 } else { below(j - 1) }).collect();
        let mut sum = vec![0.0; CELLS];
        // From the largest number down: each round adds one fault to what is there.
        for chance in self.chances().iter().rev() {
            let mut more = vec![0.0; CELLS];
            for (i, here) in sum.iter().enumerate().filter(|(_, here)| **here > 0.0) {
                for (j, step) in one[..CELLS - i].iter().enumerate() {
                    more[i + j] += here * step;
                }
            }
            more[0] += chance;
            sum = more;
        }
        (sum, width)
    }

    /// P(X <= x), to a cell's width.
    pub fn cdf(&self, x: f64) -> f64 {
        let (chances, width) = self.laid_out.get_or_init(|| self.lay_out());
        let cells = chances.iter().enumerate().take_while(|(j, _)| *j as f64 * *width <= x);
        cells.map(|(_, chance)| chance).sum::<f64>().min(1.0)
    }

    /// The least x with P(X <= x) >= p, to a cell's width.
    pub fn at(&self, p: f64) -> f64 {
        let (chances, width) = self.laid_out.get_or_init(|| self.lay_out());
        let mut sum = 0.0;
        let found = chances.iter().position(|chance| {
            sum += chance;
            sum >= p
        });
        found.unwrap_or(CELLS - 1) as f64 * *width
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::Purpose;
    use crate::line::{Dist, Shape};
    use statrs::distribution::{Discrete, DiscreteCDF, Poisson};

    fn law(mean: f64, taken: Taken) -> Found {
        let each = Dist { shape: Shape::Triangular { low: 3.0, mode: 6.0, high: 20.0 }, timings: None };
        Found::new(&Faults { mean, taken, each })
    }

    #[test]
    fn numbers_are_those_of_a_library_s_poisson() {
        let stream = Stream::new(7, 0, Purpose::TaskTime, "punch");
        for mean in [0.05, 0.6, 3.0, 40.0] {
            let (law, library) = (law(mean, Taken::All), Poisson::new(mean).unwrap());
            for (n, upper) in law.up_to.iter().enumerate() {
                assert!((upper - library.cdf(n as u64)).abs() < 1e-12, "{mean} {n}");
            }
            let n = 40_000;
            let drawn: Vec<u32> = (0..n).map(|k| law.faults(&stream, k)).collect();
            let share = |k: u32| drawn.iter().filter(|d| **d == k).count() as f64 / n as f64;
            for k in 0..4 {
                let p = library.pmf(u64::from(k));
                assert!((share(k) - p).abs() < 5.0 * (p * (1.0 - p) / n as f64).sqrt() + 1e-9, "{mean} {k}");
            }
        }
    }

    #[test]
    fn moments_of_all_are_those_of_the_compound_poisson_law() {
        // Mean and variance of a compound Poisson sum: m E(X), m E(X^2) (any text on risk theory).
        let law = law(0.6, Taken::All);
        let (m1, m2) = (29.0 / 3.0, law.each.variance() + law.each.mean() * law.each.mean());
        assert!((law.mean() - 0.6 * m1).abs() < 1e-9);
        assert!((law.variance() - 0.6 * m2).abs() < 1e-9);
    }

    #[test]
    fn two_steps_share_the_faults_of_every_unit_and_their_times() {
        let stream = Stream::new(7, 0, Purpose::TaskTime, "punch");
        let (all, here, later) = (law(2.0, Taken::All), law(2.0, Taken::Beyond(3)), law(2.0, Taken::UpTo(3)));
        let (mut more, mut sums) = (0, [0.0; 3]);
        for unit in 0..20_000 {
            let drawn = [&all, &here, &later].map(|law| law.draw(&stream, (unit, 0), 0));
            assert!((drawn[0] - drawn[1] - drawn[2]).abs() < 1e-9);
            more += u32::from(drawn[1] > 0.0);
            assert_eq!(drawn[1] > 0.0, all.faults(&stream, unit) > 3);
            sums.iter_mut().zip(drawn).for_each(|(sum, d)| *sum += d);
        }
        assert!((2_500..3_200).contains(&more), "P(N > 3) = 14.3 % of 20,000: {more}");
        for (law, sum) in [all, here, later].iter().zip(sums) {
            let band = 5.0 * (law.variance() / 20_000.0).sqrt();
            assert!((sum / 20_000.0 - law.mean()).abs() < band, "{} {}", sum / 20_000.0, law.mean());
        }
    }

    #[test]
    fn the_law_laid_out_agrees_with_its_moments_and_with_drawn_shares() {
        let stream = Stream::new(9, 0, Purpose::TaskTime, "punch");
        for taken in [Taken::All, Taken::Beyond(1), Taken::UpTo(2)] {
            let law = law(1.5, taken);
            let (chances, width) = law.lay_out();
            let mean: f64 = chances.iter().enumerate().map(|(j, p)| j as f64 * width * p).sum();
            assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-6);
            assert!((mean / law.mean() - 1.0).abs() < 0.002, "{mean} {}", law.mean());
            let n = 20_000;
            for x in [0.0, 5.0, 12.0, 30.0] {
                let below = (0..n).filter(|k| law.draw(&stream, (*k, 0), 0) <= x).count() as f64 / n as f64;
                assert!((below - law.cdf(x)).abs() < 0.015, "{taken:?} {x}: {below} {}", law.cdf(x));
            }
            assert_eq!(law.at(0.0), 0.0);
            assert!(law.at(0.95) > law.at(0.5));
        }
    }
}
