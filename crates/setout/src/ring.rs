//! Rings of points: area, cutting along lines of the frame, offsets, chords.
//!
//! A ring is the list of its corners, anticlockwise, not repeating the first.

use crate::Point;

/// Points nearer than this are one point \[mm\]: far under what a saw does, far over rounding.
pub(crate) const SAME_MM: f64 = 1e-6;
/// Rings smaller than this are rounding, not board \[mm²\].
const DUST_MM2: f64 = 1e-3;

/// Which coordinate a cutting line holds fixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Axis {
    /// Lines across the bars: `u` fixed.
    U,
    /// Lines along the bars: `v` fixed.
    V,
}

impl Axis {
    fn of(self, p: Point) -> f64 {
        if self == Self::U { p.x_mm } else { p.y_mm }
    }

    fn other(self, p: Point) -> f64 {
        if self == Self::U { p.y_mm } else { p.x_mm }
    }

    fn point(self, fixed: f64, free: f64) -> Point {
        if self == Self::U { Point::new(fixed, free) } else { Point::new(free, fixed) }
    }
}

/// Neighbouring corners, the last with the first.
pub(crate) fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

/// Signed area \[mm²\], positive anticlockwise, taken about the first corner to keep digits.
pub(crate) fn area(ring: &[Point]) -> f64 {
    let Some(&o) = ring.first() else { return 0.0 };
    let doubled: f64 = sides(ring)
        .map(|(a, b)| (a.x_mm - o.x_mm) * (b.y_mm - o.y_mm) - (b.x_mm - o.x_mm) * (a.y_mm - o.y_mm))
        .sum();
    doubled / 2.0
}

/// Length of all sides \[mm\].
pub(crate) fn perimeter(ring: &[Point]) -> f64 {
    sides(ring).map(|(a, b)| distance(a, b)).sum()
}

/// Distance of two points \[mm\].
pub(crate) fn distance(a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    (dx * dx + dy * dy).sqrt()
}

/// Least and greatest `u` and `v`: `(min, max)`.
pub(crate) fn extent(ring: &[Point]) -> (Point, Point) {
    let mut low = Point::new(f64::INFINITY, f64::INFINITY);
    let mut high = Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY);
    for p in ring {
        low = Point::new(low.x_mm.min(p.x_mm), low.y_mm.min(p.y_mm));
        high = Point::new(high.x_mm.max(p.x_mm), high.y_mm.max(p.y_mm));
    }
    (low, high)
}

/// The part of a ring on one side of a line of the frame; a ring that is not convex may fall into several.
///
/// Corners on the line count as not kept, so that a ring pinched there falls in two. The runs of kept corners are joined along the line in the order their crossings
/// lie on it, which is right for any ring that does not cross itself.
pub(crate) fn keep_side(ring: &[Point], axis: Axis, at: f64, below: bool) -> Vec<Vec<Point>> {
    let sign = if below { -1.0 } else { 1.0 };
    let height = |p: Point| {
        let h = sign * (axis.of(p) - at);
        if h.abs() < SAME_MM { 0.0 } else { h }
    };
    if ring.iter().all(|p| height(*p) >= 0.0) {
        return vec![ring.to_vec()];
    }
    let n = ring.len();
    let Some(start) = (0..n).find(|&i| height(ring[i]) <= 0.0 && height(ring[(i + 1) % n]) > 0.0) else {
        return Vec::new();
    };
    let mut runs: Vec<Vec<Point>> = Vec::new();
    let mut open: Option<Vec<Point>> = None;
    for step in 0..n {
        let a = ring[(start + step) % n];
        let b = ring[(start + step + 1) % n];
        let (ha, hb) = (height(a), height(b));
        let crossing = || {
            let t = ha / (ha - hb);
            axis.point(at, axis.other(a) + t * (axis.other(b) - axis.other(a)))
        };
        match (ha > 0.0, hb > 0.0) {
            (false, true) => open = Some(vec![crossing(), b]),
            (true, true) => {
                if let Some(run) = open.as_mut() {
                    run.push(b);
                }
            }
            (true, false) => {
                if let Some(mut run) = open.take() {
                    run.push(crossing());
                    runs.push(run);
                }
            }
            (false, false) => {}
        }
    }
    join_runs(runs, axis, (axis == Axis::U) != below)
}

