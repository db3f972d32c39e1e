//! Time as an integer count of microseconds: instants and lengths alike.
//!
//! No float ever orders events; a length drawn as a float is rounded half to even once, after
//! all its factors.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

/// Microseconds. As an instant: since 00:00 of the first day of the run.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug)]
pub struct Time(pub i64);

impl Time {
    pub const ZERO: Time = Time(0);
    pub const MICROSECOND: Time = Time(1);
    pub const SECOND: Time = Time(1_000_000);
    pub const MINUTE: Time = Time(60_000_000);
    pub const HOUR: Time = Time(3_600_000_000);
    pub const DAY: Time = Time(86_400_000_000);
    pub const WEEK: Time = Time(7 * 86_400_000_000);
    /// Later than every event of a run; adding to it saturates nowhere, so never add to it.
    pub const NEVER: Time = Time(i64::MAX);

    /// A whole number of minutes.
    pub const fn from_minutes(minutes: i64) -> Time {
        Time(minutes * 60_000_000)
    }

    /// Microseconds given as a float, rounded half to even. `None` when not finite or out of range.
    pub fn from_micros_f64(micros: f64) -> Option<Time> {
        let rounded = round_half_even(micros);
        (rounded.is_finite() && rounded.abs() < 9.0e18).then_some(Time(rounded as i64))
    }

    /// As minutes, for people to read; never for ordering.
    pub fn as_minutes(self) -> f64 {
        self.0 as f64 / 60e6
    }

    pub const fn micros(self) -> i64 {
        self.0
    }

    pub fn is_zero(self) -> bool {
        self.0 == 0
    }
}

/// 2^52: a number to which it is added has no bits below the point, and the addition itself rounds half to even.
const SHIFT: f64 = 4_503_599_627_370_496.0;

/// Rounds to the nearest integer, halves to the even one (IEEE 754 roundTiesToEven).
#[inline]
pub fn round_half_even(x: f64) -> f64 {
    if (0.0..SHIFT / 2.0).contains(&x) { (x + SHIFT) - SHIFT } else { x.round_ties_even() }
}

/// The same as an integer; what is beyond its range is its end.
#[inline]
pub fn whole_half_even(x: f64) -> i64 {
    if (0.0..SHIFT / 2.0).contains(&x) { shifted(x) } else { x.round_ties_even() as i64 }
}

/// The same of several numbers.
#[inline]
pub fn all_whole_half_even<const N: usize>(numbers: [f64; N]) -> [i64; N] {
    // Asked once for all of them, so that the processor works on several at a time.
    let can_shift = numbers.iter().fold(true, |can, x| can & (*x >= 0.0) & (*x < SHIFT / 2.0));
    if can_shift { numbers.map(shifted) } else { numbers.map(whole_half_even) }
}

/// Of a number from 0 to half of `SHIFT`: the integer stands in the low bits of the sum.
#[inline]
fn shifted(x: f64) -> i64 {
    (x + SHIFT).to_bits().wrapping_sub(SHIFT.to_bits()) as i64
}

impl Add for Time {
    type Output = Time;
    fn add(self, other: Time) -> Time {
        Time(self.0 + other.0)
    }
}

impl Sub for Time {
    type Output = Time;
    fn sub(self, other: Time) -> Time {
        Time(self.0 - other.0)
    }
}

impl Neg for Time {
    type Output = Time;
    fn neg(self) -> Time {
        Time(-self.0)
    }
}

impl Mul<i64> for Time {
    type Output = Time;
    fn mul(self, n: i64) -> Time {
        Time(self.0 * n)
    }
}

impl AddAssign for Time {
    fn add_assign(&mut self, other: Time) {
        self.0 += other.0;
    }
}

impl SubAssign for Time {
    fn sub_assign(&mut self, other: Time) {
        self.0 -= other.0;
    }
}

impl Sum for Time {
    fn sum<I: Iterator<Item = Time>>(times: I) -> Time {
        times.fold(Time::ZERO, Add::add)
    }
}

/// `7 min`, `1 h 30 min`, `45 s`, `2 days`: the largest units that stay exact to a tenth of a second.
impl fmt::Display for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0 < 0 {
            return write!(f, "-{}", Time(-self.0));
        }
        let minutes = super::decimals(self.as_minutes(), 2);
        match self.0 {
            0 => f.write_str("0 min"),
            t if t < Time::MINUTE.0 => write!(f, "{} s", super::decimals(t as f64 / 1e6, 3)),
            t if t < 2 * Time::HOUR.0 => write!(f, "{minutes} min"),
            t if t >= 2 * Time::DAY.0 && t % Time::DAY.0 == 0 => write!(f, "{} days", t / Time::DAY.0),
            t => {
                let (hours, rest) = (t / Time::HOUR.0, Time(t % Time::HOUR.0));
                match rest {
                    Time(0) => write!(f, "{hours} h"),
                    rest => write!(f, "{hours} h {} min", super::decimals(rest.as_minutes(), 2)),
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_numbers_are_those_that_rounding_gives() {
        let halves = (0..4000).map(|k| f64::from(k) / 2.0);
        let others = [0.0, -0.0, 0.499_999_999_999, 2.25e15, 2.26e15, 1e300, -0.5, -1.5, -7.3, f64::NAN];
        for x in halves.chain(others) {
            let whole = x.round_ties_even() as i64;
            assert_eq!(whole_half_even(x), whole, "{x}");
            assert_eq!(all_whole_half_even([x, 3.5]), [whole, 4], "{x}");
            assert_eq!(all_whole_half_even([2.5, x]), [2, whole], "{x}");
            assert!(round_half_even(x) == x.round_ties_even() || x.is_nan(), "{x}");
        }
    }

    #[test]
    fn times_read_as_a_person_would_say_them() {
        let said = |t: Time| t.to_string();
        assert_eq!(said(Time::from_minutes(7)), "7 min");
        assert_eq!(said(Time(90_000_000)), "1.5 min");
        assert_eq!(said(Time::from_minutes(150)), "2 h 30 min");
        assert_eq!(said(Time::DAY), "24 h");
        assert_eq!(said(Time::DAY * 3), "3 days");
        assert_eq!(said(Time(1_500_000)), "1.5 s");
        assert_eq!(said(Time(-60_000_000)), "-1 min");
    }

    #[test]
    fn halves_round_to_the_even_microsecond() {
        assert_eq!(Time::from_micros_f64(2.5), Some(Time(2)));
        assert_eq!(Time::from_micros_f64(3.5), Some(Time(4)));
        assert_eq!(Time::from_micros_f64(f64::NAN), None);
        assert_eq!(Time::from_micros_f64(1e300), None);
    }
}
