//! Tapes and levels taken in the room.

use crate::{
    project::{CornerId, WallId},
    read::keyed::{keyed, words},
};

keyed! {
    /// The ring of corners and everything measured between them.
    pub struct Survey {
        /// Names of the corners in the order of the ring: at least three, each once.
        corners: Vec<String>,
        /// Which way the ring runs, seen from above.
        round: Turn = Turn::Anticlockwise,
        /// Fixed part of the standard deviation of one tape reading.
        tape_sd_mm: f64 [0.1, 50.0] = 1.5,
        /// Part of the standard deviation of one tape reading that grows with its length.
        tape_sd_mm_per_m: f64 [0.0, 20.0] = 0.3,
        /// Height of the laser line above the floor; needed where joists are levelled from it.
        laser_above_floor_mm: Option<f64> [0.0, 3000.0],
        /// Every length taped between two corners.
        tape: Vec<Tape>,
        /// Corners tied to a string line or to a wall.
        tie: Vec<Tie>,
        /// Bows of the walls.
        bow: Vec<Bow>,
    }
}

keyed! {
    /// A length between two corners, along a wall or across the room; at floor, at ceiling, or both.
    pub struct Tape {
        /// Corner the tape starts from.
        from: CornerId,
        /// Corner it reaches.
        to: CornerId,
        /// Length taped near the floor.
        floor_mm: Option<f64> [100.0, 50_000.0],
        /// Length taped near the ceiling.
        ceiling_mm: Option<f64> [100.0, 50_000.0],
        /// Standard deviation of this very reading, where it was easier or harder than the others.
        sd_mm: Option<f64> [0.1, 100.0],
    }
}

keyed! {
    /// A corner tied to a reference line: a string between two other corners, or a wall. Give either dimension or both.
    pub struct Tie {
        /// Corner that is tied.
        corner: CornerId,
        /// Corner the line starts from.
        from: CornerId,
        /// Corner the line runs to.
        to: CornerId,
        /// Running dimension along the line, from its start to the foot of the square from the corner; minus behind the start.
        along_mm: Option<f64> [-50_000.0, 50_000.0],
        /// Distance of the corner off the line, square to it; plus to the left, seen from the start of the line to its end, minus to the
        /// right.
        offset_mm: Option<f64> [-50_000.0, 50_000.0],
        /// Height at which the line was stretched.
        height: TieHeight = TieHeight::Ceiling,
        /// Standard deviation of this very reading; without it that of a tape, and 5 mm more for the foot of the square along the
        /// line.
        sd_mm: Option<f64> [0.1, 100.0],
    }
}

keyed! {
    /// How far a wall is from straight.
    pub struct Bow {
        /// The wall.
        wall: WallId,
        /// Largest gap behind a straightedge of 2 m; minus where the wall bulges into the room. Where its whole length bulges more, the bulge past a string from corner to corner.
        gap_mm: f64 [-100.0, 100.0],
    }
}

words! {
    /// Height of a reading.
    pub enum TieHeight {
        /// Under the ceiling, where the boards will be.
        Ceiling = "ceiling",
        /// Along the floor.
        Floor = "floor",
    }
}

words! {
    /// A way round, seen from above.
    pub enum Turn {
        /// Against the hands of a clock.
        Anticlockwise = "anticlockwise",
        /// With the hands of a clock.
        Clockwise = "clockwise",
    }
}

impl Survey {
    /// How many walls the ring has: as many as corners.
    pub fn wall_count(&self) -> usize {
        self.corners.len()
    }

    /// The two corners of a wall, in the order of the ring.
    pub fn wall_corners(&self, wall: WallId) -> (CornerId, CornerId) {
        let count = self.corners.len().max(1);
        (CornerId(wall.0 % count), CornerId((wall.0 + 1) % count))
    }

    /// Name of a wall: its two corners, such as `A-B`.
    pub fn wall_name(&self, wall: WallId) -> String {
        let (from, to) = self.wall_corners(wall);
        format!("{}-{}", self.corner_name(from), self.corner_name(to))
    }

    /// Name of a corner; empty if there is no such corner.
    pub fn corner_name(&self, corner: CornerId) -> &str {
        self.corners.get(corner.0).map_or("", String::as_str)
    }
}