fn join_runs(runs: Vec<Vec<Point>>, axis: Axis, starts_first: bool) -> Vec<Vec<Point>> {
    if runs.len() == 1 {
        return runs.into_iter().filter_map(tidy).collect();
    }
    // Ends of runs in order along the line: (position, run, is the run's finish).
    let mut ends: Vec<(f64, usize, bool)> = Vec::with_capacity(runs.len() * 2);
    for (index, run) in runs.iter().enumerate() {
        if let (Some(&first), Some(&last)) = (run.first(), run.last()) {
            ends.push((axis.other(first), index, false));
            ends.push((axis.other(last), index, true));
        }
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    // Starts and finishes take turns along the line; where two lie in one point, the turn decides.
    for i in 0..ends.len().saturating_sub(1) {
        let is_start_due = starts_first == (i % 2 == 0);
        if ends[i].2 == is_start_due && ends[i + 1].0 - ends[i].0 <= SAME_MM {
            ends.swap(i, i + 1);
        }
    }
    let mut next = vec![usize::MAX; runs.len()];
    for pair in ends.chunks(2) {
        if let [a, b] = pair {
            // Inside the ring between them, the finish of one run goes on with the start of the other.
            if a.2 && !b.2 {
                next[a.1] = b.1;
            } else if b.2 && !a.2 {
                next[b.1] = a.1;
            }
        }
    }
    let mut used = vec![false; runs.len()];
    let mut rings = Vec::new();
    for first in 0..runs.len() {
        if used[first] {
            continue;
        }
        let mut ring = Vec::new();
        let mut run = first;
        while run < runs.len() && !used[run] {
            used[run] = true;
            ring.extend_from_slice(&runs[run]);
            run = next[run];
        }
        rings.extend(tidy(ring));
    }
    rings
}

/// Drops repeated corners and corners in the middle of a straight side; nothing left of dust.
fn tidy(ring: Vec<Point>) -> Option<Vec<Point>> {
    let mut out: Vec<Point> = Vec::with_capacity(ring.len());
    for p in ring {
        if out.last().is_none_or(|&q| distance(p, q) > SAME_MM) {
            out.push(p);
        }
    }
    while out.len() > 1 && distance(out[0], out[out.len() - 1]) <= SAME_MM {
        out.pop();
    }
    // A side of the ring along the cutting line leaves a spike there: out and back on itself.
    let mut i = 0;
    while out.len() >= 3 && i < out.len() {
        let n = out.len();
        let (a, b, c) = (out[(i + n - 1) % n], out[i], out[(i + 1) % n]);
        let back = (b.x_mm - a.x_mm) * (c.x_mm - b.x_mm) + (b.y_mm - a.y_mm) * (c.y_mm - b.y_mm) < 0.0;
        let reach = distance(a, b).max(distance(b, c));
        if distance(a, c) <= SAME_MM || (back && turn(a, b, c).abs() <= SAME_MM * reach) {
            out.remove(i);
            if distance(a, c) <= SAME_MM {
                let n = out.len();
                out.remove(i % n);
            }
            i = i.saturating_sub(2);
        } else {
            i += 1;
        }
    }
    if out.len() < 3 || area(&out) < DUST_MM2 {
        return None;
    }
    Some(out)
}

/// A ring cut along lines at `cuts` (rising), from the lowest part to the highest.
pub(crate) fn cut_along(ring: &[Point], axis: Axis, cuts: &[f64]) -> Vec<Vec<Point>> {
    let mut done = Vec::new();
    let mut rest = vec![ring.to_vec()];
    for &at in cuts {
        let mut above = Vec::new();
        for part in &rest {
            done.extend(keep_side(part, axis, at, true));
            above.extend(keep_side(part, axis, at, false));
        }
        rest = above;
    }
    done.extend(rest);
    done
}

/// Stretches of a line of the frame inside a ring, as rising pairs of the free coordinate.
///
/// Where a side of the ring lies on the line the stretch belongs to whichever side has the inside just above.
pub(crate) fn chords(ring: &[Point], axis: Axis, at: f64) -> Vec<(f64, f64)> {
    let mut crossings: Vec<f64> = Vec::new();
    for (a, b) in sides(ring) {
        let (ha, hb) = (axis.of(a) - at, axis.of(b) - at);
        if (ha >= 0.0) != (hb >= 0.0) {
            let t = ha / (ha - hb);
            crossings.push(axis.other(a) + t * (axis.other(b) - axis.other(a)));
        }
    }
    crossings.sort_by(f64::total_cmp);
    crossings.chunks(2).filter_map(|pair| if let [a, b] = pair { Some((*a, *b)) } else { None }).collect()
}

/// Sine of the turn below which two sides go on straight: their offsets must then be the same.
pub(crate) const STRAIGHT_SINE: f64 = 0.05;

/// Moves side `i`, from point `i` to the next, inwards by `by_mm[i]` and joins the sides again at their crossings.
///
/// Right for offsets small against the sides, the same where two sides go on nearly straight; the caller checks the result
/// with [`is_simple`].
pub(crate) fn inset_each(ring: &[Point], by_mm: &[f64]) -> Vec<Point> {
    let n = ring.len();
    let mut out = Vec::with_capacity(n);
    let by = |side: usize| by_mm.get(side % n).copied().unwrap_or(0.0);
    for i in 0..n {
        let (before, here, after) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
        let (la, lb) = (distance(before, here), distance(here, after));
        if la < SAME_MM || lb < SAME_MM {
            continue;
        }
        let (d1, d2) = ((here - before) * (1.0 / la), (after - here) * (1.0 / lb));
        // Inward normals: left of the direction of travel.
        let (n1, n2) = (d1.left(), d2.left());
        let (g1, g2) = (by(i + n - 1), by(i));
        let cos = d1.dot(d2);
        let step = if (g1 - g2).abs() < 1e-9 {
            (n1 + n2) * (g1 / (1.0 + cos).max(1e-6))
        } else {
            // Off both lines by as much as each asks: x · n1 = g1, x · n2 = g2.
            let sine_squared = (1.0 - cos * cos).max(1e-6);
            n1 * ((g1 - cos * g2) / sine_squared) + n2 * ((g2 - cos * g1) / sine_squared)
        };
        out.push(here + step);
    }
    out
}

/// No two sides touch but neighbours at their common corner.
pub(crate) fn is_simple(ring: &[Point]) -> bool {
    let n = ring.len();
    if n < 3 || sides(ring).any(|(a, b)| distance(a, b) < SAME_MM) {
        return false;
    }
    for i in 0..n {
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            if segments_meet(ring[i], ring[(i + 1) % n], ring[j], ring[(j + 1) % n]) {
                return false;
            }
        }
    }
    true
}

fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm)
}

fn segments_meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (t1, t2, t3, t4) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    if t1 == 0.0 && t2 == 0.0 {
        let overlap = |p: f64, q: f64, r: f64, s: f64| p.min(q) <= r.max(s) && r.min(s) <= p.max(q);
        return overlap(a.x_mm, b.x_mm, c.x_mm, d.x_mm) && overlap(a.y_mm, b.y_mm, c.y_mm, d.y_mm);
    }
    t1 * t2 <= 0.0 && t3 * t4 <= 0.0
}

/// The point is inside the ring (a point on a side may count either way).
pub(crate) fn contains(ring: &[Point], p: Point) -> bool {
    chords(ring, Axis::V, p.y_mm).iter().any(|&(a, b)| a <= p.x_mm && p.x_mm <= b)
}

/// Distance of a point to a segment \[mm\].
pub(crate) fn distance_to_segment(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let length2 = dx * dx + dy * dy;
    if length2 < SAME_MM * SAME_MM {
        return distance(p, a);
    }
    let t = (((p.x_mm - a.x_mm) * dx + (p.y_mm - a.y_mm) * dy) / length2).clamp(0.0, 1.0);
    distance(p, Point::new(a.x_mm + t * dx, a.y_mm + t * dy))
}

/// Where two lines through segments cross, as parameters along each; none when parallel.
pub(crate) fn crossing(a: Point, b: Point, c: Point, d: Point) -> Option<(f64, f64)> {
    let (rx, ry) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let (sx, sy) = (d.x_mm - c.x_mm, d.y_mm - c.y_mm);
    let det = rx * sy - ry * sx;
    let scale = ((rx * rx + ry * ry) * (sx * sx + sy * sy)).sqrt();
    if det.abs() <= 1e-12 * scale || scale == 0.0 {
        return None;
    }
    let (qx, qy) = (c.x_mm - a.x_mm, c.y_mm - a.y_mm);
    Some(((qx * sy - qy * sx) / det, (qx * ry - qy * rx) / det))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(f64, f64)]) -> Vec<Point> {
        points.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    #[test]
    fn a_notched_ring_falls_into_two_parts_above_its_notch() {
        let u = ring(&[
            (0., 0.),
            (30., 0.),
            (30., 20.),
            (20., 20.),
            (20., 10.),
            (10., 10.),
            (10., 20.),
            (0., 20.),
        ]);
        let parts = keep_side(&u, Axis::V, 15.0, false);
        assert_eq!(parts.len(), 2);
        assert!((parts.iter().map(|p| area(p)).sum::<f64>() - 100.0).abs() < 1e-9);
        let below = keep_side(&u, Axis::V, 10.0, true);
        assert_eq!(below.len(), 1);
        assert!((area(&below[0]) - 300.0).abs() < 1e-9);
        let above = keep_side(&u, Axis::V, 10.0, false);
        assert!((above.iter().map(|p| area(p)).sum::<f64>() - 200.0).abs() < 1e-9);
    }

    #[test]
    fn a_cut_along_a_side_leaves_no_spike() {
        let ell = ring(&[(0., 0.), (6., 0.), (6., 3.), (3.4, 3.), (3.4, 5.), (0., 5.)]);
        let right = keep_side(&ell, Axis::U, 3.4, false);
        assert_eq!(right.len(), 1);
        assert!(is_simple(&right[0]), "{right:?}");
        assert!((area(&right[0]) - 2.6 * 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_ring_pinched_on_the_line_falls_in_two() {
        let pinched = ring(&[(0., 0.), (4., 0.), (6., 5.), (8., 0.), (12., 0.), (12., 9.), (0., 9.)]);
        for (axis, points) in [
            (Axis::V, pinched.clone()),
            (Axis::U, pinched.iter().map(|p| Point::new(p.y_mm, 12.0 - p.x_mm)).collect()),
        ] {
            let below = keep_side(&points, axis, 5.0, true);
            assert_eq!(below.len(), 2, "{below:?}");
            assert!(below.iter().all(|r| is_simple(r)), "{below:?}");
            assert!((below.iter().map(|r| area(r)).sum::<f64>() - 50.0).abs() < 1e-9);
            assert_eq!(keep_side(&points, axis, 5.0, false).len(), 1);
        }
    }

    #[test]
    fn an_inset_square_loses_twice_the_gap() {
        let square = ring(&[(0., 0.), (100., 0.), (100., 100.), (0., 100.)]);
        assert!((area(&inset_each(&square, &[8.0; 4])) - 84.0 * 84.0).abs() < 1e-9);
    }

    #[test]
    fn a_bow_tie_is_not_simple() {
        assert!(!is_simple(&ring(&[(0., 0.), (10., 10.), (10., 0.), (0., 10.)])));
        assert!(is_simple(&ring(&[(0., 0.), (10., 0.), (10., 10.), (0., 10.)])));
    }
}
