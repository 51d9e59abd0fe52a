//! The room as adjusted: corners, walls, readings and what they are worth.

use geometry::{Point, Polygon};
use serde::Serialize;

use crate::{Ceiling, Height, TieReading};

/// The adjusted room.
///
/// The frame: the first corner at the origin, the second on +x, y to the left of that line, seen from above. The
/// room lies above the first wall when the corners are named anticlockwise, below it when clockwise.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Survey {
    /// Corners in ring order as named.
    pub corners: Vec<Corner>,
    /// Walls in ring order: wall i runs from corner i to corner i + 1.
    pub walls: Vec<Wall>,
    /// Pairs of walls that face each other.
    pub opposite_walls: Vec<OppositeWalls>,
    /// Every reading, tapes and then ties in the order given (of a tie its running dimension first).
    pub readings: Vec<Reading>,
    /// Floor readings beside a ceiling reading of the same line.
    pub floor_checks: Vec<FloorCheck>,
    /// Height at which the ring was adjusted: the ceiling when there is any ceiling reading.
    pub ring_at: Height,
    /// The outline (corners counter-clockwise, whichever way they are named).
    pub polygon: Polygon,
    /// Area, mm².
    pub area_mm2: f64,
    /// Standard deviation of the area, mm².
    pub area_sd_mm2: f64,
    /// Sum of the walls, mm.
    pub perimeter_mm: f64,
    /// Whether the readings agree as well as their standard deviations say.
    pub global_test: GlobalTest,
    /// The reading most likely wrong, when one stands out.
    pub suspect: Option<Suspect>,
    /// The one more tape that would do the survey most good.
    pub next_tape: Option<NextTape>,
    /// Another shape the same tapes allow, when there is one.
    pub other_shape: Option<OtherShape>,
    /// One or two sentences on what the survey is worth.
    pub quality: String,
    /// Joists and ceiling, when joists were given.
    pub ceiling: Option<Ceiling>,
}

/// A corner of the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Corner {
    /// Name.
    pub name: String,
    /// Place.
    pub at: Point,
    /// Standard deviation of its place in any one direction, worst direction, mm, against the room as a whole.
    pub sd_mm: f64,
    /// Its error ellipse against the room as a whole.
    pub ellipse: Ellipse,
    /// Angle inside the room, degrees (over 180: the corner turns into the room).
    pub angle_deg: f64,
    /// Standard deviation of that angle, degrees.
    pub angle_sd_deg: f64,
    /// Angle less the square one nearest to it (90 or 270), degrees; `None` more than 20 degrees away.
    pub out_of_square_deg: Option<f64>,
    /// The same as a distance per metre of wall, mm per m.
    pub out_of_square_mm_per_m: Option<f64>,
}

/// An error ellipse of one standard deviation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ellipse {
    /// Longer half axis, mm.
    pub major_mm: f64,
    /// Shorter half axis, mm.
    pub minor_mm: f64,
    /// Direction of the longer axis from +x, degrees, 0 up to 180.
    pub direction_deg: f64,
}

/// A wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wall {
    /// Name, `A-B`.
    pub name: String,
    /// First corner, by its place in the ring.
    pub from: usize,
    /// Second corner.
    pub to: usize,
    /// Length, mm.
    pub length_mm: f64,
    /// Standard deviation of the length, mm.
    pub sd_mm: f64,
    /// Standard deviation of the wall's middle square to the wall, against the room as a whole, mm: what a
    /// perimeter gap has to take up.
    pub offset_sd_mm: f64,
    /// The same at its first and at its second corner, mm.
    pub end_offset_sd_mm: [f64; 2],
    /// Direction from first to second corner, degrees from +x counter-clockwise, 0 up to 360.
    pub direction_deg: f64,
    /// Largest gap behind a straightedge, mm (minus: it bulges into the room); `None` when not read.
    pub bow_mm: Option<f64>,
}

/// Two walls that face each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OppositeWalls {
    /// One wall, by its place in the ring.
    pub first: usize,
    /// The other.
    pub second: usize,
    /// Length of the first less length of the second, mm.
    pub difference_mm: f64,
    /// Distance of the second wall's line from the first wall's first corner, mm.
    pub apart_at_first_corner_mm: f64,
    /// Distance of the second wall's line from the first wall's second corner, mm.
    pub apart_at_second_corner_mm: f64,
}

