//! What the person read off tape, level and straightedge.

use serde::{Deserialize, Serialize};

/// In which sense the corners are named, seen from above.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// Against the clock: the room lies on the left of a person walking from corner to corner.
    #[default]
    Anticlockwise,
    /// With the clock: the room lies on the right.
    Clockwise,
}

/// At which height a tape was held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Height {
    /// Along the floor.
    Floor,
    /// Under the ceiling, where the boards will be.
    #[default]
    Ceiling,
}

/// One tape reading between two corners.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Tape {
    /// Corner at one end, by its place in the ring, from 0.
    pub from: usize,
    /// Corner at the other end.
    pub to: usize,
    /// Reading, mm.
    pub reading_mm: f64,
    /// Height at which the tape was held.
    pub height: Height,
    /// Standard deviation of this reading alone, mm; `None`: that of the survey.
    pub sd_mm: Option<f64>,
}

/// Which of a tie's two dimensions was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TieReading {
    /// The running dimension along the line, to the foot of the square from the corner.
    Along,
    /// The distance of the corner off the line, square to it.
    Offset,
}

/// A corner tied to a reference line: a string between two other corners, or a wall.
///
/// Either dimension alone is welcome.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Tie {
    /// Corner that is tied, by its place in the ring, from 0.
    pub corner: usize,
    /// Corner the line starts from: the running dimension counts from here.
    pub from: usize,
    /// Corner the line runs to.
    pub to: usize,
    /// Running dimension along the line, mm; minus: behind its start.
    pub along_mm: Option<f64>,
    /// Distance off the line, mm; plus: on the left of a person walking along it, minus: on the right.
    pub offset_mm: Option<f64>,
    /// Height of the line.
    pub height: Height,
    /// Standard deviation of either dimension, mm; `None`: that of the survey, with [`FOOT_SD_MM`] along the line.
    pub sd_mm: Option<f64>,
}

/// How well the foot of a square is found on a line with a builder's square, mm, one standard deviation (common
/// practice, no source).
pub const FOOT_SD_MM: f64 = 5.0;

/// Largest gap behind a straightedge held to a wall.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bow {
    /// Wall, by its place in the ring: wall i runs from corner i to corner i + 1.
    pub wall: usize,
    /// Largest gap, mm; plus: the wall is hollow, minus: it bulges into the room.
    pub gap_mm: f64,
}

/// A place on a wall, by running dimension.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OnWall {
    /// Wall, by its place in the ring: wall i runs from corner i to corner i + 1.
    pub wall: usize,
    /// Running dimension along the wall, mm.
    pub running_mm: f64,
    /// Whether it is taken from the wall's second corner (corner i + 1) instead of its first (corner i).
    pub from_second_corner: bool,
}

/// A joist as measured.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JoistReading {
    /// Name, as marked on the timber.
    pub name: String,
    /// Where its middle line starts.
    pub start: OnWall,
    /// Where its middle line ends.
    pub end: OnWall,
    /// Width over all members, mm.
    pub width_mm: f64,
    /// Depth, mm.
    pub depth_mm: f64,
    /// Lengths of timber side by side (2: a doubled joist).
    pub members: u32,
    /// Heights of the underside above the laser line, mm, evenly spread from start to end, both ends included;
    /// empty when not read.
    pub up_from_laser_mm: Vec<f64>,
    /// The same along the other edge of the underside, when both edges were read (for twist); else empty.
    pub other_edge_up_from_laser_mm: Vec<f64>,
}

/// Everything measured of one room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Input {
    /// Names of the corners in ring order, 3 to 40, no two alike.
    pub corners: Vec<String>,
    /// In which sense they are named, seen from above.
    pub sense: Sense,
    /// Tape readings, walls and diagonals, in any order; a line may be read more than once.
    pub tapes: Vec<Tape>,
    /// Corners tied to reference lines; may be empty.
    pub ties: Vec<Tie>,
    /// Standard deviation of a tape reading: the part that does not grow with length, mm.
    pub tape_sd_mm: f64,
    /// Standard deviation of a tape reading: the part that grows with length, mm per metre.
    pub tape_sd_mm_per_m: f64,
    /// Straightedge readings.
    pub bows: Vec<Bow>,
    /// Joists; may be empty.
    pub joists: Vec<JoistReading>,
    /// Height of the laser line above the floor, mm.
    pub laser_above_floor_mm: f64,
}

impl Input {
    /// Name of a line between two corners, `A-B`; corners that are not there are named by their place.
    pub fn line_name(&self, from: usize, to: usize) -> String {
        let name = |at: usize| self.corners.get(at).cloned().unwrap_or_else(|| format!("corner {}", at + 1));
        format!("{}-{}", name(from), name(to))
    }

    /// Name of a tied dimension, `D along A-C` or `D off A-C`.
    pub fn tie_name(&self, corner: usize, from: usize, to: usize, reading: TieReading) -> String {
        let corner = self.corners.get(corner).cloned().unwrap_or_else(|| format!("corner {}", corner + 1));
        let word = match reading {
            TieReading::Along => "along",
            TieReading::Offset => "off",
        };
        format!("{corner} {word} {}", self.line_name(from, to))
    }

    /// Standard deviation of a reading of this length, mm: σ = `tape_sd_mm` + `tape_sd_mm_per_m` · L.
    pub fn tape_sd_of_mm(&self, tape: &Tape) -> f64 {
        tape.sd_mm.unwrap_or(self.tape_sd_mm + self.tape_sd_mm_per_m * tape.reading_mm / 1000.0)
    }

    /// Standard deviation of one dimension of a tie, mm: σ of a tape of that length, along the line together with
    /// [`FOOT_SD_MM`].
    pub fn tie_sd_of_mm(&self, tie: &Tie, reading: TieReading, reading_mm: f64) -> f64 {
        let tape = self.tape_sd_mm + self.tape_sd_mm_per_m * reading_mm.abs() / 1000.0;
        tie.sd_mm.unwrap_or(match reading {
            TieReading::Along => (tape * tape + FOOT_SD_MM * FOOT_SD_MM).sqrt(),
            TieReading::Offset => tape,
        })
    }
}
