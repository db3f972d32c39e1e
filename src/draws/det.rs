//! `Det`: a float whose every function is libm's, and the words of one draw as a generator.
//!
//! `rand_distr` computes over any `num_traits::Float`. Over `f64` it uses the platform's functions as
//! soon as any crate in the graph turns on `num-traits/std`, and the draws change in their last bits
//! by platform and by build. Over `Det` they cannot. The four laws that its rejection samplers
//! build on are given here by inversion.

use std::convert::Infallible;
use std::num::FpCategory;
use std::ops::{Add, Div, Mul, Neg, Rem, Sub};

use num_traits::{Float, Num, NumCast, One, ToPrimitive, Zero};
use rand::{Rng, TryRng};
use rand_distr::{Distribution, Exp1, Open01, OpenClosed01, StandardNormal};

use super::stream::{Stream, open_unit};
use crate::numbers::normal;

#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub(super) struct Det(pub f64);

/// The words of one draw, block after block, as a generator that rejection can ask again and again.
pub(super) struct DrawWords<'a> {
    stream: &'a Stream,
    index: u64,
    visit: u32,
    next_block: u32,
    /// Second half of the last block, if not yet handed out.
    kept: Option<u64>,
}

impl<'a> DrawWords<'a> {
    #[inline]
    pub fn new(stream: &'a Stream, index: u64, visit: u32) -> DrawWords<'a> {
        DrawWords { stream, index, visit, next_block: 0, kept: None }
    }
}

impl TryRng for DrawWords<'_> {
    type Error = Infallible;

    #[inline]
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        if let Some(kept) = self.kept.take() {
            return Ok(kept);
        }
        let (first, second) = self.stream.block(self.index, self.visit, self.next_block);
        self.next_block += 1;
        self.kept = Some(second);
        Ok(first)
    }

    #[inline]
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        self.try_next_u64().map(|w| (w >> 32) as u32)
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        for part in bytes.chunks_mut(8) {
            let word = self.try_next_u64()?.to_le_bytes();
            part.copy_from_slice(&word[..part.len()]);
        }
        Ok(())
    }
}

impl Distribution<Det> for Open01 {
    #[inline]
    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> Det {
        Det(open_unit(rng.next_u64()))
    }
}

impl Distribution<Det> for OpenClosed01 {
    #[inline]
    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> Det {
        Det(1.0 - ((rng.next_u64() >> 11) as f64) / (1_u64 << 53) as f64)
    }
}

impl Distribution<Det> for StandardNormal {
    #[inline]
    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> Det {
        Det(normal::quantile(open_unit(rng.next_u64())))
    }
}

impl Distribution<Det> for Exp1 {
    #[inline]
    fn sample<R: Rng + ?Sized>(&self, rng: &mut R) -> Det {
        Det(-libm::log(open_unit(rng.next_u64())))
    }
}

macro_rules! forward_operators {
    ($($trait:ident $name:ident $op:tt),*) => {$(
        impl $trait for Det {
            type Output = Det;
            #[inline]
            fn $name(self, other: Det) -> Det {
                Det(self.0 $op other.0)
            }
        }
    )*};
}
forward_operators!(Add add +, Sub sub -, Mul mul *, Div div /, Rem rem %);

impl Neg for Det {
    type Output = Det;
    #[inline]
    fn neg(self) -> Det {
        Det(-self.0)
    }
}

impl Zero for Det {
    fn zero() -> Det {
        Det(0.0)
    }
    fn is_zero(&self) -> bool {
        self.0 == 0.0
    }
}

impl One for Det {
    fn one() -> Det {
        Det(1.0)
    }
}

impl Num for Det {
    type FromStrRadixErr = num_traits::ParseFloatError;
    fn from_str_radix(text: &str, radix: u32) -> Result<Det, Self::FromStrRadixErr> {
        <f64 as Num>::from_str_radix(text, radix).map(Det)
    }
}

impl ToPrimitive for Det {
    fn to_i64(&self) -> Option<i64> {
        self.0.to_i64()
    }
    fn to_u64(&self) -> Option<u64> {
        self.0.to_u64()
    }
    fn to_f64(&self) -> Option<f64> {
        Some(self.0)
    }
}

impl NumCast for Det {
    #[inline]
    fn from<T: ToPrimitive>(n: T) -> Option<Det> {
        n.to_f64().map(Det)
    }
}

macro_rules! forward_to_libm {
    ($($name:ident => $function:path),*) => {$(
        #[inline]
        fn $name(self) -> Det {
            Det($function(self.0))
        }
    )*};
}

