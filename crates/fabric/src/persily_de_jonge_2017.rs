//! Persily A., de Jonge L. (2017), Carbon dioxide generation rates for building occupants, Indoor Air 27, 868–879.

use quantities::air::ZERO_CELSIUS_K;

/// Basal metabolic rate of a man of 30 to 60 years by his mass, MJ/day (Schofield, as the paper uses it):
/// 0.048 m + 3.653.
pub fn basal_rate_man_30_60(mass_kg: f64) -> f64 {
    0.048 * mass_kg + 3.653
}

/// Carbon dioxide given off, L/s at 101 kPa and 273 K: G = 0.000484 BMR M, with the basal metabolic rate in MJ/day and the
/// activity in met.
pub fn co2_l_s(basal_mj_day: f64, activity_met: f64) -> f64 {
    0.000484 * basal_mj_day * activity_met
}

/// The same gas at another temperature, L/s.
pub fn co2_l_s_at(co2_l_s_at_273: f64, temperature_c: f64) -> f64 {
    co2_l_s_at_273 * (ZERO_CELSIUS_K + temperature_c) / ZERO_CELSIUS_K
}
