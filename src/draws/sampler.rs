//! From a distribution as data to draws: constants worked out once, then one match per draw.
//!
//! Everything but gamma, PERT and Erlang is the quantile of one uniform, rising with it: the same unit
//! has the same good or bad day even where a layout changes the law.

use super::bounded::{Pert, Triangular, Uniform};
use super::found::Found;
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
    /// The quantile of one uniform.
    Inverted(Inverted),
    Pert(Pert),
    Gamma(Gamma),
    Erlang(Erlang),
    /// A sum of draws.
    Found(Box<Found>),
}

#[derive(Clone, Debug)]
enum Inverted {
    Triangular(Triangular),
    Uniform(Uniform),
    CutNormal(CutNormal),
    Lognormal(Lognormal),
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
            Law::Inverted(law) => law.at(stream.uniform(index, visit)),
            Law::Pert(law) => law.draw(stream, index, visit),
            Law::Gamma(law) => law.draw(stream, index, visit),
            Law::Erlang(law) => law.draw(stream, index, visit),
            Law::Found(law) => law.draw(stream, (index, visit), 0),
        }
    }

    /// Draws of consecutive indices from `first` on, bit for bit those of [`Sampler::draw`]: about twice
    /// as fast each, for the processor works on several at once.
    pub fn fill<const N: usize>(&self, stream: &Stream, first: u64, visit: u32, draws: &mut [f64; N]) {
        match &self.law {
            Law::Constant(value) => draws.fill(*value),
            Law::Inverted(law) => {
                // Two passes: blocks of several draws overlap, and so do their quantiles.
                each(draws, first, |index| stream.uniform(index, visit));
                law.all_at(draws);
            }
            Law::Pert(law) => each(draws, first, |index| law.draw(stream, index, visit)),
            Law::Gamma(law) => each(draws, first, |index| law.draw(stream, index, visit)),
            Law::Erlang(law) => each(draws, first, |index| law.draw(stream, index, visit)),
            Law::Found(law) => each(draws, first, |index| law.draw(stream, (index, visit), 0)),
        }
    }

    /// As [`Sampler::draw`], of a unit that has so many faults more; of a time that is not one of faults the same.
    pub fn draw_with(&self, stream: &Stream, (index, visit): (u64, u32), more: u32) -> f64 {
        match &self.law {
            Law::Found(law) => law.draw(stream, (index, visit), more),
            Law::Constant(_) | Law::Inverted(_) | Law::Pert(_) | Law::Gamma(_) | Law::Erlang(_) => {
                self.draw(stream, index, visit)
            }
        }
    }

    /// Faults that the unit of that index has, `more` besides those drawn, and those of them that take this time;
    /// `None` for a time that is not one of faults.
    pub fn faults(&self, stream: &Stream, index: u64, more: u32) -> Option<(u32, u32)> {
        match &self.law {
            Law::Found(law) => {
                let found = law.faults(stream, index) + more;
                Some((found, law.taken.of(found)))
            }
            Law::Constant(_) | Law::Inverted(_) | Law::Pert(_) | Law::Gamma(_) | Law::Erlang(_) => None,
        }
    }

    /// Exact mean, microseconds.
    pub fn mean(&self) -> f64 {
        match &self.law {
            Law::Constant(value) => *value,
            Law::Inverted(law) => law.mean(),
            Law::Pert(law) => law.mean(),
            Law::Gamma(law) => law.mean(),
            Law::Erlang(law) => law.mean(),
            Law::Found(law) => law.mean(),
        }
    }

    /// Exact variance, square microseconds.
    pub fn variance(&self) -> f64 {
        match &self.law {
            Law::Constant(_) => 0.0,
            Law::Inverted(law) => law.variance(),
            Law::Pert(law) => law.variance(),
            Law::Gamma(law) => law.variance(),
            Law::Erlang(law) => law.variance(),
            Law::Found(law) => law.variance(),
        }
    }

    /// The least x with P(X <= x) >= `p`, microseconds; NaN for a `p` outside [0, 1].
    pub fn quantile(&self, p: f64) -> f64 {
        if !(0.0..=1.0).contains(&p) {
            return f64::NAN;
        }
        match &self.law {
            Law::Constant(value) => *value,
            Law::Inverted(law) => law.at(p),
            Law::Pert(law) => law.at(p),
            Law::Gamma(law) => law.at(p),
            Law::Erlang(law) => law.at(p),
            Law::Found(law) => law.at(p),
        }
    }

    /// P(X <= `x`), `x` in microseconds.
    pub fn cdf(&self, x: f64) -> f64 {
        match &self.law {
            Law::Constant(value) => f64::from(u8::from(x >= *value)),
            Law::Inverted(law) => law.cdf(x),
            Law::Pert(law) => law.cdf(x),
            Law::Gamma(law) => law.cdf(x),
            Law::Erlang(law) => law.cdf(x),
            Law::Found(law) => law.cdf(x),
        }
    }

    /// Mass of a normal that the cut at 0 took away; 0 for every other law.
    pub fn cut_mass(&self) -> f64 {
        if let Law::Inverted(Inverted::CutNormal(law)) = &self.law { law.cut_mass() } else { 0.0 }
    }
}

impl Inverted {
    #[inline]
    fn at(&self, p: f64) -> f64 {
        match self {
            Inverted::Triangular(law) => law.at(p),
            Inverted::Uniform(law) => law.at(p),
            Inverted::CutNormal(law) => law.at(p),
            Inverted::Lognormal(law) => law.at(p),
            Inverted::Exponential(law) => law.at(p),
            Inverted::Weibull(law) => law.at(p),
            Inverted::OneOf(law) => law.at(p),
            Inverted::Observed(law) => law.at(p),
        }
    }

