//! Starting shapes: where the corners could lie, before least squares.
//!
//! Distances alone leave a shape open to folding: a corner fixed by two tapes can lie on either side of the line
//! between their far ends. So several starts are tried, from circles struck from corners already placed, from walks
//! round the ring with square turns, and from a ring of walls on a circle.

use geometry::Point;
use quantities::math;

use crate::TieReading;
use crate::sight::{Sight, What};

/// Partial shapes kept while corners are placed one by one: room for nine folds left open by the readings.
const SHAPES_KEPT: usize = 512;
/// Finished shapes handed on to least squares from the circles.
const FINISHED_KEPT: usize = 48;
/// Walks with square turns handed on.
const WALKS_KEPT: usize = 4;
/// Most walls for which every walk of left and right turns is tried.
const MOST_WALKED_WALLS: usize = 14;
/// Shapes that fit worse than the best by more than this are folds the readings rule out: two readings at their cap.
const LIKELY_MISFIT: f64 = 2.0 * MISFIT_CAP;
/// Misfit of one reading beyond which a fold is not made any worse, in its standard deviations squared: a blunder must
/// not rule out the right fold.
const MISFIT_CAP: f64 = 400.0;

/// Shapes to start from, most promising kind first; never empty for three corners or more.
pub(crate) fn candidates(corners: usize, sights: &[Sight]) -> Vec<Vec<Point>> {
    let mut shapes = by_circles(corners, sights);
    let walls = wall_lengths_mm(corners, sights);
    shapes.extend(square_walks(&walls));
    shapes.push(on_a_circle(&walls));
    shapes
}

/// Lengths of the walls, the mean of the known ones where none was read.
fn wall_lengths_mm(corners: usize, sights: &[Sight]) -> Vec<f64> {
    let read: Vec<Option<f64>> = (0..corners)
        .map(|at| sights.iter().find(|s| s.joins(at, (at + 1) % corners)).map(|s| s.reading_mm))
        .collect();
    let known: Vec<f64> = read.iter().flatten().copied().collect();
    let mean = if known.is_empty() { 3000.0 } else { known.iter().sum::<f64>() / known.len() as f64 };
    read.iter().map(|length| length.unwrap_or(mean)).collect()
}

/// A half-built shape.
#[derive(Clone)]
struct Partial {
    at: Vec<Option<Point>>,
    misfit: f64,
}

/// In which order corners are placed. It hangs on which lines were read, not on what they read, but for the first.
pub(crate) struct Order {
    /// The tape whose two ends are placed first.
    first: Sight,
    /// The other corners, one after the other.
    then: Vec<usize>,
}

impl Order {
    /// `None` where the sights do not place every corner.
    pub(crate) fn of(corners: usize, sights: &[Sight]) -> Option<Self> {
        let first = seed(corners, sights)?;
        let mut at = vec![None; corners];
        at[first.from] = Some(Point::default());
        at[first.to] = Some(Point::default());
        let mut then = Vec::with_capacity(corners.saturating_sub(2));
        for _ in 2..corners {
            let next = best_tied(&at, sights)?;
            at[next] = Some(Point::default());
            then.push(next);
        }
        Some(Self { first, then })
    }
}

fn by_circles(corners: usize, sights: &[Sight]) -> Vec<Vec<Point>> {
    Order::of(corners, sights).map_or_else(Vec::new, |order| placed(&order, sights))
}

/// Corners placed one by one at the crossings of circles struck from two corners placed before; the best shapes first.
pub(crate) fn placed(order: &Order, sights: &[Sight]) -> Vec<Vec<Point>> {
    let seed = order.first;
    let mut at = vec![None; order.then.len() + 2];
    at[seed.from] = Some(Point::default());
    at[seed.to] = Some(Point::new(seed.reading_mm, 0.0));
    let mut shapes = vec![Partial { at, misfit: 0.0 }];
    let tied = sights.iter().any(|sight| sight.what != What::Distance);
    for &next in &order.then {
        // The first corner placed can go on one side only: the mirror image of every shape is the same room; not so to ties.
        let sides = if !tied && shapes[0].at.iter().flatten().count() == 2 { 1 } else { 2 };
        let mut grown: Vec<Partial> = shapes
            .iter()
            .flat_map(|shape| with_corner(shape, next, sights).into_iter().take(sides))
            .collect();
        grown.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
        grown.truncate(SHAPES_KEPT);
        let likely = grown.first().map_or(0.0, |best| best.misfit) + LIKELY_MISFIT;
        grown.retain(|shape| shape.misfit <= likely);
        if grown.is_empty() {
            return Vec::new();
        }
        shapes = grown;
    }
    shapes.into_iter().take(FINISHED_KEPT).map(|shape| shape.at.into_iter().flatten().collect()).collect()
}

