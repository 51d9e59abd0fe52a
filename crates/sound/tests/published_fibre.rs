//! Fibre against the published regressions.

use sound::miki_1990::relative_impedance_and_wave_number;

/// Miki (1990) at Y = f/σ = 0.1, worked by a second hand to five digits.
#[test]
fn miki_at_a_tenth() {
    let (z, k) = relative_impedance_and_wave_number(1000.0, 10_000.0);
    for (found, expected) in [(z.re, 1.299_98), (z.im, -0.458_55), (k.re, 1.452_30), (k.im, -0.663_93)] {
        assert!((found - expected).abs() < 0.6e-5, "{found} for {expected}");
    }
}
