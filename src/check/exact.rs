//! Fractions: numbers as typed, without rounding.
//!
//! Takt is net time / demand and must stay exact, and 0.1 + 0.2 must be 0.3 where shares are summed.

use crate::line::Ratio;

/// numerator / denominator, in lowest terms, denominator above 0.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Exact {
    pub numerator: i128,
    pub denominator: i128,
}

impl Exact {
    pub const ZERO: Exact = Exact { numerator: 0, denominator: 1 };
    pub const ONE: Exact = Exact { numerator: 1, denominator: 1 };

    pub fn whole(n: i64) -> Exact {
        Exact { numerator: i128::from(n), denominator: 1 }
    }

    /// In lowest terms. `None` where the denominator is 0 or the sign can't be moved up.
    pub fn new(numerator: i128, denominator: i128) -> Option<Exact> {
        if denominator == 0 {
            return None;
        }
        let (numerator, denominator) = match denominator < 0 {
            true => (numerator.checked_neg()?, denominator.checked_neg()?),
            false => (numerator, denominator),
        };
        let common = greatest_common(numerator.unsigned_abs(), denominator.unsigned_abs());
        let common = i128::try_from(common).ok()?.max(1);
        Some(Exact { numerator: numerator / common, denominator: denominator / common })
    }

    /// The decimal number as typed: digits, perhaps a point and digits.
    pub fn typed(text: &str) -> Option<Exact> {
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = format!("{whole}{part}");
        if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let denominator = 10i128.checked_pow(u32::try_from(part.len()).ok()?)?;
        Exact::new(digits.parse().ok()?, denominator)
    }

    pub fn plus(self, other: Exact) -> Option<Exact> {
        let left = self.numerator.checked_mul(other.denominator)?;
        let right = other.numerator.checked_mul(self.denominator)?;
        Exact::new(left.checked_add(right)?, self.denominator.checked_mul(other.denominator)?)
    }

    pub fn minus(self, other: Exact) -> Option<Exact> {
        self.plus(other.negative()?)
    }

    pub fn times(self, other: Exact) -> Option<Exact> {
        Exact::new(
            self.numerator.checked_mul(other.numerator)?,
            self.denominator.checked_mul(other.denominator)?,
        )
    }

    pub fn over(self, other: Exact) -> Option<Exact> {
        Exact::new(
            self.numerator.checked_mul(other.denominator)?,
            self.denominator.checked_mul(other.numerator)?,
        )
    }

    pub fn negative(self) -> Option<Exact> {
        Some(Exact { numerator: self.numerator.checked_neg()?, denominator: self.denominator })
    }

    pub fn is_whole(self) -> bool {
        self.denominator == 1
    }

    pub fn as_f64(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// Rounded to so many decimals, halves away from 0 (as people round what they type).
    pub fn rounded(self, decimals: u32) -> Option<Exact> {
        let scale = 10i128.checked_pow(decimals)?;
        let twice = self.numerator.checked_mul(scale)?.checked_mul(2)?;
        let half_up = twice.abs().checked_add(self.denominator)?;
        let whole = half_up / self.denominator.checked_mul(2)?;
        Exact::new(if twice < 0 { -whole } else { whole }, scale)
    }

    pub fn ratio(self) -> Ratio {
        Ratio { numerator: self.numerator, denominator: self.denominator }
    }
}

impl PartialOrd for Exact {
    fn partial_cmp(&self, other: &Exact) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Exact {
    fn cmp(&self, other: &Exact) -> std::cmp::Ordering {
        match (self.numerator.checked_mul(other.denominator), other.numerator.checked_mul(self.denominator)) {
            (Some(left), Some(right)) => left.cmp(&right),
            // Too large for the products: the nearest floats decide.
            _ => self.as_f64().total_cmp(&other.as_f64()),
        }
    }
}

fn greatest_common(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str) -> Exact {
        Exact::typed(text).unwrap()
    }

    #[test]
    fn tenths_add_up_without_rounding() {
        assert_eq!(typed("0.1").plus(typed("0.2")), Some(typed("0.3")));
        assert_eq!(typed("18.50"), Exact { numerator: 37, denominator: 2 });
        assert_eq!(typed("7").over(typed("2")).unwrap().as_f64(), 3.5);
        assert_eq!(typed("7").over(Exact::ZERO), None);
    }

    #[test]
    fn rounding_goes_to_the_digits_typed() {
        let takt = typed("445").over(typed("18")).unwrap();
        assert_eq!(takt.rounded(1), Some(typed("24.7")));
        assert_eq!(takt.rounded(2), Some(typed("24.72")));
        assert_eq!(takt.rounded(0), Some(typed("25")));
        assert_eq!(typed("0.25").negative().unwrap().rounded(1), typed("0.3").negative());
    }

    #[test]
    fn what_does_not_fit_is_refused_and_never_wraps() {
        let huge = Exact::whole(i64::MAX);
        let square = huge.times(huge).unwrap();
        assert_eq!(square.times(square), None);
        assert_eq!(Exact::typed(&"9".repeat(60)), None);
        assert_eq!(Exact::typed("1e5"), None);
        assert!(huge > Exact::ONE);
    }
}
