//! The strips of each layer in a mend: where boards that are up put them, with the end joints and stretches those hold.

use super::AsBuilt;
use super::boards::{WIDEST_JOINT_MM, off_place};
use crate::layout::{EdgeMeets, Frame, JointKind, Layer, Layout, Piece};
use crate::ring::{self, Axis};
use crate::strips::Part;
use crate::{Ceiling, Point};

/// Lines nearer than this are one \[mm\].
pub(super) const SAME_MM: f64 = 0.05;
/// Boards still to go up move with those that are up by this much as they are cut, the gaps at the walls giving way \[mm\], but by no more than
/// this share of the gap (judgement, no source).
const MOVE_ALONG_MM: f64 = 3.0;
const GAP_SHARE: f64 = 0.5;
/// Boards that would lie over each other by less are pushed up to each other: two readings leave as much open \[mm\].
const TAPE_MM: f64 = 1.0;

/// So much wider than planned may the gap at a wall get where boards that are up stand off it \[mm\]; sealant fills it (judgement, no
/// source).
const WIDER_GAP_MM: f64 = 10.0;

/// A strip beyond a wall that is no wider for longer than this is no board: the gap at the wall takes it \[mm\] (judgement, no source).
const NEEDLE_MM: f64 = 100.0;

/// One strip of one layer in the mend.
#[derive(Clone, Debug)]
pub(super) struct Strip {
    pub(super) layer: usize,
    pub(super) index: usize,
    pub(super) low_u: f64,
    pub(super) high_u: f64,
    pub(super) rings: Vec<Vec<Point>>,
    /// End joints of the plan.
    pub(super) planned: Vec<f64>,
    /// End joints now.
    pub(super) joints: Vec<f64>,
    /// Joints at boards that are up.
    pub(super) held: Vec<f64>,
    /// Stretches taken by boards that are up.
    pub(super) up: Vec<(f64, f64)>,
}

impl Strip {
    /// Whether a board of the strip is up.
    pub(super) fn has_boards_up(&self) -> bool {
        !self.up.is_empty()
    }

    /// Whether what lies between two lines across the strip hangs already: no joint is ever laid through a board that is up.
    pub(super) fn hangs_between(&self, from: f64, to: f64) -> bool {
        let middle = f64::midpoint(from, to);
        self.up.iter().any(|(a, b)| *a < middle && middle < *b)
    }

    /// Whether two lines across the strip are an open joint beside a board that is up.
    pub(super) fn stands_open(&self, from: f64, to: f64) -> bool {
        to - from <= WIDEST_JOINT_MM + SAME_MM
            && self.held.iter().any(|h| (h - from).abs() < SAME_MM || (h - to).abs() < SAME_MM)
    }
}

