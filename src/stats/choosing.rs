//! The best of many means with a stated probability: the fully sequential procedure KN of Kim & Nelson,
//! "A fully sequential procedure for indifference-zone selection in simulation", ACM Transactions on
//! Modeling and Computer Simulation 11 (2001) 251-273, with their constant c = 1.
//!
//! Owns who is still in the race. One value of each at a time, on the same random days: the procedure works
//! on differences of pairs, so it holds with common random numbers. It assumes normal values, and promises
//! nothing about which of two is taken that differ by less than the indifference.
//!
//! Looking seldom keeps the promise: a walk seen only at stated times errs no more often than one that is
//! always seen (Jennison, Johnstone & Turnbull, "Asymptotically optimal procedures for sequential adaptive
//! selection of the best of several normal means", 1982, on which the proof of KN rests).

use super::student::Spread;

/// What is asked of a race.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Terms {
    pub runners: usize,
    /// Probability of taking the best, where it leads by the indifference or more.
    pub confidence: f64,
    /// The least lead that is worth finding, in the unit of the values.
    pub indifference: f64,
    /// Values of each before the first look.
    pub first: usize,
}

impl Terms {
    /// Eta for c = 1: half of (1 + 2 eta)^(-(n0 - 1)/2) is (1 - confidence)/(k - 1). `None` where the terms
    /// ask for no more than chance gives, or nothing can be told.
    pub fn eta(&self) -> Option<f64> {
        let others = self.runners.checked_sub(1).filter(|n| *n > 0)? as f64;
        let degrees = self.first.checked_sub(1).filter(|n| *n > 0)? as f64;
        let share = 2.0 * (1.0 - self.confidence) / others;
        let fits = self.indifference > 0.0 && self.indifference.is_finite() && share > 0.0 && share < 1.0;
        fits.then(|| (libm::pow(share, -2.0 / degrees) - 1.0) / 2.0)
    }

    /// h^2 = 2 c eta (n0 - 1).
    fn h_squared(&self) -> Option<f64> {
        Some(2.0 * self.eta()? * (self.first - 1) as f64)
    }
}

/// Who was dropped, after how many values, and who beat it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Drop {
    pub after: usize,
    pub by: usize,
}

/// A race under way.
#[derive(Clone, PartialEq, Debug)]
pub struct Race {
    indifference: f64,
    /// h^2 S^2 / d of each pair: the sums' lead that drops is this less half of d a value.
    reach: Vec<Vec<f64>>,
    /// Sum of the values of each.
    sums: Vec<f64>,
    /// Values of each that is still in it.
    values: usize,
    dropped: Vec<Option<Drop>>,
}

impl Race {
    /// Begins with the first values of each, and looks. `None` where the terms do not fit, or the values do
    /// not fit the terms.
    pub fn begin(terms: &Terms, first: &[Vec<f64>]) -> Option<Race> {
        let h_squared = terms.h_squared()?;
        if first.len() != terms.runners || first.iter().any(|values| values.len() != terms.first) {
            return None;
        }
        let reach_of = |one: &Vec<f64>, other: &Vec<f64>| {
            let differences: Vec<f64> = one.iter().zip(other).map(|(a, b)| a - b).collect();
            let sd = Spread::of(&differences)?.sd;
            Some(h_squared * sd * sd / terms.indifference)
        };
        let row = |one: &Vec<f64>| first.iter().map(|other| reach_of(one, other)).collect::<Option<Vec<_>>>();
        let mut race = Race {
            indifference: terms.indifference,
            reach: first.iter().map(row).collect::<Option<Vec<_>>>()?,
            sums: first.iter().map(|values| values.iter().sum()).collect(),
            values: terms.first,
            dropped: vec![None; terms.runners],
        };
        race.look();
        Some(race)
    }

    /// Those that are still in it, in their order.
    pub fn running(&self) -> Vec<usize> {
        (0..self.sums.len()).filter(|i| self.dropped[*i].is_none()).collect()
    }

    /// Further values of each that is still in it, in the order of `running` and equally many; then looks.
    ///
    /// # Panics
    /// The values are not equally many of each: our own mistake, not the user's.
    pub fn go_on(&mut self, more: &[Vec<f64>]) {
        let running = self.running();
        let each = more.first().map_or(0, Vec::len);
        assert!(more.len() == running.len() && more.iter().all(|values| values.len() == each));
        for (runner, values) in running.into_iter().zip(more) {
            self.sums[runner] += values.iter().sum::<f64>();
        }
        self.values += each;
        self.look();
    }

