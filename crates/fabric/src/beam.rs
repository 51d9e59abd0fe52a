//! A straight beam over any number of supports, with overhangs: moments, forces and deflections.
//!
//! Displacement method with one node at each support and free end; between nodes the loads are integrated
//! exactly, so a load a millimetre from a support costs no accuracy. Bending is Euler–Bernoulli. The deflection by
//! shear is a term of its own, κ/(G A) times the moment less its chord between supports (Timoshenko): exact where
//! the moments follow from statics alone, a close estimate over more supports.

use nalgebra::{DMatrix, DVector};
use serde::Serialize;

use crate::{FabricError, error::in_range};

/// A beam of one section all along.
#[derive(Clone, Debug, PartialEq)]
pub struct Beam {
    /// Length from end to end, m, 0.01 to 100.
    pub length_m: f64,
    /// Places of the supports from the left end, m, left to right; each carries up and down and turns freely.
    pub supports_m: Vec<f64>,
    /// Whether the left end is built in (a cantilever from a wall).
    pub left_fixed: bool,
    /// Whether the right end is built in.
    pub right_fixed: bool,
    /// Bending stiffness E I, N m².
    pub ei_nm2: f64,
    /// Shear stiffness G A / κ, N (κ = 1.2 for a rectangle); infinite for no shear deflection.
    pub shear_stiffness_n: f64,
}

/// Loads on a beam; down is positive.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BeamLoads {
    /// Point loads: place from the left end, m, and force, N.
    pub points: Vec<(f64, f64)>,
    /// Spread loads: from, to, m from the left end, and force per length, N/m.
    pub spread: Vec<(f64, f64, f64)>,
}

/// A value and where it occurs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Extreme {
    /// The value, with its sign.
    pub value: f64,
    /// Where, m from the left end.
    pub at_m: f64,
}

/// The greatest deflection between two supports or of an overhang.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BayDeflection {
    /// Length of the bay, m.
    pub length_m: f64,
    /// Whether it is an overhang.
    pub overhang: bool,
    /// Deflection of the greatest size, m, down positive, and where.
    pub total_m: Extreme,
    /// Its part by bending, m.
    pub bending_m: f64,
    /// Its part by shear, m.
    pub shear_m: f64,
}

/// What the loads make of the beam. Moments that hollow the beam upwards (sagging), reactions upwards and
/// deflections downwards are positive; the shear force is dM/dx.
#[derive(Clone, Debug, PartialEq)]
pub struct BeamResponse {
    /// Reaction of each support, left to right, N; a built-in end counts as one.
    pub reactions_n: Vec<f64>,
    /// Greatest sagging moment, N m; 0 if none sags.
    pub sagging_nm: Extreme,
    /// Greatest hogging moment (the most negative), N m; 0 if none hogs.
    pub hogging_nm: Extreme,
    /// Shear force of the greatest size, N.
    pub shear_n: Extreme,
    /// Deflection bay by bay, left to right.
    pub bays: Vec<BayDeflection>,
    elements: Vec<Element>,
    ei_nm2: f64,
}

impl BeamResponse {
    /// Bending moment at a place, N m; 0 off the beam.
    pub fn moment_nm(&self, at_m: f64) -> f64 {
        self.element(at_m).map_or(0.0, |element| element.moment(at_m - element.from))
    }

    /// Shear force just right of a place, N; 0 off the beam.
    pub fn shear_force_n(&self, at_m: f64) -> f64 {
        self.element(at_m).map_or(0.0, |element| element.force(at_m - element.from))
    }

    /// Deflection by bending and by shear at a place, m; 0 off the beam.
    pub fn deflection_m(&self, at_m: f64) -> (f64, f64) {
        self.element(at_m).map_or((0.0, 0.0), |element| {
            let x = at_m - element.from;
            (element.bending(x, self.ei_nm2), element.shear(x))
        })
    }

    /// Slope of the bending line at a place, rad; 0 off the beam.
    pub fn slope(&self, at_m: f64) -> f64 {
        self.element(at_m).map_or(0.0, |element| element.slope(at_m - element.from, self.ei_nm2))
    }

