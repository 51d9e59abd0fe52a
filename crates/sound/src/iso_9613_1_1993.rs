//! ISO 9613-1:1993, Attenuation of sound during propagation outdoors, Part 1: absorption by the atmosphere.

use quantities::{air::ZERO_CELSIUS_K, math};
use serde::Serialize;

use crate::room_error::RoomError;

/// Reference pressure p_r, kPa (clause 4.2).
const REFERENCE_PRESSURE_KPA: f64 = 101.325;
/// Reference temperature T_0, K (clause 4.2).
const REFERENCE_TEMPERATURE_K: f64 = 293.15;
/// Triple-point isotherm temperature T_01, K (Annex B).
const TRIPLE_POINT_K: f64 = 273.16;

/// The air outdoors.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OutdoorAir {
    temperature_c: f64,
    humidity_percent: f64,
    pressure_kpa: f64,
}

impl OutdoorAir {
    /// Temperature −20 to 50 °C and relative humidity 10 to 100 % (the extent of Table 1) at 101.325 kPa;
    /// a sentence outside them.
    pub fn new(temperature_c: f64, humidity_percent: f64) -> Result<Self, RoomError> {
        RoomError::in_range("air outdoors", "the temperature", temperature_c, "°C", (-20.0, 50.0))?;
        RoomError::in_range("air outdoors", "the relative humidity", humidity_percent, "%", (10.0, 100.0))?;
        Ok(Self { temperature_c, humidity_percent, pressure_kpa: REFERENCE_PRESSURE_KPA })
    }

    /// The same air at another pressure, 50 to 200 kPa (clause 7 gives its accuracies up to 200 kPa).
    pub fn at_pressure(self, pressure_kpa: f64) -> Result<Self, RoomError> {
        RoomError::in_range("air outdoors", "the pressure", pressure_kpa, "kPa", (50.0, 200.0))?;
        Ok(Self { pressure_kpa, ..self })
    }

    /// Temperature, °C.
    pub fn temperature_c(&self) -> f64 {
        self.temperature_c
    }

    /// Relative humidity, %.
    pub fn humidity_percent(&self) -> f64 {
        self.humidity_percent
    }

    /// Speed of sound, m/s: `c = 343.2 · (T/T0)^½` (Annex A, equation A.5).
    pub fn speed_of_sound_m_s(&self) -> f64 {
        343.2 * ((self.temperature_c + ZERO_CELSIUS_K) / REFERENCE_TEMPERATURE_K).sqrt()
    }
}

/// Pure-tone attenuation coefficient α of the atmosphere, dB/m (equations 3 to 5, B.1 to B.3).
///
/// ```text
/// α = 8.686 f² [ 1.84e-11 (pa/pr)^-1 (T/T0)^½
///     + (T/T0)^-5/2 { 0.01275 e^(-2239.1/T) / (frO + f²/frO) + 0.1068 e^(-3352.0/T) / (frN + f²/frN) } ]
/// frO = (pa/pr) (24 + 4.04e4 h (0.02 + h)/(0.391 + h))
/// frN = (pa/pr) (T/T0)^-½ (9 + 280 h e^{-4.170 [(T/T0)^-⅓ - 1]})
/// h   = hr (psat/pr)/(pa/pr),  psat/pr = 10^(-6.8346 (T01/T)^1.261 + 4.6151)
/// ```
///
/// The standard covers 50 Hz to 10 kHz; below 50 Hz the formula stands but the attenuation is next to nothing.
/// Exact band mid-frequencies are to be used (Table 1, note 5).
pub fn attenuation_db_per_m(frequency_hz: f64, air: &OutdoorAir) -> f64 {
    let kelvin = air.temperature_c + ZERO_CELSIUS_K;
    let t = kelvin / REFERENCE_TEMPERATURE_K;
    let p = air.pressure_kpa / REFERENCE_PRESSURE_KPA;
    let saturation = math::powf(10.0, -6.8346 * math::powf(TRIPLE_POINT_K / kelvin, 1.261) + 4.6151);
    let h = air.humidity_percent * saturation / p;
    let oxygen_hz = p * (24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h));
    let nitrogen_hz = p / t.sqrt() * (9.0 + 280.0 * h * math::exp(-4.170 * (1.0 / math::cbrt(t) - 1.0)));
    let f2 = frequency_hz * frequency_hz;
    let relaxation = 0.01275 * math::exp(-2239.1 / kelvin) / (oxygen_hz + f2 / oxygen_hz)
        + 0.1068 * math::exp(-3352.0 / kelvin) / (nitrogen_hz + f2 / nitrogen_hz);
    8.686 * f2 * (1.84e-11 / p * t.sqrt() + math::powf(t, -2.5) * relaxation)
}
