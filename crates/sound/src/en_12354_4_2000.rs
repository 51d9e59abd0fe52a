//! EN 12354-4:2000, Building acoustics: estimation of acoustic performance of buildings from the performance
//! of elements, Part 4: transmission of indoor sound to the outside.

use quantities::math;
use serde::Serialize;

/// The sound field inside, in front of the elements (Annex B, Table B.1).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum InsideField {
    /// Small room of even shape, diffuse field, hard surface in front of the element: Cd = −6 dB.
    #[default]
    DiffuseReflecting,
    /// The same with an absorbing surface in front: Cd = −3 dB (value from memory).
    DiffuseAbsorbing,
    /// Large, flat or long hall with many sources: Cd = −5 dB.
    LargeHall,
    /// Hall with few dominating, directional sources, hard surface in front: Cd = −3 dB (value from memory).
    DirectionalReflecting,
    /// The same with an absorbing surface in front: Cd = 0 dB (value from memory).
    DirectionalAbsorbing,
}

impl InsideField {
    /// Diffusity term Cd, dB.
    pub fn cd_db(self) -> f64 {
        match self {
            Self::DiffuseReflecting => -6.0,
            Self::DiffuseAbsorbing | Self::DirectionalReflecting => -3.0,
            Self::LargeHall => -5.0,
            Self::DirectionalAbsorbing => 0.0,
        }
    }
}

/// Sound power level radiated outside by a part of the envelope, dB: `LW = Lp,in + Cd − R′ + 10 lg(S/S0)`, S0 = 1 m²
/// (equation 2). For openings R′ is the insertion loss of a silencer, 0 without (equation 3).
pub fn radiated_power_db(inside_db: f64, cd_db: f64, reduction_db: f64, area_m2: f64) -> f64 {
    inside_db + cd_db - reduction_db + math::db_of_energy(area_m2)
}

/// Total attenuation from the sound power of one whole side to a point straight out from its middle, dB (Annex E):
///
/// ```text
/// A′tot = −10 lg[ 4/(π S) · arctan(l/(2d)) · arctan(h/(2d)) ],  S = l·h
/// ```
///
/// A first estimate over hard ground; far away it tends to `20 lg d + 5`. The form reproduces the four printed
/// values of Table G.9.
pub fn whole_side_attenuation_db(length_m: f64, height_m: f64, distance_m: f64) -> f64 {
    let seen = math::atan(length_m / (2.0 * distance_m)) * math::atan(height_m / (2.0 * distance_m));
    -math::db_of_energy(4.0 / (math::PI * length_m * height_m) * seen)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_away_a_side_is_a_point_in_a_quarter_of_space() {
        let far = whole_side_attenuation_db(6.0, 3.0, 500.0);
        assert!((far - (20.0 * math::log10(500.0) + 10.0 * math::log10(math::PI))).abs() < 1e-3);
    }
}
