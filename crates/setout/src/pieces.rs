//! From parts in the frame to pieces a person can cut: corners on the sheet, edges, screws, names.

use crate::bars::FrameBar;
use crate::draft::{Draft, DraftLayer};
use crate::layout::{BegunSheet, Edge, EdgeMade, EdgeMeets, Joint, JointKind, Layer, Piece, Sheet};
use crate::ring;
use crate::room::Room;
use crate::screws::screws_along;
use crate::shared::Begun;
use crate::sheets::Place;
use crate::strips::Part;
use crate::{BoardLayer, Ceiling, Point};

const ON_MM: f64 = 1e-6;
/// An edge this near the sheet's own is that edge: no saw takes a hundredth of a millimetre.
const FACTORY_MM: f64 = 0.01;

/// One layer written out.
pub(crate) fn layer(ceiling: &Ceiling, room: &Room, draft: &Draft, index: usize) -> Option<Layer> {
    let (board, laid) = (ceiling.layers.get(index)?, draft.layers.get(index)?);
    let number = index + 1;
    let mut pieces: Vec<Piece> = Vec::with_capacity(laid.parts.len());
    for (at, (part, place)) in laid.parts.iter().zip(&laid.places).enumerate() {
        let mut piece = match laid.hung.get(at).and_then(Option::as_ref) {
            Some(hung) => Piece { sheet: place.sheet, ..hung.clone() },
            None => piece(room, board, laid, part, place),
        };
        piece.name = format!("{number}-{:02}", at + 1);
        piece.layer = number;
        piece.screws = screws(room, ceiling, &draft.bars, part);
        pieces.push(piece);
    }
    let sheet_area = board.width_mm * board.length_mm / 1e6;
    let on = |laid: &DraftLayer, sheet: usize| -> f64 {
        let parts = laid.parts.iter().zip(&laid.places).filter(|(_, place)| place.sheet == sheet);
        parts.map(|(part, _)| part.area_mm2 / 1e6).sum()
    };
    let sheets = laid
        .sheets
        .iter()
        .enumerate()
        .map(|(s, begun)| {
            let own: Vec<usize> =
                laid.places.iter().enumerate().filter(|(_, p)| p.sheet == s).map(|(i, _)| i).collect();
            let this = Some(Begun { layer: index, sheet: s });
            let others = draft.layers.iter().flat_map(|other| {
                let shared = other.sheets.iter().enumerate().filter(|(_, begun)| **begun == this);
                shared.map(|(at, _)| on(other, at))
            });
            let left_over_m2 = (sheet_area - on(laid, s) - others.sum::<f64>()).max(0.0);
            Sheet {
                number: laid.number_of(s),
                pieces: own,
                begun: begun.map(|b| BegunSheet {
                    layer: b.layer + 1,
                    sheet: draft.layers.get(b.layer).map_or(b.sheet + 1, |layer| layer.number_of(b.sheet)),
                }),
                left_over_m2: if begun.is_some() { 0.0 } else { left_over_m2 },
            }
        })
        .collect();
    let joints = laid
        .joints
        .iter()
        .map(|j| Joint { kind: j.kind, from: to_room(room, j.from), to: to_room(room, j.to), hung: false })
        .collect();
    let cut_length_mm = pieces.iter().map(|p| p.cut_length_mm).sum();
    Some(Layer { number, material: board.material.clone(), pieces, joints, sheets, cut_length_mm })
}

pub(crate) fn to_room(room: &Room, p: Point) -> Point {
    room.frame.room_from_frame(p.x_mm, p.y_mm)
}