    fn element(&self, at_m: f64) -> Option<&Element> {
        self.elements.iter().rev().find(|e| e.from <= at_m && at_m <= e.from + e.length + 1e-9)
    }
}

/// Solves a beam.
///
/// Errors: no length or stiffness, supports out of order or off the beam, too few supports to stand, a load off the beam.
pub fn solve_beam(beam: &Beam, loads: &BeamLoads) -> Result<BeamResponse, FabricError> {
    let nodes = nodes(beam, loads)?;
    let mut elements: Vec<Element> = nodes
        .windows(2)
        .filter_map(|pair| match pair {
            [a, b] => Some(Element::new(a.at, b.at, loads, beam.length_m)),
            _ => None,
        })
        .collect();
    displace(&mut elements, &nodes, beam)?;
    add_shear(&mut elements, &nodes, beam.shear_stiffness_n);
    Ok(respond(elements, &nodes, beam.ei_nm2))
}

#[derive(Clone, Copy, Debug)]
struct Node {
    at: f64,
    held: bool,
    fixed: bool,
}

/// Between two nodes: local loads, end values and the shear deflection's chord.
#[derive(Clone, Debug, PartialEq)]
struct Element {
    from: f64,
    length: f64,
    points: Vec<(f64, f64)>,
    spread: Vec<(f64, f64, f64)>,
    /// Deflection and slope by bending at the left end.
    start: (f64, f64),
    /// Moment and shear force at the left end.
    force: (f64, f64),
    /// 1/(shear stiffness), and the chord (value at the left end, slope) taken off the moment.
    shear_flexibility: f64,
    chord: (f64, f64),
    held: (bool, bool),
}

fn nodes(beam: &Beam, loads: &BeamLoads) -> Result<Vec<Node>, FabricError> {
    let length =
        in_range("the beam's length", beam.length_m, (0.01, 100.0), "m", "measure from bearing to bearing")?;
    in_range(
        "the beam's stiffness E I",
        beam.ei_nm2,
        (1e-3, 1e12),
        "N m²",
        "check the section and its grade",
    )?;
    if beam.shear_stiffness_n.is_nan() || beam.shear_stiffness_n <= 0.0 {
        in_range(
            "the beam's shear stiffness",
            beam.shear_stiffness_n,
            (1e-3, 1e15),
            "N",
            "check the section",
        )?;
    }
    let on_beam = |what: &str, at: f64| in_range(what, at, (0.0, length), "m", "it must lie on the beam");
    for &(at, force) in &loads.points {
        on_beam("the place of a point load", at)?;
        in_range("a point load", force, (-1e7, 1e7), "N", "check the load")?;
    }
    for &(from, to, load) in &loads.spread {
        on_beam("the start of a spread load", from)?;
        in_range("the end of a spread load", to, (from, length), "m", "it must lie on the beam")?;
        in_range("a spread load", load, (-1e7, 1e7), "N/m", "check the load")?;
    }
    let mut nodes: Vec<Node> = Vec::with_capacity(beam.supports_m.len() + 2);
    for &at in &beam.supports_m {
        on_beam("the place of a support", at)?;
        if let Some(last) = nodes.last()
            && at < last.at + CLOSEST_SUPPORTS_M
        {
            return Err(FabricError::CannotStand {
                what: "the beam".to_owned(),
                why: "two supports are less than 10 mm apart or out of order: list them from left to right"
                    .to_owned(),
            });
        }
        nodes.push(Node { at, held: true, fixed: false });
    }
    end_node(&mut nodes, 0, 0.0, beam.left_fixed);
    let last = nodes.len();
    end_node(&mut nodes, last, length, beam.right_fixed);
    let held = nodes.iter().filter(|node| node.held).count();
    if held < 2 && !nodes.iter().any(|node| node.fixed) {
        return Err(FabricError::CannotStand {
            what: "the beam".to_owned(),
            why: format!("it has {held} support: give it two, or build one end in"),
        });
    }
    Ok(nodes)
}

