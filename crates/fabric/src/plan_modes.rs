//! Modes of a prism over a plan of any shape: rigid walls, finite elements in the plan, half waves in the height.
//!
//! The plan is cut into triangles by its own corners (ear clipping) and each triangle into as many alike as the computing
//! allows; the elements are quadratic, so that few are needed. The mesh follows the walls exactly.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};
use quantities::{air::SPEED_OF_SOUND_M_S, math};

use crate::{FabricError, error::in_range, room::RoomMode};

/// The first modes of the room over a plan, lowest first.
///
/// `corners_m` are the corners in order, either way round; `height_m` the mean height. The order of a mode is the number of the
/// plan's mode (0: none) and the half waves of the height. Errors: fewer than three corners, an outline that crosses itself or
/// encloses nothing, a height outside 0.5 to 50 m.
pub fn plan_modes(
    corners_m: &[(f64, f64)],
    height_m: f64,
    count: usize,
) -> Result<Vec<RoomMode>, FabricError> {
    modes_over_plan(&plan_eigenvalues(corners_m)?, height_m, count)
}

/// The first modes of a prism of this height over a plan whose eigenvalues are known, lowest first: what [`plan_modes`] does
/// after its finite elements, so that one plan can be asked for several heights.
///
/// f = (c/2π) √(k² + (π n/H)²), k² an eigenvalue of the plan, 1/m², n the half waves in the height H. Errors: a height outside
/// 0.5 to 50 m.
pub fn modes_over_plan(
    eigenvalues: &[f64],
    height_m: f64,
    count: usize,
) -> Result<Vec<RoomMode>, FabricError> {
    in_range("the room's mean height", height_m, (0.5, 50.0), "m", "check the survey")?;
    let plan_hz: Vec<f64> =
        eigenvalues.iter().map(|k2| SPEED_OF_SOUND_M_S / (2.0 * math::PI) * k2.max(0.0).sqrt()).collect();
    let count = count.min(MOST_MODES);
    let mut modes: Vec<RoomMode> = Vec::new();
    for (number, &in_plan) in plan_hz.iter().enumerate() {
        for half_waves in 0..=MOST_HALF_WAVES {
            if number == 0 && half_waves == 0 {
                continue;
            }
            let in_height = f64::from(half_waves) * SPEED_OF_SOUND_M_S / (2.0 * height_m);
            modes.push(RoomMode {
                frequency_hz: (in_plan * in_plan + in_height * in_height).sqrt(),
                order: vec![number as u32, half_waves],
                kind: match (number, half_waves) {
                    (0, _) => "height",
                    (_, 0) => "plan",
                    _ => "plan and height",
                },
            });
        }
    }
    // Above the last plan mode that was found some are missing.
    let sure_hz = plan_hz.last().copied().unwrap_or(0.0);
    modes.retain(|mode| mode.frequency_hz <= sure_hz);
    modes.sort_by(|a, b| a.frequency_hz.total_cmp(&b.frequency_hz).then_with(|| a.order.cmp(&b.order)));
    modes.truncate(count);
    Ok(modes)
}

/// Eigenvalues k², 1/m², of −Δ with free (Neumann) walls over a plan, lowest first; the first is that of the constant, 0. As many
/// as are trustworthy: a sixth of the unknowns, 30 at most.
///
/// Errors: as [`plan_modes`].
pub fn plan_eigenvalues(corners_m: &[(f64, f64)]) -> Result<Vec<f64>, FabricError> {
    let mesh = Mesh::of(corners_m)?;
    let (stiffness, mass) = mesh.assemble();
    let unknowns = mass.nrows();
    let cholesky = mass.cholesky().ok_or_else(too_thin)?;
    let lower = cholesky.l();
    let half = lower.solve_lower_triangular(&stiffness).ok_or_else(too_thin)?;
    let whole = lower.solve_lower_triangular(&half.transpose()).ok_or_else(too_thin)?;
    let symmetric = (&whole + whole.transpose()) * 0.5;
    let mut values: Vec<f64> = DVector::from(symmetric.symmetric_eigenvalues()).iter().copied().collect();
    values.sort_by(f64::total_cmp);
    values.truncate((unknowns / 6).clamp(2, 30));
    if let Some(first) = values.first_mut() {
        *first = 0.0;
    }
    Ok(values)
}

