//! Times out of a list: one of several by share, and observed values, each as likely.

/// Values in rising order with the probability of being at most each.
#[derive(Clone, Debug)]
pub(super) struct OneOf {
    values: Vec<f64>,
    cumulative: Vec<f64>,
}

impl OneOf {
    /// Shares are taken relative to their sum, so that rounded percentages lose nothing.
    pub fn new(choices: &[(f64, f64)]) -> OneOf {
        let mut sorted = choices.to_vec();
        // In rising order a large uniform is a long time here as in every other law.
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let total: f64 = sorted.iter().map(|(_, share)| share).sum();
        let mut so_far = 0.0;
        let mut one_of = OneOf { values: Vec::new(), cumulative: Vec::new() };
        for (value, share) in sorted {
            so_far += share / total;
            one_of.values.push(value);
            one_of.cumulative.push(so_far);
        }
        if let Some(last) = one_of.cumulative.last_mut() {
            *last = 1.0;
        }
        one_of
    }

    /// Smallest value whose cumulative share reaches `p`.
    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        let place = self.cumulative.iter().position(|c| p <= *c);
        self.values[place.unwrap_or(self.values.len() - 1)]
    }

    fn weighted(&self, f: impl Fn(f64) -> f64) -> f64 {
        let mut below = 0.0;
        let mut sum = 0.0;
        for (value, cumulative) in self.values.iter().zip(&self.cumulative) {
            sum += f(*value) * (cumulative - below);
            below = *cumulative;
        }
        sum
    }

    pub fn mean(&self) -> f64 {
        self.weighted(|v| v)
    }

    pub fn variance(&self) -> f64 {
        let mean = self.mean();
        self.weighted(|v| (v - mean) * (v - mean))
    }

    pub fn cdf(&self, x: f64) -> f64 {
        let upto = self.values.partition_point(|v| *v <= x);
        if upto == 0 { 0.0 } else { self.cumulative[upto - 1] }
    }
}

/// Observed values in rising order, never empty.
#[derive(Clone, Debug)]
pub(super) struct Observed {
    values: Vec<f64>,
}

impl Observed {
    pub fn new(values: &[f64]) -> Observed {
        let mut values = values.to_vec();
        values.sort_by(f64::total_cmp);
        Observed { values }
    }

    /// The value of rank ceil(p n), at least 1: each value for an equal part of the uniforms.
    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        let rank = libm::ceil(p * self.values.len() as f64) as usize;
        self.values[rank.clamp(1, self.values.len()) - 1]
    }

    pub fn mean(&self) -> f64 {
        self.values.iter().sum::<f64>() / self.values.len() as f64
    }

    /// Of the empirical distribution: divisor n, for it is the law that is drawn from.
    pub fn variance(&self) -> f64 {
        let mean = self.mean();
        self.values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / self.values.len() as f64
    }

    pub fn cdf(&self, x: f64) -> f64 {
        self.values.partition_point(|v| *v <= x) as f64 / self.values.len() as f64
    }
}