macro_rules! constants {
    ($($name:ident = $value:expr),*) => {$(
        fn $name() -> Det {
            Det($value)
        }
    )*};
}

/// What an f64 can do exactly on every platform goes to f64; the rest to libm.
impl Float for Det {
    constants!(
        nan = f64::NAN,
        infinity = f64::INFINITY,
        neg_infinity = f64::NEG_INFINITY,
        neg_zero = -0.0,
        min_value = f64::MIN,
        min_positive_value = f64::MIN_POSITIVE,
        epsilon = f64::EPSILON,
        max_value = f64::MAX
    );

    forward_to_libm!(
        exp => libm::exp, exp2 => libm::exp2, ln => libm::log, log2 => libm::log2, log10 => libm::log10,
        cbrt => libm::cbrt, sin => libm::sin, cos => libm::cos, tan => libm::tan, asin => libm::asin,
        acos => libm::acos, atan => libm::atan, exp_m1 => libm::expm1, ln_1p => libm::log1p,
        sinh => libm::sinh, cosh => libm::cosh, tanh => libm::tanh, asinh => libm::asinh,
        acosh => libm::acosh, atanh => libm::atanh, floor => libm::floor, ceil => libm::ceil,
        round => libm::round, trunc => libm::trunc, sqrt => f64::sqrt, abs => f64::abs,
        signum => f64::signum
    );

    fn is_nan(self) -> bool {
        self.0.is_nan()
    }
    fn is_infinite(self) -> bool {
        self.0.is_infinite()
    }
    fn is_finite(self) -> bool {
        self.0.is_finite()
    }
    fn is_normal(self) -> bool {
        self.0.is_normal()
    }
    fn classify(self) -> FpCategory {
        self.0.classify()
    }
    fn is_sign_positive(self) -> bool {
        self.0.is_sign_positive()
    }
    fn is_sign_negative(self) -> bool {
        self.0.is_sign_negative()
    }
    fn fract(self) -> Det {
        self - self.trunc()
    }
    /// Product and sum, each rounded: a fused one would differ by platform.
    fn mul_add(self, factor: Det, term: Det) -> Det {
        self * factor + term
    }
    fn recip(self) -> Det {
        Det(1.0 / self.0)
    }
    fn powi(self, n: i32) -> Det {
        self.powf(Det(n as f64))
    }
    fn powf(self, power: Det) -> Det {
        Det(libm::pow(self.0, power.0))
    }
    fn log(self, base: Det) -> Det {
        Det(libm::log(self.0) / libm::log(base.0))
    }
    fn max(self, other: Det) -> Det {
        Det(self.0.max(other.0))
    }
    fn min(self, other: Det) -> Det {
        Det(self.0.min(other.0))
    }
    fn abs_sub(self, other: Det) -> Det {
        Det((self.0 - other.0).max(0.0))
    }
    fn hypot(self, other: Det) -> Det {
        Det(libm::hypot(self.0, other.0))
    }
    fn atan2(self, other: Det) -> Det {
        Det(libm::atan2(self.0, other.0))
    }
    fn sin_cos(self) -> (Det, Det) {
        (Float::sin(self), Float::cos(self))
    }
    fn integer_decode(self) -> (u64, i16, i8) {
        Float::integer_decode(self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::Purpose;

    #[test]
    fn words_come_block_by_block_and_never_repeat() {
        let stream = Stream::new(1, 0, Purpose::TaskTime, "x");
        let mut words = DrawWords::new(&stream, 4, 1);
        let ((a, b), (c, _)) = (stream.block(4, 1, 0), stream.block(4, 1, 1));
        let got = [words.next_u64(), words.next_u64(), words.next_u64()];
        assert_eq!(got, [a, b, c]);
        let mut bytes = [0; 11];
        DrawWords::new(&stream, 4, 1).fill_bytes(&mut bytes);
        assert_eq!(bytes[..8], a.to_le_bytes());
        assert_eq!(bytes[8..], b.to_le_bytes()[..3]);
    }

    #[test]
    fn functions_are_libms_to_the_bit() {
        for x in [1e-9, 0.1, 0.75, 1.3, 7.0, 123.456] {
            let det = Det(x);
            assert_eq!(Float::ln(det).0.to_bits(), libm::log(x).to_bits());
            assert_eq!(Float::exp(det).0.to_bits(), libm::exp(x).to_bits());
            assert_eq!(det.powf(Det(0.37)).0.to_bits(), libm::pow(x, 0.37).to_bits());
            assert_eq!(Float::sqrt(det).0.to_bits(), x.sqrt().to_bits());
        }
        assert_eq!(<Det as NumCast>::from(2.5_f64), Some(Det(2.5)));
    }
}
