//! Sharp, "Prediction methods for the sound transmission of building elements", Noise Control Engineering 11 (1978) 53–63:
//! the path through the air of two leaves without bridges.

use quantities::math;

/// Transmission coefficient of the air path from those of the leaves alone.
///
/// Below f0 the mass law of both leaves together; from there `R = R1 + R2 + 20 lg(f d) − 29`; above `f_l = 55/d`
/// `R1 + R2 + 6`; and less by `10 lg α` where the cavity absorbs less than all.
pub fn air_transmission(
    leaf_transmissions: (f64, f64),
    total_mass_transmission: f64,
    depth_m: f64,
    absorption: f64,
    frequency_hz: f64,
) -> f64 {
    let rise = (20.0 * math::log10(frequency_hz * depth_m) - 29.0).min(6.0);
    let double = leaf_transmissions.0 * leaf_transmissions.1
        / (math::energy_of_db(rise) * absorption.clamp(1e-3, 1.0));
    double.min(total_mass_transmission)
}
