//! Transcendental functions that give the same bits on every machine.
//!
//! `std` calls the platform's own library, whose last digit differs between systems; a plan must not. These
//! call `libm` instead; `clippy.toml` bans the `std` methods. `sqrt`, `abs`, `floor` and the four operations
//! are exact in IEEE 754 and stay as methods.

pub use core::f64::consts::{LN_10, PI, TAU};

/// Sine of an angle in radians.
#[inline]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}
/// Cosine of an angle in radians.
#[inline]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}
/// Sine and cosine of an angle in radians.
#[inline]
pub fn sin_cos(x: f64) -> (f64, f64) {
    libm::sincos(x)
}
/// Tangent of an angle in radians.
#[inline]
pub fn tan(x: f64) -> f64 {
    libm::tan(x)
}
/// Arc sine in radians; NaN outside -1..=1.
#[inline]
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}
/// Arc cosine in radians; NaN outside -1..=1.
#[inline]
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}
/// Arc tangent in radians.
#[inline]
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}
/// Angle of the vector (x, y) in radians, -π..=π.
#[inline]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}
/// Hyperbolic sine.
#[inline]
pub fn sinh(x: f64) -> f64 {
    libm::sinh(x)
}
/// Hyperbolic cosine.
#[inline]
pub fn cosh(x: f64) -> f64 {
    libm::cosh(x)
}
/// Hyperbolic tangent.
#[inline]
pub fn tanh(x: f64) -> f64 {
    libm::tanh(x)
}
/// e to the power x.
#[inline]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}
/// Natural logarithm.
#[inline]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}
/// Logarithm to base 10.
#[inline]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}
/// Logarithm to base 2.
#[inline]
pub fn log2(x: f64) -> f64 {
    libm::log2(x)
}
/// x to the power y.
#[inline]
pub fn powf(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}
/// x to a whole power, by repeated squaring in a fixed order.
#[inline]
pub fn powi(x: f64, n: i32) -> f64 {
    let mut base = if n < 0 { 1.0 / x } else { x };
    let mut left = n.unsigned_abs();
    let mut product = 1.0;
    while left > 0 {
        if left & 1 == 1 {
            product *= base;
        }
        base *= base;
        left >>= 1;
    }
    product
}
/// Cube root.
#[inline]
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}
/// Length of the vector (x, y).
#[inline]
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}
/// Bessel function of the first kind, order one.
#[inline]
pub fn bessel_j1(x: f64) -> f64 {
    libm::j1(x)
}
/// Error function.
#[inline]
pub fn erf(x: f64) -> f64 {
    libm::erf(x)
}
/// Ten to the power x/10: the energy ratio of a level difference of x dB.
#[inline]
pub fn energy_of_db(level_db: f64) -> f64 {
    exp(level_db * (LN_10 / 10.0))
}
/// Ten times the logarithm to base 10: the level of an energy ratio; minus infinity for zero.
#[inline]
pub fn db_of_energy(ratio: f64) -> f64 {
    10.0 * log10(ratio)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_powers_are_repeated_products() {
        for (x, n, product) in [(3.0, 5, 243.0), (2.0, -3, 0.125), (7.0, 0, 1.0)] {
            assert!((powi(x, n) - product).abs() < f64::EPSILON, "{x} to the power {n}");
        }
    }

    #[test]
    fn energy_and_level_undo_each_other() {
        for level in [-60.0, -3.0, 0.0, 12.5, 130.0] {
            assert!((db_of_energy(energy_of_db(level)) - level).abs() < 1e-12);
        }
        assert!(db_of_energy(0.0).is_infinite() && db_of_energy(0.0) < 0.0);
    }
}
