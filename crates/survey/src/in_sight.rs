//! Which corners see each other: between which a tape can be pulled straight, inside the room.

use geometry::{Point, Polygon, Segment};

/// A tape passes a corner that juts into the room by at least this much, mm: survey and plaster are not that true.
const PAST_A_CORNER_MM: f64 = 30.0;
/// What a line may lie outside the ring, mm; along a straight run of walls the last digit decides.
const OUTSIDE_MM: f64 = 1.0;

/// A shape as far as its corners see each other; of a shape that is no room all do.
pub(crate) struct InSight {
    points: Vec<Point>,
    room: Option<Polygon>,
    /// Whether each corner juts into the room.
    juts: Vec<bool>,
}

impl InSight {
    pub(crate) fn of(points: &[Point]) -> Self {
        let n = points.len();
        let doubled: f64 = (0..n).map(|at| points[at].cross(points[(at + 1) % n])).sum();
        let juts = (0..n)
            .map(|at| {
                let (before, here, after) = (points[(at + n - 1) % n], points[at], points[(at + 1) % n]);
                (here - before).cross(after - here) * doubled < 0.0
            })
            .collect();
        Self { points: points.to_vec(), room: Polygon::new(points).ok(), juts }
    }

    /// Whether a tape runs free between two corners: along a wall, or through the room clear of every corner that juts into it.
    pub(crate) fn is_free(&self, from: usize, to: usize) -> bool {
        let n = self.points.len();
        let wall = (from + 1) % n == to || (to + 1) % n == from;
        wall || self.is_clear(self.points[from], self.points[to], &[from, to])
    }

    /// Whether a corner can be tied to the line between two others: the line free, and the way square to it.
    pub(crate) fn is_free_tie(&self, corner: usize, from: usize, to: usize) -> bool {
        let line = Segment { from: self.points[from], to: self.points[to] };
        let along_mm = line.running_mm(self.points[corner]);
        let foot = line.point_at(along_mm);
        self.is_free(from, to)
            && (0.0..=line.length_mm()).contains(&along_mm)
            && self.is_clear(self.points[corner], foot, &[corner, from, to])
    }

    fn is_clear(&self, from: Point, to: Point, own: &[usize]) -> bool {
        let Some(room) = &self.room else { return true };
        let line = Segment { from, to };
        let inside_mm: f64 = room.clip_line(from, to).iter().map(|(a, b)| a.distance_mm(*b)).sum();
        let jutting = self.points.iter().zip(&self.juts).enumerate();
        inside_mm >= line.length_mm() - OUTSIDE_MM
            && jutting
                .filter(|(at, (_, juts))| **juts && !own.contains(at))
                .all(|(_, (corner, _))| line.distance_mm(*corner) >= PAST_A_CORNER_MM)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_of_an_l_see_each_other_but_across_its_notch() {
        // F stands at the inner corner of the L; A to E run round it.
        let l = [(0., 0.), (4000., 0.), (4000., 2000.), (1500., 2000.), (1500., 5000.), (0., 5000.)];
        let points = l.map(|(x, y)| Point::new(x, y));
        let sight = InSight::of(&points);
        for (from, to, free) in [
            (0, 1, true),
            (0, 3, true),
            (1, 3, true),
            (0, 4, true),
            (2, 4, false),
            (1, 4, false),
            (2, 5, false),
            (1, 5, false),
        ] {
            assert_eq!(sight.is_free(from, to), free, "{from} to {to}");
            assert_eq!(sight.is_free(to, from), free, "{to} to {from}");
        }
        // Square to A-B from D, and to the line A-E from C only through the masonry.
        assert!(sight.is_free_tie(3, 0, 1));
        assert!(!sight.is_free_tie(2, 0, 4));
    }
}
