//! Four numbers worked on together, real or complex: one for each of four angles of incidence. The compiler puts them into the wide
//! registers of the machine. Only the four operations and the square root are used on them, which IEEE 754 makes exact: the same bits
//! on every machine. Sines, cosines and exponentials are the published fractions, worked out with these.

use std::{
    array,
    ops::{Add, AddAssign, Mul, Sub},
};

use num_complex::Complex64;

/// How many are worked on together.
pub(crate) const LANES: usize = 4;

/// Real numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Reals(pub(crate) [f64; LANES]);

/// Complex numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Complexes {
    pub(crate) re: Reals,
    pub(crate) im: Reals,
}

impl Reals {
    /// The same number in every place.
    #[inline(always)]
    pub(crate) const fn all(value: f64) -> Self {
        Self([value; LANES])
    }

    /// Each by itself.
    #[inline(always)]
    pub(crate) fn map(self, mut of: impl FnMut(f64) -> f64) -> Self {
        Self(array::from_fn(|lane| of(self.0[lane])))
    }

    /// Each with its counterpart.
    #[inline(always)]
    pub(crate) fn with(self, other: Self, mut of: impl FnMut(f64, f64) -> f64) -> Self {
        Self(array::from_fn(|lane| of(self.0[lane], other.0[lane])))
    }

    /// One over each.
    #[inline(always)]
    pub(crate) fn inverse(self) -> Self {
        self.map(|value| 1.0 / value)
    }

    /// Square root of each.
    #[inline(always)]
    pub(crate) fn sqrt(self) -> Self {
        self.map(f64::sqrt)
    }

    /// All added up, in pairs.
    #[inline(always)]
    pub(crate) fn sum(self) -> f64 {
        let [a, b, c, d] = self.0;
        (a + b) + (c + d)
    }
}

impl Add for Reals {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        self.with(other, |a, b| a + b)
    }
}

impl Sub for Reals {
    type Output = Self;
    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        self.with(other, |a, b| a - b)
    }
}

impl Mul for Reals {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        self.with(other, |a, b| a * b)
    }
}

impl Mul<f64> for Reals {
    type Output = Self;
    #[inline(always)]
    fn mul(self, factor: f64) -> Self {
        self.map(|value| value * factor)
    }
}

impl AddAssign for Reals {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Complexes {
    /// Nothing.
    pub(crate) const ZERO: Self = Self { re: Reals::all(0.0), im: Reals::all(0.0) };

    /// The same number in every place.
    #[inline(always)]
    pub(crate) const fn all(value: Complex64) -> Self {
        Self { re: Reals::all(value.re), im: Reals::all(value.im) }
    }

    /// Squares of the absolute values.
    #[inline(always)]
    pub(crate) fn norm_sqr(self) -> Reals {
        self.re * self.re + self.im * self.im
    }

    /// One over each.
    #[inline(always)]
    pub(crate) fn inverse(self) -> Self {
        let over = self.norm_sqr().inverse();
        Self { re: self.re * over, im: Reals::all(0.0) - self.im * over }
    }
}

impl Add for Complexes {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        Self { re: self.re + other.re, im: self.im + other.im }
    }
}

impl Add<Reals> for Complexes {
    type Output = Self;
    #[inline(always)]
    fn add(self, real: Reals) -> Self {
        Self { re: self.re + real, im: self.im }
    }
}

impl Mul for Complexes {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        Self { re: self.re * other.re - self.im * other.im, im: self.re * other.im + self.im * other.re }
    }
}

impl Mul<Reals> for Complexes {
    type Output = Self;
    #[inline(always)]
    fn mul(self, factor: Reals) -> Self {
        Self { re: self.re * factor, im: self.im * factor }
    }
}

impl Mul<f64> for Complexes {
    type Output = Self;
    #[inline(always)]
    fn mul(self, factor: f64) -> Self {
        Self { re: self.re * factor, im: self.im * factor }
    }
}

/// 1.5 · 2^52: what is added to it is rounded to a whole number, which then stands in its lowest bits.
const ROUNDS: f64 = 6_755_399_441_055_744.0;