/// Unknowns that are not exceeded: the dense solution takes some 20 ms then, and the first twelve modes of an oblong room are within
/// 0.15 % in frequency.
const MOST_UNKNOWNS: usize = 300;
/// Parts of a triangle's side at most: a single triangle reaches the unknowns with 11.
const MOST_PARTS: usize = 12;
const MOST_MODES: usize = 60;
const MOST_HALF_WAVES: u32 = 12;

fn too_thin() -> FabricError {
    bad("it is too thin to compute: check that no two corners lie on top of each other")
}

fn bad(why: &str) -> FabricError {
    FabricError::BadShape { what: "the plan's outline".to_owned(), why: why.to_owned() }
}

type Point = (f64, f64);

struct Mesh {
    nodes: Vec<Point>,
    triangles: Vec<[usize; 3]>,
}

impl Mesh {
    fn of(corners_m: &[Point]) -> Result<Self, FabricError> {
        let coarse = Self { nodes: corners_m.to_vec(), triangles: triangulate(corners_m)? };
        let (corners, sides, triangles) = (coarse.nodes.len(), coarse.edges().len(), coarse.triangles.len());
        // With each side of a triangle in `parts`, quadratic elements have their nodes at the half parts.
        let unknowns = |parts: usize| {
            let inner = 2 * parts - 1;
            corners + sides * inner + triangles * (inner * (inner - 1) / 2)
        };
        let parts = (1..=MOST_PARTS).rev().find(|&parts| unknowns(parts) <= MOST_UNKNOWNS).unwrap_or(1);
        Ok(coarse.cut(parts))
    }

    /// Edges by their ends, smaller index first, sorted.
    fn edges(&self) -> Vec<(usize, usize)> {
        let mut edges: Vec<(usize, usize)> = self
            .triangles
            .iter()
            .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
            .map(|(a, b)| (a.min(b), a.max(b)))
            .collect();
        edges.sort_unstable();
        edges.dedup();
        edges
    }

    /// Every triangle cut into `parts`² alike; nodes on shared sides are shared.
    fn cut(&self, parts: usize) -> Self {
        let at = |node: usize| self.nodes.get(node).copied().unwrap_or_default();
        let mut fine = Self { nodes: Vec::new(), triangles: Vec::new() };
        // A node by the corners it lies between and its weights at them: the same from both sides of a shared edge.
        let mut numbers: BTreeMap<Vec<(usize, usize)>, usize> = BTreeMap::new();
        for &[a, b, c] in &self.triangles {
            let mut number = |i: usize, j: usize| {
                let mut key = vec![(a, parts - i - j), (b, i), (c, j)];
                key.retain(|&(_, weight)| weight > 0);
                key.sort_unstable();
                if let Some(&known) = numbers.get(&key) {
                    return known;
                }
                let sum = |part: fn(Point) -> f64| -> f64 {
                    key.iter().map(|&(node, weight)| part(at(node)) * weight as f64).sum::<f64>()
                        / parts as f64
                };
                fine.nodes.push((sum(|p| p.0), sum(|p| p.1)));
                numbers.insert(key, fine.nodes.len() - 1);
                fine.nodes.len() - 1
            };
            for i in 0..parts {
                for j in 0..parts - i {
                    let (here, along, up) = (number(i, j), number(i + 1, j), number(i, j + 1));
                    fine.triangles.push([here, along, up]);
                    if i + j + 1 < parts {
                        let across = number(i + 1, j + 1);
                        fine.triangles.push([along, across, up]);
                    }
                }
            }
        }
        fine
    }

    /// Stiffness and mass of the quadratic elements.
    fn assemble(&self) -> (DMatrix<f64>, DMatrix<f64>) {
        let edges = self.edges();
        let first = self.nodes.len();
        let size = first + edges.len();
        let mut stiffness = DMatrix::zeros(size, size);
        let mut mass = DMatrix::zeros(size, size);
        let at = |node: usize| self.nodes.get(node).copied().unwrap_or_default();
        let middle = |a: usize, b: usize| first + edges.binary_search(&(a.min(b), a.max(b))).unwrap_or(0);
        for &[a, b, c] in &self.triangles {
            let numbers = [a, b, c, middle(a, b), middle(b, c), middle(c, a)];
            let (k, m) = quadratic_triangle([at(a), at(b), at(c)]);
            for (r, &row) in numbers.iter().enumerate() {
                for (s, &column) in numbers.iter().enumerate() {
                    if let Some(slot) = stiffness.get_mut((row, column)) {
                        *slot += k[r][s];
                    }
                    if let Some(slot) = mass.get_mut((row, column)) {
                        *slot += m[r][s];
                    }
                }
            }
        }
        (stiffness, mass)
    }
}

