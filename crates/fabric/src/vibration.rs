//! Vibration of a joist that is also a floor, EN 1995-1-1:2004 7.3.3 with the limits of the UK national annex.

use quantities::math;
use serde::Serialize;

use crate::{Checked, en_1995_1_1_2004 as ec5};

/// What the vibration of a floor needs besides the joist.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FloorVibration {
    /// Width of the floor, m, 0.5 to 100.
    pub floor_width_m: f64,
    /// Bending stiffness of the deck across the joists, N m² per metre, 10 to 10⁷ (18 mm OSB: about 2000).
    pub deck_stiffness_nm2_m: f64,
    /// Modal damping ratio, 0.005 to 0.1; 0.02 in the UK.
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
    /// Demand over limit: the worst of deflection, velocity and 8 Hz over the frequency.
    pub utilisation: f64,
    /// Whether it holds; open below 8 Hz, where a special investigation is needed.
    pub checked: Checked,
}

/// The joist as the vibration check sees it.
pub(crate) struct FloorJoist {
    pub(crate) span_m: f64,
    pub(crate) spacing_m: f64,
    pub(crate) ei_nm2: f64,
    pub(crate) mass_kg_m2: f64,
}

/// Frequency, deflection under 1 kN and impulse velocity.
///
/// Deflection and its limit by UK NA to BS EN 1995-1-1 Table NA.6 (from memory):
/// a = 1000 k_dist L³ k_amp/(48 EI), k_dist = max(0.38 − 0.08 ln(14 EI_b/s⁴), 0.30), k_amp = 1.05; a ≤ 1.8 mm up to 4 m,
/// 16 500/L^1.1 beyond; v ≤ b^(f₁ζ − 1) with b = 180 − 60a, or 160 − 40a for a above 1.
pub(crate) fn judge(floor: &FloorVibration, joist: &FloorJoist) -> VibrationResult {
    let FloorJoist { span_m, spacing_m, ei_nm2, mass_kg_m2 } = *joist;
    let along = ei_nm2 / spacing_m;
    let frequency_hz = ec5::floor_frequency_hz(span_m, along, mass_kg_m2);
    let modes =
        ec5::modes_below_40(frequency_hz, floor.floor_width_m / span_m, along / floor.deck_stiffness_nm2_m);
    let impulse_velocity = ec5::impulse_velocity(modes, mass_kg_m2, floor.floor_width_m, span_m);
    let spacing_mm = spacing_m * 1000.0;
    let spread = 14.0 * floor.deck_stiffness_nm2_m * 1e6 / math::powi(spacing_mm, 4);
    let kdist = (0.38 - 0.08 * math::ln(spread)).max(0.30);
    let point_deflection_mm_kn = 1000.0 * kdist * 1.05 * span_m * span_m * span_m / (48.0 * ei_nm2) * 1000.0;
    let limit_mm_kn = if span_m <= 4.0 { 1.8 } else { 16500.0 / math::powf(span_m * 1000.0, 1.1) };
    let b = if point_deflection_mm_kn <= 1.0 {
        180.0 - 60.0 * point_deflection_mm_kn
    } else {
        160.0 - 40.0 * point_deflection_mm_kn
    };
    let impulse_limit = math::powf(b.max(1.0), frequency_hz * floor.damping - 1.0);
    let demand = (point_deflection_mm_kn / limit_mm_kn).max(impulse_velocity / impulse_limit);
    let checked = if frequency_hz < LEAST_FREQUENCY_HZ {
        Checked::Open {
            missing: format!(
                "not checked: the floor's first mode is {frequency_hz:.1} Hz, below 8 Hz, which needs a special investigation"
            ),
        }
    } else {
        Checked::of(demand)
    };
    VibrationResult {
        frequency_hz,
        point_deflection_mm_kn,
        limit_mm_kn,
        impulse_velocity,
        impulse_limit,
        utilisation: demand.max(LEAST_FREQUENCY_HZ / frequency_hz),
        checked,
    }
}

const LEAST_FREQUENCY_HZ: f64 = 8.0;
