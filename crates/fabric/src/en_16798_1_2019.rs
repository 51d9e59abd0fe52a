//! EN 16798-1:2019, Energy performance of buildings, ventilation: indoor environmental input parameters.

/// Fresh air for one person, category II, L/s (Table B.6, from memory).
pub const CATEGORY_II_L_S: f64 = 7.0;
/// Fresh air for one person, category I, L/s (Table B.6, from memory).
pub const CATEGORY_I_L_S: f64 = 10.0;
/// Fresh air for one person, category III, L/s (Table B.6, from memory).
pub const CATEGORY_III_L_S: f64 = 4.0;

/// Carbon dioxide above outdoors for categories I, II, III, ppm (Table B.9, from memory).
pub const CO2_ABOVE_OUTDOORS_PPM: [f64; 3] = [550.0, 800.0, 1350.0];

/// Carbon dioxide of a person awake, L/s: 20 L/h.
pub const CO2_AWAKE_L_S: f64 = 20.0 / 3600.0;
/// Carbon dioxide of a person asleep, L/s: 13.6 L/h.
pub const CO2_ASLEEP_L_S: f64 = 13.6 / 3600.0;
