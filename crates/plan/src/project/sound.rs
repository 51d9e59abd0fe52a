//! What is played, where it must be quiet, and what comes in.

use bands::Readings;
use serde::Serialize;

use crate::{
    project::{BackgroundId, ElementId, OutsideSoundId, SourceKindId, WallId},
    read::keyed::keyed,
};

keyed! {
    /// Something that is played or said in the room.
    pub struct Source {
        /// Its name, unique.
        name: String,
        /// Its spectrum in the catalogue.
        kind: SourceKindId,
        /// Energy-average level in the room while it sounds; without it the catalogue's.
        level_dba: Option<f64> [20.0, 140.0],
        /// Levels measured in the room, dB in third-octave bands; used instead of kind and level in the bands
        /// it has.
        measured: Option<Readings> [-20.0, 150.0],
        /// File with the measured levels, columns `frequency_hz,value_db`.
        measured_csv: Option<String>,
    }
}

/// A place where it must be quiet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Receiver {
    /// Its name, unique.
    pub name: String,
    /// Where it is.
    pub place: Place,
    /// Highest level, 0 to 120 dB(A).
    pub limit_dba: Option<f64>,
    /// Highest noise-rating curve, 0 to 100.
    pub limit_nr: Option<f64>,
    /// Spectrum of the quiet there without the room.
    pub background: Option<BackgroundId>,
    /// Level of the quiet there without the room, 0 to 100 dB(A).
    pub background_dba: Option<f64>,
    /// By how much the room must stay below the background in every band, −20 to 40 dB; only with a background.
    pub margin_db: Option<f64>,
}

/// Where a receiver is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// In the room itself, key `inside = true`.
    Inside,
    /// Outdoors, straight out from a wall.
    Outside {
        /// The wall.
        wall: WallId,
        /// From the wall's first corner along it, mm; may lie beyond its ends.
        along_mm: f64,
        /// Out from the wall, 0.2 to 2000 m.
        distance_m: f64,
        /// Above the ground, 0 to 60 m.
        height_m: f64,
    },
    /// In a room that shares a wall or the ceiling with this one.
    NextDoor(Dwelling),
}

/// A room that shares a wall or the ceiling with this one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Dwelling {
    /// What they share, key `behind`: a wall, or the ceiling.
    pub shared: ElementId,
    /// Its volume, 5 to 2000 m³.
    pub volume_m3: f64,
    /// Its decay time, 0.1 to 5 s.
    pub decay_s: f64,
    /// How much less the shared element insulates in place for flanking, 0 to 40 dB.
    pub flanking_db: f64,
}

keyed! {
    /// A fence or wall outside that screens.
    pub struct Fence {
        /// The wall of the room it runs along.
        wall: WallId,
        /// Out from that wall.
        distance_m: f64 [0.2, 1000.0],
        /// Height above the ground.
        height_m: f64 [0.3, 20.0],
    }
}

keyed! {
    /// Ground and air outside.
    pub struct Site {
        /// How soft the ground is: 0 paved, 1 lawn.
        ground_factor: f64 [0.0, 1.0] = 0.5,
        /// Air temperature for sound outdoors.
        temperature_c: f64 [-30.0, 45.0] = 10.0,
        /// Relative humidity for sound outdoors.
        humidity_percent: f64 [5.0, 100.0] = 70.0,
    }
}

keyed! {
    /// A sound that comes in from outside.
    pub struct OutsideSound {
        /// Its name, unique.
        name: String,
        /// Its spectrum in the catalogue.
        kind: OutsideSoundId,
        /// Level in front of the walls.
        level_dba: f64 [10.0, 130.0],
        /// The walls it falls on.
        walls: Vec<WallId>,
    }
}
