//! The roof and the timbers over the ceiling.

use serde::Serialize;

use crate::{
    project::{GradeId, WallId},
    read::keyed::{keyed, words},
};

keyed! {
    /// The roof over the ceiling.
    pub struct Roof {
        /// How it is built.
        kind: RoofKind,
        /// Height of the room's floor above the ground outside; minus where it lies lower.
        floor_above_ground_mm: f64 [-2000.0, 5000.0] = 0.0,
        /// Fall of the roof's surface.
        fall_mm_per_m: f64 [0.0, 1000.0] = 0.0,
        /// Height of the firrings at their thin end.
        firring_least_mm: f64 [0.0, 500.0] = 0.0,
        /// Clear air that must stay above the fibre.
        vent_gap_mm: f64 [0.0, 500.0] = 50.0,
        /// Height of the continuous slot that airs each bay, at each of its ends.
        vent_opening_mm: f64 [0.0, 200.0] = 25.0,
        /// Height of the site above the sea.
        altitude_m: f64 [-50.0, 3000.0] = 0.0,
        /// Snow zone of the national map.
        snow_zone: Option<u32> [1.0, 10.0],
        /// Snow on the ground, where a figure is known; used instead of the zone.
        snow_ground_kn_m2: Option<f64> [0.0, 20.0],
        /// Load of people and tools on the roof.
        imposed_kn_m2: f64 [0.0, 10.0] = 0.6,
    }
}

words! {
    /// How a roof is built.
    pub enum RoofKind {
        /// Flat, fibre between the joists, aired above it.
        ColdFlat = "cold-flat",
        /// Flat, insulation above the deck, not aired.
        WarmFlat = "warm-flat",
        /// The joists are the floor of a loft under a pitched roof.
        Loft = "loft",
    }
}

/// The timbers over the ceiling, all of one section.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Joists {
    /// Timbers bolted side by side in one joist, 1 to 4.
    pub members: u32,
    /// Width of one of them, 20 to 300 mm.
    pub member_width_mm: f64,
    /// Depth of the joist, 50 to 600 mm.
    pub depth_mm: f64,
    /// Strength class; `None` for "unknown", timber without a stamp.
    pub grade: Option<GradeId>,
    /// Length of bearing on the wall at each end, 20 to 400 mm.
    pub bearing_mm: f64,
    /// What a person should know of how they bear.
    pub span_note: Option<String>,
    /// The joists in the order of the file, key `joist`.
    pub each: Vec<Joist>,
}

impl Joists {
    /// Width of a whole joist, mm.
    pub fn width_mm(&self) -> f64 {
        f64::from(self.members) * self.member_width_mm
    }
}

/// One joist, where it runs and how its underside lies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Joist {
    /// Its name.
    pub name: String,
    /// The wall it starts from.
    pub from_wall: WallId,
    /// Running dimension to its middle along that wall, from the wall's first corner.
    pub from_mm: f64,
    /// The wall it reaches.
    pub to_wall: WallId,
    /// Running dimension to its middle along that wall, from the wall's first corner.
    pub to_mm: f64,
    /// Heights of its underside above the laser line at even distances along it, first reading at `from_wall`, last
    /// at `to_wall`; empty where none was taken.
    pub up_from_laser_mm: Vec<f64>,
    /// The same along its other edge, to the right of the first seen from `from_wall`; empty where none was taken.
    pub other_edge_up_from_laser_mm: Vec<f64>,
}
