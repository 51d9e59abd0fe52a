//! EN ISO 13788:2012, internal surface temperature to avoid critical surface humidity, and interstitial condensation.

use quantities::math;
use serde::Serialize;

/// Water-vapour permeability of still air δ₀, kg/(m s Pa).
pub const DELTA_0: f64 = 2e-10;

/// Internal humidity class, Annex A.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HumidityClass {
    /// 1: a dry store.
    One,
    /// 2: offices, dwellings with few people and ventilation.
    Two,
    /// 3: buildings of unknown use, dwellings with many people.
    Three,
    /// 4: sports halls, kitchens.
    Four,
    /// 5: a laundry, a pool.
    Five,
}

/// Saturation pressure p_sat of water vapour, Pa, at a temperature, °C; eqs (E.7) and (E.8):
/// 610.5 exp(17.269 θ/(237.3 + θ)) from 0 °C upwards, 610.5 exp(21.875 θ/(265.5 + θ)) below.
pub fn saturation_pa(temperature_c: f64) -> f64 {
    let (a, b) = if temperature_c >= 0.0 { (17.269, 237.3) } else { (21.875, 265.5) };
    610.5 * math::exp(a * temperature_c / (b + temperature_c))
}
