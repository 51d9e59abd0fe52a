//! The polygon drawn in from its sides: a gap kept all round, or another at each side.

use crate::clipping::{Rule, overlay};
use crate::ring::doubled_signed_area_mm2;
use crate::{Point, Polygon, Region, Segment, intersection_of_lines};

/// Grid of the inset, mm: fine, so that a gap of 8 mm stays 8 mm on a skew wall.
const INSET_GRID_MM: f64 = 1e-6;
/// At a corner that turns inwards the two inset sides are drawn on until they meet, up to this many gaps from
/// the corner; a needle sharper than that (2.3 degrees) is cut off square, its gap kept.
const MITRE_LIMIT: f64 = 50.0;

impl Polygon {
    /// What is left when every side is drawn in by `gap_mm`, corners mitred. Several parts when a narrow
    /// place closes, none when nothing is left; a gap of 0 or less gives the polygon itself.
    pub fn inset(&self, gap_mm: f64) -> Vec<Self> {
        self.inset_each(&vec![gap_mm; self.corners().len()])
    }

    /// What is left when side i is drawn in by `gaps_mm[i]`: everything nearer than its gap to a side is taken
    /// away, corners mitred. A missing, negative or not finite gap counts as 0.
    ///
    /// Side i runs from corner i to corner i + 1. Where the gaps of two sides in one line differ, the boundary steps.
    pub fn inset_each(&self, gaps_mm: &[f64]) -> Vec<Self> {
        let gap = |at: usize| gaps_mm.get(at).copied().filter(|g| g.is_finite() && *g > 0.0).unwrap_or(0.0);
        let sides: Vec<InsetSide> =
            self.edges().enumerate().filter_map(|(at, edge)| InsetSide::new(edge, gap(at))).collect();
        if sides.iter().all(|side| side.gap_mm <= 0.0) {
            return vec![self.clone()];
        }
        let mut taken = Vec::new();
        let next = sides.iter().cycle().skip(1);
        for (side, next) in sides.iter().zip(next) {
            taken.extend(side.strip());
            taken.extend(side.corner_with(next));
        }
        let taken: Vec<&[Point]> = taken.iter().map(Vec::as_slice).collect();
        overlay(&[self.corners()], &taken, Rule::DIFFERENCE, INSET_GRID_MM)
            .iter()
            .flat_map(Region::without_holes)
            .collect()
    }
}

/// A side and the line it is drawn in to.
struct InsetSide {
    side: Segment,
    inner: Segment,
    gap_mm: f64,
}

impl InsetSide {
    fn new(side: Segment, gap_mm: f64) -> Option<Self> {
        let inward = side.along().unit()?.left() * gap_mm;
        Some(Self { side, inner: Segment { from: side.from + inward, to: side.to + inward }, gap_mm })
    }

    /// The strip along the side.
    fn strip(&self) -> Option<Vec<Point>> {
        counter_clockwise(&[self.side.from, self.side.to, self.inner.to, self.inner.from])
    }

    /// What the sides take past their ends, up to where their inner lines meet: a triangle each, where they
    /// have to be drawn on (always at a corner that turns inwards; at others only when the gaps differ).
    fn corner_with(&self, next: &Self) -> Vec<Vec<Point>> {
        let corner = self.side.to;
        let reach_mm = MITRE_LIMIT * self.gap_mm.max(next.gap_mm);
        let meeting =
            intersection_of_lines(self.inner, next.inner).filter(|q| q.distance_mm(corner) <= reach_mm);
        let triangle = |a: Point, b: Point| counter_clockwise(&[corner, a, b]);
        match meeting {
            Some(q) => {
                let past_this = self.side.running_mm(q) > self.side.length_mm();
                let before_next = next.side.running_mm(q) < 0.0;
                let this = past_this.then(|| triangle(self.inner.to, q)).flatten();
                let other = before_next.then(|| triangle(q, next.inner.from)).flatten();
                this.into_iter().chain(other).collect()
            }
            None => self.square_end(next).into_iter().collect(),
        }
    }

    /// The two inner lines do not meet near the corner. Past a needle-sharp corner both are drawn on by the wider gap and
    /// their ends joined; on a nearly straight wall the boundary steps from one gap to the other.
    fn square_end(&self, next: &Self) -> Option<Vec<Point>> {
        let (out, back) = (self.side.along().unit()?, next.side.along().unit()?);
        let (corner, end, start) = (self.side.to, self.inner.to, next.inner.from);
        if out.dot(back) >= 0.0 {
            return counter_clockwise(&[corner, end, start]);
        }
        let on_mm = self.gap_mm.max(next.gap_mm);
        counter_clockwise(&[corner, end, end + out * on_mm, start - back * on_mm, start])
    }
}

/// The ring counter-clockwise, however thin: a sliver that is left out leaves a notch. `None` without any area.
fn counter_clockwise(ring: &[Point]) -> Option<Vec<Point>> {
    let doubled = doubled_signed_area_mm2(ring);
    let mut ring = ring.to_vec();
    if doubled < 0.0 {
        ring.reverse();
    }
    (doubled != 0.0).then_some(ring)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_l_shaped_room_keeps_its_gap() {
        let corners =
            [(0.0, 0.0), (6000.0, 0.0), (6000.0, 2500.0), (3100.0, 2500.0), (3100.0, 5200.0), (0.0, 5200.0)];
        let room = Polygon::new(&corners.map(|(x, y)| Point::new(x, y))).unwrap();
        let inner = room.inset(8.0);
        assert_eq!(inner.len(), 1);
        // Mitred: area less perimeter × gap plus (4 − 1 + 1) convex less reflex corners × gap².
        let expected = room.area_mm2() - room.perimeter_mm() * 8.0 + 4.0 * 64.0;
        assert!((inner[0].area_mm2() - expected).abs() < 1e-6);
    }

    #[test]
    fn a_needle_sharp_pier_keeps_its_gap() {
        let tip = Point::new(2000.0, 1000.0);
        let corners = [
            (0.0, 0.0),
            (4000.0, 0.0),
            (4000.0, 2000.0),
            (2010.0, 2000.0),
            (2000.0, 1000.0),
            (1990.0, 2000.0),
            (0.0, 2000.0),
        ];
        let room = Polygon::new(&corners.map(|(x, y)| Point::new(x, y))).unwrap();
        let inner = room.inset(20.0);
        assert_eq!(inner.len(), 1);
        assert!(!inner[0].contains(tip));
        assert!(inner[0].distance_to_boundary_mm(tip) > 19.9);
    }

    #[test]
    fn each_wall_has_its_own_gap_and_a_closed_room_leaves_nothing() {
        let room = Polygon::rectangle(Point::new(0.0, 0.0), Point::new(4000.0, 3000.0)).unwrap();
        let inner = room.inset_each(&[10.0, 20.0, 0.0, 40.0]);
        let expected = Polygon::rectangle(Point::new(40.0, 10.0), Point::new(3980.0, 3000.0)).unwrap();
        assert!((inner[0].area_mm2() - expected.area_mm2()).abs() < 1e-6);
        assert!(room.inset(1500.0).is_empty());
        assert_eq!(room.inset(0.0), vec![room.clone()]);
        assert_eq!(room.inset(f64::NAN), vec![room]);
    }
}