/// The sight from which the most corners can be placed in turn; of these the longest.
fn seed(corners: usize, sights: &[Sight]) -> Option<Sight> {
    let placed_from = |sight: &Sight| {
        let mut at = vec![None; corners];
        at[sight.from] = Some(Point::default());
        at[sight.to] = Some(Point::default());
        let mut count = 2;
        while let Some(next) = best_tied(&at, sights) {
            at[next] = Some(Point::default());
            count += 1;
        }
        count
    };
    let mut best: Option<(usize, &Sight)> = None;
    for sight in sights.iter().filter(|sight| sight.what == What::Distance) {
        let count = placed_from(sight);
        if best.is_none_or(|(most, longest)| {
            count > most || (count == most && sight.reading_mm > longest.reading_mm)
        }) {
            best = Some((count, sight));
        }
    }
    best.map(|(_, sight)| *sight)
}

/// The corner not yet placed that most readings tie to placed ones, two at least.
fn best_tied(at: &[Option<Point>], sights: &[Sight]) -> Option<usize> {
    let ties = |corner: usize| {
        let mut kinds: Vec<(usize, usize, What)> = links(corner, at, sights)
            .map(|sight| match sight.what {
                What::Distance => (sight.from.min(sight.to), sight.from.max(sight.to), What::Distance),
                what @ What::Tie { .. } => (sight.from, sight.to, what),
            })
            .collect();
        kinds.sort_by_key(|(from, to, what)| {
            (*from, *to, matches!(what, What::Tie { reading: TieReading::Along, .. }))
        });
        kinds.dedup();
        kinds.len()
    };
    let mut best: Option<(usize, usize)> = None;
    for corner in (0..at.len()).filter(|&corner| at[corner].is_none()) {
        let count = ties(corner);
        if count >= 2 && best.is_none_or(|(_, most)| count > most) {
            best = Some((corner, count));
        }
    }
    best.map(|(corner, _)| corner)
}

/// Sights that tell something of where a corner lies: tapes to placed corners, ties of it to lines whose ends are placed.
fn links<'a>(
    corner: usize,
    at: &'a [Option<Point>],
    sights: &'a [Sight],
) -> impl Iterator<Item = &'a Sight> + 'a {
    sights.iter().filter(move |sight| match sight.what {
        What::Distance => {
            (sight.from == corner && at[sight.to].is_some())
                || (sight.to == corner && at[sight.from].is_some())
        }
        What::Tie { corner: tied, .. } => {
            tied == corner && at[sight.from].is_some() && at[sight.to].is_some()
        }
    })
}

/// Where one sight lets a corner lie.
#[derive(Clone, Copy)]
enum Locus {
    Circle {
        centre: Point,
        radius_mm: f64,
    },
    /// A straight line; the direction has length 1.
    Line {
        through: Point,
        direction: Point,
    },
}

fn locus(corner: usize, at: &[Option<Point>], sight: &Sight) -> Option<Locus> {
    match sight.what {
        What::Distance => {
            let centre = at[if sight.from == corner { sight.to } else { sight.from }]?;
            Some(Locus::Circle { centre, radius_mm: sight.reading_mm })
        }
        What::Tie { reading, .. } => {
            let start = at[sight.from]?;
            let u = (at[sight.to]? - start).unit()?;
            Some(match reading {
                TieReading::Along => {
                    Locus::Line { through: start + u * sight.reading_mm, direction: u.left() }
                }
                TieReading::Offset => {
                    Locus::Line { through: start + u.left() * sight.reading_mm, direction: u }
                }
            })
        }
    }
}

impl Locus {
    /// How far a place is from it, mm.
    fn missed_by_mm(self, place: Point) -> f64 {
        match self {
            Self::Circle { centre, radius_mm } => (centre.distance_mm(place) - radius_mm).abs(),
            Self::Line { through, direction } => (place - through).dot(direction.left()).abs(),
        }
    }

    /// Where two cross and how squarely (the sine of the angle); the nearest place when they miss.
    fn crossings(self, other: Self) -> Option<(f64, Vec<Point>)> {
        match (self, other) {
            (
                Self::Circle { centre, radius_mm },
                Self::Circle { centre: other_centre, radius_mm: other_radius_mm },
            ) => {
                let (squareness, both) = crossings(centre, radius_mm, other_centre, other_radius_mm)?;
                Some((squareness, both.to_vec()))
            }
            (Self::Circle { centre, radius_mm }, Self::Line { through, direction })
            | (Self::Line { through, direction }, Self::Circle { centre, radius_mm }) => {
                let foot = through + direction * (centre - through).dot(direction);
                let off = centre.distance_mm(foot);
                let half = (radius_mm * radius_mm - off * off).max(0.0).sqrt();
                let squareness = (half / radius_mm).min(1.0);
                Some((squareness, vec![foot + direction * half, foot - direction * half]))
            }
            (
                Self::Line { through, direction },
                Self::Line { through: other_through, direction: other_direction },
            ) => {
                let sine = direction.cross(other_direction);
                if sine.abs() < 1e-3 {
                    return None;
                }
                let along = (other_through - through).cross(other_direction) / sine;
                Some((sine.abs(), vec![through + direction * along]))
            }
        }
    }
}

