//! EN 12354-1:2000 and ISO 12354-1:2017, airborne sound insulation between rooms: the simplified model for
//! single numbers, which both editions share.

use quantities::math;

/// One flanking path from an element in the source room over a junction to one in the receiving room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JunctionPath {
    /// Weighted sound reduction index of the element in the source room Ri,w, dB.
    pub source_element_db: f64,
    /// Weighted sound reduction index of the element in the receiving room Rj,w, dB.
    pub receiving_element_db: f64,
    /// Improvement by linings on both ΔRij,w, dB.
    pub linings_db: f64,
    /// Vibration reduction index of the junction Kij, dB.
    pub vibration_reduction_db: f64,
    /// Area of the separating element Ss, m².
    pub separating_area_m2: f64,
    /// Length of the junction lf, m.
    pub junction_length_m: f64,
}

/// Weighted flanking reduction index of one path, dB:
/// `Rij,w = (Ri,w + Rj,w)/2 + ΔRij,w + Kij + 10 lg[Ss/(l0 lf)]`, l0 = 1 m (EN 12354-1:2000, equations 27 and 28a).
pub fn path_reduction_db(path: &JunctionPath) -> f64 {
    0.5 * (path.source_element_db + path.receiving_element_db)
        + path.linings_db
        + path.vibration_reduction_db
        + math::db_of_energy(path.separating_area_m2 / path.junction_length_m)
}

/// Apparent reduction index of the direct path and all flanking paths, dB:
/// `R′w = −10 lg[ 10^(−RDd,w/10) + Σ 10^(−Rij,w/10) ]` (equation 26).
pub fn apparent_reduction_db(direct_db: f64, paths_db: &[f64]) -> f64 {
    let flanking: f64 = paths_db.iter().map(|&r| math::energy_of_db(-r)).sum();
    -math::db_of_energy(math::energy_of_db(-direct_db) + flanking)
}

/// Standardised level difference, dB: `DnT = R′ + 10 lg(0.32 V/S)` (EN 12354-1:2000, equation 5b).
pub fn standardised_difference_db(apparent_db: f64, volume_m3: f64, separating_area_m2: f64) -> f64 {
    apparent_db + math::db_of_energy(0.32 * volume_m3 / separating_area_m2)
}
