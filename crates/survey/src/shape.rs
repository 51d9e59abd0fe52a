//! Choosing the shape the readings mean among those they allow.

use geometry::{Point, Polygon};
use quantities::math;

use crate::Sense;
use crate::network::{Refined, into_frame, refine, sum_of_squares};
use crate::sight::{Sight, What};
use crate::start_shape::candidates;

/// Two shapes whose weighted sums of squares differ by less than this fit the readings equally well (odds of 20 to 1,
/// 2 ln 20).
const EQUALLY_WELL: f64 = 5.99;
/// Shapes that differ by less than this everywhere are one shape, mm.
const ONE_SHAPE_MM: f64 = 50.0;
/// A room has no corner sharper than this, degrees: a fold that makes one is not offered as another shape.
const SHARPEST_CORNER_DEG: f64 = 20.0;

/// The shape chosen and another that fits as well, if there is one.
pub(crate) struct Chosen {
    pub(crate) best: Refined,
    pub(crate) other: Option<Vec<Point>>,
    /// Whether the sides of the best shape cross.
    pub(crate) crosses: bool,
}

/// The shape of least misfit whose sides do not cross; of shapes that fit equally well the squarest.
pub(crate) fn choose(corners: usize, sights: &[Sight], sense: Sense) -> Option<Chosen> {
    let mut refined: Vec<(Refined, bool, f64)> = Vec::new();
    let tied = sights.iter().any(|sight| sight.what != What::Distance);
    for start in candidates(corners, sights) {
        let mut shape = refine(&start, sights);
        if shape.points.iter().any(|p| !p.is_finite()) {
            continue;
        }
        turn_to_sense(&mut shape.points, sense);
        // Tapes know no left and right, but a tie does: a shape turned over fits its ties anew.
        if tied {
            shape = refine(&shape.points, sights);
            turn_to_sense(&mut shape.points, sense);
            shape.sum_of_squares = sum_of_squares(&shape.points, sights);
        }
        let known = refined.iter().any(|(other, _, _)| apart_mm(&other.points, &shape.points) < 0.01);
        if !known {
            let crosses = Polygon::new(&shape.points).is_err();
            let odd = oddness_deg(&shape.points, sense);
            refined.push((shape, crosses, odd));
        }
    }
    if refined.iter().any(|(_, crosses, _)| !crosses) {
        refined.retain(|(_, crosses, _)| !crosses);
    }
    let least = refined.iter().map(|(shape, _, _)| shape.sum_of_squares).fold(f64::INFINITY, f64::min);
    refined.retain(|(shape, _, _)| shape.sum_of_squares <= least + EQUALLY_WELL);
    refined.sort_by(|a, b| a.2.total_cmp(&b.2));
    let mut in_order = refined.into_iter();
    let (best, crosses, _) = in_order.next()?;
    let other = in_order
        .map(|(shape, _, _)| shape.points)
        .find(|points| apart_mm(points, &best.points) > ONE_SHAPE_MM && could_be_a_room(points, sense));
    Some(Chosen { best, other, crosses })
}

/// Angles inside the ring at its corners, degrees, 0 to 360.
pub(crate) fn inside_angles_deg(points: &[Point], sense: Sense) -> Vec<f64> {
    let n = points.len();
    (0..n)
        .map(|at| {
            let (before, here, after) = (points[(at + n - 1) % n], points[at], points[(at + 1) % n]);
            let (out, back) = (after - here, before - here);
            let turned = math::atan2(out.cross(back), out.dot(back)) * 180.0 / math::PI;
            let inside = match sense {
                Sense::Anticlockwise => turned,
                Sense::Clockwise => -turned,
            };
            if inside < 0.0 { inside + 360.0 } else { inside }
        })
        .collect()
}

/// Distances know no left and right: the shape is reflected in its first wall when it goes round the wrong way.
pub(crate) fn turn_to_sense(points: &mut Vec<Point>, sense: Sense) {
    let doubled: f64 = points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| a.cross(*b)).sum();
    let wrong = match sense {
        Sense::Anticlockwise => doubled < 0.0,
        Sense::Clockwise => doubled > 0.0,
    };
    if wrong {
        for point in points.iter_mut() {
            point.y_mm = -point.y_mm;
        }
    }
    *points = into_frame(points);
}

fn apart_mm(one: &[Point], other: &[Point]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a.distance_mm(*b)).fold(0.0, f64::max)
}

/// How far the corners are from what walls usually make: 90 inside first, then 135, 270, 225 and 180 degrees.
fn oddness_deg(points: &[Point], sense: Sense) -> f64 {
    inside_angles_deg(points, sense)
        .iter()
        .map(|angle| {
            [(90.0, 0.0), (135.0, 8.0), (270.0, 12.0), (225.0, 16.0), (180.0, 20.0)]
                .iter()
                .map(|(usual, rare): &(f64, f64)| (angle - usual).abs() + rare)
                .fold(f64::INFINITY, f64::min)
        })
        .sum()
}

fn could_be_a_room(points: &[Point], sense: Sense) -> bool {
    inside_angles_deg(points, sense)
        .iter()
        .all(|angle| (SHARPEST_CORNER_DEG..=360.0 - SHARPEST_CORNER_DEG).contains(angle))
        && Polygon::new(points).is_ok()
}