    /// Drops whoever is behind another by more than the pair's bound: mean_i < mean_l - W_il, with
    /// W_il = max(0, d/(2r) (h^2 S_il^2/d^2 - r)).
    fn look(&mut self) {
        let running = self.running();
        let mut beaten = Vec::new();
        for i in &running {
            let ahead = |l: &&usize| {
                let bound = (self.reach[*i][**l] - self.indifference * self.values as f64).max(0.0) / 2.0;
                self.sums[**l] - self.sums[*i] - bound
            };
            let by = running.iter().filter(|l| *l != i).max_by(|a, b| ahead(a).total_cmp(&ahead(b)));
            if let Some(by) = by.filter(|l| ahead(l) > 0.0) {
                beaten.push((*i, *by));
            }
        }
        for (i, by) in beaten {
            self.dropped[i] = Some(Drop { after: self.values, by });
        }
    }

    /// Values of each after which it is decided whatever comes: the most of N_il + 1 over those still in it.
    pub fn decided_after(&self) -> usize {
        let running = self.running();
        let pairs = running.iter().flat_map(|i| running.iter().map(|l| self.reach[*i][*l]));
        let most = pairs.fold(0.0, f64::max); // its own differences have no spread
        ((most / self.indifference).floor() as usize).saturating_add(1)
    }

    pub fn is_decided(&self) -> bool {
        self.running().len() < 2 || self.values >= self.decided_after()
    }

    /// Whoever leads; several that are exactly alike.
    pub fn leaders(&self) -> Vec<usize> {
        let running = self.running();
        let most = running.iter().map(|i| self.sums[*i]).fold(f64::NEG_INFINITY, f64::max);
        running.into_iter().filter(|i| self.sums[*i] >= most).collect()
    }

    /// Values of each that is still in it.
    pub fn values(&self) -> usize {
        self.values
    }

    pub fn dropped(&self, runner: usize) -> Option<Drop> {
        self.dropped[runner]
    }
}