fn piece(room: &Room, board: &BoardLayer, laid: &DraftLayer, part: &Part, place: &Place) -> Piece {
    let meets = edge_meets(laid, part);
    // A half turn in its own plane may bring a joint onto a factory edge; the better of the two ways is taken.
    let ways = [false, true].map(|turned| {
        let corners = on_sheet(board, part, place, turned);
        let made = edges_made(board, &corners);
        let kept: f64 = ring::sides(&part.ring)
            .zip(&made)
            .zip(&meets)
            .filter(|((_, made), _)| **made == EdgeMade::Factory)
            .map(|(((a, b), _), meets)| {
                let weight = match meets {
                    // A long joint must have its bound edge; no length of the others outweighs it.
                    EdgeMeets::LongJoint => 1e9,
                    EdgeMeets::EndJoint => 10.0,
                    EdgeMeets::Wall => 1.0,
                };
                weight * ring::distance(a, b)
            })
            .sum();
        (kept, corners, made)
    });
    let [first, second] = ways;
    let (_, on_sheet, made) = if second.0 > first.0 + ON_MM { second } else { first };
    let edges: Vec<Edge> = ring::sides(&part.ring)
        .zip(made)
        .zip(meets)
        .map(|(((a, b), made), meets)| Edge { length_mm: ring::distance(a, b), made, meets })
        .collect();
    let cut_outs = cut_outs(room, part);
    let holes_mm2: f64 = cut_outs.iter().map(|c| ring::area(c)).sum();
    let hole_cuts: f64 = cut_outs.iter().map(|c| ring::perimeter(c)).sum();
    let edge_cuts: f64 = edges.iter().filter(|e| e.made == EdgeMade::Cut).map(|e| e.length_mm).sum();
    let cut_length_mm = edge_cuts + hole_cuts;
    let area_m2 = (part.area_mm2 - holes_mm2).max(0.0) / 1e6;
    Piece {
        name: String::new(),
        layer: 0,
        strip: part.strip + 1,
        outline: part.ring.iter().map(|p| to_room(room, *p)).collect(),
        whole: edge_cuts < ON_MM && cut_outs.is_empty(),
        too_large: part.width_mm() > board.width_mm + ON_SHEET_MM
            || part.length_mm() > board.length_mm + ON_SHEET_MM,
        edges,
        cut_outs: cut_outs.iter().map(|c| c.iter().map(|p| to_room(room, *p)).collect()).collect(),
        width_mm: part.width_mm(),
        length_mm: part.length_mm(),
        sheet: place.sheet,
        on_sheet,
        area_m2,
        mass_kg: area_m2 * board.mass_kg_m2,
        cut_length_mm,
        tape_mm: if board.tape_cut_edges { cut_length_mm } else { 0.0 },
        screws: 0,
    }
}

/// Corners on the sheet as seen from its face: the plan is seen from above, the face from below, so left and right
/// change over.
fn on_sheet(board: &BoardLayer, part: &Part, place: &Place, turned: bool) -> Vec<Point> {
    part.ring
        .iter()
        .map(|p| {
            let (mut x, mut y) = (p.x_mm - part.low.x_mm, p.y_mm - part.low.y_mm);
            if turned {
                (x, y) = (part.width_mm() - x, part.length_mm() - y);
            }
            Point::new(board.width_mm - (place.at.x_mm + x), place.at.y_mm + y)
        })
        .collect()
}

fn edges_made(board: &BoardLayer, corners: &[Point]) -> Vec<EdgeMade> {
    ring::sides(corners)
        .map(|(a, b)| {
            let both = |p: f64, q: f64, at: f64| (p - at).abs() < FACTORY_MM && (q - at).abs() < FACTORY_MM;
            let factory = both(a.x_mm, b.x_mm, 0.0)
                || both(a.x_mm, b.x_mm, board.width_mm)
                || both(a.y_mm, b.y_mm, 0.0)
                || both(a.y_mm, b.y_mm, board.length_mm);
            if factory { EdgeMade::Factory } else { EdgeMade::Cut }
        })
        .collect()
}

fn edge_meets(laid: &DraftLayer, part: &Part) -> Vec<EdgeMeets> {
    ring::sides(&part.ring)
        .map(|(a, b)| {
            let middle = Point::new(f64::midpoint(a.x_mm, b.x_mm), f64::midpoint(a.y_mm, b.y_mm));
            let joint = laid.joints.iter().find(|j| {
                let level = if j.kind == JointKind::End {
                    (a.y_mm - b.y_mm).abs() < ON_MM
                } else {
                    (a.x_mm - b.x_mm).abs() < ON_MM
                };
                level && ring::distance_to_segment(middle, j.from, j.to) < 1e-5
            });
            match joint.map(|j| j.kind) {
                Some(JointKind::End) => EdgeMeets::EndJoint,
                Some(JointKind::Long) => EdgeMeets::LongJoint,
                None => EdgeMeets::Wall,
            }
        })
        .collect()
}