impl Reals {
    /// Sines and cosines of angles in radians, up to 10⁵ either way: the nearest quarter turn taken off in three parts, then the fractions of
    /// Sun's *Freely Distributable Mathematical Library* (1993), `k_sin` and `k_cos`. Off by less than 3e-16.
    #[inline(always)]
    pub(crate) fn sin_cos(self) -> (Self, Self) {
        const QUARTERS: f64 = core::f64::consts::FRAC_2_PI;
        const FIRST: f64 = 1.570_796_326_734_125_6;
        const SECOND: f64 = 6.077_100_506_303_966e-11;
        const THIRD: f64 = 2.022_266_248_795_950_6e-21;
        const S: [f64; 6] = [
            -0.166_666_666_666_666_32,
            0.008_333_333_333_322_49,
            -0.000_198_412_698_298_579_5,
            2.755_731_370_707_006_8e-6,
            -2.505_076_025_340_686_3e-8,
            1.589_690_995_211_55e-10,
        ];
        const C: [f64; 6] = [
            0.041_666_666_666_666_6,
            -0.001_388_888_888_887_411,
            2.480_158_728_947_673e-5,
            -2.755_731_435_139_066_3e-7,
            2.087_572_321_298_175e-9,
            -1.135_964_755_778_819_5e-11,
        ];
        let shifted = self.map(|x| x * QUARTERS + ROUNDS);
        let turns = shifted.map(|x| x - ROUNDS);
        let x = self - turns * FIRST - turns * SECOND - turns * THIRD;
        let z = x * x;
        let sine = x + x * z * horner(&S, z);
        let half = z * 0.5;
        let near = Self::all(1.0) - half;
        // What rounding took from 1 − z/2 is put back.
        let cosine = near + ((Self::all(1.0) - near - half) + z * z * horner(&C, z));
        let quarter = shifted.0.map(f64::to_bits);
        let pick = |at: usize, own: f64, other: f64, turn: u64| {
            let bits = quarter[at].wrapping_add(turn);
            let value = if bits & 1 == 0 { own } else { other };
            f64::from_bits(value.to_bits() ^ ((bits & 2) << 62))
        };
        (
            Self(array::from_fn(|at| pick(at, sine.0[at], cosine.0[at], 0))),
            Self(array::from_fn(|at| pick(at, sine.0[at], cosine.0[at], 1))),
        )
    }

    /// Exponentials of numbers up to 700 either way, after the same library's `e_exp`. Off by less than 3e-16 of themselves.
    #[inline(always)]
    pub(crate) fn exp(self) -> Self {
        const DOUBLINGS: f64 = core::f64::consts::LOG2_E;
        const HIGH: f64 = 0.693_147_180_369_123_8;
        const LOW: f64 = 1.908_214_929_270_587_7e-10;
        const P: [f64; 5] = [
            0.166_666_666_666_666_02,
            -0.002_777_777_777_701_559_3,
            6.613_756_321_437_934e-5,
            -1.653_390_220_546_525_2e-6,
            4.138_136_797_057_238_5e-8,
        ];
        let shifted = self.map(|x| x * DOUBLINGS + ROUNDS);
        let doublings = shifted.map(|x| x - ROUNDS);
        let (high, low) = (self - doublings * HIGH, doublings * LOW);
        let x = high - low;
        let z = x * x;
        let c = x - z * horner(&P, z);
        let value = Self::all(1.0) - ((low - x * c * (Self::all(2.0) - c).inverse()) - high);
        let power = shifted.map(|x| f64::from_bits((x.to_bits().wrapping_add(1023)) << 52));
        value * power
    }
}

/// A polynomial by its coefficients, the constant one first.
#[inline(always)]
fn horner<const N: usize>(coefficients: &[f64; N], x: Reals) -> Reals {
    let mut sum = Reals::all(0.0);
    for &coefficient in coefficients.iter().rev() {
        sum = sum * x + Reals::all(coefficient);
    }
    sum
}

impl Complexes {
    /// Square roots with the real part ≥ 0 of numbers whose real part is ≥ 0.
    #[inline(always)]
    pub(crate) fn root_of_right_half(self) -> Self {
        let size = self.norm_sqr().sqrt();
        // Nothing has no root to divide by: next to nothing stands in.
        let re =
            ((size + self.re.map(f64::abs)) * 0.5).sqrt().map(|re| if re > 1e-150 { re } else { 1e-150 });
        Self { re, im: self.im * 0.5 * re.inverse() }
    }

    /// Sines and cosines; imaginary parts up to 700 either way.
    #[inline(always)]
    pub(crate) fn sin_cos(self) -> (Self, Self) {
        let (sin, cos) = self.re.sin_cos();
        let grow = self.im.exp();
        let shrink = grow.inverse();
        let (sinh, cosh) = ((grow - shrink) * 0.5, (grow + shrink) * 0.5);
        (Self { re: sin * cosh, im: cos * sinh }, Self { re: cos * cosh, im: Reals::all(0.0) - sin * sinh })
    }

    /// Each turned by a quarter: times j.
    #[inline(always)]
    pub(crate) fn times_j(self) -> Self {
        Self { re: Reals::all(0.0) - self.im, im: self.re }
    }
}

