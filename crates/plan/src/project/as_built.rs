//! What was really fixed, read off in the room.

use crate::{project::WallId, read::keyed::keyed};

keyed! {
    /// What is already fixed, as it was really found; the plan is mended round it. Numbers and names are those of the plan made
    /// without this table, from the same survey, rules and stock.
    pub struct AsBuilt {
        /// Stamp of the layout the readings belong to, from its sheet of marks. With it, readings are never taken for those of another
        /// layout.
        stamp: Option<String>,
        /// Bars that are fixed, their clips with them.
        bar: Vec<FixedBar>,
        /// Clips that were read one by one.
        clip: Vec<FixedClip>,
        /// Boards that are up.
        board: Vec<FixedBoard>,
        /// Bars that hang though the plan has none there; they are numbered on from those of the plan, in this order.
        added_bar: Vec<AddedBar>,
    }
}

keyed! {
    /// A reading of a fixed bar at one wall; give two, at the two walls it runs up to, where it may have turned.
    pub struct FixedBar {
        /// Number of the bar in the plan.
        bar: u32 [1.0, 999.0],
        /// The wall the running dimension was taken along.
        wall: WallId,
        /// To the middle of the bar, from the corner the marks of that wall start from (ringed on the sheet of bars).
        at_mm: f64 [0.0, 50_000.0],
    }
}

keyed! {
    /// A reading of a fixed clip.
    pub struct FixedClip {
        /// Number of the clip in the plan.
        clip: u32 [1.0, 9999.0],
        /// From the left end of its bar, as the list of clips counts, to its middle.
        along_mm: f64 [0.0, 50_000.0],
    }
}

keyed! {
    /// A board that is up, with how far it hangs from its place.
    pub struct FixedBoard {
        /// Name of the piece in the plan, such as "1-07".
        piece: String,
        /// Off its place along the bars; plus away from the corner the layout starts from.
        off_along_mm: f64 [-500.0, 500.0] = 0.0,
        /// Off its place across the bars; plus away from the corner the layout starts from.
        off_across_mm: f64 [-500.0, 500.0] = 0.0,
    }
}

keyed! {
    /// A bar that was added on site, by where its middle line meets the two walls it runs up to; the running dimensions count from the
    /// corner the marks of each wall start from (ringed on the sheet of bars).
    pub struct AddedBar {
        /// The wall at its one end.
        from_wall: WallId,
        /// Running dimension to its middle there.
        from_mm: f64 [0.0, 50_000.0],
        /// The wall at its other end.
        to_wall: WallId,
        /// Running dimension to its middle there.
        to_mm: f64 [0.0, 50_000.0],
        /// Middles of its clips, from its left end; without them it is taken to be clipped where the plan would clip it.
        clips_mm: Vec<f64> [0.0, 50_000.0],
    }
}
