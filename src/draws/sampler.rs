//! From a distribution as data to draws: constants worked out once, then one match per draw.
//!
//! Everything but gamma, PERT and Erlang is the quantile of one uniform, rising with it: the same unit
//! has the same good or bad day even where a layout changes the law.

use super::bounded::{Pert, Triangular, Uniform};
use super::listed::{Observed, OneOf};
use super::normal::{CutNormal, Lognormal};
use super::stream::Stream;
use super::waiting::{Erlang, Exponential, Gamma, Weibull};
use crate::line::{Dist, Shape};

/// A distribution made ready to draw from; microseconds.
#[derive(Clone, Debug)]
pub struct Sampler {
    law: Law,
}

#[derive(Clone, Debug)]
enum Law {
    Constant(f64),
    Triangular(Triangular),
    Pert(Pert),
    Uniform(Uniform),
    CutNormal(CutNormal),
    Lognormal(Lognormal),
    Gamma(Gamma),
    Erlang(Erlang),
    Exponential(Exponential),
    Weibull(Weibull),
    OneOf(OneOf),
    Observed(Observed),
}

impl Sampler {
    /// Takes a distribution as the checker lets it pass: bounds in order, means and shapes positive,
    /// spreads not negative, lists not empty. A spread of 0, or below the resolution of the mean as
    /// a float, leaves a constant.
    pub fn new(dist: &Dist) -> Sampler {
        Sampler { law: Law::of(&dist.shape) }
    }

    /// The value of a constant, for which nothing is drawn.
    pub fn as_constant(&self) -> Option<f64> {
        if let Law::Constant(value) = self.law { Some(value) } else { None }
    }

    /// One draw in microseconds, not rounded, never negative: `index` says for which unit (or k-th
    /// stop, lot...), `visit` which start of the step on it.
    #[inline]
    pub fn draw(&self, stream: &Stream, index: u64, visit: u32) -> f64 {
        match &self.law {
            Law::Constant(value) => *value,
            Law::Triangular(law) => law.at(stream.uniform(index, visit)),
            Law::Pert(law) => law.draw(stream, index, visit),
            Law::Uniform(law) => law.at(stream.uniform(index, visit)),
            Law::CutNormal(law) => law.at(stream.uniform(index, visit)),
            Law::Lognormal(law) => law.at(stream.uniform(index, visit)),
            Law::Gamma(law) => law.draw(stream, index, visit),
            Law::Erlang(law) => law.draw(stream, index, visit),
            Law::Exponential(law) => law.at(stream.uniform(index, visit)),
            Law::Weibull(law) => law.at(stream.uniform(index, visit)),
            Law::OneOf(law) => law.at(stream.uniform(index, visit)),
            Law::Observed(law) => law.pick(stream.uniform(index, visit)),
        }
    }

    /// Exact mean, microseconds.
    pub fn mean(&self) -> f64 {
        match &self.law {
            Law::Constant(value) => *value,
            Law::Triangular(law) => law.mean(),
            Law::Pert(law) => law.mean(),
            Law::Uniform(law) => law.mean(),
            Law::CutNormal(law) => law.mean(),
            Law::Lognormal(law) => law.mean(),
            Law::Gamma(law) => law.mean(),
            Law::Erlang(law) => law.mean(),
            Law::Exponential(law) => law.mean,
            Law::Weibull(law) => law.mean(),
            Law::OneOf(law) => law.mean(),
            Law::Observed(law) => law.mean(),
        }
    }

    /// Exact variance, square microseconds.
    pub fn variance(&self) -> f64 {
        match &self.law {
            Law::Constant(_) => 0.0,
            Law::Triangular(law) => law.variance(),
            Law::Pert(law) => law.variance(),
            Law::Uniform(law) => law.variance(),
            Law::CutNormal(law) => law.variance(),
            Law::Lognormal(law) => law.variance(),
            Law::Gamma(law) => law.variance(),
            Law::Erlang(law) => law.variance(),
            Law::Exponential(law) => law.variance(),
            Law::Weibull(law) => law.variance(),
            Law::OneOf(law) => law.variance(),
            Law::Observed(law) => law.variance(),
        }
    }