/// Stiffness and mass of a straight six-node triangle: corners, then the middles of sides 1-2, 2-3, 3-1. The products of
/// gradients are quadratic in the area coordinates, which the three side middles integrate exactly.
fn quadratic_triangle([p1, p2, p3]: [Point; 3]) -> ([[f64; 6]; 6], [[f64; 6]; 6]) {
    // The consistent mass of the six-node triangle, times 180/area.
    const MASS: [[f64; 6]; 6] = [
        [6.0, -1.0, -1.0, 0.0, -4.0, 0.0],
        [-1.0, 6.0, -1.0, 0.0, 0.0, -4.0],
        [-1.0, -1.0, 6.0, -4.0, 0.0, 0.0],
        [0.0, 0.0, -4.0, 32.0, 16.0, 16.0],
        [-4.0, 0.0, 0.0, 16.0, 32.0, 16.0],
        [0.0, -4.0, 0.0, 16.0, 16.0, 32.0],
    ];
    let area2 = (p2.0 - p1.0) * (p3.1 - p1.1) - (p3.0 - p1.0) * (p2.1 - p1.1);
    let area = area2 / 2.0;
    // Gradients of the area coordinates.
    let grad = [
        ((p2.1 - p3.1) / area2, (p3.0 - p2.0) / area2),
        ((p3.1 - p1.1) / area2, (p1.0 - p3.0) / area2),
        ((p1.1 - p2.1) / area2, (p2.0 - p1.0) / area2),
    ];
    let mut stiffness = [[0.0; 6]; 6];
    for l in [[0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]] {
        let corner = |i: usize| {
            let factor = 4.0 * l[i] - 1.0;
            (factor * grad[i].0, factor * grad[i].1)
        };
        let side = |i: usize, j: usize| {
            (4.0 * (l[i] * grad[j].0 + l[j] * grad[i].0), 4.0 * (l[i] * grad[j].1 + l[j] * grad[i].1))
        };
        let gradients = [corner(0), corner(1), corner(2), side(0, 1), side(1, 2), side(2, 0)];
        for (row, a) in stiffness.iter_mut().zip(gradients) {
            for (slot, b) in row.iter_mut().zip(gradients) {
                *slot += area / 3.0 * (a.0 * b.0 + a.1 * b.1);
            }
        }
    }
    (stiffness, MASS.map(|row| row.map(|value| value * area / 180.0)))
}