/// Long joints of a layer, shifted to where boards that are up put them, and its strips.
///
/// Boards still to go up move with those that are up as they are cut, where that leaves the gaps at the walls what they should be. Where
/// it does not, strips at the walls are cut to where they now lie; one that thereby grows wider than its boards leaves a wider gap, up to
/// [`WIDER_GAP_MM`]. Where two strips hang a little apart, their joint has two lines.
pub(super) fn strips(
    outline: &[Point],
    ceiling: &Ceiling,
    plan: &Layout,
    built: &AsBuilt,
) -> Vec<(Vec<f64>, Vec<Strip>)> {
    let gap_mm = (0..ceiling.corners.len()).map(|wall| ceiling.gap_mm(wall)).fold(f64::INFINITY, f64::min);
    let along_mm = MOVE_ALONG_MM.min(gap_mm * GAP_SHARE);
    let mut out = Vec::new();
    for (index, (layer, real)) in plan.layers.iter().zip(&built.layout.layers).enumerate() {
        let own = LayerUp { plan, layer, real, built };
        let lines = own.long_lines();
        let count = lines.len() + 1;
        let aside = Aside::new(&own.off_along(count));
        let board_mm = ceiling.layers.get(index).map_or(f64::INFINITY, |board| board.width_mm);
        let mut long: Vec<f64> = Vec::with_capacity(2 * lines.len());
        let mut strips = Vec::with_capacity(count);
        for strip in 0..count {
            let before = strip.checked_sub(1).and_then(|s| lines.get(s)).copied();
            let after = lines.get(strip).copied();
            let by = (aside.low(strip), aside.high(strip));
            let (rings, low_u, high_u) = if by.0.abs() <= along_mm && (by.0 - by.1).abs() < SAME_MM {
                moved(outline, (before, after), by.0)
            } else {
                cut_anew(outline, (before.map(|at| at + by.0), after.map(|at| at + by.1)), board_mm)
            };
            long.extend(before.and(Some(low_u)));
            long.extend(after.and(Some(high_u)));
            let (low, high) = ring::extent(outline);
            let planned = own.end_lines(before.unwrap_or(low.x_mm), after.unwrap_or(high.x_mm));
            let (joints, held, up) = own.held(strip, &planned);
            strips.push(Strip {
                layer: index,
                index: strip,
                low_u,
                high_u,
                rings,
                planned,
                joints,
                held,
                up,
            });
        }
        long.sort_by(f64::total_cmp);
        long.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        out.push((long, strips));
    }
    out
}

/// What of the outline lies between two lines along it.
fn between(outline: &[Point], (before, after): (Option<f64>, Option<f64>)) -> Vec<Vec<Point>> {
    let mut rings = vec![outline.to_vec()];
    if let Some(at) = before {
        rings = rings.iter().flat_map(|r| ring::keep_side(r, Axis::U, at, false)).collect();
    }
    if let Some(at) = after {
        rings = rings.iter().flat_map(|r| ring::keep_side(r, Axis::U, at, true)).collect();
    }
    rings
}

/// A strip of the plan moved as a whole, and its edges.
fn moved(
    outline: &[Point],
    (before, after): (Option<f64>, Option<f64>),
    by: f64,
) -> (Vec<Vec<Point>>, f64, f64) {
    let (low, high) = ring::extent(outline);
    let mut rings = between(outline, (before, after));
    for point in rings.iter_mut().flatten() {
        point.x_mm += by;
    }
    (rings, before.unwrap_or(low.x_mm) + by, after.unwrap_or(high.x_mm) + by)
}

/// A strip between two lines cut to the walls, and its edges.
fn cut_anew(
    outline: &[Point],
    (before, after): (Option<f64>, Option<f64>),
    board_mm: f64,
) -> (Vec<Vec<Point>>, f64, f64) {
    let (low, high) = ring::extent(outline);
    let (low_u, high_u) = (before.unwrap_or(low.x_mm), after.unwrap_or(high.x_mm));
    let over_mm = high_u - low_u - board_mm;
    let wider_gap = over_mm > SAME_MM && over_mm <= WIDER_GAP_MM;
    match (before, after) {
        (None, Some(_)) if wider_gap => {
            let low_u = low_u + over_mm;
            (between(outline, (Some(low_u), after)), low_u, high_u)
        }
        (Some(_), None) if wider_gap => {
            let high_u = high_u - over_mm;
            (between(outline, (before, Some(high_u))), low_u, high_u)
        }
        _ => {
            let mut rings = between(outline, (before, after));
            for (at, inwards) in [(before, 1.0), (after, -1.0)] {
                if let Some(at) = at {
                    rings = without_needles(rings, (at, inwards));
                }
            }
            (rings, low_u, high_u)
        }
    }
}