/// The shape with one more corner, at every crossing of the two loci that cross most squarely.
fn with_corner(shape: &Partial, corner: usize, sights: &[Sight]) -> Vec<Partial> {
    let loci: Vec<(Locus, &Sight)> = links(corner, &shape.at, sights)
        .filter_map(|sight| Some((locus(corner, &shape.at, sight)?, sight)))
        .collect();
    let mut best: Option<(f64, Vec<Point>)> = None;
    for (first, (one, _)) in loci.iter().enumerate() {
        for (other, _) in loci.iter().skip(first + 1) {
            if let Some((squareness, crossings)) = one.crossings(*other)
                && best.as_ref().is_none_or(|(most, _)| squareness > *most)
            {
                best = Some((squareness, crossings));
            }
        }
    }
    let Some((_, crossings)) = best else { return Vec::new() };
    crossings
        .into_iter()
        .map(|place| {
            let misfit: f64 = loci
                .iter()
                .map(|(locus, sight)| {
                    let v = locus.missed_by_mm(place) / sight.sd_mm;
                    (v * v).min(MISFIT_CAP)
                })
                .sum();
            let mut at = shape.at.clone();
            at[corner] = Some(place);
            let odd = squareness_penalty(&at, corner);
            Partial { at, misfit: shape.misfit + misfit + odd }
        })
        .collect()
}

/// A little dislike of walls that meet at odd angles, so that of folds the readings leave open the likely ones are kept.
fn squareness_penalty(at: &[Option<Point>], corner: usize) -> f64 {
    let n = at.len();
    let mut penalty = 0.0;
    for middle in [corner, (corner + 1) % n, (corner + n - 1) % n] {
        let (before, after) = (at[(middle + n - 1) % n], at[(middle + 1) % n]);
        if let (Some(a), Some(b), Some(c)) = (before, at[middle], after)
            && let (Some(u), Some(v)) = ((b - a).unit(), (c - b).unit())
        {
            penalty += u.dot(v).abs();
        }
    }
    penalty
}

/// Both crossings of two circles and the sine of the angle at which they cross; the nearest place when they miss.
fn crossings(a: Point, radius_a: f64, b: Point, radius_b: f64) -> Option<(f64, [Point; 2])> {
    let base = a.distance_mm(b);
    let along = (b - a).unit()?;
    let x = (radius_a * radius_a - radius_b * radius_b + base * base) / (2.0 * base);
    let h = (radius_a * radius_a - x * x).max(0.0).sqrt();
    let x = x.clamp(-radius_a, radius_a);
    let foot = a + along * x;
    let squareness = (h * base / (radius_a * radius_b)).min(1.0);
    Some((squareness, [foot + along.left() * h, foot - along.left() * h]))
}

/// Walks round the ring with a quarter turn at every corner, four more to the left than to the right, those that
/// come nearest to closing.
fn square_walks(walls: &[f64]) -> Vec<Vec<Point>> {
    let n = walls.len();
    if !(4..=MOST_WALKED_WALLS).contains(&n) || !n.is_multiple_of(2) {
        return Vec::new();
    }
    let mut walks: Vec<(f64, Vec<Point>)> = Vec::new();
    for pattern in 0_u32..1 << n {
        // A bit set: a turn to the right.
        if 2 * pattern.count_ones() as usize + 4 != n {
            continue;
        }
        let mut heading = Point::new(1.0, 0.0);
        let mut here = Point::default();
        let mut walk = Vec::with_capacity(n);
        for (at, wall) in walls.iter().enumerate() {
            walk.push(here);
            here = here + heading * *wall;
            heading = if pattern >> at & 1 == 1 { -heading.left() } else { heading.left() };
        }
        walks.push((here.length_mm(), walk));
    }
    walks.sort_by(|a, b| a.0.total_cmp(&b.0));
    walks.into_iter().take(WALKS_KEPT).map(|(_, walk)| walk).collect()
}

/// The walls as chords of one circle, roughly: arcs in proportion to the lengths.
fn on_a_circle(walls: &[f64]) -> Vec<Point> {
    let total: f64 = walls.iter().sum();
    let radius = total / math::TAU;
    let mut gone = 0.0;
    walls
        .iter()
        .map(|wall| {
            let place = Point::from_angle(math::TAU * gone / total, radius);
            gone += wall;
            place
        })
        .collect()
}