const CLOSEST_SUPPORTS_M: f64 = 0.01;

/// Makes sure that a node stands at an end: the support there, or a new node. A support within 10 mm of the end
/// stands at the end: the stub is too short to matter.
fn end_node(nodes: &mut Vec<Node>, index: usize, at: f64, fixed: bool) {
    let near = if index == 0 { nodes.first_mut() } else { nodes.last_mut() };
    if let Some(node) = near
        && (node.at - at).abs() < CLOSEST_SUPPORTS_M
    {
        node.at = at;
        node.fixed = fixed;
        return;
    }
    nodes.insert(index, Node { at, held: fixed, fixed });
}

impl Element {
    fn new(from: f64, to: f64, loads: &BeamLoads, beam_length: f64) -> Self {
        let length = to - from;
        // A load exactly over a node belongs to the element on its right, at the far end to the last one.
        let last = to >= beam_length;
        let points = loads
            .points
            .iter()
            .filter(|(at, _)| from <= *at && (*at < to || last))
            .map(|&(at, force)| (at - from, force))
            .collect();
        let spread = loads
            .spread
            .iter()
            .map(|&(a, b, load)| ((a - from).clamp(0.0, length), (b - from).clamp(0.0, length), load))
            .filter(|(a, b, _)| a < b)
            .collect();
        Self {
            from,
            length,
            points,
            spread,
            start: (0.0, 0.0),
            force: (0.0, 0.0),
            shear_flexibility: 0.0,
            chord: (0.0, 0.0),
            held: (false, false),
        }
    }

    /// n-fold integral of the local loads up to x: ΣP⟨x−a⟩ⁿ/n! + Σw(⟨x−a⟩ⁿ⁺¹ − ⟨x−b⟩ⁿ⁺¹)/(n+1)!.
    fn integral(&self, x: f64, n: i32) -> f64 {
        let step = |reach: f64, power: i32| {
            if reach > 0.0 {
                quantities::math::powi(reach, power)
            } else if power == 0 && reach >= 0.0 {
                1.0
            } else {
                0.0
            }
        };
        let factorial = |n: i32| (1..=n).map(f64::from).product::<f64>();
        let points: f64 = self.points.iter().map(|&(a, p)| p * step(x - a, n)).sum();
        let spread: f64 =
            self.spread.iter().map(|&(a, b, w)| w * (step(x - a, n + 1) - step(x - b, n + 1))).sum();
        points / factorial(n) + spread / factorial(n + 1)
    }

    fn force(&self, x: f64) -> f64 {
        self.force.1 - self.integral(x, 0)
    }

    fn moment(&self, x: f64) -> f64 {
        self.force.0 + self.force.1 * x - self.integral(x, 1)
    }

    fn slope(&self, x: f64, ei: f64) -> f64 {
        self.start.1 - (self.force.0 * x + self.force.1 * x * x / 2.0 - self.integral(x, 2)) / ei
    }

    fn bending(&self, x: f64, ei: f64) -> f64 {
        let bend = self.force.0 * x * x / 2.0 + self.force.1 * x * x * x / 6.0 - self.integral(x, 3);
        self.start.0 + self.start.1 * x - bend / ei
    }

    fn shear(&self, x: f64) -> f64 {
        self.shear_flexibility * (self.moment(x) - self.chord.0 - self.chord.1 * x)
    }

    /// Slope of bending and shear deflection together.
    fn total_slope(&self, x: f64, ei: f64) -> f64 {
        self.slope(x, ei) + self.shear_flexibility * (self.force(x) - self.chord.1)
    }

    /// Places where a load starts, ends or stands, ends included, in order.
    fn breaks(&self) -> Vec<f64> {
        let mut places = vec![0.0, self.length];
        places.extend(self.points.iter().map(|&(a, _)| a));
        places.extend(self.spread.iter().flat_map(|&(a, b, _)| [a, b]));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
        places
    }
}

