//! Fresh air: carbon dioxide, vapour and heat of the people in a room over a session.

use serde::Serialize;

use crate::{Basis, FabricError};

/// What people do, with the activity level of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Activity {
    /// Sitting and listening, 1.0 met.
    Sitting,
    /// Sitting and playing quietly, speaking, desk work, 1.2 met.
    Playing,
    /// Standing, singing, teaching, 1.5 met.
    Standing,
    /// Moving about, light work, 2.0 met.
    Moving,
    /// Drumming or dancing, 3.0 met.
    Drumming,
}

/// Some people who do the same.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct People {
    /// How many.
    pub count: u32,
    /// What they do.
    pub activity: Activity,
}

/// What is needed for an air check.
#[derive(Clone, Debug, PartialEq)]
pub struct AirCheck {
    /// Volume of air in the room, m³, 1 to 100 000.
    pub volume_m3: f64,
    /// Who is in it.
    pub people: Vec<People>,
    /// Length of a session, h, 0.05 to 24.
    pub session_h: f64,
    /// Fresh air, L/s; none: there is no way in or out.
    pub fresh_air_l_s: Option<f64>,
    /// Limit of carbon dioxide, ppm.
    pub limit_ppm: f64,
    /// Carbon dioxide outdoors, ppm.
    pub outdoor_ppm: f64,
    /// Carbon dioxide in the room when the session starts, ppm.
    pub start_ppm: f64,
    /// Inside temperature, °C.
    pub inside_c: f64,
    /// Heat of lamps, amplifiers and the like, W.
    pub equipment_w: f64,
}

/// Carbon dioxide at one time of the session.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirAt {
    /// Since the start, min.
    pub minute: f64,
    /// With the fresh air, ppm.
    pub ventilated_ppm: f64,
    /// Sealed, ppm.
    pub sealed_ppm: f64,
}

/// Carbon dioxide, vapour and heat of a session.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AirResult {
    /// Carbon dioxide given off by all people, L/s at the inside temperature.
    pub co2_l_s: f64,
    /// At the end of the session with the fresh air, ppm: the peak, where it started below the steady value.
    pub end_ppm: f64,
    /// The highest of the session, ppm.
    pub peak_ppm: f64,
    /// Where it would settle, ppm.
    pub steady_ppm: f64,
    /// At the end of the session with the room sealed, ppm.
    pub sealed_end_ppm: f64,
    /// When the sealed room passes the limit, min; none: not within the session.
    pub sealed_passes_limit_min: Option<f64>,
    /// When the ventilated room passes the limit, min; none: not within the session.
    pub passes_limit_min: Option<f64>,
    /// Fresh air that keeps to the limit until the end of the session, L/s.
    pub needed_l_s: f64,
    /// Fresh air that keeps to it however long it lasts, L/s.
    pub needed_steady_l_s: f64,
    /// The rate for these people by EN 16798-1 category II, L/s.
    pub category_ii_l_s: f64,
    /// Air changes per hour.
    pub air_changes_per_h: f64,
    /// Vapour given off by all people, g/h.
    pub vapour_g_h: f64,
    /// Excess of vapour pressure over outdoors in the steady state, Pa; the figure for a moisture check.
    pub vapour_excess_pa: f64,
    /// Heat of people and equipment, W.
    pub heat_w: f64,
    /// How far the fresh air alone would let the room warm above outdoors, K, with no loss through the fabric.
    pub warming_k: f64,
    /// The session minute by minute (at most 121 points).
    pub course: Vec<AirAt>,
    /// Whether the limit is kept to the end of the session.
    pub kept: bool,
    /// Notes for the person.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Carbon dioxide, vapour and heat of a session.
///
/// Errors: a volume, time or limit outside its range; people with no way for air in or out.
pub fn check_air(_check: &AirCheck) -> Result<AirResult, FabricError> {
    Err(FabricError::TooFew { what: "the air check".to_owned(), of: "method", least: 1 })
}
