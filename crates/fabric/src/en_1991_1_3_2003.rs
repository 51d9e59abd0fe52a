//! EN 1991-1-3:2003, Snow loads, with the United Kingdom's national annex.

use crate::{FabricError, error::in_range};

/// Characteristic snow load on the ground s_k, kN/m², UK NA eq. (NA.1) with the corrigendum of June 2007:
/// s_k = [0.15 + (0.1 Z + 0.05)] + (A − 100)/525, for zone Z (1 to 6.5) and altitude A (0 to 1500 m).
///
/// Not less than 0. Errors: a zone or altitude outside its range.
pub fn ground_snow_uk(zone: f64, altitude_m: f64) -> Result<f64, FabricError> {
    in_range("the snow zone", zone, (0.5, 6.5), "", "read it off the map of the national annex")?;
    in_range("the altitude", altitude_m, (0.0, 1500.0), "m", "above 1500 m ask the weather service")?;
    Ok(((0.15 + (0.1 * zone + 0.05)) + (altitude_m - 100.0) / 525.0).max(0.0))
}

/// Shape coefficient μ₁ of a monopitch roof, Table 5.2: 0.8 to 30°, falling to 0 at 60°. Pitch in degrees.
pub fn shape_mu1(pitch_deg: f64) -> f64 {
    (0.8 * (60.0 - pitch_deg) / 30.0).clamp(0.0, 0.8)
}

/// Exposure and thermal coefficients C_e = C_t = 1.0 (UK NA 2.15 and 2.16).
pub const EXPOSURE_TIMES_THERMAL: f64 = 1.0;

/// Coefficient for exceptional snow loads C_esl, 4.3: s_Ad = C_esl s_k.
pub const EXCEPTIONAL: f64 = 2.0;

/// Snow on the roof s = μ₁ C_e C_t s_k, eq. (5.1), kN/m².
pub fn roof_snow(ground_kn_m2: f64, pitch_deg: f64) -> f64 {
    shape_mu1(pitch_deg) * EXPOSURE_TIMES_THERMAL * ground_kn_m2
}