/// The rings of a strip without what reaches past a wall by no more than a gap may be wider: where a line of long joints has come to lie beyond
/// that wall. `inwards` is 1 where the strip lies on the side of greater `u` of the line, else -1.
fn without_needles(rings: Vec<Vec<Point>>, (at, inwards): (f64, f64)) -> Vec<Vec<Point>> {
    let deep = |p: Point| (p.x_mm - at) * inwards;
    let without_one = |ring: &[Point]| {
        let n = ring.len();
        let point = |k: usize| ring.get(k % n).copied();
        for first in 0..n {
            // From where the board proper begins along the wall back to the line.
            for forwards in [true, false] {
                let step = |k: usize| if forwards { first + k } else { first + 4 * n - k };
                let chain: Vec<Point> = (0..n)
                    .map_while(|k| point(step(k)))
                    .take_while(|p| deep(*p) > SAME_MM && deep(*p) <= WIDER_GAP_MM)
                    .collect();
                let (Some(begin), Some(end), Some(next)) =
                    (chain.first(), point(step(chain.len())), point(step(chain.len() + 1)))
                else {
                    continue;
                };
                let proper = point(step(n - 1)).is_some_and(|before| deep(before) > WIDER_GAP_MM);
                let on_line = deep(end).abs() <= SAME_MM && deep(next).abs() <= SAME_MM;
                let (back, on) = (begin.y_mm - end.y_mm, next.y_mm - end.y_mm);
                if !proper || !on_line || back.abs() < NEEDLE_MM || back * on <= 0.0 || on.abs() < back.abs()
                {
                    continue;
                }
                let keep = (0..n - chain.len()).filter_map(|k| point(step(chain.len() + 1 + k)));
                let mut shorter: Vec<Point> = keep.take(n - chain.len() - 1).collect();
                shorter.extend([*begin, Point::new(at, begin.y_mm)]);
                if !forwards {
                    shorter.reverse();
                }
                return Some(shorter);
            }
        }
        None
    };
    let without = |mut ring: Vec<Point>| {
        // None is found twice: its wall then leads to the line at once.
        while let Some(shorter) = without_one(&ring) {
            ring = shorter;
        }
        ring
    };
    rings.into_iter().map(without).collect()
}

/// One layer in the plan and as it hangs.
struct LayerUp<'a> {
    plan: &'a Layout,
    layer: &'a Layer,
    real: &'a Layer,
    built: &'a AsBuilt,
}