/// What a tie is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Tied {
    /// Corner tied to the line, by its place in the ring.
    pub corner: usize,
    /// Which dimension of the tie.
    pub reading: TieReading,
}

/// A reading after the adjustment.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reading {
    /// Line, `A-C`; for a tie `D along A-C` or `D off A-C`.
    pub name: String,
    /// Corner at one end, by its place in the ring.
    pub from: usize,
    /// Corner at the other end.
    pub to: usize,
    /// The corner tied to the line between them; `None` for a tape.
    pub tied: Option<Tied>,
    /// Height.
    pub height: Height,
    /// What was read, mm.
    pub reading_mm: f64,
    /// Standard deviation it was given, mm (a floor reading that stands in for a ceiling one: with the plumb of
    /// the walls).
    pub sd_mm: f64,
    /// Whether it took part; a floor reading beside a ceiling reading of the same line does not.
    pub used: bool,
    /// What it would be on the adjusted room, mm.
    pub adjusted_mm: f64,
    /// Adjusted less read, mm.
    pub residual_mm: f64,
    /// Share of an error in this reading that shows in its own residual, 0 (nothing checks it) to 1.
    pub redundancy: f64,
    /// Residual over its own standard deviation; `None` when nothing checks the reading.
    pub standardised_residual: Option<f64>,
    /// Smallest error in this reading that would be noticed four times in five, mm; `None` when nothing checks it.
    pub least_findable_mm: Option<f64>,
}

/// A line read at both heights.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FloorCheck {
    /// Line, `A-B`.
    pub name: String,
    /// Floor reading, mm.
    pub floor_mm: f64,
    /// Ceiling reading, mm.
    pub ceiling_mm: f64,
    /// Ceiling less floor, mm: how far the walls at its ends lean apart.
    pub lean_mm: f64,
}

/// Do the readings agree as well as their standard deviations say?
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GlobalTest {
    /// Readings more than the shape needs.
    pub redundancy: usize,
    /// Weighted sum of squared residuals, Σ (v/σ)².
    pub sum_of_squares: f64,
    /// σ₀ = √(Σ (v/σ)² / redundancy); 0 without redundancy.
    pub sigma0: f64,
    /// Root mean square of the residuals, mm.
    pub rms_residual_mm: f64,
    /// Chance that sound readings scatter at least this much; 1 without redundancy.
    pub chance: f64,
    /// Whether that chance is at least one in a hundred.
    pub passed: bool,
}

/// The reading most likely wrong.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Suspect {
    /// Reading, by its place in the list.
    pub reading: usize,
    /// Line, `A-C`.
    pub name: String,
    /// What was read, mm.
    pub reading_mm: f64,
    /// What the other readings say it should have been, mm.
    pub should_be_mm: f64,
    /// Its standardised residual.
    pub standardised_residual: f64,
    /// Whether it can be told from every other reading; when not, any of `or_else` explains the readings nearly as
    /// well.
    pub located: bool,
    /// Readings that would explain it nearly as well.
    pub or_else: Vec<usize>,
    /// The sentence for the person.
    pub sentence: String,
}

/// One more reading worth taking: a tape, or a tie where no tape would do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NextTape {
    /// Corner at one end.
    pub from: usize,
    /// Corner at the other end.
    pub to: usize,
    /// The dimension to tie to the line between them; `None`: the tape between them.
    pub tied: Option<Tied>,
    /// Line, `B-D`; for a tie `D off A-C`.
    pub name: String,
    /// Whether that line was read already and should be read again.
    pub again: bool,
    /// Why, in a sentence.
    pub sentence: String,
}

/// Another shape that fits the tapes as well.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OtherShape {
    /// Its corners in ring order.
    pub corners: Vec<Point>,
    /// The line that tells the two shapes apart.
    pub tell_apart: NextTape,
}

impl Survey {
    /// Place of a corner by its name.
    pub fn corner(&self, name: &str) -> Option<&Corner> {
        self.corners.iter().find(|corner| corner.name == name)
    }

    /// Points of the corners in ring order as named.
    pub fn points(&self) -> Vec<Point> {
        self.corners.iter().map(|corner| corner.at).collect()
    }

    /// The wall between two neighbouring corners by name, in either order (`A-B` or `B-A`).
    pub fn wall(&self, name: &str) -> Option<&Wall> {
        self.walls.iter().find(|wall| {
            wall.name == name || name.split_once('-').is_some_and(|(a, b)| format!("{b}-{a}") == wall.name)
        })
    }
}