/// Solves for the nodes' deflections and slopes and leaves the end values in the elements.
fn displace(elements: &mut [Element], nodes: &[Node], beam: &Beam) -> Result<(), FabricError> {
    let ei = beam.ei_nm2;
    let size = 2 * nodes.len();
    let mut stiffness = DMatrix::<f64>::zeros(size, size);
    let mut right = DVector::<f64>::zeros(size);
    for (i, element) in elements.iter().enumerate() {
        let l = element.length;
        let (k1, k2, k3) = (12.0 * ei / (l * l * l), 6.0 * ei / (l * l), ei / l);
        // Rows: deflection and slope of the left, then of the right node.
        let k = [
            [k1, k2, -k1, k2],
            [k2, 4.0 * k3, -k2, 2.0 * k3],
            [-k1, -k2, k1, -k2],
            [k2, 2.0 * k3, -k2, 4.0 * k3],
        ];
        let (m1, v1) = end_forces(element, [0.0; 4], ei);
        let m2 = m1 + v1 * l - element.integral(l, 1);
        let v2 = v1 - element.integral(l, 0);
        // What the clamped element pushes back with: down and with the slope positive.
        let clamped = [v1, m1, -v2, -m2];
        for (r, row) in k.iter().enumerate() {
            for (c, value) in row.iter().enumerate() {
                if let Some(slot) = stiffness.get_mut((2 * i + r, 2 * i + c)) {
                    *slot += value;
                }
            }
        }
        for (r, value) in clamped.iter().enumerate() {
            if let Some(slot) = right.get_mut(2 * i + r) {
                *slot += clamp_sign(r) * value;
            }
        }
    }
    for (i, node) in nodes.iter().enumerate() {
        for (offset, held) in [(0, node.held), (1, node.fixed)] {
            if held {
                hold(&mut stiffness, &mut right, 2 * i + offset);
            }
        }
    }
    let solved = stiffness.lu().solve(&right).ok_or_else(|| FabricError::CannotStand {
        what: "the beam".to_owned(),
        why: "its supports leave it free to move: give it two supports, or build one end in".to_owned(),
    })?;
    for (i, element) in elements.iter_mut().enumerate() {
        let at = |offset: usize| solved.get(2 * i + offset).copied().unwrap_or(0.0);
        let ends = [at(0), at(1), at(2), at(3)];
        element.start = (ends[0], ends[1]);
        element.force = end_forces(element, ends, ei);
        let held = |node: usize| nodes.get(node).is_some_and(|n| n.held);
        element.held = (held(i), held(i + 1));
    }
    Ok(())
}

/// Moment and shear force at the left end for given end deflections and slopes and the element's own loads.
fn end_forces(element: &Element, [v1, t1, v2, t2]: [f64; 4], ei: f64) -> (f64, f64) {
    let l = element.length;
    let own_deflection = element.integral(l, 3) / ei;
    let own_slope = element.integral(l, 2) / ei;
    let b = t2 - t1 - own_slope;
    let s = v2 - v1 - l * (t1 + t2) / 2.0 - (own_deflection - own_slope * l / 2.0);
    let force = 12.0 * ei / (l * l * l) * s;
    let moment = -ei * b / l - 6.0 * ei / (l * l) * s;
    (moment, force)
}

/// With all displacements zero the nodes must carry `V₁` and `−V₂` downwards and `−M₁`, `M₂` with the slope.
fn clamp_sign(row: usize) -> f64 {
    if row.is_multiple_of(2) { 1.0 } else { -1.0 }
}

fn hold(stiffness: &mut DMatrix<f64>, right: &mut DVector<f64>, at: usize) {
    for other in 0..stiffness.nrows() {
        for place in [(at, other), (other, at)] {
            if let Some(slot) = stiffness.get_mut(place) {
                *slot = if other == at { 1.0 } else { 0.0 };
            }
        }
    }
    if let Some(slot) = right.get_mut(at) {
        *slot = 0.0;
    }
}

