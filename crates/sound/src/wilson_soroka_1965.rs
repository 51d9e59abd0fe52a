//! Wilson and Soroka, "Approximation to the diffraction of sound by a circular aperture in a rigid wall of finite thickness",
//! J. Acoust. Soc. Am. 37 (1965) 286–297, as Hopkins, *Sound Insulation* (2007), eq. 4.102 prints it.

use quantities::{air::SPEED_OF_SOUND_M_S, math};

/// Transmission coefficient of a round open hole of the given diameter and depth, related to its own area.
///
/// `τ = 4R0 / {4R0² [cos kd − X0 sin kd]² + [(R0² − X0² + 1) sin kd + 2X0 cos kd]²}` with the impedance of a piston,
/// `R0 = 1 − 2J1(2ka)/(2ka)`, `X0 = 2H1(2ka)/(2ka)`.
pub fn hole_transmission(frequency_hz: f64, diameter_m: f64, depth_m: f64) -> f64 {
    let k = math::TAU * frequency_hz / SPEED_OF_SOUND_M_S;
    let z = k * diameter_m;
    let r0 = 1.0 - 2.0 * math::bessel_j1(z) / z;
    let x0 = 2.0 * struve_h1(z) / z;
    let (sin, cos) = math::sin_cos(k * depth_m);
    let first = cos - x0 * sin;
    let second = (r0 * r0 - x0 * x0 + 1.0) * sin + 2.0 * x0 * cos;
    4.0 * r0 / (4.0 * r0 * r0 * first * first + second * second)
}

/// Struve function H1, by Aarts and Janssen, J. Acoust. Soc. Am. 113 (2003) 2635, eq. 22 (error below 0.005):
/// `H1(z) ≈ 2/π − J0(z) + (16/π − 5) sin z/z + (12 − 36/π)(1 − cos z)/z²`.
fn struve_h1(z: f64) -> f64 {
    if z < 0.2 {
        // Two terms of the power series; the fit would lose the small difference of its terms.
        let z2 = z * z;
        return 2.0 * z2 / (3.0 * math::PI) * (1.0 - z2 / 15.0);
    }
    2.0 / math::PI - bessel_j0(z)
        + (16.0 / math::PI - 5.0) * math::sin(z) / z
        + (12.0 - 36.0 / math::PI) * (1.0 - math::cos(z)) / (z * z)
}

/// Bessel function J0 from J1 at neighbouring points is not at hand, so by its integral
/// `J0(z) = (1/π) ∫ cos(z sin t) dt` over 0..π, with the trapezium rule, which converges faster than any power here.
fn bessel_j0(z: f64) -> f64 {
    let count = 24 + (z.abs() as usize).min(400);
    let sum: f64 =
        (0..count).map(|i| math::cos(z * math::sin(math::PI * (i as f64 + 0.5) / count as f64))).sum();
    sum / count as f64
}
