//! Vibration of a joist that is also a floor, EN 1995-1-1:2004 7.3.3.

use serde::Serialize;

use crate::Checked;

/// What the vibration of a floor needs besides the joist.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FloorVibration {
    /// Width of the floor, m.
    pub floor_width_m: f64,
    /// Bending stiffness of the deck across the joists, N m² per metre.
    pub deck_stiffness_nm2_m: f64,
    /// Modal damping ratio; 0.02 in the UK.
    pub damping: f64,
}

/// Vibration of a floor joist.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VibrationResult {
    /// Fundamental frequency, Hz; 8 or more for this method.
    pub frequency_hz: f64,
    /// Deflection under a load of 1 kN, mm/kN.
    pub point_deflection_mm_kn: f64,
    /// Limit of it, mm/kN.
    pub limit_mm_kn: f64,
    /// Velocity response to a unit impulse, m/(N s²).
    pub impulse_velocity: f64,
    /// Limit of it, m/(N s²).
    pub impulse_limit: f64,
    /// Whether it holds; open below 8 Hz, where a special investigation is needed.
    pub checked: Checked,
}
