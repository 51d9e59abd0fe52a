//! The silenced air path: a lined duct or a baffle box, its loss by band, its pressure drop and its own noise.

use bands::{BAND_COUNT, Spectrum};
use serde::Serialize;

use crate::{Basis, FabricError};

/// A straight rectangular duct lined on all four sides.
#[derive(Clone, Debug, PartialEq)]
pub struct LinedDuct {
    /// Its mark.
    pub name: String,
    /// Clear width inside the lining, m.
    pub width_m: f64,
    /// Clear height inside the lining, m.
    pub height_m: f64,
    /// Lined length, m.
    pub length_m: f64,
    /// Absorption coefficient of the lining by band, 25 Hz first, 0 to 1.
    pub absorption: [f64; BAND_COUNT],
    /// Lined right-angle bends; each counts as pressure loss and, above cut-on, as loss of sound.
    pub bends: u32,
    /// Air carried, L/s.
    pub air_l_s: f64,
}

/// A lined box with an inlet and an outlet that do not face each other.
#[derive(Clone, Debug, PartialEq)]
pub struct BaffleBox {
    /// Its mark.
    pub name: String,
    /// Inner length, m.
    pub length_m: f64,
    /// Inner width, m.
    pub width_m: f64,
    /// Inner height, m.
    pub height_m: f64,
    /// Area of the outlet, m².
    pub outlet_m2: f64,
    /// Slant distance from the middle of the inlet to the middle of the outlet, m.
    pub distance_m: f64,
    /// Angle of that line to the inlet's axis, degrees, 0 to 89.
    pub angle_deg: f64,
    /// Absorption coefficient of the lining by band, 25 Hz first, 0 to 1.
    pub absorption: [f64; BAND_COUNT],
    /// Air carried, L/s.
    pub air_l_s: f64,
}

/// How a silenced air path makes noise of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SelfNoise {
    /// Slow enough to be unheard in a quiet room.
    Silent,
    /// May be heard in a quiet room.
    Audible,
    /// Will hiss.
    Loud,
}

/// A silenced air path in numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AirPathResult {
    /// Its mark.
    pub name: String,
    /// Insertion loss by band, dB.
    pub insertion_loss_db: Spectrum,
    /// Velocity of the air in the narrowest clear section, m/s.
    pub velocity_m_s: f64,
    /// Whether it makes noise of its own.
    pub self_noise: SelfNoise,
    /// Pressure drop, Pa.
    pub pressure_drop_pa: f64,
    /// Area of the narrowest clear section, m².
    pub area_m2: f64,
    /// Above this frequency sound beams straight through a straight duct, Hz.
    pub beams_above_hz: f64,
    /// What the method leaves out here.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Insertion loss, velocity and pressure drop of a lined duct.
///
/// Errors: a clear width, height, length or absorption outside its range.
pub fn lined_duct(_duct: &LinedDuct) -> Result<AirPathResult, FabricError> {
    Err(FabricError::TooFew { what: "the duct".to_owned(), of: "method", least: 1 })
}

/// Insertion loss, velocity and pressure drop of a baffle box.
///
/// Errors: a size, angle or absorption outside its range.
pub fn baffle_box(_chamber: &BaffleBox) -> Result<AirPathResult, FabricError> {
    Err(FabricError::TooFew { what: "the box".to_owned(), of: "method", least: 1 })
}
