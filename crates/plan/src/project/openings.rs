//! Walls, and what goes through them.

use serde::Serialize;

use crate::{
    project::{BuildupId, ElementId, LiningId, SealId, WallId},
    read::keyed::{keyed, words},
};

keyed! {
    /// What the ceiling is built of.
    pub struct Ceiling {
        /// Its build-up.
        buildup: BuildupId,
        /// Clips that are bridged: a screw too long goes straight through to the joist. A fault to try, or one found.
        bridged_clips: u32 [0.0, 1000.0] = 0,
    }
}

keyed! {
    /// One side of the ring.
    pub struct Wall {
        /// The two corners it runs between, in the order of the ring.
        between: WallId,
        /// Its build-up.
        buildup: BuildupId,
        /// What lies behind it.
        faces: Faces = Faces::Outside,
        /// Height from floor to the underside of the joists or slab.
        height_mm: f64 [1000.0, 12_000.0],
    }
}

words! {
    /// What lies behind a wall.
    pub enum Faces {
        /// Open air.
        Outside = "outside",
        /// Another part of the same building.
        Building = "building",
        /// A neighbour's building.
        Neighbour = "neighbour",
        /// Soil.
        Ground = "ground",
    }
}

keyed! {
    /// A window, door or hatch.
    pub struct Opening {
        /// Its name, unique.
        name: String,
        /// The wall it is in.
        wall: WallId,
        /// What it is.
        kind: OpeningKind,
        /// Its build-up.
        buildup: BuildupId,
        /// From the wall's first corner to the near reveal.
        from_corner_mm: f64 [0.0, 50_000.0],
        /// Clear width.
        width_mm: f64 [50.0, 10_000.0],
        /// Clear height.
        height_mm: f64 [50.0, 6000.0],
        /// Height of its lower edge above the floor.
        sill_mm: f64 [0.0, 6000.0] = 0.0,
        /// What seals it all round; without it nothing does.
        seal: Option<SealId>,
        /// By plumb line: how much farther into the opening the near reveal stands at its head than at its foot, so that the opening is narrower there; minus: wider. `width_mm` is then taped at the foot.
        near_lean_mm: Option<f64> [-100.0, 100.0],
        /// By plumb line: how much farther into the opening the far reveal stands at its head than at its foot, so that the opening is narrower there; minus: wider.
        far_lean_mm: Option<f64> [-100.0, 100.0],
        /// By level: how much lower the lintel's far end lies than its near end; minus: higher. `height_mm` is then taped at the near reveal.
        head_fall_mm: Option<f64> [-100.0, 100.0],
        /// By level: how much lower the sill's far end lies than its near end; minus: higher.
        sill_fall_mm: Option<f64> [-100.0, 100.0],
    }
}

words! {
    /// What an opening is.
    pub enum OpeningKind {
        /// A window.
        Window = "window",
        /// A door.
        Door = "door",
        /// A hatch or other panel.
        Hatch = "hatch",
    }
}

keyed! {
    /// A silenced way for fresh air through a wall: a lined duct or a baffle box.
    pub struct Vent {
        /// Its name, unique.
        name: String,
        /// What silences it.
        kind: VentKind = VentKind::Duct,
        /// Which way the air goes; vents of one way share the fresh air.
        air: VentWay = VentWay::Supply,
        /// The wall it goes through.
        wall: WallId,
        /// From the wall's first corner to its middle.
        from_corner_mm: f64 [0.0, 50_000.0],
        /// Height of its middle above the floor.
        above_floor_mm: f64 [0.0, 12_000.0],
        /// Clear width of the duct, or of a box's inlet and outlet.
        duct_width_mm: f64 [20.0, 1500.0],
        /// Clear height of the duct, or of a box's inlet and outlet.
        duct_height_mm: f64 [20.0, 1500.0],
        /// Length of duct with the lining in it.
        lined_length_mm: f64 [0.0, 30_000.0] = 0.0,
        /// The lining, a fibre of the catalogue.
        lining: Option<LiningId>,
        /// Thickness of the lining; the duct is the clear size inside it.
        lining_mm: f64 [5.0, 200.0] = 25.0,
        /// Right-angled bends.
        bends: u32 [0.0, 12.0] = 0,
        /// Of a baffle box: clear length inside its lining, from the end with the inlet to the end with the outlet.
        box_length_mm: Option<f64> [100.0, 6000.0],
        /// Of a baffle box: clear width inside its lining.
        box_width_mm: Option<f64> [100.0, 3000.0],
        /// Of a baffle box: clear height inside its lining; the inlet lies at one edge of it, the outlet at the other.
        box_height_mm: Option<f64> [100.0, 3000.0],
    }
}

words! {
    /// What silences a way for air.
    pub enum VentKind {
        /// A duct with an absorbent lining.
        Duct = "duct",
        /// A lined box whose inlet and outlet do not face each other.
        BaffleBox = "baffle-box",
    }
}

words! {
    /// Which way the air of a vent goes.
    pub enum VentWay {
        /// Outside air comes in.
        Supply = "supply",
        /// Used air goes out.
        Extract = "extract",
    }
}

/// A slit or hole that stays after sealing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gap {
    /// Where it is, in words, key `where`.
    pub place: String,
    /// The element it is in.
    pub element: ElementId,
    /// Its opening.
    pub shape: GapShape,
    /// How deep the sound must go through it, 1 to 2000 mm.
    pub depth_mm: f64,
    /// What it is filled with.
    pub filling: GapFilling,
}

words! {
    /// What a gap is filled with.
    pub enum GapFilling {
        /// Open.
        Nothing = "nothing",
        /// Packed with mineral fibre.
        Fibre = "fibre",
        /// Expanding foam, which shrinks and leaves cracks.
        Foam = "foam",
        /// Sealant or mortar, full depth.
        Sealant = "sealant",
    }
}

/// The opening of a gap.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum GapShape {
    /// A slit, keys `length_m` and `width_mm`.
    Slit {
        /// Length, 0.01 to 500 m.
        length_m: f64,
        /// Width, 0.001 to 100 mm.
        width_mm: f64,
    },
    /// A round hole, key `hole_mm`.
    Hole {
        /// Diameter, 0.5 to 500 mm.
        diameter_mm: f64,
    },
}
