//! Lines and points cut to a polygon, by the even-odd rule.

use crate::point::{Extent, Point};

/// A polygon with holes, each ring an open list of corners; the inside is where a ray crosses an odd number of
/// edges, so a ring inside another is a hole whichever way round it runs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Region {
    edges: Vec<(Point, Point)>,
    extent: Option<Extent>,
}

impl Region {
    /// A region inside one ring.
    pub fn inside(ring: &[Point]) -> Self {
        Self::between(std::slice::from_ref(&ring))
    }

    /// A region of several rings; rings of fewer than three corners or with a coordinate that is no ordinary number
    /// are left out.
    pub fn between(rings: &[impl AsRef<[Point]>]) -> Self {
        let mut region = Self::default();
        for ring in rings.iter().map(AsRef::as_ref) {
            if ring.len() < 3 || !ring.iter().all(|corner| corner.is_finite()) {
                continue;
            }
            region
                .edges
                .extend(ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)).take(ring.len()));
        }
        region.extent = Extent::round(region.edges.iter().map(|edge| edge.0));
        region
    }

    /// The rectangle round it, `None` if it is empty.
    pub fn extent(&self) -> Option<Extent> {
        self.extent
    }

    /// Whether a point lies inside.
    pub fn contains(&self, point: Point) -> bool {
        self.edges.iter().fold(false, |inside, &(a, b)| {
            let straddles = (a.y > point.y) != (b.y > point.y);
            let crosses = straddles && point.x < (b.x - a.x) * (point.y - a.y) / (b.y - a.y) + a.x;
            inside != crosses
        })
    }

    /// Distance from a point to the nearest edge, mm; infinite for an empty region.
    pub fn distance_to_edge(&self, point: Point) -> f64 {
        self.edges.iter().fold(f64::INFINITY, |least, &(a, b)| {
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let square = dx * dx + dy * dy;
            let part = if square > 0.0 {
                (((point.x - a.x) * dx + (point.y - a.y) * dy) / square).clamp(0.0, 1.0)
            } else {
                0.0
            };
            least.min(point.distance_to(a.moved(part * dx, part * dy)))
        })
    }

    /// The parts of a straight line that lie inside, in order from `from` to `to`.
    pub fn cut_line(&self, from: Point, to: Point) -> Vec<[Point; 2]> {
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let mut crossings: Vec<f64> = Vec::new();
        for &(a, b) in &self.edges {
            // Sides of the line the edge's ends lie on; an end on the line counts as left, so that a corner the
            // line runs through is counted once.
            let side_a = dx * (a.y - from.y) - dy * (a.x - from.x);
            let side_b = dx * (b.y - from.y) - dy * (b.x - from.x);
            if (side_a > 0.0) == (side_b > 0.0) {
                continue;
            }
            let part = side_a / (side_a - side_b);
            let crossing = a.moved(part * (b.x - a.x), part * (b.y - a.y));
            let along =
                if dx.abs() > dy.abs() { (crossing.x - from.x) / dx } else { (crossing.y - from.y) / dy };
            crossings.push(along);
        }
        crossings.sort_by(f64::total_cmp);
        let mut pieces = Vec::new();
        for pair in crossings.chunks_exact(2) {
            if let [enter, leave] = *pair {
                let (enter, leave) = (enter.max(0.0), leave.min(1.0));
                if leave - enter > 1e-9 {
                    pieces.push([from.moved(enter * dx, enter * dy), from.moved(leave * dx, leave * dy)]);
                }
            }
        }
        pieces
    }

    /// The parts of a polyline that lie inside, joined where they meet at its points.
    pub fn cut_polyline(&self, points: &[Point]) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        for (&from, &to) in points.iter().zip(points.iter().skip(1)) {
            for [begin, end] in self.cut_line(from, to) {
                match pieces.last_mut() {
                    Some(piece) if piece.last().is_some_and(|last| last.distance_to(begin) < 1e-6) => {
                        piece.push(end);
                    }
                    _ => pieces.push(vec![begin, end]),
                }
            }
        }
        pieces
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> [Point; 4] {
        Extent::new(0.0, 0.0, 10.0, 10.0).corners()
    }

    #[test]
    fn a_line_is_cut_to_the_square_and_its_hole() {
        let hole = Extent::new(4.0, 4.0, 6.0, 6.0).corners();
        let region = Region::between(&[square(), hole]);
        let pieces = region.cut_line(Point::new(-5.0, 5.0), Point::new(15.0, 5.0));
        assert_eq!(pieces.len(), 2);
        assert_eq!(pieces[0], [Point::new(0.0, 5.0), Point::new(4.0, 5.0)]);
        assert_eq!(pieces[1], [Point::new(6.0, 5.0), Point::new(10.0, 5.0)]);
    }

    #[test]
    fn a_line_through_corners_is_not_lost_or_doubled() {
        let pieces = Region::inside(&square()).cut_line(Point::new(-5.0, -5.0), Point::new(15.0, 15.0));
        assert_eq!(pieces, [[Point::new(0.0, 0.0), Point::new(10.0, 10.0)]]);
    }

    #[test]
    fn inside_is_inside() {
        let region = Region::inside(&square());
        assert!(region.contains(Point::new(5.0, 5.0)));
        assert!(!region.contains(Point::new(11.0, 5.0)));
        assert!((region.distance_to_edge(Point::new(5.0, 3.0)) - 3.0).abs() < 1e-12);
        assert!(!Region::inside(&[Point::new(f64::NAN, 0.0); 3]).contains(Point::new(0.0, 0.0)));
    }
}
