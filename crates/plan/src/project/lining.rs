//! Linings of walls to set out.

use crate::{
    project::{BoardId, WallId},
    read::keyed::{keyed, words},
};

keyed! {
    /// A lining of one wall to set out: studs or bars, boards upright, openings left free.
    pub struct Lining {
        /// The wall.
        wall: WallId,
        /// What carries the boards.
        kind: LiningKind = LiningKind::Studs,
        /// Layers of board, the one on the supports first.
        layer: Vec<LiningLayer>,
        /// Height of the lining; without it that of the wall.
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
    /// What carries the boards of a lining.
    pub enum LiningKind {
        /// An independent row of studs that touches the wall nowhere.
        Studs = "studs",
        /// Bars on resilient clips on the wall.
        Clips = "clips",
    }
}