/// Square root with the real part ≥ 0, without the arc tangent and the sine of the platform's that the library's takes.
#[inline]
pub(crate) fn principal_root(z: Complex64) -> Complex64 {
    let size = z.norm_sqr().sqrt();
    let real = (0.5 * (size + z.re.abs())).sqrt();
    if real <= 0.0 {
        return Complex64::new(0.0, 0.0);
    }
    let other = 0.5 * z.im / real;
    if z.re >= 0.0 { Complex64::new(real, other) } else { Complex64::new(other.abs(), real.copysign(z.im)) }
}

#[cfg(test)]
mod tests {
    use quantities::math;

    use super::*;

    #[test]
    fn roots_are_those_of_the_library() {
        for (re, im) in [(1.0, -0.2), (0.0, -0.3), (-0.5, -0.1), (0.3, 0.0), (0.0, 0.0), (-2.0, 1.0)] {
            let z = Complex64::new(re, im);
            assert!((principal_root(z) - z.sqrt()).norm() < 1e-12, "{z}");
        }
    }

    /// Worked out together they are what the library gives for each alone, but for the last digit.
    #[test]
    fn sines_and_exponentials_are_those_of_the_library() {
        let mut most: f64 = 0.0;
        for step in -40_000_i32..=40_000 {
            let near = f64::from(step) * 1.7e-3;
            let far = f64::from(step) * 2.4;
            // A quarter turn and its neighbours cancel the most.
            let quarter = f64::from(step) * core::f64::consts::FRAC_PI_2;
            let of = [near, far, quarter, near * near * 1e-4];
            let (sin, cos) = Reals(of).sin_cos();
            for (lane, x) in of.into_iter().enumerate() {
                let (exact_sin, exact_cos) = math::sin_cos(x);
                most = most.max((sin.0[lane] - exact_sin).abs()).max((cos.0[lane] - exact_cos).abs());
            }
            let of = [near, near * 0.1, near * 1e-3, near.abs() * -1e-9];
            let exp = Reals(of).exp();
            for (lane, x) in of.into_iter().enumerate() {
                most = most.max((exp.0[lane] / math::exp(x) - 1.0).abs());
            }
        }
        assert!(most < 5e-16, "{most:e}");
    }

    /// `sin² + cos² = 1`, and roots squared are what they were roots of, for complex numbers too.
    #[test]
    fn complex_sines_and_roots_hold_together() {
        for (re, im) in [(0.3, -0.2), (7.0, 3.0), (80.0, -0.01), (0.0, 0.0), (1.5, -12.0)] {
            let z = Complexes::all(Complex64::new(re, im));
            let (sin, cos) = z.sin_cos();
            let one = sin * sin + cos * cos;
            // What the sum of squares is rounded to: near a root of one of them the other counts.
            let scale = sin.norm_sqr().0[0] + cos.norm_sqr().0[0];
            assert!(
                (one.re.0[0] - 1.0).abs() < 1e-14 * scale && one.im.0[0].abs() < 1e-14 * scale,
                "{re} {im}"
            );
            let exact = Complex64::new(re, im).sin();
            assert!((Complex64::new(sin.re.0[0], sin.im.0[0]) - exact).norm() < 1e-14 * scale.sqrt());
            if re > 0.0 {
                let root = z.root_of_right_half();
                let exact = principal_root(Complex64::new(re, im));
                let root = Complex64::new(root.re.0[1], root.im.0[1]);
                assert!((root - exact).norm() < 1e-15 * exact.norm(), "{root} {exact}");
            }
        }
        let nothing = Complexes::ZERO.root_of_right_half();
        assert!(nothing.inverse().re.0[0].is_finite());
    }

    /// The arithmetic is that of the library, number by number.
    #[test]
    fn numbers_in_lanes_are_those_alone() {
        let (a, b) = (
            [(1.0, -2.0), (0.5, 0.25), (-3.0, 1e-3), (7.0, 0.0)],
            [(0.1, 4.0), (-2.0, 1.0), (5.0, -6.0), (1e3, 1e-3)],
        );
        let put =
            |of: [(f64, f64); LANES]| Complexes { re: Reals(of.map(|z| z.0)), im: Reals(of.map(|z| z.1)) };
        let (sum, product, inverse) = (put(a) + put(b), put(a) * put(b), put(b).inverse());
        for lane in 0..LANES {
            let (a, b) = (Complex64::new(a[lane].0, a[lane].1), Complex64::new(b[lane].0, b[lane].1));
            let at = |of: Complexes| Complex64::new(of.re.0[lane], of.im.0[lane]);
            assert_eq!(at(sum), a + b);
            assert_eq!(at(product), a * b);
            assert!((at(inverse) - b.inv()).norm() < 1e-15 * b.inv().norm());
            assert_eq!(put([(3.0, 4.0); LANES]).norm_sqr(), Reals::all(25.0));
        }
        assert!((Reals([1.0, 2.0, 3.0, 4.0]).sum() - 10.0).abs() < 1e-12);
    }
}
