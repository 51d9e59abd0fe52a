//! Sabine H. J. (1940), The absorption of noise in ventilating ducts, J. Acoust. Soc. Am. 12, 53–57 (formula from memory).

use quantities::math;

/// Attenuation of a straight lined duct, dB per metre: ΔL = 1.05 α^1.4 P/A, with perimeter P and area A of the clear duct in m
/// and m² and the lining's absorption coefficient α, 0 to 1. Below the frequency of beaming only.
pub fn attenuation_db_m(absorption: f64, perimeter_m: f64, area_m2: f64) -> f64 {
    1.05 * math::powf(absorption.clamp(0.0, 1.0), 1.4) * perimeter_m / area_m2
}
