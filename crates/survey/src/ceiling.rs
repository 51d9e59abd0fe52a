//! Joists on the plan, the heights of their undersides, the ceiling plane.

use geometry::{FittedPlane, Point, Segment};
use serde::Serialize;

/// The joists as measured and the plane they lie in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ceiling {
    /// Joists in the order given.
    pub joists: Vec<Joist>,
    /// Plane of least squares through all undersides, heights above the floor; `None` when the readings do not
    /// fix one.
    pub plane: Option<FittedPlane>,
    /// Lowest reading; `None` when none was taken.
    pub lowest: Option<Underside>,
    /// Highest reading.
    pub highest: Option<Underside>,
    /// Highest less lowest, mm; 0 without readings.
    pub range_mm: f64,
}

/// A joist on the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Joist {
    /// Name.
    pub name: String,
    /// Middle line, wall to wall.
    pub line: Segment,
    /// Width over all members, mm.
    pub width_mm: f64,
    /// Depth, mm.
    pub depth_mm: f64,
    /// Lengths of timber side by side.
    pub members: u32,
    /// Undersides read, from start to end.
    pub undersides: Vec<Underside>,
    /// Largest dip of the underside below the straight line from end to end, mm (minus: it arches up);
    /// `None` with fewer than three readings.
    pub sag_mm: Option<f64>,
    /// Height at the end less height at the start, mm; `None` with fewer than two readings.
    pub rise_mm: Option<f64>,
    /// Cross fall of the underside at the end less that at the start, mm over the joist's width; `None` unless both
    /// edges were read.
    pub twist_mm: Option<f64>,
}

/// Height of an underside at a place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Underside {
    /// Joist, by its place in the list.
    pub joist: usize,
    /// Place.
    pub at: Point,
    /// Height above the floor, mm.
    pub above_floor_mm: f64,
}
