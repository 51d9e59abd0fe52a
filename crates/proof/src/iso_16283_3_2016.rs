//! ISO 16283-3:2016, *Field measurement of sound insulation in buildings and of building elements, Part 3: Façade sound
//! insulation*.

use quantities::math;

use crate::iso_16283_1_2014::standardised_db;

/// What a reflecting façade adds 45° in front of a loudspeaker, dB: `R′45° = L1,s − L2 + 10 lg(S/A) − 1.5`.
pub const LOUDSPEAKER_DB: f64 = 1.5;
/// What it adds in road traffic, dB: `R′tr,s = L1,s − L2 + 10 lg(S/A) − 3`.
pub const TRAFFIC_DB: f64 = 3.0;

/// Level difference `D2m = L1,2m − L2`, dB: the level 2 m in front of the façade and the average in the room.
pub fn level_difference_2m_db(outdoor_2m_db: f64, receiving_db: f64) -> f64 {
    outdoor_2m_db - receiving_db
}

/// Standardised level difference `D2m,nT = D2m + 10 lg(T/T0)`, T0 = 0.5 s, dB; the decay time in s, above zero.
pub fn standardised_2m_db(difference_2m_db: f64, decay_s: f64) -> f64 {
    standardised_db(difference_2m_db, decay_s)
}

/// Apparent sound reduction index with a loudspeaker at 45°, `R′45° = L1,s − L2 + 10 lg(S/A) − 1.5`, dB; L1,s on the surface of
/// the element, S its area and A the absorption area of the room, m².
pub fn apparent_reduction_45_db(surface_db: f64, receiving_db: f64, area_m2: f64, absorption_m2: f64) -> f64 {
    surface_db - receiving_db + math::db_of_energy(area_m2 / absorption_m2) - LOUDSPEAKER_DB
}

/// Apparent sound reduction index in road traffic, `R′tr,s = L1,s − L2 + 10 lg(S/A) − 3`, dB; as with a loudspeaker.
pub fn apparent_reduction_traffic_db(
    surface_db: f64,
    receiving_db: f64,
    area_m2: f64,
    absorption_m2: f64,
) -> f64 {
    surface_db - receiving_db + math::db_of_energy(area_m2 / absorption_m2) - TRAFFIC_DB
}
