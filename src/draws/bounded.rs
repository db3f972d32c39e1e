//! Times between two bounds: uniform, triangular, PERT-beta. All need `low` < `high`.

use std::hint::select_unpredictable;

use rand_distr::{Distribution, Pert as Rejection};

use super::det::{Det, DrawWords};
use super::stream::Stream;
use crate::numbers::beta;

#[derive(Clone, Debug)]
pub(super) struct Uniform {
    pub low: f64,
    pub high: f64,
}

impl Uniform {
    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        (self.low + (self.high - self.low) * p).min(self.high)
    }

    pub fn mean(&self) -> f64 {
        self.low + (self.high - self.low) / 2.0
    }

    pub fn variance(&self) -> f64 {
        let width = self.high - self.low;
        width * width / 12.0
    }

    pub fn cdf(&self, x: f64) -> f64 {
        ((x - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }
}

#[derive(Clone, Debug)]
pub(super) struct Triangular {
    low: f64,
    high: f64,
    mode: f64,
    /// P(X <= mode).
    split: f64,
    /// width x (mode - low), width x (high - mode): what stands under the two roots.
    rising: f64,
    falling: f64,
}

impl Triangular {
    pub fn new(low: f64, mode: f64, high: f64) -> Triangular {
        let width = high - low;
        Triangular {
            low,
            high,
            mode,
            split: (mode - low) / width,
            rising: width * (mode - low),
            falling: width * (high - mode),
        }
    }

    /// Quantile: low + sqrt(p w (m - low)) up to the mode, high - sqrt((1 - p) w (high - m)) beyond.
    #[inline]
    pub fn at(&self, p: f64) -> f64 {
        // One root and two choices: a branch here would be mispredicted at every other draw, and a plain `if`
        // is made one.
        let rises = p < self.split;
        let root = select_unpredictable(rises, p * self.rising, (1.0 - p) * self.falling).sqrt();
        let (up, down) = (self.low + root, self.high - root);
        let (up, down) =
            (if up < self.mode { up } else { self.mode }, if down > self.mode { down } else { self.mode });
        select_unpredictable(rises, up, down)
    }

    /// (a + b + c)/3.
    pub fn mean(&self) -> f64 {
        self.low + ((self.mode - self.low) + (self.high - self.low)) / 3.0
    }

    /// (a^2 + b^2 + c^2 - ab - ac - bc)/18, written with differences from `low`.
    pub fn variance(&self) -> f64 {
        let (m, w) = (self.mode - self.low, self.high - self.low);
        (m * m + w * w - m * w) / 18.0
    }

    pub fn cdf(&self, x: f64) -> f64 {
        let (below, above) = ((x - self.low).max(0.0), (self.high - x).max(0.0));
        if below == 0.0 {
            0.0
        } else if x < self.mode {
            below * below / self.rising
        } else if above > 0.0 {
            1.0 - above * above / self.falling
        } else {
            1.0
        }
    }
}

/// alpha = 1 + 4 (mode - low)/(high - low), beta likewise, so alpha + beta = 6. Malcolm, Roseboom,
/// Clark & Fazar, "Application of a technique for research and development program evaluation",
/// Operations Research 7 (1959) give the mean.
#[derive(Clone, Debug)]
pub(super) struct Pert {
    low: f64,
    high: f64,
    alpha: f64,
    beta: f64,
    rejection: Rejection<Det>,
}

impl Pert {
    pub fn new(low: f64, mode: f64, high: f64) -> Pert {
        let width = high - low;
        let rejection = Rejection::new(Det(low), Det(high))
            .with_mode(Det(mode))
            .expect("low <= mode <= high and low < high were checked with the line");
        Pert {
            low,
            high,
            alpha: 1.0 + 4.0 * (mode - low) / width,
            beta: 1.0 + 4.0 * (high - mode) / width,
            rejection,
        }
    }

    /// Cheng's rejection (1978), as `rand_distr` has it.
    #[inline]
    pub fn draw(&self, stream: &Stream, index: u64, visit: u32) -> f64 {
        let Det(x) = self.rejection.sample(&mut DrawWords::new(stream, index, visit));
        x.clamp(self.low, self.high)
    }

    pub fn at(&self, p: f64) -> f64 {
        // From the nearer end, so that neither bound is missed by rounding.
        let width = self.high - self.low;
        if p < 0.5 {
            self.low + width * beta::quantile(self.alpha, self.beta, p)
        } else {
            self.high - width * beta::quantile(self.beta, self.alpha, 1.0 - p)
        }
    }

    /// (a + 4 m + b)/6.
    pub fn mean(&self) -> f64 {
        self.low + (self.high - self.low) * self.alpha / 6.0
    }

    /// (mean - a)(b - mean)/7: that of a beta with alpha + beta = 6.
    pub fn variance(&self) -> f64 {
        let width = self.high - self.low;
        (width * self.alpha / 6.0) * (width * self.beta / 6.0) / 7.0
    }

    pub fn cdf(&self, x: f64) -> f64 {
        let width = self.high - self.low;
        let (below, above) = ((x - self.low).max(0.0) / width, (self.high - x).max(0.0) / width);
        beta::cdf_with_complement(self.alpha, self.beta, below, above)
    }
}