    /// Replaces every uniform by its quantile; the match stands outside the loop.
    fn all_at<const N: usize>(&self, uniforms: &mut [f64; N]) {
        match self {
            Inverted::Triangular(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
            Inverted::Uniform(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
            Inverted::CutNormal(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
            Inverted::Lognormal(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
            Inverted::Exponential(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
            Inverted::Weibull(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
            Inverted::OneOf(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
            Inverted::Observed(law) => uniforms.iter_mut().for_each(|u| *u = law.at(*u)),
        }
    }

    fn mean(&self) -> f64 {
        match self {
            Inverted::Triangular(law) => law.mean(),
            Inverted::Uniform(law) => law.mean(),
            Inverted::CutNormal(law) => law.mean(),
            Inverted::Lognormal(law) => law.mean(),
            Inverted::Exponential(law) => law.mean(),
            Inverted::Weibull(law) => law.mean(),
            Inverted::OneOf(law) => law.mean(),
            Inverted::Observed(law) => law.mean(),
        }
    }

    fn variance(&self) -> f64 {
        match self {
            Inverted::Triangular(law) => law.variance(),
            Inverted::Uniform(law) => law.variance(),
            Inverted::CutNormal(law) => law.variance(),
            Inverted::Lognormal(law) => law.variance(),
            Inverted::Exponential(law) => law.variance(),
            Inverted::Weibull(law) => law.variance(),
            Inverted::OneOf(law) => law.variance(),
            Inverted::Observed(law) => law.variance(),
        }
    }

    fn cdf(&self, x: f64) -> f64 {
        match self {
            Inverted::Triangular(law) => law.cdf(x),
            Inverted::Uniform(law) => law.cdf(x),
            Inverted::CutNormal(law) => law.cdf(x),
            Inverted::Lognormal(law) => law.cdf(x),
            Inverted::Exponential(law) => law.cdf(x),
            Inverted::Weibull(law) => law.cdf(x),
            Inverted::OneOf(law) => law.cdf(x),
            Inverted::Observed(law) => law.cdf(x),
        }
    }
}

impl Law {
    fn of(shape: &Shape) -> Law {
        match *shape {
            Shape::Constant { value } => Law::Constant(value),
            Shape::Triangular { low, high, .. } if low == high => Law::Constant(low),
            Shape::Triangular { low, mode, high } => {
                Law::Inverted(Inverted::Triangular(Triangular::new(low, mode, high)))
            }
            Shape::Pert { low, high, .. } if low == high => Law::Constant(low),
            Shape::Pert { low, mode, high } => Law::Pert(Pert::new(low, mode, high)),
            Shape::Uniform { low, high } if low == high => Law::Constant(low),
            Shape::Uniform { low, high } => Law::Inverted(Inverted::Uniform(Uniform { low, high })),
            Shape::Normal { mean, sd } if no_spread(mean, sd) => Law::Constant(mean),
            Shape::Normal { mean, sd } => Law::Inverted(Inverted::CutNormal(CutNormal::new(mean, sd))),
            Shape::Lognormal { mean, sd } if mean <= 0.0 || no_spread(mean, sd) => Law::Constant(mean),
            Shape::Lognormal { mean, sd } => Law::Inverted(Inverted::Lognormal(Lognormal::new(mean, sd))),
            Shape::Gamma { mean, sd } if mean <= 0.0 || no_spread(mean, sd) => Law::Constant(mean),
            Shape::Gamma { mean, sd } if mean == sd => {
                Law::Inverted(Inverted::Exponential(Exponential { mean }))
            }
            Shape::Gamma { mean, sd } => {
                let cv = sd / mean;
                Law::Gamma(Gamma::new(1.0 / (cv * cv), mean * cv * cv))
            }
            Shape::Erlang { mean, .. } | Shape::Exponential { mean } | Shape::Weibull { mean, .. }
                if mean == 0.0 =>
            {
                Law::Constant(0.0)
            }
            Shape::Erlang { stages, mean } if stages <= 1 => {
                Law::Inverted(Inverted::Exponential(Exponential { mean }))
            }
            Shape::Erlang { stages, mean } if stages <= Erlang::MOST_STAGES => {
                Law::Erlang(Erlang::new(stages, mean))
            }
            Shape::Erlang { stages, mean } => {
                Law::Gamma(Gamma::new(f64::from(stages), mean / f64::from(stages)))
            }
            Shape::Exponential { mean } => Law::Inverted(Inverted::Exponential(Exponential { mean })),
            Shape::Weibull { shape, mean } => Law::Inverted(Inverted::Weibull(Weibull::new(shape, mean))),
            Shape::OneOf { ref values } => Law::Inverted(Inverted::OneOf(OneOf::new(values))),
            Shape::Observed { ref values } => Law::Inverted(Inverted::Observed(Observed::new(values))),
            Shape::Faults(ref faults) => Law::Found(Box::new(Found::new(faults))),
        }
    }
}

/// Counted, so that the loop is unrolled and the multiplications of several blocks overlap.
#[inline]
fn each<const N: usize>(draws: &mut [f64; N], first: u64, draw: impl Fn(u64) -> f64) {
    for (k, value) in draws.iter_mut().enumerate() {
        *value = draw(first.wrapping_add(k as u64));
    }
}

/// Whether a spread is 0 or too small for the mean to notice as a float.
fn no_spread(mean: f64, sd: f64) -> bool {
    sd <= 0.0 || mean + sd == mean
}
