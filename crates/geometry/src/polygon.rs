//! A polygon without holes, corners counter-clockwise.

use std::cmp::Ordering;

use serde::Serialize;

use crate::ring::{
    check_numbers, check_simple, doubled_signed_area_mm2, triples, without_points_on_sides,
    without_repeats_and_spikes,
};
use crate::{LEAST_AREA_MM2, Point, PolygonError, SAME_POINT_MM, Segment};

/// The upright rectangle round a shape.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bounds {
    /// Lower left corner.
    pub least: Point,
    /// Upper right corner.
    pub most: Point,
}

impl Bounds {
    /// Extent to the right, mm.
    pub fn width_mm(self) -> f64 {
        self.most.x_mm - self.least.x_mm
    }

    /// Extent up the sheet, mm.
    pub fn height_mm(self) -> f64 {
        self.most.y_mm - self.least.y_mm
    }

    /// The middle of the rectangle.
    pub fn middle(self) -> Point {
        self.least.toward(self.most, 0.5)
    }

    /// Whether the two rectangles share an area.
    pub fn overlaps(self, other: Self) -> bool {
        self.least.x_mm < other.most.x_mm
            && other.least.x_mm < self.most.x_mm
            && self.least.y_mm < other.most.y_mm
            && other.least.y_mm < self.most.y_mm
    }
}

/// A polygon without holes. Its corners run counter-clockwise, no two neighbours coincide, no two sides cross,
/// and its area is not nothing: the constructor sees to it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Polygon {
    corners: Vec<Point>,
}

impl Polygon {
    /// A polygon from its corners in either sense.
    ///
    /// Repeated corners and spikes are dropped; corners on a straight side are kept. The first corner stays the
    /// first; a clockwise ring is turned round (a, b, c becomes a, c, b). An error names the corner or the two
    /// sides at fault (counted from 1; sides after repeats are dropped).
    pub fn new(corners: &[Point]) -> Result<Self, PolygonError> {
        check_numbers(corners)?;
        let mut ring = without_repeats_and_spikes(corners);
        check_simple(&ring)?;
        if doubled_signed_area_mm2(&ring) < 0.0 {
            turn_round(&mut ring);
        }
        Ok(Self { corners: ring })
    }

    /// The upright rectangle between two opposite corners.
    pub fn rectangle(one: Point, opposite: Point) -> Result<Self, PolygonError> {
        Self::new(&[one, Point::new(opposite.x_mm, one.y_mm), opposite, Point::new(one.x_mm, opposite.y_mm)])
    }

    /// A polygon from a ring that cannot cross itself (an output of the clipping kernel); `None` when nothing
    /// is left of it. Starts at the lowest corner, the leftmost of these.
    pub(crate) fn from_clean_ring(ring: &[Point], tolerance_mm: f64) -> Option<Self> {
        let mut ring = without_points_on_sides(&without_repeats_and_spikes(ring), tolerance_mm);
        let doubled = doubled_signed_area_mm2(&ring);
        if ring.len() < 3 || doubled.abs() < 2.0 * LEAST_AREA_MM2 {
            return None;
        }
        if doubled < 0.0 {
            turn_round(&mut ring);
        }
        // The kernel starts a ring anywhere; the lowest corner, leftmost of these, makes equal shapes equal.
        let first = (0..ring.len()).min_by(|&a, &b| match (ring.get(a), ring.get(b)) {
            (Some(a), Some(b)) => a.y_mm.total_cmp(&b.y_mm).then(a.x_mm.total_cmp(&b.x_mm)),
            _ => Ordering::Equal,
        });
        ring.rotate_left(first.unwrap_or(0));
        Some(Self { corners: ring })
    }

    /// A polygon whose corners were moved by a turn, a shift or a reflection of a valid one.
    pub(crate) fn from_moved(mut ring: Vec<Point>) -> Self {
        if doubled_signed_area_mm2(&ring) < 0.0 {
            turn_round(&mut ring);
        }
        Self { corners: ring }
    }

    /// The corners, counter-clockwise.
    pub fn corners(&self) -> &[Point] {
        &self.corners
    }