/// The chord of each bay; an overhang turns with its neighbour, and stays level where it is built in.
fn add_shear(elements: &mut [Element], nodes: &[Node], stiffness: f64) {
    let flexibility = if stiffness.is_finite() { 1.0 / stiffness } else { 0.0 };
    let chords: Vec<Option<f64>> = elements
        .iter()
        .map(|e| (e.held == (true, true)).then(|| (e.moment(e.length) - e.force.0) / e.length))
        .collect();
    let fixed = |node: usize| nodes.get(node).is_some_and(|n| n.fixed);
    let count = elements.len();
    for (i, element) in elements.iter_mut().enumerate() {
        element.shear_flexibility = flexibility;
        let end_moment = element.moment(element.length);
        element.chord = match (element.held, chords.get(i).copied().flatten()) {
            (_, Some(slope)) => (element.force.0, slope),
            ((true, false), None) => {
                let slope = if fixed(i) { 0.0 } else { neighbour(&chords, i.checked_sub(1)) };
                (element.force.0, slope)
            }
            ((false, _), None) => {
                let next = (i + 1 < count).then_some(i + 1);
                let slope = if fixed(i + 1) { 0.0 } else { neighbour(&chords, next) };
                (end_moment - slope * element.length, slope)
            }
            ((true, true), None) => (element.force.0, 0.0),
        };
    }
}

fn neighbour(chords: &[Option<f64>], index: Option<usize>) -> f64 {
    index.and_then(|i| chords.get(i).copied().flatten()).unwrap_or(0.0)
}

fn respond(elements: Vec<Element>, nodes: &[Node], ei: f64) -> BeamResponse {
    let mut sagging_nm = Extreme::default();
    let mut hogging_nm = Extreme::default();
    let mut shear_n = Extreme::default();
    let mut bays = Vec::with_capacity(elements.len());
    for element in &elements {
        let breaks = element.breaks();
        for pair in breaks.windows(2) {
            let &[a, b] = pair else { continue };
            // Just inside the ends, where a point load has not yet or has already dropped off the shear force.
            let inner = (a, b - (b - a) * 1e-10);
            let (va, vb) = (element.force(inner.0), element.force(inner.1));
            for (x, force) in [(a, va), (b, vb)] {
                if force.abs() > shear_n.value.abs() {
                    shear_n = Extreme { value: force, at_m: element.from + x };
                }
            }
            let mut moments = vec![a, b];
            if va * vb < 0.0 {
                moments.push(a + (b - a) * va / (va - vb));
            }
            for x in moments {
                let moment = element.moment(x);
                if moment > sagging_nm.value {
                    sagging_nm = Extreme { value: moment, at_m: element.from + x };
                }
                if moment < hogging_nm.value {
                    hogging_nm = Extreme { value: moment, at_m: element.from + x };
                }
            }
        }
        bays.push(greatest_deflection(element, &breaks, ei));
    }
    let mut reactions_n = Vec::new();
    for (i, node) in nodes.iter().enumerate() {
        if node.held {
            let left = i.checked_sub(1).and_then(|at| elements.get(at)).map_or(0.0, |e| e.force(e.length));
            let right = elements.get(i).map_or(0.0, |e| e.force.1);
            reactions_n.push(right - left);
        }
    }
    BeamResponse { reactions_n, sagging_nm, hogging_nm, shear_n, bays, elements, ei_nm2: ei }
}

/// Steps between two breaks in which a turning point is looked for; the bending line is of fourth order between
/// breaks, so it has at most three turning points there.
const STEPS: usize = 8;
/// Halvings: a step of 1 m is narrowed to less than a nanometre.
const HALVINGS: usize = 40;