/// The next look after one at so many values: ten more, a tenth more when there are many, never beyond where
/// it is decided anyhow. It depends on nothing that the values decide but the spreads of the first stage.
pub fn next_look(race: &Race) -> usize {
    let step = (race.values / 100 * 10).max(10);
    (race.values + step).min(race.decided_after().max(race.values + 1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::{Purpose, Stream};
    use crate::numbers::{integrate_to_infinity, normal};

    fn terms(runners: usize, confidence: f64, first: usize) -> Terms {
        Terms { runners, confidence, indifference: 1.0, first }
    }

    /// The equation that the paper gives for eta, from outside: E[exp(-eta X)]/2 over X chi-square with n0 - 1
    /// degrees of freedom is (1 - confidence)/(k - 1). The density is integrated, by the log of a gamma function.
    #[test]
    fn eta_solves_the_equation_of_the_procedure() {
        for (runners, confidence, first) in [(2, 0.95, 20), (4, 0.95, 10), (10, 0.9, 24), (100, 0.99, 20)] {
            let eta = terms(runners, confidence, first).eta().unwrap();
            let half = (first - 1) as f64 / 2.0;
            let density = |x: f64| {
                let log = (half - 1.0) * libm::log(x) - x / 2.0 - half * libm::log(2.0) - libm::lgamma(half);
                libm::exp(log - eta * x)
            };
            let found = integrate_to_infinity(density, 0.0, 10.0, 1e-12).value / 2.0;
            let wanted = (1.0 - confidence) / (runners - 1) as f64;
            assert!((found / wanted - 1.0).abs() < 1e-9, "{found} for {wanted}");
        }
    }

    /// By hand from the closed form, k = 2, 95 %, n0 = 10: 0.1^(-2/9) = 1.668101, eta 0.334050, h^2 6.01291.
    #[test]
    fn the_constants_of_two_are_those_worked_by_hand() {
        let two = terms(2, 0.95, 10);
        assert!((two.eta().unwrap() - 0.334_050).abs() < 1e-6);
        assert!((two.h_squared().unwrap() - 6.012_91).abs() < 1e-4);
    }

    #[test]
    fn terms_that_promise_nothing_are_refused() {
        assert_eq!(terms(1, 0.95, 20).eta(), None);
        assert_eq!(terms(2, 0.5, 20).eta(), None);
        assert_eq!(terms(2, 1.0, 20).eta(), None);
        assert_eq!(terms(2, 0.95, 1).eta(), None);
        assert_eq!(Terms { indifference: 0.0, ..terms(2, 0.95, 20) }.eta(), None);
        assert_eq!(Race::begin(&terms(2, 0.95, 3), &[vec![1.0; 3], vec![1.0; 2]]), None);
    }

    /// By hand: eta = (0.1^-1 - 1)/2 = 4.5, h^2 = 18. Differences 2, 4, 3 have variance 1: at three values the bound of
    /// the sum is (18 - 3)/2 = 7.5, and the lead is 9: dropped. Differences 1, 4, 2.5 have variance 2.25, h^2 S^2 = 40.5,
    /// N = 40: the bound is 18.75, and a lead of 7.5 goes on. At 25 values it is 7.75, at 26 it is 7.25: dropped.
    #[test]
    fn a_race_of_two_goes_as_worked_by_hand() {
        let race = Race::begin(&terms(2, 0.95, 3), &[vec![1.0, 1.0, 1.0], vec![3.0, 5.0, 4.0]]).unwrap();
        assert_eq!(race.dropped(0), Some(Drop { after: 3, by: 1 }));
        assert_eq!((race.leaders(), race.is_decided()), (vec![1], true));
        let mut race = Race::begin(&terms(2, 0.95, 3), &[vec![1.0, 1.0, 1.0], vec![2.0, 5.0, 3.5]]).unwrap();
        assert_eq!((race.running(), race.decided_after()), (vec![0, 1], 41));
        race.go_on(&[vec![0.0; 22], vec![0.0; 22]]);
        assert_eq!((race.running(), race.is_decided()), (vec![0, 1], false));
        race.go_on(&[vec![0.0], vec![0.0]]);
        assert_eq!(race.dropped(0), Some(Drop { after: 26, by: 1 }));
    }

    #[test]
    fn runners_exactly_alike_are_left_together_and_decided_at_once() {
        let race = Race::begin(&terms(3, 0.95, 3), &[[1.0, 2.0, 3.0]; 3].map(Vec::from)).unwrap();
        assert_eq!((race.leaders(), race.is_decided()), (vec![0, 1, 2], true));
    }

    /// One race on normal values with the same spread, a shared day in each, and the last ahead of all others by
    /// exactly the indifference (the slippage configuration: the hardest case). Is the last taken, and after how
    /// many values in all?
    fn taken(trial: u32, runners: usize, shared: f64) -> (bool, usize) {
        let terms = terms(runners, 0.9, 20);
        let stream = |name: &str| Stream::new(7, trial, Purpose::Resample, name);
        let streams: Vec<Stream> = (0..runners).map(|i| stream(&format!("own {i}"))).collect();
        let day = stream("day");
        let z = |of: &Stream, k: usize| normal::quantile(of.uniform(k as u64, 0));
        let value = |i: usize, k: usize| {
            let lead = if i + 1 == runners { 1.0 } else { 0.0 };
            lead + 4.0 * (shared.sqrt() * z(&day, k) + (1.0 - shared).sqrt() * z(&streams[i], k))
        };
        let values = |i: usize, from: usize, to: usize| (from..to).map(|k| value(i, k)).collect::<Vec<f64>>();
        let first: Vec<Vec<f64>> = (0..runners).map(|i| values(i, 0, 20)).collect();
        let mut race = Race::begin(&terms, &first).unwrap();
        let mut spent = 20 * runners;
        while !race.is_decided() {
            let (from, to) = (race.values(), next_look(&race));
            let more: Vec<Vec<f64>> = race.running().into_iter().map(|i| values(i, from, to)).collect();
            spent += (to - from) * more.len();
            race.go_on(&more);
        }
        (race.leaders() == [runners - 1], spent)
    }

    /// 500 races each, in the hardest case: the share that takes the best is at least the promised 90 % less
    /// three standard errors (0.0134 each).
    #[test]
    fn the_best_is_taken_as_often_as_promised_in_the_hardest_case() {
        let mut spent = Vec::new();
        for (runners, shared) in [(2, 0.0), (5, 0.0), (5, 0.75)] {
            let races: Vec<(bool, usize)> = (0..500).map(|trial| taken(trial, runners, shared)).collect();
            let right = races.iter().filter(|(best, _)| *best).count() as f64 / 500.0;
            assert!(right >= 0.9 - 3.0 * 0.0134, "{right} with {runners} and {shared} shared");
            spent.push(races.iter().map(|(_, n)| n).sum::<usize>() as f64 / 500.0);
        }
        // Days that are shared leave a quarter of the variance of differences: far fewer values are needed.
        assert!(spent[2] < spent[1] / 2.0, "{spent:?}");
    }
}
