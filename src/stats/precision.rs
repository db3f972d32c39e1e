//! How many replications: when a run may look whether it has enough, and how many more would tell.

use crate::numbers::student;

/// Replications of the first look, and the fewest that any interval rests on.
pub const FIRST_LOOK: usize = 20;

/// The looks of a run that stops itself: 20, 40, 80... up to and with `most`, however few that is.
/// Doubling keeps the looks few, for each one spoils the confidence a little: it is then approximate.
pub fn looks(most: usize) -> impl Iterator<Item = usize> {
    let mut next = Some(FIRST_LOOK.min(most));
    std::iter::from_fn(move || {
        let look = next?;
        next = (look < most).then(|| (look * 2).min(most));
        Some(look)
    })
}

/// Whether an interval is as narrow as wished: half-width at most `relative` times the value.
/// A value of 0 is only ever as precise as an interval of width 0.
pub fn narrow_enough(value: f64, half_width: f64, relative: f64) -> bool {
    half_width <= relative * value.abs()
}

/// Replications in all for a half-width of `wished`, from a first `n` with `half_width`: widths fall with
/// the square root of the number, and t with the degrees of freedom. `None` where none would do: a
/// wish of 0 or less against a spread, or fewer than two values to go by.
pub fn replications_for(n: usize, half_width: f64, wished: f64, confidence: f64) -> Option<usize> {
    if half_width <= wished {
        return Some(n);
    }
    if n < 2 || wished.is_nan() || wished <= 0.0 || !half_width.is_finite() {
        return None;
    }
    let t = |m: f64| student::two_sided(confidence, m - 1.0);
    let per_root = half_width * (n as f64).sqrt() / t(n as f64);
    // From the normal value upwards: the needed number only grows as t grows towards small n.
    let mut needed = n as f64;
    for _ in 0..50 {
        let root = t(needed) * per_root / wished;
        let next = (root * root).ceil().max(n as f64);
        if next == needed {
            break;
        }
        needed = next;
    }
    (needed < 1e15).then_some(needed as usize)
}

/// How many more would tell a difference `d` from nothing, or show it to be under `ignore`:
/// n ((h / max(|d|, D))^2 - 1), rounded up. 0 where the interval is narrow enough already; `None` where
/// both d and D are 0, so that no number would do.
pub fn more_to_tell(n: usize, half_width: f64, difference: f64, ignore: f64) -> Option<usize> {
    let scale = difference.abs().max(ignore);
    if half_width <= scale {
        return Some(0);
    }
    let ratio = half_width / scale;
    let more = (n as f64 * (ratio * ratio - 1.0)).ceil();
    (more < 1e15).then_some(more as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_looks_at_twenty_and_then_at_each_double() {
        assert_eq!(looks(200).collect::<Vec<_>>(), [20, 40, 80, 160, 200]);
        assert_eq!(looks(160).collect::<Vec<_>>(), [20, 40, 80, 160]);
        assert_eq!(looks(20).collect::<Vec<_>>(), [20]);
        assert_eq!(looks(7).collect::<Vec<_>>(), [7]);
    }

    #[test]
    fn the_wished_width_is_reached_with_the_number_foretold() {
        // Same sd of 1 throughout: h(n) = t(n - 1)/sqrt(n).
        let h = |n: usize| student::two_sided(0.95, n as f64 - 1.0) / (n as f64).sqrt();
        let needed = replications_for(20, h(20), 0.1, 0.95).unwrap();
        assert!(h(needed) <= 0.1 && h(needed - 1) > 0.1, "{needed}");
        assert_eq!(replications_for(20, 0.05, 0.1, 0.95), Some(20));
        assert_eq!(replications_for(20, 0.0, 0.0, 0.95), Some(20), "no spread, nothing to gain");
        assert_eq!(replications_for(20, 0.5, 0.0, 0.95), None);
        assert_eq!(replications_for(20, f64::NAN, 0.1, 0.95), None);
    }

    #[test]
    fn how_many_more_follows_the_rule() {
        // 20 x ((0.4/0.2)^2 - 1) = 60.
        assert_eq!(more_to_tell(20, 0.4, 0.2, 0.05), Some(60));
        assert_eq!(more_to_tell(20, 0.4, -0.2, 0.05), Some(60));
        assert_eq!(more_to_tell(20, 0.4, 0.001, 0.2), Some(60), "the smallest difference that counts");
        assert_eq!(more_to_tell(20, 0.1, 0.2, 0.05), Some(0));
        assert_eq!(more_to_tell(20, 0.1, 0.0, 0.0), None);
    }

    #[test]
    fn precision_is_relative_to_the_value() {
        assert!(narrow_enough(200.0, 1.0, 0.005) && !narrow_enough(200.0, 1.01, 0.005));
        assert!(narrow_enough(-200.0, 1.0, 0.005));
        assert!(narrow_enough(0.0, 0.0, 0.01) && !narrow_enough(0.0, 1e-9, 0.01));
    }
}
