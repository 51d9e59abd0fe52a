//! What makes a ring of corners a polygon: finite, not crossing itself, with an area.

use crate::{LARGEST_COORDINATE_MM, LEAST_AREA_MM2, Point, SAME_POINT_MM};

/// Why a ring of corners is no polygon.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PolygonError {
    /// Fewer than three different corners.
    #[error(
        "a shape needs at least three different corners, and this one has {corners}; add the missing corners"
    )]
    TooFewCorners {
        /// Different corners found.
        corners: usize,
    },
    /// A coordinate that is no number.
    #[error(
        "corner {corner} of the shape has a coordinate that is not a number; check the lengths it comes from"
    )]
    NotANumber {
        /// Corner, counted from 1 as given.
        corner: usize,
    },
    /// A coordinate beyond the largest that can be handled.
    #[error(
        "corner {corner} of the shape lies more than 500 m from the origin; check its units (millimetres)"
    )]
    TooFarAway {
        /// Corner, counted from 1 as given.
        corner: usize,
    },
    /// Two sides cross or run over each other.
    #[error(
        "the side from corner {first} crosses the side from corner {second}; check the order of the corners"
    )]
    CrossesItself {
        /// Corner at which the first side starts, counted from 1.
        first: usize,
        /// Corner at which the second side starts, counted from 1.
        second: usize,
    },
    /// All corners on one line.
    #[error("the shape has no area: its corners lie on one line; check the lengths")]
    NoArea,
}

/// Twice the signed area by the shoelace sum, mm², taken from the first corner to keep digits far from the origin.
pub(crate) fn doubled_signed_area_mm2(ring: &[Point]) -> f64 {
    let Some(&origin) = ring.first() else { return 0.0 };
    ring.windows(2)
        .map(|pair| match pair {
            [a, b] => (*a - origin).cross(*b - origin),
            _ => 0.0,
        })
        .sum()
}

/// Corners without repeats and without spikes (sides that run out and straight back).
pub(crate) fn without_repeats_and_spikes(ring: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(ring.len());
    for &corner in ring {
        if kept.last().is_none_or(|last| last.distance_mm(corner) > SAME_POINT_MM) {
            kept.push(corner);
        }
    }
    while kept.len() > 1 && first_and_last_coincide(&kept) {
        kept.pop();
    }
    // Taking a spike away can lay two corners onto each other or bare another spike: repeat until none is left.
    while let Some(at) = first_spike_or_repeat(&kept) {
        kept.remove(at);
    }
    kept
}

/// Corners without those that lie on the straight line between their neighbours, to `tolerance_mm`.
pub(crate) fn without_points_on_sides(ring: &[Point], tolerance_mm: f64) -> Vec<Point> {
    let mut kept = ring.to_vec();
    loop {
        let n = kept.len();
        let on_side = triples(&kept).position(|(a, b, c)| {
            let along = c - a;
            let length = along.length_mm();
            n > 3
                && length > 0.0
                && along.cross(b - a).abs() <= tolerance_mm * length
                && (b - a).dot(along) >= 0.0
                && (c - b).dot(along) >= 0.0
        });
        match on_side {
            Some(at) => kept.remove(at),
            None => return kept,
        };
    }
}

/// Checks that every corner is a number within reach.
pub(crate) fn check_numbers(ring: &[Point]) -> Result<(), PolygonError> {
    for (at, corner) in ring.iter().enumerate() {
        if !corner.is_finite() {
            return Err(PolygonError::NotANumber { corner: at + 1 });
        }
        if corner.x_mm.abs() > LARGEST_COORDINATE_MM || corner.y_mm.abs() > LARGEST_COORDINATE_MM {
            return Err(PolygonError::TooFarAway { corner: at + 1 });
        }
    }
    Ok(())
}

/// Checks that the ring has an area and that no two sides cross or run over each other.
pub(crate) fn check_simple(ring: &[Point]) -> Result<(), PolygonError> {
    if ring.len() < 3 {
        return Err(PolygonError::TooFewCorners { corners: ring.len() });
    }
    let sides: Vec<(Point, Point)> = triples(ring).map(|(_, b, c)| (b, c)).collect();
    for (first, &(a, b)) in sides.iter().enumerate() {
        for (second, &(c, d)) in sides.iter().enumerate().skip(first + 1) {
            let neighbours = second == first + 1 || (first == 0 && second + 1 == sides.len());
            if !neighbours && sides_meet(a, b, c, d) {
                return Err(PolygonError::CrossesItself { first: first + 1, second: second + 1 });
            }
        }
    }
    if doubled_signed_area_mm2(ring).abs() < 2.0 * LEAST_AREA_MM2 {
        return Err(PolygonError::NoArea);
    }
    Ok(())
}

/// Every corner with the one before and the one after, round the ring.
pub(crate) fn triples(ring: &[Point]) -> impl Iterator<Item = (Point, Point, Point)> + '_ {
    let n = ring.len();
    let before = ring.iter().cycle().skip(n.saturating_sub(1));
    let after = ring.iter().cycle().skip(1);
    ring.iter().zip(before).zip(after).map(|((b, a), c)| (*a, *b, *c))
}

fn first_and_last_coincide(ring: &[Point]) -> bool {
    match (ring.first(), ring.last()) {
        (Some(first), Some(last)) => first.distance_mm(*last) <= SAME_POINT_MM,
        _ => false,
    }
}

fn first_spike_or_repeat(ring: &[Point]) -> Option<usize> {
    if ring.len() < 3 {
        return None;
    }
    triples(ring).position(|(a, b, c)| {
        let out = b - a;
        let back = c - b;
        let (out_mm, back_mm) = (out.length_mm(), back.length_mm());
        out_mm <= SAME_POINT_MM
            || (out.dot(back) < 0.0 && out.cross(back).abs() <= SAME_POINT_MM * out_mm.max(back_mm))
    })
}

/// Whether two sides that share no corner cross, run over each other, or one ends inside the other.
fn sides_meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let ab = b - a;
    let cd = d - c;
    let tolerance_ab = SAME_POINT_MM * ab.length_mm();
    let tolerance_cd = SAME_POINT_MM * cd.length_mm();
    let (c_side, d_side) = (ab.cross(c - a), ab.cross(d - a));
    let (a_side, b_side) = (cd.cross(a - c), cd.cross(b - c));
    let properly = ((c_side > tolerance_ab && d_side < -tolerance_ab)
        || (c_side < -tolerance_ab && d_side > tolerance_ab))
        && ((a_side > tolerance_cd && b_side < -tolerance_cd)
            || (a_side < -tolerance_cd && b_side > tolerance_cd));
    properly
        || lies_inside(a, b, c)
        || lies_inside(a, b, d)
        || lies_inside(c, d, a)
        || lies_inside(c, d, b)
        || (a.distance_mm(c).min(a.distance_mm(d)).min(b.distance_mm(c)).min(b.distance_mm(d))
            <= SAME_POINT_MM)
}

/// Whether p lies on the side from a to b, its ends left out.
fn lies_inside(a: Point, b: Point, p: Point) -> bool {
    let ab = b - a;
    let length = ab.length_mm();
    let along = ab.dot(p - a);
    ab.cross(p - a).abs() <= SAME_POINT_MM * length && along > 0.0 && along < length * length
}