impl LayerUp<'_> {
    fn frame(&self) -> &Frame {
        &self.plan.frame
    }

    /// Boards that are up, as planned and as they hang.
    fn up(&self) -> impl Iterator<Item = (&Piece, &Piece)> {
        let pairs = self.layer.pieces.iter().zip(&self.real.pieces);
        pairs.filter(|(piece, _)| self.built.boards_up.contains(&piece.name))
    }

    fn long_lines(&self) -> Vec<f64> {
        let long = self.layer.joints.iter().filter(|j| j.kind == JointKind::Long);
        sorted(long.map(|j| self.frame().frame_from_room(j.from).x_mm).collect())
    }

    /// End joints of the plan in a strip.
    fn end_lines(&self, low_u: f64, high_u: f64) -> Vec<f64> {
        let ends = self.layer.joints.iter().filter(|j| j.kind == JointKind::End);
        let in_frame =
            ends.map(|j| (self.frame().frame_from_room(j.from), self.frame().frame_from_room(j.to)));
        let own = in_frame.filter(|(a, b)| {
            let middle = f64::midpoint(a.x_mm, b.x_mm);
            low_u < middle && middle < high_u
        });
        sorted(own.map(|(a, b)| f64::midpoint(a.y_mm, b.y_mm)).collect())
    }

    /// How far the boards that are up hang off along the bars, by strip.
    fn off_along(&self, count: usize) -> Vec<Vec<f64>> {
        let mut off: Vec<Vec<f64>> = vec![Vec::new(); count];
        for (piece, now) in self.up() {
            if let Some(own) = off.get_mut(piece.strip.wrapping_sub(1)) {
                own.push(off_place(self.plan, piece, now).x_mm);
            }
        }
        off
    }

    /// The end joints of a strip, those of them that boards which are up hold, and the stretches these take.
    ///
    /// Where a board hangs away from its joint by no more than filler bridges, the board beyond it stays where it was planned: the joint
    /// stands open and has two lines.
    fn held(&self, strip: usize, planned: &[f64]) -> (Vec<f64>, Vec<f64>, Vec<(f64, f64)>) {
        let mut up: Vec<(f64, f64)> = Vec::new();
        // Where boards that are up end, by the joint of the plan: below it and above it.
        let mut ends: Vec<[Option<f64>; 2]> = vec![[None; 2]; planned.len()];
        for (piece, now) in self.up().filter(|(piece, _)| piece.strip == strip + 1) {
            let off = off_place(self.plan, piece, now).y_mm;
            let corners: Vec<Point> =
                piece.outline.iter().map(|p| self.frame().frame_from_room(*p)).collect();
            let (low, high) = ring::extent(&corners);
            for (edge, (a, b)) in piece.edges.iter().zip(ring::sides(&corners)) {
                if edge.meets == EdgeMeets::EndJoint {
                    let v = f64::midpoint(a.y_mm, b.y_mm);
                    let above = usize::from(v < f64::midpoint(low.y_mm, high.y_mm));
                    let joint = planned.iter().position(|j| (j - v).abs() < SAME_MM);
                    if let Some(own) = joint.and_then(|at| ends.get_mut(at)) {
                        own[above] = Some(v + off);
                    }
                }
            }
            up.push((low.y_mm + off, high.y_mm + off));
        }
        let (mut joints, mut held) = (Vec::new(), Vec::new());
        for (&v, ends) in planned.iter().zip(ends) {
            let stands_open = |gap_mm: f64| gap_mm > SAME_MM && gap_mm <= WIDEST_JOINT_MM;
            match ends {
                [None, None] => joints.push(v),
                [Some(at), None] => {
                    held.push(at);
                    joints.extend([at].into_iter().chain(stands_open(v - at).then_some(v)));
                }
                [None, Some(at)] => {
                    held.push(at);
                    joints.extend(stands_open(at - v).then_some(v).into_iter().chain([at]));
                }
                [Some(below), Some(above)] => {
                    held.push(below);
                    joints.push(below);
                    if (above - below).abs() > WIDEST_JOINT_MM {
                        held.push(above);
                    }
                }
            }
        }
        held.sort_by(f64::total_cmp);
        joints.sort_by(f64::total_cmp);
        (joints, held, up)
    }
}

fn sorted(mut lines: Vec<f64>) -> Vec<f64> {
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|a, b| (*a - *b).abs() < SAME_MM);
    lines
}

/// How far the boards of each strip that are still to go up move along the bars with those that are up \[mm\].
struct Aside {
    /// By strip.
    free: Vec<f64>,
    /// The least and the most of the boards that are up; none where none is.
    up: Vec<Option<(f64, f64)>>,
}

impl Aside {
    /// From how far those that are up hang off their places, by strip. The others go beside them where they can be pushed up to the next
    /// strip without lying over what hangs there; strips with none up move with the one before, or with the one after.
    fn new(off: &[Vec<f64>]) -> Self {
        let ends = |own: &Vec<f64>| {
            own.iter().fold(None, |ends: Option<(f64, f64)>, &mm| {
                Some(ends.map_or((mm, mm), |(least, most)| (least.min(mm), most.max(mm))))
            })
        };
        let up: Vec<Option<(f64, f64)>> = off.iter().map(ends).collect();
        let own: Vec<Option<f64>> = up
            .iter()
            .enumerate()
            .map(|(strip, ends)| {
                let (least, most) = (*ends)?;
                let next_to = |strip: Option<usize>| strip.and_then(|s| up.get(s).copied().flatten());
                let from = next_to(strip.checked_sub(1)).map_or(f64::NEG_INFINITY, |before| before.1);
                let to = next_to(Some(strip + 1)).map_or(f64::INFINITY, |after| after.0);
                let middle = f64::midpoint(least, most);
                Some(if from <= to { middle.clamp(from, to) } else { f64::midpoint(from, to) })
            })
            .collect();
        let with = |strip: usize, own: f64, above: bool| {
            let (least, most) = up.get(strip).copied().flatten().unwrap_or((own, own));
            if above { own.max(most) } else { own.min(least) }
        };
        let free = (0..off.len())
            .map(|strip| {
                let before = (0..strip).rev().find_map(|s| own[s].map(|mm| with(s, mm, true)));
                let after = (strip + 1..off.len()).find_map(|s| own[s].map(|mm| with(s, mm, false)));
                own[strip].or(before).or(after).unwrap_or(0.0)
            })
            .collect();
        Self { free, up }
    }

