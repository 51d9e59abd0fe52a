//! Joints of layers with boards that are up, read off the pieces where they hang: where the edges of boards still to go up lie, and what stands
//! open.

use super::boards::WIDEST_JOINT_MM;
use crate::layout::{EdgeMeets, Frame, Joint, JointKind, Layer, Piece};
use crate::{Ceiling, ring};

/// Edges of two pieces that overlap by no more still meet \[mm\], and that stand no farther apart (judgement: what is farther off is no joint).
const OVERLAP_MM: f64 = 1.1;
const APART_MM: f64 = 25.0;
/// Lines nearer than this are one \[mm\]; stretches of a joint that end nearer to each other go on.
const SAME_MM: f64 = 0.05;
const GOES_ON_MM: f64 = APART_MM + 1.0;
/// What stands open by less is closed: no tape tells it \[mm\].
const TOLD_MM: f64 = 0.5;

/// Of what is told as the most there is, never less than there is \[mm\].
pub(super) fn up_to_mm(mm: f64) -> f64 {
    (mm - 0.05).ceil()
}

/// Where an edge of one piece meets an edge of another, in the frame.
struct Meeting {
    kind: JointKind,
    /// Places of the two pieces in the layer: the one of lesser coordinate across the joint, the one beyond it.
    pieces: [usize; 2],
    /// Where their edges lie across the joint.
    edges: [f64; 2],
    /// Along it.
    from: f64,
    to: f64,
}

/// One edge of a piece that meets another: where it lies across the joint, and from and to along it.
struct Edge {
    kind: JointKind,
    piece: usize,
    /// Whether the piece lies before its edge, towards lesser coordinates.
    before: bool,
    at: f64,
    from: f64,
    to: f64,
}

fn edges(frame: &Frame, layer: &Layer) -> Vec<Edge> {
    let mut out = Vec::new();
    for (piece, one) in layer.pieces.iter().enumerate() {
        for (edge, (a, b)) in one.edges.iter().zip(ring::sides(&one.outline)) {
            let (a, b) = (frame.frame_from_room(a), frame.frame_from_room(b));
            // Outlines run anticlockwise: a piece lies to the left of its sides.
            let (kind, before, [at, p, q]) = match edge.meets {
                EdgeMeets::Wall => continue,
                EdgeMeets::EndJoint => {
                    (JointKind::End, b.x_mm < a.x_mm, [f64::midpoint(a.y_mm, b.y_mm), a.x_mm, b.x_mm])
                }
                EdgeMeets::LongJoint => {
                    (JointKind::Long, b.y_mm > a.y_mm, [f64::midpoint(a.x_mm, b.x_mm), a.y_mm, b.y_mm])
                }
            };
            out.push(Edge { kind, piece, before, at, from: p.min(q), to: p.max(q) });
        }
    }
    out
}

fn meetings(frame: &Frame, layer: &Layer) -> Vec<Meeting> {
    let edges = edges(frame, layer);
    let mut out = Vec::new();
    for low in edges.iter().filter(|edge| edge.before) {
        for high in
            edges.iter().filter(|edge| !edge.before && edge.kind == low.kind && edge.piece != low.piece)
        {
            let (from, to) = (low.from.max(high.from), low.to.min(high.to));
            if to - from > 1.0 && (-OVERLAP_MM..=APART_MM).contains(&(high.at - low.at)) {
                let (pieces, edges) = ([low.piece, high.piece], [low.at, high.at]);
                out.push(Meeting { kind: low.kind, pieces, edges, from, to });
            }
        }
    }
    out
}

/// A stretch of a joint: its kind, whether it lies between boards that are up, where it lies across, and from and to along it.
type Stretch = (JointKind, bool, f64, f64, f64);

