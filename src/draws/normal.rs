//! Normal cut at 0 and renormalised, and lognormal: both one uniform through AS 241.

use crate::numbers::normal;

#[derive(Clone, Debug)]
pub(super) struct CutNormal {
    /// Before the cut, as typed.
    mean: f64,
    sd: f64,
    /// Mass below 0 and above, before the cut.
    cut: f64,
    kept: f64,
}

impl CutNormal {
    pub fn new(mean: f64, sd: f64) -> CutNormal {
        let z = mean / sd;
        CutNormal { mean, sd, cut: normal::tail(z), kept: normal::cdf(z) }
    }

    pub fn cut_mass(&self) -> f64 {
        self.cut
    }

    /// Through the upper tail, which keeps its digits: (1 - p) of what is kept lies above.
    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        let above = (1.0 - p) * self.kept;
        (self.mean - self.sd * normal::quantile(above)).max(0.0)
    }

    /// Inverse Mills ratio phi(a)/Q(a) at the cut a = -mean/sd.
    fn hazard(&self) -> f64 {
        normal::density(self.mean / self.sd) / self.kept
    }

    /// After the cut: m + s h, with h the hazard (Johnson, Kotz & Balakrishnan, Continuous Univariate
    /// Distributions 1 (1994), section 10.1).
    pub fn mean(&self) -> f64 {
        self.mean + self.sd * self.hazard()
    }

    /// After the cut: s^2 (1 + a h - h^2), a = -m/s (same source).
    pub fn variance(&self) -> f64 {
        let (h, a) = (self.hazard(), -self.mean / self.sd);
        self.sd * self.sd * (1.0 + h * (a - h))
    }

    pub fn cdf(&self, x: f64) -> f64 {
        if x < 0.0 {
            return 0.0;
        }
        let z = (x - self.mean) / self.sd;
        if z < 0.0 {
            ((normal::cdf(z) - self.cut) / self.kept).max(0.0)
        } else {
            1.0 - normal::tail(z) / self.kept
        }
    }
}

/// exp(mu + sigma Z) with sigma^2 = ln(1 + sd^2/mean^2), mu = ln mean - sigma^2/2.
#[derive(Clone, Debug)]
pub(super) struct Lognormal {
    mean: f64,
    sd: f64,
    mu: f64,
    sigma: f64,
}

impl Lognormal {
    pub fn new(mean: f64, sd: f64) -> Lognormal {
        let cv = sd / mean;
        let sigma_squared = libm::log1p(cv * cv);
        Lognormal { mean, sd, mu: libm::log(mean) - sigma_squared / 2.0, sigma: sigma_squared.sqrt() }
    }

    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        libm::exp(self.mu + self.sigma * normal::quantile(p))
    }

    pub fn mean(&self) -> f64 {
        self.mean
    }

    pub fn variance(&self) -> f64 {
        self.sd * self.sd
    }

    pub fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 { 0.0 } else { normal::cdf((libm::log(x) - self.mu) / self.sigma) }
    }
}
