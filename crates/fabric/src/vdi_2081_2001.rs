//! VDI 2081 Part 1 (2001), Noise of flowing air in ventilation systems: what a straight duct makes of itself (from memory: confirm).

use bands::Spectrum;
use quantities::math;

/// Sound power level of the flow in a straight duct over all bands, dB re 1 pW: L_W = 7 + 50 lg v + 10 lg S, with the velocity v in m/s and the
/// clear section S in m². Minus infinity for still air.
pub fn straight_duct_power_db(velocity_m_s: f64, area_m2: f64) -> f64 {
    if velocity_m_s <= 0.0 || area_m2 <= 0.0 {
        return f64::NEG_INFINITY;
    }
    7.0 + 50.0 * math::log10(velocity_m_s) + math::db_of_energy(area_m2)
}

/// The same by third octave, dB: in an octave L_W + ΔL with ΔL = −2 − 26 lg(1.14 + 0.02 f/v), and a third of that energy in each of its
/// third octaves, taken at their own middle f in Hz.
pub fn straight_duct_power_by_band_db(velocity_m_s: f64, area_m2: f64) -> Spectrum {
    let whole_db = straight_duct_power_db(velocity_m_s, area_m2);
    let third_db = math::db_of_energy(1.0 / 3.0);
    Spectrum::from_fn(|band| {
        if whole_db.is_finite() {
            whole_db - 2.0 - 26.0 * math::log10(1.14 + 0.02 * band.centre_hz() / velocity_m_s) + third_db
        } else {
            SILENT_DB
        }
    })
}

/// Stands for no sound at all, dB.
pub const SILENT_DB: f64 = -100.0;

#[cfg(test)]
mod tests {
    use super::*;
    use bands::Band;

    /// By hand: v 4 m/s, S 0.09 m²: 7 + 30.10 − 10.46 = 26.65 dB; at 250 Hz −2 − 26 lg 2.39 = −11.84, a third of the octave 4.77 less.
    #[test]
    fn a_duct_by_hand() {
        assert!((straight_duct_power_db(4.0, 0.09) - 26.645).abs() < 0.005);
        let band = Band::from_nominal_hz(250.0).unwrap();
        let found = straight_duct_power_by_band_db(4.0, 0.09).get(band);
        assert!((found - (26.645 - 11.84 - 4.77)).abs() < 0.05, "{found}");
    }

    /// Twice the velocity is 15 dB more; still air is silent.
    #[test]
    fn the_fifth_power_of_the_velocity() {
        let twice = straight_duct_power_db(3.0, 0.04) - straight_duct_power_db(1.5, 0.04);
        assert!((twice - 15.05).abs() < 0.01);
        assert!(straight_duct_power_by_band_db(0.0, 0.04).values_db().iter().all(|db| *db <= SILENT_DB));
    }
}
