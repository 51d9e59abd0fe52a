//! Points, polygons, clipping and offsets in millimetres.
//!
//! A plan is drawn with x to the right and y up, seen from above; lengths in millimetres, areas in square
//! millimetres, angles in radians counter-clockwise. This crate knows nothing of rooms or boards.
//!
//! Booleans run on a fixed grid of [`GRID_MM`], so an answer does not depend on how large the drawing is; the
//! clipping library is reached from one module only ([`Region`] and the methods of [`Polygon`] there).

mod clip_line;
mod clipping;
mod inset;
mod movement;
mod plane;
mod point;
mod polygon;
mod ring;

pub use clip_line::{Segment, intersection_of_lines};
pub use clipping::{GRID_MM, Region, difference_of, intersection_of, union_of};
pub use movement::Movement;
pub use plane::{FittedPlane, Plane, PlaneError};
pub use point::Point;
pub use polygon::{Bounds, Polygon};
pub use ring::PolygonError;

/// Largest coordinate a polygon may have, millimetres (half a kilometre): keeps every product of the integer
/// kernel exact.
pub const LARGEST_COORDINATE_MM: f64 = 500_000.0;
/// Two points nearer than this are one point, millimetres (a tenth of the grid of the booleans).
pub const SAME_POINT_MM: f64 = 1e-4;
/// A polygon smaller than this is no polygon, square millimetres.
pub const LEAST_AREA_MM2: f64 = 1e-2;
