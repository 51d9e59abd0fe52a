//! Four numbers worked on together, real or complex: one for each of four angles of incidence. The compiler puts them into the wide
//! registers of the machine. Only the four operations and the square root are used on them, which IEEE 754 makes exact: the same bits
//! on every machine.

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
    use super::*;

    #[test]
    fn roots_are_those_of_the_library() {
        for (re, im) in [(1.0, -0.2), (0.0, -0.3), (-0.5, -0.1), (0.3, 0.0), (0.0, 0.0), (-2.0, 1.0)] {
            let z = Complex64::new(re, im);
            assert!((principal_root(z) - z.sqrt()).norm() < 1e-12, "{z}");
        }
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
