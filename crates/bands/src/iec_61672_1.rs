//! IEC 61672-1:2013, *Sound level meters*: frequency weightings A and C.

use quantities::math;

use crate::{BAND_COUNT, Band};

/// Weighting A in a third octave, dB: the design goal of Table 3, given there to 0.1 dB for the nominal frequencies.
///
/// ```
/// use bands::{Band, iec_61672_1::a_weighting_db};
/// assert_eq!(a_weighting_db(Band::from_nominal_hz(125.0).unwrap()), -16.1);
/// ```
pub fn a_weighting_db(band: Band) -> f64 {
    const A: [f64; BAND_COUNT] = [
        -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2, -1.9,
        -0.8, 0.0, 0.6, 1.0, 1.2, 1.3, 1.2, 1.0, 0.5, -0.1, -1.1, -2.5,
    ];
    A[band.index()]
}

/// Weighting C in a third octave, dB: the design goal of Table 3, given there to 0.1 dB for the nominal frequencies.
pub fn c_weighting_db(band: Band) -> f64 {
    const C: [f64; BAND_COUNT] = [
        -4.4, -3.0, -2.0, -1.3, -0.8, -0.5, -0.3, -0.2, -0.1, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
        -0.1, -0.2, -0.3, -0.5, -0.8, -1.3, -2.0, -3.0, -4.4,
    ];
    C[band.index()]
}

/// Weighting A at any frequency above 0 Hz, dB (Annex E, eq. E.6):
/// `A(f) = 20 lg { f4² f⁴ / [(f² + f1²) (f² + f2²)^½ (f² + f3²)^½ (f² + f4²)] } − A1000`.
///
/// Table 3 rounds it to 0.1 dB at the exact mid-band frequencies. Minus infinity at 0 Hz.
pub fn a_weighting_at_db(frequency_hz: f64) -> f64 {
    let f2 = frequency_hz * frequency_hz;
    let sum = |pole_hz: f64| f2 + pole_hz * pole_hz;
    let gain = POLE_4_HZ * POLE_4_HZ * f2 * f2
        / (sum(POLE_1_HZ) * (sum(POLE_2_HZ) * sum(POLE_3_HZ)).sqrt() * sum(POLE_4_HZ));
    20.0 * math::log10(gain) - A_1000_DB
}

/// Weighting C at any frequency above 0 Hz, dB (Annex E, eq. E.1):
/// `C(f) = 20 lg { f4² f² / [(f² + f1²) (f² + f4²)] } − C1000`.
pub fn c_weighting_at_db(frequency_hz: f64) -> f64 {
    let f2 = frequency_hz * frequency_hz;
    let sum = |pole_hz: f64| f2 + pole_hz * pole_hz;
    let gain = POLE_4_HZ * POLE_4_HZ * f2 / (sum(POLE_1_HZ) * sum(POLE_4_HZ));
    20.0 * math::log10(gain) - C_1000_DB
}

/// Pole frequency f1 of Annex E, of weightings A and C, Hz.
pub const POLE_1_HZ: f64 = 20.598_997;
/// Pole frequency f2 of Annex E, of weighting A, Hz.
pub const POLE_2_HZ: f64 = 107.652_65;
/// Pole frequency f3 of Annex E, of weighting A, Hz.
pub const POLE_3_HZ: f64 = 737.862_23;
/// Pole frequency f4 of Annex E, of weightings A and C, Hz.
pub const POLE_4_HZ: f64 = 12_194.217;
// Normalisation constants of Annex E.
const A_1000_DB: f64 = -2.000;
const C_1000_DB: f64 = -0.062;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_the_formula_rounded() {
        for band in Band::all() {
            let label = band.nominal();
            let a = (a_weighting_at_db(band.centre_hz()) - a_weighting_db(band)).abs();
            let c = (c_weighting_at_db(band.centre_hz()) - c_weighting_db(band)).abs();
            assert!(a <= 0.0505, "A at {label} Hz: {a}");
            assert!(c <= 0.0505, "C at {label} Hz: {c}");
        }
    }
}
