//! The roof and the timbers over the ceiling.

use serde::Serialize;

use crate::{
    project::{Cavity, CavityTimbers, GradeId, WallId},
    read::keyed::{keyed, words},
};

keyed! {
    /// A notch or a hole in a joist.
    pub struct JoistCut {
        /// What was cut.
        kind: CutKind,
        /// Its middle, from the inner face of the wall the joist starts from.
        at_mm: f64 [0.0, 20_000.0],
        /// Depth of the notch, or diameter of the hole.
        size_mm: f64 [1.0, 600.0],
        /// Of a hole: its middle above the middle of the joist's depth; minus where it lies below.
        off_centre_mm: f64 [-300.0, 300.0] = 0.0,
    }
}

words! {
    /// What was cut from a joist.
    pub enum CutKind {
        /// From its upper edge.
        TopNotch = "top-notch",
        /// From its lower edge.
        BottomNotch = "bottom-notch",
        /// Through it.
        Hole = "hole",
    }
}

keyed! {
    /// Something heavy that stays on one joist: a tank, a water heater, a hoist.
    pub struct JoistLoad {
        /// What it is.
        name: String,
        /// Where it bears, from the inner face of the wall the joist starts from.
        at_mm: f64 [0.0, 20_000.0],
        /// Its mass with what is in it.
        mass_kg: f64 [0.1, 5000.0],
    }
}

keyed! {
    /// A hatch or rooflight: joists cut short, trimmers across their ends, a whole joist on each side.
    pub struct JoistOpening {
        /// What it is called.
        name: String,
        /// Names of the joists that are cut, those next to each other.
        cut: Vec<String>,
        /// From the inner face of the wall the joists start from to its near edge.
        from_mm: f64 [0.0, 20_000.0],
        /// Clear length along the joists.
        length_mm: f64 [50.0, 10_000.0],
        /// Timbers of the joists' section side by side in each trimmer.
        trimmer_members: u32 [1.0, 4.0] = 2,
        /// Timbers side by side in the whole joist at each side of it; without it as many as in every joist.
        trimming_members: Option<u32> [1.0, 4.0],
    }
}

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
        /// Height of the continuous slot that airs each bay, at each of its ends, mesh taken off.
        vent_opening_mm: f64 [0.0, 200.0] = 25.0,
        /// The same at the wall the joists reach, where it is another.
        vent_opening_far_mm: Option<f64> [0.0, 200.0],
        /// Bays between joists that are not open to the air outside at both ends; 0 once somebody has looked into every one.
        closed_bays: Option<u32> [0.0, 200.0],
        /// Height of the site above the sea.
        altitude_m: Option<f64> [-50.0, 3000.0],
        /// Snow zone of the national map.
        snow_zone: Option<u32> [1.0, 10.0],
        /// Snow on the ground, where a figure is known; used instead of the zone.
        snow_ground_kn_m2: Option<f64> [0.0, 20.0],
        /// Snow drifted against a higher wall or roof beside it, where someone worked it out (EN 1991-1-3 Annex B); an exceptional load.
        snow_drift_kn_m2: Option<f64> [0.0, 20.0],
        /// Load of people and tools on it; without it the annex's: in the United Kingdom 0.6 on a roof, 1.5 on a floor, and 0.25 in a loft.
        imposed_kn_m2: Option<f64> [0.0, 10.0],
        /// Whose choices within the Eurocodes are taken for loads and factors.
        national_annex: AnnexName = AnnexName::UnitedKingdom,
    }
}

words! {
    /// Whose choices within the Eurocodes are taken.
    pub enum AnnexName {
        /// The national annexes of the United Kingdom
        UnitedKingdom = "united-kingdom",
        /// What the Eurocodes recommend where a country chooses nothing
        Recommended = "recommended",
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
        /// The joists are the floor of a storey above, which people walk on.
        Floor = "floor",
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
    /// Distance between noggings of the joists' full depth, 100 to 10 000 mm; `None` where there are none.
    pub blocking_mm: Option<f64>,
    /// What a person should know of how they bear.
    pub span_note: Option<String>,
    /// The joists in the order of the file, key `joist`.
    pub each: Vec<Joist>,
    /// Hatches and rooflights through them, key `joists.opening`.
    pub openings: Vec<JoistOpening>,
    /// Timber beams under them, key `joists.beam`.
    pub beams: Vec<Beam>,
}

/// A timber beam under the joists, from wall to wall through its joists' places.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Beam {
    /// What it is called.
    pub name: String,
    /// Its middle, from the inner face of the wall the joists start from, 100 to 20 000 mm.
    pub at_mm: f64,
    /// Timbers side by side, 1 to 6.
    pub members: u32,
    /// Width of one of them, 20 to 500 mm.
    pub member_width_mm: f64,
    /// Its depth, 50 to 1000 mm.
    pub depth_mm: f64,
    /// Strength class; `None` for "unknown".
    pub grade: Option<GradeId>,
    /// Length of bearing at each end, 20 to 400 mm.
    pub bearing_mm: f64,
    /// Middles of posts under it, from the inner face of the wall at its start, growing, mm.
    pub posts_mm: Vec<f64>,
}

impl Joists {
    /// Width of a whole joist, mm.
    pub fn width_mm(&self) -> f64 {
        f64::from(self.members) * self.member_width_mm
    }

    /// How much of a cavity hangs below these joists, mm: what it is deeper than they are where they cross it, else all of it.
    pub fn left_below_mm(&self, cavity: &Cavity) -> f64 {
        match cavity.timbers {
            Some(CavityTimbers::Joists) if cavity.depth_mm > self.depth_mm => cavity.depth_mm - self.depth_mm,
            _ => cavity.depth_mm,
        }
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
    /// Notches and holes, key `cut`.
    pub cuts: Vec<JoistCut>,
    /// What stands on it besides roof and ceiling, key `load`.
    pub loads: Vec<JoistLoad>,
    /// A member bolted to its side.
    pub sister: Option<Sister>,
    /// Middles of the supports between its two walls, from the inner face of `from_wall`, growing, mm.
    pub supports_mm: Vec<f64>,
    /// How far it runs on past its bearing on `from_wall` and on `to_wall`, mm; 0 for not at all.
    pub overhangs_mm: [f64; 2],
}

/// A member bolted to the side of a joist along its whole length, keys `sister_width_mm`, `sister_depth_mm`,
/// `sister_grade`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sister {
    /// Its width, 20 to 300 mm.
    pub width_mm: f64,
    /// Its depth, 50 to 600 mm.
    pub depth_mm: f64,
    /// Its strength class; `None` for "unknown".
    pub grade: Option<GradeId>,
}