    /// Of a strip's edge of lesser `u`.
    fn low(&self, strip: usize) -> f64 {
        self.free.get(strip).copied().unwrap_or(0.0)
    }

    /// Of a strip's other edge: that of the next strip, where this one would lie over it by more than a tape leaves open.
    fn high(&self, strip: usize) -> f64 {
        let own = self.low(strip);
        let next = self.low(strip + 1).min(self.up.get(strip + 1).copied().flatten().map_or(own, |e| e.0));
        if strip + 1 < self.free.len() && next < own - TAPE_MM { next } else { own }
    }
}

/// Every board of a strip. What stands open beside one that is up is none.
pub(super) fn parts(strip: &Strip) -> Vec<Part> {
    let all = strip.rings.iter().flat_map(|r| ring::cut_along(r, Axis::V, &strip.joints));
    all.map(|r| Part::new(strip.index, r))
        .filter(|part| !strip.stands_open(part.low.y_mm, part.high.y_mm))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(f64, f64)]) -> Vec<Point> {
        points.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    /// A wall 3 mm beyond the line, and one that slants through it: what lies between line and wall is left to the gap, and nothing else.
    #[test]
    fn what_a_line_leaves_beyond_a_wall_is_no_board() {
        let straight = ring(&[(0., 0.), (3., 0.), (3., 900.), (700., 900.), (700., 1800.), (0., 1800.)]);
        let slanting = ring(&[(0., 400.), (4., 900.), (700., 896.), (700., 1800.), (0., 1800.)]);
        for (whole, begins) in [(straight, (3., 900.)), (slanting, (4., 900.))] {
            for turned in 0..whole.len() {
                for backwards in [false, true] {
                    let mut given = whole.clone();
                    given.rotate_left(turned);
                    if backwards {
                        given.reverse();
                    }
                    let left = without_needles(vec![given.clone()], (0.0, 1.0)).concat();
                    assert_eq!(ring::area(&left) > 0.0, ring::area(&given) > 0.0);
                    let (low, high) = ring::extent(&left);
                    assert_eq!((low.x_mm, high.x_mm, high.y_mm), (0.0, 700.0, 1800.0));
                    assert!(low.y_mm >= 896.0 && left.contains(&Point::new(begins.0, begins.1)), "{left:?}");
                    assert!(left.contains(&Point::new(0.0, 900.0)), "{left:?}");
                    // Seen from the other side of the line it is the same.
                    let mirrored: Vec<Point> = given.iter().map(|p| Point::new(-p.x_mm, p.y_mm)).collect();
                    let left = without_needles(vec![mirrored], (0.0, -1.0)).concat();
                    assert!(left.contains(&Point::new(0.0, 900.0)), "{left:?}");
                }
            }
        }
    }

    /// A wall that runs away from the line is an edge of the board, however little it slants; so is one deeper than a gap may be.
    #[test]
    fn a_taper_is_a_board() {
        let taper = ring(&[(0., 0.), (700., 0.), (700., 1800.), (8., 1800.), (0., 900.)]);
        let step = ring(&[(0., 0.), (30., 0.), (30., 900.), (700., 900.), (700., 1800.), (0., 1800.)]);
        for given in [taper, step] {
            assert_eq!(without_needles(vec![given.clone()], (0.0, 1.0)), [given]);
        }
    }
}
