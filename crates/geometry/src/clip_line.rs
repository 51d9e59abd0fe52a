//! Straight lines: their parts inside a polygon, where they meet, how far a point is from one.

use serde::Serialize;

use crate::{Point, Polygon, SAME_POINT_MM};

/// A straight piece between two points.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Segment {
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
}

impl Segment {
    /// Length, mm.
    pub fn length_mm(self) -> f64 {
        self.from.distance_mm(self.to)
    }

    /// The step from start to end.
    pub fn along(self) -> Point {
        self.to - self.from
    }

    /// The middle.
    pub fn middle(self) -> Point {
        self.from.toward(self.to, 0.5)
    }

    /// The point at a running dimension from the start, mm, on the line through both ends; the start for a
    /// segment of no length.
    pub fn point_at(self, running_mm: f64) -> Point {
        match self.along().unit() {
            Some(direction) => self.from + direction * running_mm,
            None => self.from,
        }
    }

    /// Running dimension from the start to the foot of the perpendicular from `point`, mm (may lie outside
    /// 0 to the length); 0 for a segment of no length.
    pub fn running_mm(self, point: Point) -> f64 {
        self.along().unit().map_or(0.0, |direction| direction.dot(point - self.from))
    }

    /// Nearest place on the segment.
    pub fn nearest(self, point: Point) -> Point {
        let along = self.along();
        let squared = along.dot(along);
        if squared <= 0.0 {
            return self.from;
        }
        self.from.toward(self.to, (along.dot(point - self.from) / squared).clamp(0.0, 1.0))
    }

    /// Distance from the point to the nearest place on the segment, mm.
    pub fn distance_mm(self, point: Point) -> f64 {
        self.nearest(point).distance_mm(point)
    }

    /// Distance to the left of the line through the segment, mm (minus: to the right); 0 for no length.
    pub fn left_of_mm(self, point: Point) -> f64 {
        self.along().unit().map_or(0.0, |direction| direction.cross(point - self.from))
    }

    /// Where the two segments meet, their ends counted in; `None` when they do not or run parallel.
    pub fn meets(self, other: Self) -> Option<Point> {
        let (t, u) = shares_at_crossing(self, other)?;
        let slack_t = SAME_POINT_MM / self.length_mm();
        let slack_u = SAME_POINT_MM / other.length_mm();
        ((-slack_t..=1.0 + slack_t).contains(&t) && (-slack_u..=1.0 + slack_u).contains(&u))
            .then(|| self.from.toward(self.to, t.clamp(0.0, 1.0)))
    }
}

/// Where the lines through the two segments meet; `None` when they run parallel (to one part in 10⁹).
pub fn intersection_of_lines(one: Segment, other: Segment) -> Option<Point> {
    shares_at_crossing(one, other).map(|(t, _)| one.from.toward(one.to, t))
}

impl Polygon {
    /// The parts of the straight line from `a` to `b` that lie inside the polygon, in order from `a`.
    ///
    /// A part that only runs along a side counts as inside; parts shorter than [`SAME_POINT_MM`] are left out.
    pub fn clip_line(&self, a: Point, b: Point) -> Vec<(Point, Point)> {
        let line = Segment { from: a, to: b };
        let length = line.length_mm();
        if length <= SAME_POINT_MM || !length.is_finite() {
            return Vec::new();
        }
        let mut stations = vec![0.0, 1.0];
        for edge in self.edges() {
            if let Some((t, u)) = shares_at_crossing(line, edge) {
                let slack = SAME_POINT_MM / edge.length_mm();
                if t > 0.0 && t < 1.0 && u >= -slack && u <= 1.0 + slack {
                    stations.push(t);
                }
            } else {
                for end in [edge.from, edge.to] {
                    let t = line.running_mm(end) / length;
                    if line.distance_mm(end) <= SAME_POINT_MM && t > 0.0 && t < 1.0 {
                        stations.push(t);
                    }
                }
            }
        }
        stations.sort_by(f64::total_cmp);
        let mut parts: Vec<(f64, f64)> = Vec::new();
        for pair in stations.windows(2) {
            let &[from, to] = pair else { continue };
            if (to - from) * length <= SAME_POINT_MM || !self.contains(a.toward(b, f64::midpoint(from, to))) {
                continue;
            }
            match parts.last_mut() {
                Some(last) if (from - last.1) * length <= SAME_POINT_MM => last.1 = to,
                _ => parts.push((from, to)),
            }
        }
        parts.into_iter().map(|(from, to)| (a.toward(b, from), a.toward(b, to))).collect()
    }
}

/// Shares t and u at which two lines cross, each counted along its own segment.
fn shares_at_crossing(one: Segment, other: Segment) -> Option<(f64, f64)> {
    let (r, s) = (one.along(), other.along());
    let denominator = r.cross(s);
    if denominator.abs() <= 1e-9 * r.length_mm() * s.length_mm() {
        return None;
    }
    let between = other.from - one.from;
    Some((between.cross(s) / denominator, between.cross(r) / denominator))
}
