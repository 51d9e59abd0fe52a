//! What hatches are laid out on: families of parallel lines, the strip a layer forms, and even disorder.

use crate::point::{Direction, Extent, Point};
use crate::region::Region;
use quantities::math;

pub(crate) fn pieces(cut: Vec<[Point; 2]>) -> impl Iterator<Item = Vec<Point>> {
    cut.into_iter().map(|piece| piece.to_vec())
}

/// A number from 0 to 1 made from a cell's place by mixing bits; the same everywhere, without pattern to the eye.
pub(crate) fn scatter(column: f64, row: f64, salt: u32) -> f64 {
    let mut bits = (column as i32).cast_unsigned().wrapping_mul(0x9E37_79B1)
        ^ (row as i32).cast_unsigned().wrapping_mul(0x85EB_CA77)
        ^ salt.wrapping_mul(0xC2B2_AE3D);
    bits ^= bits >> 15;
    bits = bits.wrapping_mul(0x2C1B_3C6D);
    bits ^= bits >> 12;
    bits = bits.wrapping_mul(0x297A_2D39);
    bits ^= bits >> 15;
    f64::from(bits) / f64::from(u32::MAX)
}

/// A family of parallel lines: `u` along, `v` across, counted from the corner of the paper.
pub(crate) struct Slant {
    along: Direction,
}

impl Slant {
    pub(crate) fn new(angle_deg: f64) -> Self {
        let angle = if angle_deg.is_finite() { angle_deg } else { 45.0 };
        let (sine, cosine) = math::sin_cos(angle * math::PI / 180.0);
        Self { along: Direction::between(Point::default(), Point::new(cosine, -sine)) }
    }

    pub(crate) fn across(&self, point: Point) -> f64 {
        let normal = self.along.right();
        point.x * normal.x() + point.y * normal.y()
    }

    pub(crate) fn range(&self, extent: &Extent) -> (f64, f64) {
        extent.corners().into_iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), corner| {
            let across = self.across(corner);
            (low.min(across), high.max(across))
        })
    }

    pub(crate) fn cut(&self, region: &Region, extent: &Extent, across: f64) -> Vec<Vec<Point>> {
        let centre = extent.centre();
        let reach = extent.width() + extent.height() + 1.0;
        let middle = centre.along(self.along.right(), across - self.across(centre));
        pieces(region.cut_line(middle.along(self.along.back(), reach), middle.along(self.along, reach)))
            .collect()
    }
}

/// The rectangle round a polygon laid along its longest edge: how long and how thick the layer is.
pub(crate) struct Strip {
    corner: Point,
    along: Direction,
    /// Along it, mm.
    pub(crate) length: f64,
    /// Across it, mm.
    pub(crate) thickness: f64,
}

impl Strip {
    pub(crate) fn of(rings: &[Vec<Point>], extent: &Extent) -> Self {
        let mut longest = 0.0;
        let mut along = Direction::RIGHT;
        for ring in rings.iter().filter(|ring| ring.len() > 2) {
            for (&from, &to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let length = from.distance_to(to);
                if length > longest + 1e-6 {
                    longest = length;
                    along = Direction::between(from, to);
                }
            }
        }
        // Always read to the right, or downwards: a layer looks the same whichever way its corners run.
        if along.x() < -1e-9 || (along.x().abs() <= 1e-9 && along.y() < 0.0) {
            along = along.back();
        }
        let across = along.right();
        let project = |point: Point, axis: Direction| point.x * axis.x() + point.y * axis.y();
        let (mut low_u, mut high_u, mut low_v, mut high_v) =
            (f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY);
        for &corner in rings.iter().flatten().filter(|corner| corner.is_finite()) {
            let (u, v) = (project(corner, along), project(corner, across));
            (low_u, high_u) = (low_u.min(u), high_u.max(u));
            (low_v, high_v) = (low_v.min(v), high_v.max(v));
        }
        let measured = Self {
            corner: Point::default().along(along, low_u).along(across, low_v),
            along,
            length: high_u - low_u,
            thickness: high_v - low_v,
        };
        if !(low_u.is_finite() && low_v.is_finite()) {
            return Self {
                corner: Point::new(extent.left, extent.top),
                along: Direction::RIGHT,
                length: extent.width(),
                thickness: extent.height(),
            };
        }
        // What is nearly as wide as it is high lies level, as its neighbours in the same layer do.
        if along.y().abs() > along.x().abs() && measured.length < 1.8 * measured.thickness {
            let level = if across.x() < 0.0 { across.back() } else { across };
            let down = level.right();
            let low = |axis: Direction| {
                rings.iter().flatten().map(|&corner| project(corner, axis)).fold(f64::INFINITY, f64::min)
            };
            return Self {
                corner: Point::default().along(level, low(level)).along(down, low(down)),
                along: level,
                length: measured.thickness,
                thickness: measured.length,
            };
        }
        measured
    }

    pub(crate) fn at(&self, along: f64, across: f64) -> Point {
        self.corner.along(self.along, along).along(self.along.right(), across)
    }
}
