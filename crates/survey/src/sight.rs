//! One reading as the adjustment sees it: what it should be on a shape, and how that changes with the corners.

use geometry::Point;

use crate::{Input, TieReading, Tied};

/// What a sight was read along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What {
    /// A tape between two corners.
    Distance,
    /// A tie from the line between them: the corner tied, and which of its two dimensions.
    Tie { corner: usize, reading: TieReading },
}

impl What {
    /// For the report.
    pub(crate) fn tied(self) -> Option<Tied> {
        match self {
            Self::Distance => None,
            Self::Tie { corner, reading } => Some(Tied { corner, reading }),
        }
    }
}

/// What these readings are called together.
pub(crate) fn called(sights: &[Sight]) -> &'static str {
    if sights.iter().all(|sight| sight.what == What::Distance) { "tapes" } else { "readings" }
}

/// A reading as the adjustment sees it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sight {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) what: What,
    pub(crate) reading_mm: f64,
    pub(crate) sd_mm: f64,
}

impl Sight {
    /// A tape between two corners.
    pub(crate) fn tape(from: usize, to: usize, reading_mm: f64, sd_mm: f64) -> Self {
        Self { from, to, what: What::Distance, reading_mm, sd_mm }
    }

    /// Whether it is a tape between these two corners.
    pub(crate) fn joins(&self, a: usize, b: usize) -> bool {
        self.what == What::Distance && ((self.from == a && self.to == b) || (self.from == b && self.to == a))
    }

    /// Whether two sights are of one line (and, for ties, of one corner and one dimension).
    pub(crate) fn same_as(&self, other: &Self) -> bool {
        match self.what {
            What::Distance => other.joins(self.from, self.to),
            tie @ What::Tie { .. } => other.what == tie && (self.from, self.to) == (other.from, other.to),
        }
    }

    /// Its name, as in [`Reading`](crate::Reading).
    pub(crate) fn name(&self, input: &Input) -> String {
        match self.what {
            What::Distance => input.line_name(self.from, self.to),
            What::Tie { corner, reading } => input.tie_name(corner, self.from, self.to, reading),
        }
    }

    /// What it would read on a shape, mm.
    pub(crate) fn computed_mm(&self, points: &[Point]) -> f64 {
        let along = points[self.to] - points[self.from];
        match self.what {
            What::Distance => along.length_mm(),
            What::Tie { corner, reading } => {
                let u = unit(along);
                let tied = points[corner] - points[self.from];
                match reading {
                    TieReading::Along => tied.dot(u),
                    TieReading::Offset => tied.dot(u.left()),
                }
            }
        }
    }

    /// How it changes with the coordinates (x₀, y₀, x₁, y₁, …): those that matter with their slopes.
    ///
    /// With the line's unit vector u, its left normal n, its length L and the tied corner at t along and o off:
    /// ∂t/∂P = u, ∂t/∂B = (o/L) n, ∂t/∂A = −u − (o/L) n; ∂o/∂P = n, ∂o/∂B = −(t/L) n, ∂o/∂A = −n + (t/L) n.
    pub(crate) fn slopes(&self, points: &[Point]) -> Vec<(usize, f64)> {
        let along = points[self.to] - points[self.from];
        let u = unit(along);
        let per_corner = match self.what {
            What::Distance => vec![(self.from, -u), (self.to, u)],
            What::Tie { corner, reading } => {
                let n = u.left();
                let length = along.length_mm().max(1.0);
                let tied = points[corner] - points[self.from];
                let (own, turn) = match reading {
                    TieReading::Along => (u, n * (tied.dot(n) / length)),
                    TieReading::Offset => (n, n * (-tied.dot(u) / length)),
                };
                vec![(self.from, -own - turn), (self.to, turn), (corner, own)]
            }
        };
        per_corner.into_iter().flat_map(|(at, by)| [(2 * at, by.x_mm), (2 * at + 1, by.y_mm)]).collect()
    }

    /// The slopes as a full row.
    pub(crate) fn row(&self, points: &[Point]) -> Vec<f64> {
        let mut row = vec![0.0; 2 * points.len()];
        for (at, slope) in self.slopes(points) {
            row[at] += slope;
        }
        row
    }
}

/// Corners that coincide have no direction; +x keeps the iteration going.
fn unit(along: Point) -> Point {
    along.unit().unwrap_or(Point::new(1.0, 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_are_the_differences_of_what_is_read() {
        let points = [Point::new(10.0, 20.0), Point::new(4000.0, 900.0), Point::new(1500.0, 2700.0)];
        let tie = |reading| What::Tie { corner: 2, reading };
        for what in [What::Distance, tie(TieReading::Along), tie(TieReading::Offset)] {
            let sight = Sight { what, ..Sight::tape(0, 1, 0.0, 1.0) };
            for (at, slope) in sight.row(&points).into_iter().enumerate() {
                let moved = |by: f64| {
                    let mut moved = points;
                    if at % 2 == 0 {
                        moved[at / 2].x_mm += by;
                    } else {
                        moved[at / 2].y_mm += by;
                    }
                    sight.computed_mm(&moved)
                };
                let difference = (moved(0.01) - moved(-0.01)) / 0.02;
                assert!((difference - slope).abs() < 1e-6, "{what:?} {at}: {difference} and {slope}");
            }
        }
    }
}
