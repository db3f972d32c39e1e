//! One root in a bracket.

/// The x in [low, high] where the monotone `f` changes sign, by halving until the bracket is two
/// neighbouring floats or `f` is 0. `None` where `f` has one sign at both ends.
pub fn bisect(f: impl Fn(f64) -> f64, low: f64, high: f64) -> Option<f64> {
    let (mut low, mut high) = (low, high);
    let (at_low, at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    if at_low.is_nan() || at_high.is_nan() || (at_low < 0.0) == (at_high < 0.0) {
        return None;
    }
    // 1100 halvings take any bracket of floats down to neighbours.
    for _ in 0..1100 {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        let here = f(middle);
        if here == 0.0 {
            return Some(middle);
        }
        if (here < 0.0) == (at_low < 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// Newton's method on an increasing `f`, kept inside a bracket that shrinks with every value seen.
/// `f` returns its value and its slope; `start` lies in [low, high].
pub(super) fn guarded_newton(f: impl Fn(f64) -> (f64, f64), start: f64, low: f64, high: f64) -> f64 {
    let (mut x, mut low, mut high) = (start, low, high);
    for _ in 0..200 {
        let (value, slope) = f(x);
        if value == 0.0 {
            return x;
        }
        if value < 0.0 {
            low = x;
        } else {
            high = x;
        }
        let step = x - value / slope;
        // Newton doubles the digits, so after so short a step nothing is left to gain.
        if (step - x).abs() <= 4.0 * f64::EPSILON * x.abs().max(1.0) {
            return step;
        }
        x = if step > low && step < high { step } else { low + (high - low) / 2.0 };
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halving_finds_the_root_to_the_last_float() {
        let root = bisect(|x| x * x - 2.0, 0.0, 10.0).unwrap();
        assert!((root - 2.0_f64.sqrt()).abs() <= f64::EPSILON * 2.0);
        assert_eq!(bisect(|x| x, -1.0, 0.0), Some(0.0));
        assert_eq!(bisect(|x| x * x + 1.0, -1.0, 1.0), None);
        assert_eq!(bisect(|_| f64::NAN, -1.0, 1.0), None);
    }

    #[test]
    fn newton_stays_inside_its_bracket() {
        // From 3 the free step for atan leaps away; the bracket holds it.
        let root = guarded_newton(|x| (libm::atan(x), 1.0 / (1.0 + x * x)), 3.0, -50.0, 60.0);
        assert!(root.abs() < 1e-15, "{root}");
    }
}
