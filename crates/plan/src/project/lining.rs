//! Linings of walls to set out.

use crate::{
    project::{BoardId, FillId, WallId},
    read::keyed::{keyed, words},
};

keyed! {
    /// A lining of one wall to set out: studs or bars, boards upright, openings left free. Sound, heat and the ceiling's edge have it in them; a
    /// wall whose build-up ends with a cavity and these very boards is taken as it stands there.
    pub struct Lining {
        /// The wall.
        wall: WallId,
        /// What carries the boards.
        kind: LiningKind = LiningKind::Studs,
        /// Layers of board, the one on the supports first.
        layer: Vec<LiningLayer>,
        /// Clear depth between the wall and the back of the boards; without it 70 mm for studs, clip and bar for clips.
        cavity_mm: Option<f64> [10.0, 600.0],
        /// Fibre in that depth.
        fill: Option<FillId>,
        /// Thickness of the fibre; without it the depth is filled.
        fill_mm: Option<f64> [10.0, 600.0],
        /// Which is built first: the ceiling then ends at the lining, or the lining under the ceiling.
        built: LiningBuilt = LiningBuilt::BeforeCeiling,
        /// Height of the lining; without it that of the wall. Where joists or the finished ceiling come lower, the lining ends there.
        height_mm: Option<f64> [1000.0, 12_000.0],
        /// Of studs: the face the boards bear on.
        stud_face_mm: f64 [20.0, 200.0] = 50.0,
        /// Of studs: largest distance between them.
        stud_gap_mm: f64 [200.0, 900.0] = 600.0,
        /// Of studs: length as sold.
        stud_length_mm: f64 [1000.0, 12_000.0] = 3600.0,
        /// Of bars on clips: running dimensions of the studs behind, from the wall's first corner; empty on masonry.
        clip_lines_mm: Vec<f64> [0.0, 50_000.0] = Vec::new(),
    }
}

keyed! {
    /// One layer of board of a lining.
    pub struct LiningLayer {
        /// Catalogue entry.
        material: BoardId,
        /// How many of it, one over the other.
        sheets: u32 [1.0, 4.0] = 1,
    }
}

words! {
    /// What is built first.
    pub enum LiningBuilt {
        /// The lining, from floor to joists: the ceiling ends at its face.
        BeforeCeiling = "before-ceiling",
        /// The ceiling, from wall to wall: the lining ends under it.
        AfterCeiling = "after-ceiling",
    }
}

words! {
    /// What carries the boards of a lining.
    pub enum LiningKind {
        /// An independent row of studs that touches the wall nowhere.
        Studs = "studs",
        /// Bars on resilient clips on the wall.
        Clips = "clips",
    }
}
