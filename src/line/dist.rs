//! Time distributions as data. Sampling and moments live in `draws`.

use crate::units::Time;

/// How long something takes. All parameters are microseconds unless named otherwise.
#[derive(Clone, PartialEq, Debug)]
pub enum Shape {
    /// Always the same.
    Constant {
        value: f64,
    },
    /// Low, mode, high (triangular density).
    Triangular {
        low: f64,
        mode: f64,
        high: f64,
    },
    /// PERT-beta with shape 4: alpha = 1 + 4 (mode - low)/(high - low), beta likewise (Malcolm et al. 1959).
    Pert {
        low: f64,
        mode: f64,
        high: f64,
    },
    Uniform {
        low: f64,
        high: f64,
    },
    /// Normal cut at 0 and renormalised; `mean` and `sd` are those typed, before the cut.
    Normal {
        mean: f64,
        sd: f64,
    },
    Lognormal {
        mean: f64,
        sd: f64,
    },
    Gamma {
        mean: f64,
        sd: f64,
    },
    /// Sum of `stages` exponentials; `stages` >= 1.
    Erlang {
        stages: u32,
        mean: f64,
    },
    Exponential {
        mean: f64,
    },
    /// `shape` is the Weibull exponent (no unit); the scale follows from the mean.
    Weibull {
        shape: f64,
        mean: f64,
    },
    /// (value, share); shares sum to 1.
    OneOf {
        values: Vec<(f64, f64)>,
    },
    /// The empirical distribution of the values (each as likely), sorted upwards, never empty.
    Observed {
        values: Vec<f64>,
    },
    /// What a gate finds in a unit, mended one after another.
    Faults(Box<Faults>),
}

/// A Poisson number of faults, each with a time of its own; 0 where there is none.
#[derive(Clone, PartialEq, Debug)]
pub struct Faults {
    /// Faults per unit.
    pub mean: f64,
    pub taken: Taken,
    /// The time of one.
    pub each: Dist,
}

/// Which of a unit's faults are meant.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Taken {
    All,
    /// Those beyond so many.
    Beyond(u32),
    /// So many at most.
    UpTo(u32),
}

impl Taken {
    /// How many of the faults found.
    pub fn of(self, found: u32) -> u32 {
        match self {
            Taken::All => found,
            Taken::Beyond(most) => found.saturating_sub(most),
            Taken::UpTo(most) => found.min(most),
        }
    }
}

/// A shape and the number of timings behind it, where the file says so.
#[derive(Clone, PartialEq, Debug)]
pub struct Dist {
    pub shape: Shape,
    /// `from n timings`; for `observed` the number of values read.
    pub timings: Option<u32>,
}

impl Dist {
    pub fn constant(value: Time) -> Dist {
        Dist { shape: Shape::Constant { value: value.0 as f64 }, timings: None }
    }

    /// The value of a constant, where nothing is drawn.
    pub fn as_constant(&self) -> Option<f64> {
        match self.shape {
            Shape::Constant { value } => Some(value),
            _ => None,
        }
    }

    /// The longest that can be drawn, microseconds; `None` where there is no such bound.
    pub fn longest(&self) -> Option<f64> {
        match &self.shape {
            Shape::Constant { value } => Some(*value),
            Shape::Triangular { high, .. } | Shape::Pert { high, .. } | Shape::Uniform { high, .. } => {
                Some(*high)
            }
            Shape::OneOf { values } => values.iter().map(|(value, _)| *value).reduce(f64::max),
            Shape::Observed { values } => values.iter().copied().reduce(f64::max),
            Shape::Normal { .. }
            | Shape::Lognormal { .. }
            | Shape::Gamma { .. }
            | Shape::Erlang { .. }
            | Shape::Exponential { .. }
            | Shape::Weibull { .. }
            | Shape::Faults(_) => None,
        }
    }

    /// What a gate finds, where that is what takes the time.
    pub fn faults(&self) -> Option<&Faults> {
        match &self.shape {
            Shape::Faults(faults) => Some(faults),
            _ => None,
        }
    }
}
