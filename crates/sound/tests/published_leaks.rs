//! Slits and holes against published formulas worked by another hand.

use quantities::math::db_of_energy;
use sound::{gomperts_1964::slit_transmission, wilson_soroka_1965::hole_transmission};

/// Gomperts (1964), diffuse field, slit in the middle of a wall, computed from Hopkins (2007) eq. 4.99 with c0 = 343 m/s by a second hand;
/// printed to 0.1 dB. The speed of sound here is 343.2 m/s, which moves a resonance by 0.05 dB.
#[test]
fn gomperts_slits() {
    let table: [(f64, f64, [f64; 6]); 5] = [
        (1.0, 50.0, [2.3, 5.2, 7.9, 9.7, 7.8, 1.8]),
        (2.0, 50.0, [-0.1, 2.7, 5.3, 7.0, 4.5, 0.1]),
        (5.0, 50.0, [-2.6, -0.0, 2.4, 3.7, -0.1, -1.4]),
        (2.0, 100.0, [5.2, 7.9, 9.7, 7.8, 1.8, 2.4]),
        (5.0, 100.0, [2.0, 4.5, 6.2, 3.4, -0.3, -0.7]),
    ];
    for (width_mm, depth_mm, row) in table {
        for (f, expected) in [125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0].into_iter().zip(row) {
            let r = -db_of_energy(slit_transmission(f, width_mm / 1000.0, depth_mm / 1000.0, false));
            assert!((r - expected).abs() < 0.1, "{width_mm} x {depth_mm} mm at {f} Hz: {r} for {expected}");
        }
    }
}

/// Wilson and Soroka (1965): a hole that is deep against nothing and wide against the wavelength lets all through; at low frequency a
/// short hole is a mass between two half spaces, `τ = 4R0/[(R0² + ...)]` with `R0 → (ka)²/2`, `X0 → 8ka/(3π)`, so
/// `τ → 2 (ka)²/(k (d + 16a/(3π)))²` (limit of the printed formula, derived by hand).
#[test]
fn wilson_soroka_holes() {
    let (diameter, depth, frequency) = (0.01, 0.02, 50.0);
    let k = 2.0 * std::f64::consts::PI * frequency / 343.2;
    let ka = k * diameter / 2.0;
    let length = depth + 16.0 * (diameter / 2.0) / (3.0 * std::f64::consts::PI);
    let expected = 2.0 * ka * ka / (k * length * k * length);
    let found = hole_transmission(frequency, diameter, depth);
    assert!((db_of_energy(found / expected)).abs() < 0.05, "{found} {expected}");
    let wide = hole_transmission(4000.0, 0.5, 0.02);
    assert!(db_of_energy(wide).abs() < 0.5, "{wide}");
}