/// The joints of a layer where its pieces meet: at the edge of the one still to go up, between two that are up in the middle.
pub(super) fn joints(frame: &Frame, layer: &Layer, up: &[String]) -> Vec<Joint> {
    let is_up = |piece: usize| layer.pieces.get(piece).is_some_and(|piece| up.contains(&piece.name));
    let mut lines: Vec<Stretch> = meetings(frame, layer)
        .iter()
        .map(|one| {
            let [before, beyond] = one.pieces.map(is_up);
            let [low, high] = one.edges;
            let at = match (before, beyond) {
                (true, false) => high,
                // Of two that are still to go up the one before goes up first.
                (false, _) => low,
                (true, true) => f64::midpoint(low, high),
            };
            (one.kind, before && beyond, at, one.from, one.to)
        })
        .collect();
    let order = |a: &Stretch, b: &Stretch| {
        let first = |line: &Stretch| (line.0 == JointKind::End, line.1);
        first(a).cmp(&first(b)).then(a.2.total_cmp(&b.2)).then(a.3.total_cmp(&b.3))
    };
    lines.sort_by(order);
    // Lines that are one but for the last digits go on in one another, wherever along it they begin.
    let mut known: Option<(JointKind, bool, f64)> = None;
    for line in &mut lines {
        match known {
            Some((kind, hung, at)) if (kind, hung) == (line.0, line.1) && line.2 - at < SAME_MM => {
                line.2 = at;
            }
            _ => known = Some((line.0, line.1, line.2)),
        }
    }
    lines.sort_by(order);
    let mut whole: Vec<Stretch> = Vec::with_capacity(lines.len());
    for line in lines {
        match whole.last_mut() {
            Some(last)
                if (last.0, last.1) == (line.0, line.1)
                    && (last.2 - line.2).abs() < SAME_MM
                    && line.3 <= last.4 + GOES_ON_MM =>
            {
                last.4 = last.4.max(line.4);
            }
            _ => whole.push(line),
        }
    }
    let point = |kind: JointKind, at: f64, along: f64| match kind {
        JointKind::End => frame.room_from_frame(along, at),
        JointKind::Long => frame.room_from_frame(at, along),
    };
    whole
        .into_iter()
        .map(|(kind, hung, at, from, to)| Joint {
            kind,
            from: point(kind, at, from),
            to: point(kind, at, to),
            hung,
        })
        .collect()
}

/// Joints of a layer that stand open beside boards that are up, in words without a full stop; none where none does.
pub(super) fn open_joints(ceiling: &Ceiling, frame: &Frame, layer: &Layer, up: &[String]) -> Option<String> {
    let mut open: Vec<(String, f64)> = Vec::new();
    let mut wider: Vec<String> = Vec::new();
    for one in meetings(frame, layer) {
        let [Some(before), Some(beyond)] = one.pieces.map(|piece| layer.pieces.get(piece)) else { continue };
        let gap_mm = one.edges[1] - one.edges[0];
        let is_up = |piece: &Piece| up.contains(&piece.name);
        if gap_mm < TOLD_MM || !(is_up(before) || is_up(beyond)) {
            continue;
        }
        open.push((format!("{}/{}", before.name, beyond.name), gap_mm));
        // One that is still to cut and smaller than its board can reach across.
        if gap_mm > WIDEST_JOINT_MM + SAME_MM
            && let Some(board) = ceiling.layers.get(layer.number.wrapping_sub(1))
        {
            let reaches = |piece: &&&Piece| {
                !is_up(piece)
                    && match one.kind {
                        JointKind::Long => piece.width_mm + gap_mm <= board.width_mm,
                        JointKind::End => piece.length_mm + gap_mm <= board.length_mm,
                    }
            };
            let size = if one.kind == JointKind::Long { "wider" } else { "longer" };
            let to_cut = [before, beyond];
            wider.extend(
                to_cut.iter().find(reaches).map(|piece| format!("{} {gap_mm:.0} mm {size}", piece.name)),
            );
        }
    }
    let widest_mm = open.iter().map(|(_, gap)| *gap).fold(0.0, f64::max);
    let widest = up_to_mm(widest_mm);
    let names: Vec<&str> = open.iter().map(|(names, _)| names.as_str()).collect();
    // Wider than filler bridges: what hangs has to move, or its neighbour is cut to reach it.
    if widest_mm > WIDEST_JOINT_MM + SAME_MM {
        let cut = if wider.is_empty() {
            "cut a strip of board to fit and bed it in sealant".to_owned()
        } else {
            wider.dedup();
            format!(
                "cut {} than drawn at that edge, so that it meets the board that hangs and still bears on its bars; what cannot reach: a strip of \
                 board, bedded in sealant",
                wider.join(", ")
            )
        };
        return Some(format!(
            "layer {}: beside {} up to {widest} mm stand open, by where boards that are up hang; filler bridges {WIDEST_JOINT_MM:.0}: take down and \
             hang again what stands off, or {cut}",
            layer.number,
            names.join(", ")
        ));
    }
    match names.as_slice() {
        [] => None,
        [one] => Some(format!(
            "layer {}: the joint of {one} stands {widest} mm open, by where boards that are up hang: fill it with sealant before it is covered",
            layer.number
        )),
        all => Some(format!(
            "layer {}: the joints of {} stand up to {widest} mm open, by where boards that are up hang: fill them with sealant before they are covered",
            layer.number,
            all.join(", ")
        )),
    }
}

/// The same pieces, the joints only between boards that are up, or only the others.
pub(super) fn only(layer: &Layer, hung: bool) -> Layer {
    let mut only = layer.clone();
    only.joints.retain(|joint| joint.hung == hung);
    for joint in &mut only.joints {
        joint.hung = false;
    }
    only
}
