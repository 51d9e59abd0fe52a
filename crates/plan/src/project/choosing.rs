//! What may be chosen, and the person's own options.

use crate::{
    project::{BuildupId, ElementId, SealId},
    read::keyed::keyed,
};

keyed! {
    /// What may be chosen, for `stillroom choose`.
    pub struct Choosing {
        /// How sure each limit is to be kept, in a hundred.
        sure_percent: f64 [50.0, 99.0] = 90.0,
        /// What every limit is to have to spare beyond that.
        spare_db: f64 [-20.0, 40.0] = 0.0,
        /// Elements that stay as they are: "ceiling", a wall or an opening.
        leave: Vec<ElementId> = Vec::new(),
        /// Whether the ceiling of the file is built already; walls, windows and doors always are.
        ceiling_is_built: bool = false,
        /// The most floor that linings may take in all.
        floor_m2: Option<f64> [0.0, 1000.0],
        /// The deepest lining of a wall.
        lining_mm: f64 [20.0, 400.0] = 160.0,
        /// What one square metre of common plasterboard of 12.5 mm costs: what has no price in the stock is set in proportion.
        board_price: Option<f64> [0.01, 100_000.0],
    }
}

keyed! {
    /// Something an element could be built as, beside what the program proposes.
    pub struct OwnOption {
        /// The element.
        element: ElementId,
        /// The build-up it would get.
        buildup: BuildupId,
        /// Of an opening: the seal it would get; without it the one it has.
        seal: Option<SealId>,
        /// What it costs in all; without it the option is left out.
        price: Option<f64> [0.0, 10_000_000.0],
        /// Steps of work: of two that cost the same the one with fewer is taken.
        steps: u32 [1.0, 100.0] = 5,
    }
}