/// Cuts a simple outline into triangles, each anticlockwise.
fn triangulate(corners_m: &[Point]) -> Result<Vec<[usize; 3]>, FabricError> {
    if corners_m.len() < 3 {
        return Err(FabricError::TooFew { what: "the plan's outline".to_owned(), of: "corner", least: 3 });
    }
    if corners_m.len() > MOST_UNKNOWNS / 3 {
        return Err(bad("it has more corners than can be computed here: straighten it"));
    }
    if corners_m.iter().any(|p| !(p.0.is_finite() && p.1.is_finite() && p.0.abs() < 1e4 && p.1.abs() < 1e4)) {
        return Err(bad("a corner is not a number or lies kilometres away: check the survey"));
    }
    if crosses_itself(corners_m) {
        return Err(bad("it crosses itself: list the corners in order round the room"));
    }
    let mut left: Vec<usize> = (0..corners_m.len()).collect();
    let area2: f64 =
        corners_m.iter().zip(corners_m.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    if area2.abs() < 1e-3 {
        return Err(bad("it encloses nothing: check the corners"));
    }
    if area2 < 0.0 {
        left.reverse();
    }
    let at = |i: usize| corners_m.get(i).copied().unwrap_or_default();
    let mut triangles = Vec::with_capacity(corners_m.len());
    while left.len() > 3 {
        let count = left.len();
        let corner = |k: usize| left.get(k % count).copied().unwrap_or(0);
        // The plumpest ear first: thin triangles cost accuracy.
        let best = (0..count)
            .filter_map(|k| {
                let (a, b, c) = (corner(k + count - 1), corner(k), corner(k + 1));
                let (pa, pb, pc) = (at(a), at(b), at(c));
                let plump = shape(pa, pb, pc);
                let clear =
                    left.iter().filter(|&&i| i != a && i != b && i != c).all(|&i| !inside(at(i), pa, pb, pc));
                (plump > 1e-9 && clear).then_some((k, plump, [a, b, c]))
            })
            .fold(None, |best: Option<(usize, f64, [usize; 3])>, ear| match best {
                Some(old) if old.1 >= ear.1 => Some(old),
                _ => Some(ear),
            });
        let Some((k, _, triangle)) = best else {
            return Err(bad("it cannot be cut into triangles: check that no wall runs back over another"));
        };
        triangles.push(triangle);
        left.remove(k);
    }
    if let [a, b, c] = left.as_slice() {
        triangles.push([*a, *b, *c]);
    }
    if triangles.iter().any(|&[a, b, c]| shape(at(a), at(b), at(c)) <= 1e-9) {
        return Err(too_thin());
    }
    Ok(triangles)
}

fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (c.0 - a.0) * (b.1 - a.1)
}

/// Twice the area over the square of the longest side: positive for an anticlockwise triangle, 0.87 for the best.
fn shape(a: Point, b: Point, c: Point) -> f64 {
    let square = |p: Point, q: Point| (p.0 - q.0) * (p.0 - q.0) + (p.1 - q.1) * (p.1 - q.1);
    let longest = square(a, b).max(square(b, c)).max(square(c, a));
    if longest > 0.0 { cross(a, b, c) / longest } else { 0.0 }
}

fn inside(p: Point, a: Point, b: Point, c: Point) -> bool {
    cross(a, b, p) >= 0.0 && cross(b, c, p) >= 0.0 && cross(c, a, p) >= 0.0
}

fn crosses_itself(corners: &[Point]) -> bool {
    let sides: Vec<(Point, Point)> =
        corners.iter().copied().zip(corners.iter().copied().cycle().skip(1)).collect();
    sides.iter().enumerate().any(|(i, &(a, b))| {
        sides.iter().enumerate().skip(i + 2).any(|(j, &(c, d))| {
            let neighbours = i == 0 && j + 1 == sides.len();
            !neighbours && cross(a, b, c) * cross(a, b, d) < 0.0 && cross(c, d, a) * cross(c, d, b) < 0.0
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::room::rectangle_modes;

    #[test]
    fn a_rectangle_has_the_modes_of_the_closed_form() {
        let plan = [(0.0, 0.0), (5.0, 0.0), (5.0, 3.6), (0.0, 3.6)];
        let found = plan_modes(&plan, 2.2, 12).unwrap();
        let exact = rectangle_modes([5.0, 3.6, 2.2], 200.0);
        for (a, b) in found.iter().zip(&exact) {
            assert!((a.frequency_hz / b.frequency_hz - 1.0).abs() < 0.0015, "{a:?} {b:?}");
        }
        assert_eq!(found.len(), 12);
    }

    #[test]
    fn the_way_round_does_not_matter() {
        let plan = [(0.0, 0.0), (5.2, 0.0), (5.1, 3.9), (1.0, 4.0), (0.0, 3.0)];
        let mut other = plan;
        other.reverse();
        let (a, b) = (plan_modes(&plan, 2.2, 5).unwrap(), plan_modes(&other, 2.2, 5).unwrap());
        for (a, b) in a.iter().zip(&b) {
            assert!((a.frequency_hz / b.frequency_hz - 1.0).abs() < 2e-3);
        }
    }

    #[test]
    fn a_crossed_outline_is_refused() {
        let bow_tie = [(0.0, 0.0), (4.0, 3.0), (4.0, 0.0), (0.0, 3.0)];
        assert!(matches!(plan_modes(&bow_tie, 2.2, 5), Err(FabricError::BadShape { .. })));
        assert!(plan_modes(&[(0.0, 0.0), (1.0, 1.0)], 2.2, 5).is_err());
    }
}
