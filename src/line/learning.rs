//! How new people grow faster.

use super::GroupId;
use crate::diagnostic::Span;

/// `learning trainees x 1.6 at first, 85 % with each doubling`: Wright's curve in its unit form (T. P.
/// Wright, "Factors affecting the cost of airplanes", 1936): the n-th unit takes first x n^(log2 rate)
/// times as long as it takes those who know the work, and never less than they take.
#[derive(Clone, PartialEq, Debug)]
pub struct Learning {
    pub group: GroupId,
    /// Factor on the time of the first unit, at least 1.
    pub first: f64,
    /// Share that is left of it with each doubling, above 0 and at most 1.
    pub rate: f64,
    pub span: Span,
}

impl Learning {
    /// Factor on the time of a person's `n`-th unit, n from 1.
    pub fn factor(&self, n: u32) -> f64 {
        (self.first * libm::pow(f64::from(n), libm::log2(self.rate))).max(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(first: f64, rate: f64) -> Learning {
        Learning { group: GroupId(0), first, rate, span: Span::default() }
    }

    /// Unit values of the 80 % curve as tabled in textbooks of operations management (Heizer & Render and
    /// others; from memory): 1, 0.8, 0.7021, 0.64, 0.5956, 0.5617, 0.5345, 0.512, 0.493, 0.4765.
    #[test]
    fn the_unit_curve_is_the_tabled_one() {
        let tabled = [1.0, 0.8, 0.7021, 0.64, 0.5956, 0.5617, 0.5345, 0.512, 0.493, 0.4765];
        for (n, wanted) in (1..).zip(tabled) {
            let found = curve(10.0, 0.8).factor(n) / 10.0;
            assert!((found - wanted).abs() < 6e-5, "unit {n}: {found}");
        }
    }

    #[test]
    fn nobody_gets_faster_than_those_who_know_the_work() {
        assert_eq!(curve(1.5, 0.7).factor(1), 1.5);
        assert_eq!(curve(1.5, 0.7).factor(1_000), 1.0);
        assert_eq!(curve(1.5, 1.0).factor(1_000), 1.5, "a rate of 100 % is no learning");
    }
}