/// What of the obstructions falls in a part; both are clipped to the part's own box, and an obstruction across a joint
/// falls to both sides of it.
fn cut_outs(room: &Room, part: &Part) -> Vec<Vec<Point>> {
    use ring::Axis;
    let mut out = Vec::new();
    for obstruction in &room.obstructions {
        let mut rings = vec![obstruction.clone()];
        for (axis, at, below) in [
            (Axis::U, part.low.x_mm, false),
            (Axis::U, part.high.x_mm, true),
            (Axis::V, part.low.y_mm, false),
            (Axis::V, part.high.y_mm, true),
        ] {
            rings = rings.iter().flat_map(|r| ring::keep_side(r, axis, at, below)).collect();
        }
        out.extend(rings);
    }
    out
}

/// Screws of one part: along every bar under it, closer at its ends and at the perimeter.
fn screws(room: &Room, ceiling: &Ceiling, bars: &[FrameBar], part: &Part) -> usize {
    let mut count = 0;
    let (rules, near_mm) = (&ceiling.rules, ceiling.bar.face_width_mm / 2.0);
    for bar in bars {
        // At a joint the board's edge is near the middle of its bar all along, though the bar may have come to lie a hair askew; the screws
        // stand just inside it.
        let (first_u, last_u) = (part.low.x_mm.max(bar.from.x_mm), part.high.x_mm.min(bar.to.x_mm));
        let beside = |edge_v: f64| {
            bar.wall.is_none()
                && first_u < last_u
                && [first_u, last_u].iter().all(|u| (bar.v_at(*u) - edge_v).abs() < near_mm)
        };
        let at_low = beside(part.low.y_mm);
        let at_end = at_low || beside(part.high.y_mm);
        let (from, to) = if at_end {
            let v = if at_low { part.low.y_mm + 0.1 } else { part.high.y_mm - 0.1 };
            (Point::new(bar.from.x_mm, v), Point::new(bar.to.x_mm, v))
        } else {
            (bar.from, bar.to)
        };
        let on_edge = at_end
            || bar.wall.is_some_and(|w| {
                room.walls.get(w).is_some_and(|wall| {
                    part.ring.iter().any(|p| {
                        let (inside, along) = wall.inside_and_along(*p);
                        inside < wall.gap_mm + 1.0 && (-100.0..=wall.length_mm + 100.0).contains(&along)
                    })
                })
            });
        let gap = if on_edge { rules.screw_gap_edge_mm } else { rules.screw_gap_mm };
        for stretch in stretches_inside(&part.ring, from, to) {
            count += screws_along(stretch, rules.screw_edge_mm, gap);
        }
    }
    count
}

/// Lengths of a segment inside a ring.
fn stretches_inside(points: &[Point], from: Point, to: Point) -> Vec<f64> {
    let length = ring::distance(from, to);
    let mut at = vec![0.0, 1.0];
    for (a, b) in ring::sides(points) {
        if let Some((t, s)) = ring::crossing(from, to, a, b)
            && (0.0..=1.0).contains(&t)
            && (-1e-9..=1.0 + 1e-9).contains(&s)
        {
            at.push(t);
        }
    }
    at.sort_by(f64::total_cmp);
    at.windows(2)
        .filter_map(|pair| {
            let [a, b] = pair else { return None };
            let m = f64::midpoint(*a, *b);
            let middle =
                Point::new(from.x_mm + m * (to.x_mm - from.x_mm), from.y_mm + m * (to.y_mm - from.y_mm));
            (b - a > 1e-9 && ring::contains(points, middle)).then_some((b - a) * length)
        })
        .collect()
}
/// A piece may be larger than its sheet by this much and still come out of it \[mm\].
const ON_SHEET_MM: f64 = 0.01;