    /// The sides, counter-clockwise: side i runs from corner i to corner i + 1, the inside on its left.
    pub fn edges(&self) -> impl Iterator<Item = Segment> + '_ {
        triples(&self.corners).map(|(_, b, c)| Segment { from: b, to: c })
    }

    /// Area, mm².
    pub fn area_mm2(&self) -> f64 {
        doubled_signed_area_mm2(&self.corners) / 2.0
    }

    /// Sum of the sides, mm.
    pub fn perimeter_mm(&self) -> f64 {
        self.edges().map(Segment::length_mm).sum()
    }

    /// Upright rectangle round the polygon.
    pub fn bounds(&self) -> Bounds {
        let first = self.corners.first().copied().unwrap_or_default();
        self.corners.iter().fold(Bounds { least: first, most: first }, |b, p| Bounds {
            least: Point::new(b.least.x_mm.min(p.x_mm), b.least.y_mm.min(p.y_mm)),
            most: Point::new(b.most.x_mm.max(p.x_mm), b.most.y_mm.max(p.y_mm)),
        })
    }

    /// Centre of area.
    pub fn centroid(&self) -> Point {
        let origin = self.corners.first().copied().unwrap_or_default();
        let mut doubled = 0.0;
        let mut moment = Point::default();
        for edge in self.edges() {
            let (a, b) = (edge.from - origin, edge.to - origin);
            let weight = a.cross(b);
            doubled += weight;
            moment = moment + (a + b) * weight;
        }
        origin + moment * (1.0 / (3.0 * doubled))
    }

    /// Whether the point lies inside or on the boundary (to [`SAME_POINT_MM`]).
    pub fn contains(&self, point: Point) -> bool {
        let mut inside = false;
        for edge in self.edges() {
            if edge.distance_mm(point) <= SAME_POINT_MM {
                return true;
            }
            let (a, b) = (edge.from, edge.to);
            if (a.y_mm > point.y_mm) != (b.y_mm > point.y_mm) {
                let x_mm = a.x_mm + (point.y_mm - a.y_mm) / (b.y_mm - a.y_mm) * (b.x_mm - a.x_mm);
                if x_mm > point.x_mm {
                    inside = !inside;
                }
            }
        }
        inside
    }

    /// Distance from the point to the nearest place on the boundary, mm; not signed.
    pub fn distance_to_boundary_mm(&self, point: Point) -> f64 {
        self.edges().map(|edge| edge.distance_mm(point)).fold(f64::INFINITY, f64::min)
    }

    /// Whether no corner turns inwards.
    pub fn is_convex(&self) -> bool {
        triples(&self.corners).all(|(a, b, c)| {
            let (before, after) = (b - a, c - b);
            before.cross(after) >= -SAME_POINT_MM * before.length_mm().max(after.length_mm())
        })
    }
}

/// Reverses a ring, keeping its first corner first.
fn turn_round(ring: &mut [Point]) {
    if let Some(rest) = ring.get_mut(1..) {
        rest.reverse();
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "areas of whole millimetres come out exact")]
mod tests {
    use super::*;

    fn ring(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    #[test]
    fn a_clockwise_ring_is_turned_round_and_keeps_its_first_corner() {
        let polygon = Polygon::new(&ring(&[(0.0, 0.0), (0.0, 3.0), (4.0, 3.0), (4.0, 0.0)])).unwrap();
        assert_eq!(polygon.corners(), ring(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]));
        assert_eq!(polygon.area_mm2(), 12.0);
    }

    #[test]
    fn repeats_and_spikes_go_and_corners_on_a_side_stay() {
        let polygon = Polygon::new(&ring(&[
            (0.0, 0.0),
            (2.0, 0.0),
            (4.0, 0.0),
            (4.0, 0.0),
            (4.0, 3.0),
            (4.0, 9.0),
            (4.0, 3.0),
            (0.0, 3.0),
            (0.0, 0.0),
        ]))
        .unwrap();
        assert_eq!(polygon.corners(), ring(&[(0.0, 0.0), (2.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]));
    }

    #[test]
    fn what_is_no_polygon_says_why() {
        let error = |corners: &[(f64, f64)]| Polygon::new(&ring(corners)).unwrap_err();
        assert_eq!(error(&[(0.0, 0.0), (1.0, 0.0)]), PolygonError::TooFewCorners { corners: 2 });
        assert_eq!(error(&[(0.0, 0.0), (1.0, f64::NAN), (1.0, 1.0)]), PolygonError::NotANumber { corner: 2 });
        assert_eq!(
            error(&[(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 3.0)]),
            PolygonError::CrossesItself { first: 1, second: 3 }
        );
        assert!(error(&[(0.0, 0.0), (9e6, 0.0), (9e6, 1.0)]).to_string().contains("500 m"));
        assert!(matches!(
            error(&[(0.0, 0.0), (2.0, 0.0), (5.0, 0.0), (1.0, 0.0)]),
            PolygonError::TooFewCorners { .. } | PolygonError::NoArea | PolygonError::CrossesItself { .. }
        ));
    }

    #[test]
    fn inside_outside_and_on_the_line() {
        let l =
            Polygon::new(&ring(&[(0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (3.0, 2.0), (3.0, 5.0), (0.0, 5.0)]))
                .unwrap();
        assert!(l.contains(Point::new(1.0, 4.0)));
        assert!(!l.contains(Point::new(4.0, 4.0)));
        assert!(l.contains(Point::new(3.0, 3.0)));
        assert!(!l.contains(Point::new(-1.0, 2.0)), "a ray through two corners at once");
        assert!((l.distance_to_boundary_mm(Point::new(4.0, 4.0)) - 1.0).abs() < 1e-12);
        assert!(!l.is_convex());
    }
}
