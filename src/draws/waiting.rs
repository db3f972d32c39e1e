//! Times without an upper bound that start at 0: exponential, Erlang, gamma, Weibull.

use rand_distr::{Distribution, Gamma as Rejection};

use super::det::{Det, DrawWords};
use super::stream::Stream;
use crate::numbers::gamma;

#[derive(Clone, Debug)]
pub(super) struct Exponential {
    pub mean: f64,
}

impl Exponential {
    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        -self.mean * libm::log(1.0 - p)
    }

    pub fn mean(&self) -> f64 {
        self.mean
    }

    pub fn variance(&self) -> f64 {
        self.mean * self.mean
    }

    pub fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 { 0.0 } else { -libm::expm1(-x / self.mean) }
    }
}

/// Sum of a few exponentials as the logarithm of one product.
#[derive(Clone, Debug)]
pub(super) struct Erlang {
    stages: u32,
    /// Mean of one stage.
    scale: f64,
}

impl Erlang {
    /// Most stages drawn one by one: above, gamma's rejection is quicker. The product of so many
    /// uniforms stays above 2^-216, far from underflow.
    pub const MOST_STAGES: u32 = 4;

    pub fn new(stages: u32, mean: f64) -> Erlang {
        Erlang { stages, scale: mean / f64::from(stages) }
    }

    #[inline]
    pub fn draw(&self, stream: &Stream, index: u64, visit: u32) -> f64 {
        let mut product = 1.0;
        for block in 0..self.stages / 2 {
            let (u, v) = stream.two_uniforms(index, visit, block);
            product *= (1.0 - u) * (1.0 - v);
        }
        if self.stages % 2 == 1 {
            product *= 1.0 - stream.two_uniforms(index, visit, self.stages / 2).0;
        }
        -self.scale * libm::log(product)
    }

    pub fn at(&self, p: f64) -> f64 {
        self.scale * gamma::quantile(f64::from(self.stages), p)
    }

    pub fn mean(&self) -> f64 {
        self.scale * f64::from(self.stages)
    }

    pub fn variance(&self) -> f64 {
        self.scale * self.mean()
    }

    pub fn cdf(&self, x: f64) -> f64 {
        gamma::cdf(f64::from(self.stages), x / self.scale)
    }
}

#[derive(Clone, Debug)]
pub(super) struct Gamma {
    shape: f64,
    scale: f64,
    rejection: Rejection<Det>,
}

impl Gamma {
    /// From shape and scale, both positive and finite.
    pub fn new(shape: f64, scale: f64) -> Gamma {
        let rejection =
            Rejection::new(Det(shape), Det(scale)).expect("shape and scale are positive and finite");
        Gamma { shape, scale, rejection }
    }

    /// Marsaglia & Tsang's rejection (2000), as `rand_distr` has it.
    #[inline]
    pub fn draw(&self, stream: &Stream, index: u64, visit: u32) -> f64 {
        self.rejection.sample(&mut DrawWords::new(stream, index, visit)).0
    }

    pub fn at(&self, p: f64) -> f64 {
        self.scale * gamma::quantile(self.shape, p)
    }

    pub fn mean(&self) -> f64 {
        self.shape * self.scale
    }

    pub fn variance(&self) -> f64 {
        self.shape * self.scale * self.scale
    }

    pub fn cdf(&self, x: f64) -> f64 {
        gamma::cdf(self.shape, x / self.scale)
    }
}

/// scale x E^(1/shape) with E exponential of mean 1; scale = mean / gamma(1 + 1/shape).
#[derive(Clone, Debug)]
pub(super) struct Weibull {
    mean: f64,
    /// 1/shape.
    power: f64,
    ln_scale: f64,
}

impl Weibull {
    pub fn new(shape: f64, mean: f64) -> Weibull {
        let power = 1.0 / shape;
        Weibull { mean, power, ln_scale: libm::log(mean) - libm::lgamma(1.0 + power) }
    }

    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        let e = -libm::log(1.0 - p);
        libm::exp(self.ln_scale + self.power * libm::log(e))
    }

    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// mean^2 (gamma(1 + 2/k)/gamma(1 + 1/k)^2 - 1).
    pub fn variance(&self) -> f64 {
        self.mean * self.mean * libm::expm1(log_square_ratio(self.power))
    }

    pub fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return 0.0;
        }
        let hazard = libm::exp((libm::log(x) - self.ln_scale) / self.power);
        -libm::expm1(-hazard)
    }
}

/// ln [gamma(1 + 2x)/gamma(1 + x)^2]; near 0, where the logarithms cancel, by the series of
/// ln gamma(1 + x) in zeta(k) (Abramowitz & Stegun 6.1.33).
fn log_square_ratio(x: f64) -> f64 {
    if x > 0.03 {
        return libm::lgamma(1.0 + 2.0 * x) - 2.0 * libm::lgamma(1.0 + x);
    }
    // zeta(2), zeta(3), ...: term k is zeta(k) (-x)^k (2^k - 2)/k.
    const ZETA: [f64; 10] = [
        1.644_934_066_848_226_4,
        1.202_056_903_159_594_2,
        1.082_323_233_711_138_2,
        1.036_927_755_143_37,
        1.017_343_061_984_449,
        1.008_349_277_381_922_8,
        1.004_077_356_197_944_3,
        1.002_008_392_826_082_2,
        1.000_994_575_127_818,
        1.000_494_188_604_119_5,
    ];
    let (mut sum, mut power, mut twos) = (0.0, -x, 2.0);
    for (i, zeta) in ZETA.iter().enumerate() {
        power *= -x;
        twos *= 2.0;
        sum += zeta * power * (twos - 2.0) / (i as f64 + 2.0);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numbers::assert_close;

    #[test]
    fn the_series_near_zero_meets_the_logarithms() {
        for x in [0.029_999, 0.03] {
            let direct = libm::lgamma(1.0 + 2.0 * x) - 2.0 * libm::lgamma(1.0 + x);
            assert_close(log_square_ratio(x), direct, 1e-12, &format!("x = {x}"));
        }
    }
}
