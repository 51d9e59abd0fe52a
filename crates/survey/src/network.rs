//! The net of tapes: corners that fit the readings best, and how well they are fixed.

use geometry::{Movement, Point};

use crate::normal_equations::Square;
use crate::sight::Sight;

/// Steps of the damped Gauss-Newton iteration; a room takes 5 to 20.
const MOST_STEPS: usize = 120;
/// A step shorter than this ends it, mm.
const LAST_STEP_MM: f64 = 1e-9;

/// A shape refined from a start.
#[derive(Clone, Debug)]
pub(crate) struct Refined {
    pub(crate) points: Vec<Point>,
    pub(crate) sum_of_squares: f64,
}

/// Moves a shape into the frame: first corner at the origin, second on +x.
pub(crate) fn into_frame(points: &[Point]) -> Vec<Point> {
    let (Some(&first), Some(&second)) = (points.first(), points.get(1)) else { return points.to_vec() };
    let movement = Movement::translation(-first)
        .then(Movement::rotation(-(second - first).angle_rad(), Point::default()));
    let mut moved: Vec<Point> = points.iter().map(|&p| movement.apply(p)).collect();
    moved[0] = Point::default();
    moved[1].y_mm = 0.0;
    moved
}

/// How far a shape is refined.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Effort {
    steps: usize,
    last_step_mm: f64,
    /// A step that takes off less than this share of the sum of squares is the last.
    least_gain: f64,
}

impl Effort {
    /// As far as it goes.
    pub(crate) const WHOLE: Self = Self { steps: MOST_STEPS, last_step_mm: LAST_STEP_MM, least_gain: 0.0 };
    /// Enough to see whether the readings agree: past it a sum of squares changes by a few percent (judgement, held by the tests
    /// of signs).
    pub(crate) const ROUGH: Self = Self { steps: 20, last_step_mm: 0.01, least_gain: 0.01 };
}

/// Least squares from a starting shape: Σ ((computed − read) / σ)² as small as it gets (Gauss-Newton, damped after
/// Levenberg and Marquardt).
pub(crate) fn refine(start: &[Point], sights: &[Sight]) -> Refined {
    refine_with(Effort::WHOLE, start, sights)
}

/// As [`refine`], with less effort.
pub(crate) fn refine_with(effort: Effort, start: &[Point], sights: &[Sight]) -> Refined {
    let mut points = into_frame(start);
    let mut sum = sum_of_squares(&points, sights);
    let mut damping = 1e-3;
    for _ in 0..effort.steps {
        let (normal, gradient) = normal_equations(&points, sights);
        let mut damped = normal.clone();
        for at in 0..damped.size() {
            damped.add(at, at, damping * normal.at(at, at) + 1e-12);
        }
        let Some(factor) = damped.factor() else {
            damping = (damping * 10.0).max(1e-6);
            if damping > 1e12 {
                break;
            }
            continue;
        };
        let step = factor.solve(&gradient);
        let moved = stepped(&points, &step);
        let moved_sum = sum_of_squares(&moved, sights);
        let longest = step.iter().fold(0.0, |most: f64, s| most.max(s.abs()));
        let mut gains = true;
        if moved_sum <= sum {
            gains = sum - moved_sum >= effort.least_gain * sum;
            points = moved;
            sum = moved_sum;
            damping *= 0.1;
            if damping < 1e-12 {
                damping = 0.0;
            }
        } else {
            damping = (damping * 10.0).max(1e-9);
        }
        if !gains || longest < effort.last_step_mm || damping > 1e12 {
            break;
        }
    }
    Refined { points: into_frame(&points), sum_of_squares: sum }
}

pub(crate) fn sum_of_squares(points: &[Point], sights: &[Sight]) -> f64 {
    sights
        .iter()
        .map(|sight| {
            let v = (sight.computed_mm(points) - sight.reading_mm) / sight.sd_mm;
            v * v
        })
        .sum()
}

/// How the distance between two corners changes with all coordinates (x₀, y₀, x₁, y₁, …).
pub(crate) fn distance_row(points: &[Point], from: usize, to: usize) -> Vec<f64> {
    Sight::tape(from, to, 0.0, 1.0).row(points)
}

/// How well a shape of given corners is fixed by given sights (their readings play no part).
pub(crate) struct Fixity {
    /// Covariance of (x₀, y₀, x₁, …) with the frame held: first corner, direction to the second.
    pub(crate) held: Square,
    /// Rows of the sights.
    rows: Vec<Vec<f64>>,
    sds: Vec<f64>,
}