    /// The least x with P(X <= x) >= `p`, microseconds; NaN for a `p` outside [0, 1].
    pub fn quantile(&self, p: f64) -> f64 {
        if !(0.0..=1.0).contains(&p) {
            return f64::NAN;
        }
        match &self.law {
            Law::Constant(value) => *value,
            Law::Triangular(law) => law.at(p),
            Law::Pert(law) => law.at(p),
            Law::Uniform(law) => law.at(p),
            Law::CutNormal(law) => law.at(p),
            Law::Lognormal(law) => law.at(p),
            Law::Gamma(law) => law.at(p),
            Law::Erlang(law) => law.at(p),
            Law::Exponential(law) => law.at(p),
            Law::Weibull(law) => law.at(p),
            Law::OneOf(law) => law.at(p),
            Law::Observed(law) => law.at(p),
        }
    }

    /// P(X <= `x`), `x` in microseconds.
    pub fn cdf(&self, x: f64) -> f64 {
        match &self.law {
            Law::Constant(value) => f64::from(u8::from(x >= *value)),
            Law::Triangular(law) => law.cdf(x),
            Law::Pert(law) => law.cdf(x),
            Law::Uniform(law) => law.cdf(x),
            Law::CutNormal(law) => law.cdf(x),
            Law::Lognormal(law) => law.cdf(x),
            Law::Gamma(law) => law.cdf(x),
            Law::Erlang(law) => law.cdf(x),
            Law::Exponential(law) => law.cdf(x),
            Law::Weibull(law) => law.cdf(x),
            Law::OneOf(law) => law.cdf(x),
            Law::Observed(law) => law.cdf(x),
        }
    }

    /// Mass of a normal that the cut at 0 took away; 0 for every other law.
    pub fn cut_mass(&self) -> f64 {
        match &self.law {
            Law::CutNormal(law) => law.cut_mass(),
            Law::Constant(_)
            | Law::Triangular(_)
            | Law::Pert(_)
            | Law::Uniform(_)
            | Law::Lognormal(_)
            | Law::Gamma(_)
            | Law::Erlang(_)
            | Law::Exponential(_)
            | Law::Weibull(_)
            | Law::OneOf(_)
            | Law::Observed(_) => 0.0,
        }
    }
}

impl Law {
    fn of(shape: &Shape) -> Law {
        match *shape {
            Shape::Constant { value } => Law::Constant(value),
            Shape::Triangular { low, high, .. } if low == high => Law::Constant(low),
            Shape::Triangular { low, mode, high } => Law::Triangular(Triangular::new(low, mode, high)),
            Shape::Pert { low, high, .. } if low == high => Law::Constant(low),
            Shape::Pert { low, mode, high } => Law::Pert(Pert::new(low, mode, high)),
            Shape::Uniform { low, high } if low == high => Law::Constant(low),
            Shape::Uniform { low, high } => Law::Uniform(Uniform { low, high }),
            Shape::Normal { mean, sd } if no_spread(mean, sd) => Law::Constant(mean),
            Shape::Normal { mean, sd } => Law::CutNormal(CutNormal::new(mean, sd)),
            Shape::Lognormal { mean, sd } if mean <= 0.0 || no_spread(mean, sd) => Law::Constant(mean),
            Shape::Lognormal { mean, sd } => Law::Lognormal(Lognormal::new(mean, sd)),
            Shape::Gamma { mean, sd } if mean <= 0.0 || no_spread(mean, sd) => Law::Constant(mean),
            Shape::Gamma { mean, sd } if mean == sd => Law::Exponential(Exponential { mean }),
            Shape::Gamma { mean, sd } => {
                let cv = sd / mean;
                Law::Gamma(Gamma::new(1.0 / (cv * cv), mean * cv * cv))
            }
            Shape::Erlang { mean, .. } | Shape::Exponential { mean } | Shape::Weibull { mean, .. }
                if mean == 0.0 =>
            {
                Law::Constant(0.0)
            }
            Shape::Erlang { stages, mean } if stages <= 1 => Law::Exponential(Exponential { mean }),
            Shape::Erlang { stages, mean } if stages <= Erlang::MOST_STAGES => {
                Law::Erlang(Erlang::new(stages, mean))
            }
            Shape::Erlang { stages, mean } => {
                Law::Gamma(Gamma::new(f64::from(stages), mean / f64::from(stages)))
            }
            Shape::Exponential { mean } => Law::Exponential(Exponential { mean }),
            Shape::Weibull { shape, mean } => Law::Weibull(Weibull::new(shape, mean)),
            Shape::OneOf { ref values } => Law::OneOf(OneOf::new(values)),
            Shape::Observed { ref values } => Law::Observed(Observed::new(values)),
        }
    }
}

/// Whether a spread is 0 or too small for the mean to notice as a float.
fn no_spread(mean: f64, sd: f64) -> bool {
    sd <= 0.0 || mean + sd == mean
}
