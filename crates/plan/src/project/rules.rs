//! Rules the setting-out obeys.

use crate::read::keyed::{keyed, words};

keyed! {
    /// Rules of the ceiling: the values are common practice unless a maker's instructions say otherwise.
    pub struct Rules {
        /// How long the ceiling is searched for fewer boards.
        search: SearchDepth = SearchDepth::Quick,
        /// What a layout had better have few of, the most wanted first; the rest follow in the order boards, slivers, pieces, cuts, bars, clips.
        prefer: Vec<Prefer> = Vec::new(),
        /// Largest distance between bars.
        bar_gap_mm: f64 [200.0, 1200.0] = 600.0,
        /// Bars are set out this much closer than that, so that a bar fixed a little off its mark still keeps the limit.
        bar_gap_spare_mm: f64 [0.0, 100.0] = 10.0,
        /// Largest distance between clips along a bar.
        clip_gap_mm: f64 [200.0, 2400.0] = 1000.0,
        /// Largest distance from a wall to the first bar.
        first_bar_mm: f64 [20.0, 600.0] = 150.0,
        /// Largest distance from the end of a bar to its last clip.
        bar_end_clip_mm: f64 [50.0, 600.0] = 200.0,
        /// Clear gap between the end of a bar and the wall.
        bar_end_gap_mm: f64 [1.0, 100.0] = 10.0,
        /// Clear gap between the boards and the walls.
        perimeter_gap_mm: f64 [1.0, 50.0] = 8.0,
        /// Narrowest piece of board.
        least_strip_mm: f64 [20.0, 600.0] = 150.0,
        /// Shortest piece of board in a row.
        least_piece_mm: f64 [20.0, 1500.0] = 300.0,
        /// Least distance between joints of neighbouring rows.
        stagger_rows_mm: f64 [0.0, 1500.0] = 300.0,
        /// Least distance between joints of layers that lie on each other.
        stagger_layers_mm: f64 [0.0, 1500.0] = 200.0,
        /// Least width of a board's edge on a bar.
        edge_bearing_mm: f64 [5.0, 100.0] = 15.0,
        /// Largest distance between screws in the middle of a board.
        screw_gap_mm: f64 [50.0, 600.0] = 230.0,
        /// Largest distance between screws along an edge.
        screw_gap_edges_mm: f64 [50.0, 600.0] = 150.0,
        /// Least distance from a screw to the edge of a board.
        screw_edge_mm: f64 [5.0, 50.0] = 10.0,
        /// Least overlap where two bars are joined.
        least_lap_mm: f64 [20.0, 1000.0] = 150.0,
        /// Least distance, along the bars, between the laps of neighbouring bars.
        lap_stagger_mm: f64 [0.0, 2000.0] = 300.0,
        /// Steps in which packers can be had.
        packer_step_mm: f64 [0.5, 10.0] = 1.0,
        /// How far above one plane clips may start, to save packers: the boards then lie within this band, and the spacer block gets shorter by it.
        flatness_mm: f64 [0.0, 10.0] = 0.0,
        /// Steepest fall, mm per metre, that the plane of the bars may have where that saves packers; 0 keeps it dead level.
        fall_mm_per_m: f64 [0.0, 20.0] = 0.0,
        /// Whether clips of neighbouring bars go on different joists where that costs no clip.
        stagger_clips: bool = true,
        /// Width of the saw cut.
        kerf_mm: f64 [0.0, 10.0] = 3.0,
    }
}

words! {
    /// How long a ceiling is searched.
    pub enum SearchDepth {
        /// Some tenths of a second: end joints turn and turn about.
        Quick = "quick",
        /// Some seconds: every strip shifted for itself, until the bound on boards is met or the budget is spent.
        Deep = "deep",
    }
}

words! {
    /// One thing a layout had better have few of.
    pub enum Prefer {
        /// Boards bought.
        Boards = "boards",
        /// Tapering pieces narrow for their length.
        Slivers = "slivers",
        /// Pieces of board.
        Pieces = "pieces",
        /// Length of cuts.
        Cuts = "cuts",
        /// Bars.
        Bars = "bars",
        /// Clips and noggins.
        Clips = "clips",
    }
}