impl Fixity {
    /// `None` when the sights do not fix the shape.
    pub(crate) fn of(points: &[Point], sights: &[Sight]) -> Option<Self> {
        let (normal, _) = normal_equations(points, sights);
        let inverse = normal.inverse()?;
        let free = free_places(points.len());
        let mut held = Square::zero(2 * points.len());
        for (row, &at_row) in free.iter().enumerate() {
            for (column, &at_column) in free.iter().enumerate() {
                held.set(at_row, at_column, inverse.at(row, column));
            }
        }
        let rows = sights.iter().map(|sight| sight.row(points)).collect();
        Some(Self { held, rows, sds: sights.iter().map(|sight| sight.sd_mm).collect() })
    }

    /// Redundancy r = 1 − a Q aᵀ / σ² of each sight.
    pub(crate) fn redundancies(&self) -> Vec<f64> {
        self.rows
            .iter()
            .zip(&self.sds)
            .map(|(row, sd)| (1.0 - self.held.between(row, row) / (sd * sd)).clamp(0.0, 1.0))
            .collect()
    }

    /// Correlation of the standardised residuals of two sights; 0 when nothing checks one of them.
    pub(crate) fn residual_correlation(&self, one: usize, other: usize) -> f64 {
        let cofactor = |i: usize, j: usize| {
            let own = if i == j { self.sds[i] * self.sds[i] } else { 0.0 };
            own - self.held.between(&self.rows[i], &self.rows[j])
        };
        let product = cofactor(one, one).max(0.0) * cofactor(other, other).max(0.0);
        if product <= 1e-18 { 0.0 } else { (cofactor(one, other) / product.sqrt()).clamp(-1.0, 1.0) }
    }

    /// Covariance against the room as a whole: no corner held, the mean shift and turn of all corners nothing
    /// (inner constraints, Q′ = S Q Sᵀ with S = I − G (GᵀG)⁻¹ Gᵀ).
    pub(crate) fn against_the_whole(&self, points: &[Point]) -> Square {
        let n = points.len();
        let mean = points.iter().fold(Point::default(), |sum, &p| sum + p) * (1.0 / n as f64);
        let turn_squared: f64 = points.iter().map(|&p| (p - mean).dot(p - mean)).sum();
        // Columns of G are orthogonal: a shift along x, a shift along y, a turn about the mean.
        let column = |at: usize| {
            let d = (points[at / 2] - mean) * (1.0 / turn_squared.sqrt());
            let shift = 1.0 / (n as f64).sqrt();
            if at.is_multiple_of(2) { [shift, 0.0, -d.y_mm] } else { [0.0, shift, d.x_mm] }
        };
        let mut project = Square::zero(2 * n);
        for row in 0..2 * n {
            let left = column(row);
            for at in 0..2 * n {
                let right = column(at);
                let own = if row == at { 1.0 } else { 0.0 };
                project.set(row, at, own - (left[0] * right[0] + left[1] * right[1] + left[2] * right[2]));
            }
        }
        // S is symmetric.
        project.times(&self.held).times(&project)
    }
}

/// Places of the coordinates that are not held by the frame.
fn free_places(corners: usize) -> Vec<usize> {
    (0..2 * corners).filter(|at| ![0, 1, 3].contains(at)).collect()
}

fn normal_equations(points: &[Point], sights: &[Sight]) -> (Square, Vec<f64>) {
    let free = free_places(points.len());
    let mut place_of = vec![None; 2 * points.len()];
    for (place, &at) in free.iter().enumerate() {
        place_of[at] = Some(place);
    }
    let mut normal = Square::zero(free.len());
    let mut gradient = vec![0.0; free.len()];
    for sight in sights {
        let weight = 1.0 / (sight.sd_mm * sight.sd_mm);
        let misfit = sight.reading_mm - sight.computed_mm(points);
        let slopes = sight.slopes(points);
        for &(at, a) in &slopes {
            let Some(row) = place_of[at] else { continue };
            gradient[row] += weight * a * misfit;
            for &(other, b) in &slopes {
                if let Some(column) = place_of[other] {
                    normal.add(row, column, weight * a * b);
                }
            }
        }
    }
    (normal, gradient)
}

fn stepped(points: &[Point], step: &[f64]) -> Vec<Point> {
    let mut moved = points.to_vec();
    for (&at, by) in free_places(points.len()).iter().zip(step) {
        if at.is_multiple_of(2) {
            moved[at / 2].x_mm += by;
        } else {
            moved[at / 2].y_mm += by;
        }
    }
    moved
}
