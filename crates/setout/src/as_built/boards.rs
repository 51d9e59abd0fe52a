//! Boards that are up: gaps and overlaps at their joints.

use super::AsBuilt;
use crate::Point;
use crate::check::{Breach, Rule};
use crate::layout::{EdgeMeets, Layout, Piece};
use crate::ring;

/// Widest joint between two boards \[mm\] (NBS K10/612).
pub(super) const WIDEST_JOINT_MM: f64 = 3.0;
/// Two boards whose readings overlap by less touch \[mm\]: either reading is that unsure.
const TAPES_MM: f64 = 1.0;
/// Shifts less than this are no shift \[mm\].
const STILL_MM: f64 = 0.05;

/// How far a piece hangs from its place, in the frame: `x` along the bars, `y` across them.
pub(super) fn off_place(layout: &Layout, planned: &Piece, real: &Piece) -> Point {
    let (Some(a), Some(b)) = (planned.outline.first(), real.outline.first()) else {
        return Point::new(0.0, 0.0);
    };
    let (a, b) = (layout.frame.frame_from_room(*a), layout.frame.frame_from_room(*b));
    Point::new(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
}

/// Joints that stand open too far, or where two boards that are up would have to overlap.
pub(super) fn joint_breaches(planned: &Layout, built: &AsBuilt) -> Vec<Breach> {
    let mut out = Vec::new();
    let up = |p: &Piece| built.boards_up.contains(&p.name);
    for (layer, real) in planned.layers.iter().zip(&built.layout.layers) {
        for (i, (a, real_a)) in layer.pieces.iter().zip(&real.pieces).enumerate().filter(|(_, (p, _))| up(p))
        {
            for (b, real_b) in layer.pieces.iter().zip(&real.pieces).skip(i + 1).filter(|(p, _)| up(p)) {
                let (da, db) = (off_place(planned, a, real_a), off_place(planned, b, real_b));
                let Some((kind, at, forward)) = shared_edge(planned, a, b) else { continue };
                let opened = if kind == EdgeMeets::EndJoint { db.y_mm - da.y_mm } else { db.x_mm - da.x_mm };
                let opened = if forward { opened } else { -opened };
                // Where one was not read nobody knows how they hang to each other.
                if [a, b].iter().any(|piece| built.boards_behind.contains(&piece.name)) {
                    continue;
                }
                if opened > WIDEST_JOINT_MM {
                    out.push(Breach {
                        rule: Rule::Cover,
                        what: format!("piece {}", a.name),
                        at,
                        by: opened - WIDEST_JOINT_MM,
                        sentence: format!(
                            "the joint of pieces {} and {} stands {opened:.0} mm open; {WIDEST_JOINT_MM:.0} mm is the most that filler bridges (NBS K10/612)",
                            a.name, b.name
                        ),
                    });
                } else if opened < -TAPES_MM {
                    out.push(Breach {
                        rule: Rule::Cover,
                        what: format!("piece {}", a.name),
                        at,
                        by: -opened,
                        sentence: format!(
                            "by the readings pieces {} and {} overlap by {:.0} mm: one of them was read wrong, or cut smaller than drawn",
                            a.name, b.name, -opened
                        ),
                    });
                }
            }
        }
    }
    out
}

/// The joint two pieces of a layer share: its kind, its middle, and whether the second lies beyond the first.
fn shared_edge(layout: &Layout, a: &Piece, b: &Piece) -> Option<(EdgeMeets, Point, bool)> {
    let frame = &layout.frame;
    for (edge, (p, q)) in a.edges.iter().zip(ring::sides(&a.outline)) {
        if edge.meets == EdgeMeets::Wall {
            continue;
        }
        let (p, q) = (frame.frame_from_room(p), frame.frame_from_room(q));
        for (other, (r, s)) in b.edges.iter().zip(ring::sides(&b.outline)) {
            if other.meets != edge.meets {
                continue;
            }
            let (r, s) = (frame.frame_from_room(r), frame.frame_from_room(s));
            let of = |x: Point| {
                if edge.meets == EdgeMeets::EndJoint { (x.y_mm, x.x_mm) } else { (x.x_mm, x.y_mm) }
            };
            let ((line_a, p0), (_, q0)) = (of(p), of(q));
            let ((line_b, r0), (_, s0)) = (of(r), of(s));
            let (low, high) = (p0.min(q0).max(r0.min(s0)), p0.max(q0).min(r0.max(s0)));
            if (line_a - line_b).abs() < STILL_MM && high - low > 1.0 {
                let middle = f64::midpoint(low, high);
                let at = if edge.meets == EdgeMeets::EndJoint {
                    frame.room_from_frame(middle, line_a)
                } else {
                    frame.room_from_frame(line_a, middle)
                };
                let low_of = |piece: &Piece| {
                    piece
                        .outline
                        .iter()
                        .map(|x| of(frame.frame_from_room(*x)).0)
                        .fold(f64::INFINITY, f64::min)
                };
                return Some((edge.meets, at, low_of(b) > low_of(a)));
            }
        }
    }
    None
}