fn greatest_deflection(element: &Element, breaks: &[f64], ei: f64) -> BayDeflection {
    let mut best = Extreme::default();
    let mut consider = |x: f64| {
        let total = element.bending(x, ei) + element.shear(x);
        if total.abs() > best.value.abs() {
            best = Extreme { value: total, at_m: x };
        }
    };
    for pair in breaks.windows(2) {
        let &[a, b] = pair else { continue };
        let step = (b - a) / STEPS as f64;
        for i in 0..STEPS {
            let (mut low, mut high) = (a + step * i as f64, a + step * (i + 1) as f64);
            consider(low);
            consider(high);
            // The slope jumps at a break: look at it just inside.
            let rising = element.total_slope(low + step * 1e-9, ei);
            if rising * element.total_slope(high - step * 1e-9, ei) < 0.0 {
                for _ in 0..HALVINGS {
                    let middle = 0.5 * (low + high);
                    if element.total_slope(middle, ei) * rising > 0.0 {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
                consider(0.5 * (low + high));
            }
        }
    }
    let bending_m = element.bending(best.at_m, ei);
    BayDeflection {
        length_m: element.length,
        overhang: element.held != (true, true),
        total_m: Extreme { value: best.value, at_m: element.from + best.at_m },
        bending_m,
        shear_m: best.value - bending_m,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(length_m: f64) -> Beam {
        Beam {
            length_m,
            supports_m: vec![0.0, length_m],
            left_fixed: false,
            right_fixed: false,
            ei_nm2: 1e6,
            shear_stiffness_n: f64::INFINITY,
        }
    }

    #[test]
    fn a_spread_load_on_two_supports_has_the_closed_form() {
        let loads = BeamLoads { points: vec![], spread: vec![(0.0, 4.0, 1000.0)] };
        let response = solve_beam(&plain(4.0), &loads).unwrap();
        assert!((response.sagging_nm.value - 2000.0).abs() < 1e-9);
        assert!((response.shear_n.value.abs() - 2000.0).abs() < 1e-6);
        let exact = 5.0 * 1000.0 * 256.0 / (384.0 * 1e6);
        assert!((response.bays[0].total_m.value - exact).abs() < 1e-12);
        assert!((response.slope(0.0) - 1000.0 * 64.0 / 24e6).abs() < 1e-12);
    }

    #[test]
    fn a_built_in_end_and_a_load_at_the_tip() {
        let beam = Beam { supports_m: vec![], left_fixed: true, shear_stiffness_n: 1e6, ..plain(2.0) };
        let response = solve_beam(&beam, &BeamLoads { points: vec![(2.0, 500.0)], spread: vec![] }).unwrap();
        assert!((response.hogging_nm.value + 1000.0).abs() < 1e-9);
        let bay = response.bays[0];
        assert!((bay.bending_m - 500.0 * 8.0 / 3e6).abs() < 1e-12);
        assert!((bay.shear_m - 500.0 * 2.0 / 1e6).abs() < 1e-12);
        assert!((response.reactions_n[0] - 500.0).abs() < 1e-9);
    }

    #[test]
    fn two_equal_spans_hog_an_eighth_over_the_middle() {
        let beam = Beam { supports_m: vec![0.0, 3.0, 6.0], ..plain(6.0) };
        let loads = BeamLoads { points: vec![], spread: vec![(0.0, 6.0, 800.0)] };
        let response = solve_beam(&beam, &loads).unwrap();
        assert!((response.hogging_nm.value + 800.0 * 9.0 / 8.0).abs() < 1e-9);
        assert!((response.reactions_n[1] - 1.25 * 800.0 * 3.0).abs() < 1e-9);
        assert!((response.sagging_nm.value - 9.0 / 128.0 * 800.0 * 9.0).abs() < 1e-9);
    }

    #[test]
    fn what_cannot_stand_is_refused() {
        let one = Beam { supports_m: vec![1.0], ..plain(4.0) };
        assert!(matches!(solve_beam(&one, &BeamLoads::default()), Err(FabricError::CannotStand { .. })));
        let off = BeamLoads { points: vec![(4.5, 1.0)], spread: vec![] };
        assert!(matches!(solve_beam(&plain(4.0), &off), Err(FabricError::OutOfRange { .. })));
        assert!(solve_beam(&plain(f64::NAN), &BeamLoads::default()).is_err());
    }
}
