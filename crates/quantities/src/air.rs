//! Constants of air at room temperature.

/// Speed of sound in air at 20 °C, m/s (343.2 after ISO 9613-1:1993 Annex A, eq. A.5 at T = T0).
pub const SPEED_OF_SOUND_M_S: f64 = 343.2;
/// Density of air at 20 °C and 101.325 kPa, kg/m³ (ideal gas, 287.05 J/(kg K)).
pub const DENSITY_KG_M3: f64 = 1.204;
/// Characteristic impedance ρ₀c₀, Pa s/m.
pub const IMPEDANCE_PA_S_M: f64 = DENSITY_KG_M3 * SPEED_OF_SOUND_M_S;
/// Static pressure P₀, Pa.
pub const STATIC_PRESSURE_PA: f64 = 101_325.0;
/// Gravity used for weights, m/s² (as the published joist sheets use it).
pub const GRAVITY_M_S2: f64 = 9.81;
/// 0 °C in kelvin.
pub const ZERO_CELSIUS_K: f64 = 273.15;
